"""Sentence bounds: by punctuation, by line in captions and typed notes, by guesses at each word where there is neither,
or where a talk has so few stops that its sentences are endless."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import pairwise

from notes2sheet.bounds import bound_odds
from notes2sheet.cues import SHEET_FILE, cue_index, cue_words
from notes2sheet.lexicon import cue_file
from notes2sheet.numbers import Number
from notes2sheet.transcript import DASHES, Reading

STOP = re.compile(r"[.!?…]")
LONG_LINE = 14  # words: a longer line without a stop is running text, not a caption
LONG_SENTENCE = 50  # words: hardly anybody's is longer
ENDLESS = 0.25  # share of the text in longer ones, from which on stops are as good as missing
PARTING, LISTED = (";", "|", "/", "//", "||"), 3  # marks between the parts of a sheet in one line; of them, at least
VOWELS = set("aeiouy")  # a word without any is a shortened one
MOST = 25  # words in a chunk of text that is cut by guesses
CUT = 0.15  # odds of a sentence beginning at which such text is cut
OVER = ("of", "from", "over", "outta", "outa", "on")  # between a score and its cap
ABBREVIATIONS = {
    "mr",
    "mrs",
    "ms",
    "dr",
    "st",
    "vs",
    "no",
    "approx",
    "ca",
    "e.g",
    "i.e",
    "etc",
    "v",
    "prev",
    "cond",
    "min",
    "abv",
    "incl",
    "esp",
    "temp",
    "max",
    "orig",
    "resp",
}


@dataclass
class Sentence:
    """Words `start` to `end` (end excluded), and what later stages find out about them."""

    start: int
    end: int
    category: str = "opening"
    role: str = "talk"
    time: float | None = None
    role_odds: dict[str, float] = field(default_factory=dict)


def find_sentences(reading: Reading) -> None:
    """Fill `reading.sentences`. Linear in the words."""
    long = _in_long_lines(reading)
    items = _items(reading, long)
    bounds = [
        at
        for at, between in enumerate(reading.breaks[: len(reading.words)])
        if at == 0 or "\n" in between or at in items or (STOP.search(between) and _opens(reading, at, at in long))
    ]
    bounds = _whole_figures(reading, [*bounds, len(reading.words)])
    joined = _joined(reading)
    stretches = [(start, end) for start, end in pairwise(bounds) if end > start]
    reading.flowing = _flowing(reading, stretches)
    for start, end in stretches:
        flows = (start, end) in reading.flowing
        reading.sentences += _chunks(reading, start, end, joined) if flows else [Sentence(start, end)]
    reading.running = _share(reading, reading.flowing) > 0.5
    set_times(reading)


def _opens(reading: Reading, at: int, long: bool) -> bool:
    """Whether a sentence may begin with word `at`, behind a stop, in a `long` line or another."""
    between, previous, before = reading.breaks[at], reading.words[at - 1], reading.raw[at - 1]
    first = reading.raw[at].lstrip(DASHES)[:1]
    if any(c in between for c in "!?…"):
        return True
    if between.endswith(":"):
        return False  # 'D.: 10.5'
    if long and first.islower():
        return between == "." and not _abbreviated(before.lower().rstrip("."))
    short = previous in ABBREVIATIONS and (previous != "no" or first.isdigit())  # 'no. 5', not 'creamy, no.'
    return (first.isupper() or first.isdigit() or first == "#") and not (between == "." and short)


def _in_long_lines(reading: Reading) -> set[int]:
    """The words of lines so long that several sentences may stand in each, though none begin with a capital."""
    starts = [at for at, between in enumerate(reading.breaks[: len(reading.words)]) if at == 0 or "\n" in between]
    lines = pairwise([*starts, len(reading.words)])
    return {at for start, end in lines if end - start > LONG_LINE for at in range(start, end)}


def _items(reading: Reading, lowly: set[int]) -> set[int]:
    """Where the parts of a sheet written in one line begin: 'aroma 9, pine; flavor 14, …'."""
    named = {start for start, _, _ in cue_index(SHEET_FILE).find(reading.words)}
    marked = {at for at in named & lowly if reading.breaks[at].strip() in PARTING}
    return marked if len(marked) >= LISTED else set()


def _abbreviated(word: str) -> bool:
    """Whether a stop behind the word may be that of a shortened one: 'sl. hazy', 'med. body'."""
    known = word in ABBREVIATIONS or word in cue_words("levels", "short") or word in cue_file("spelling")["whole"]
    return known or (word.isalpha() and VOWELS.isdisjoint(word))


def _flowing(reading: Reading, stretches: list[tuple[int, int]]) -> set[tuple[int, int]]:
    """The stretches of text that are to be cut by guesses: long ones without stops or commas; and, where much of the
    other text stands in sentences longer than anybody's, all that are long."""
    bare = {(start, end) for start, end in stretches if end - start > LONG_LINE and not _stopped(reading, start, end)}
    endless = [(start, end) for start, end in stretches if end - start > LONG_SENTENCE and (start, end) not in bare]
    if _share(reading, bare) > 0.5 or _share(reading, endless) < ENDLESS:
        return bare
    return bare | {(start, end) for start, end in stretches if end - start > MOST}


def _share(reading: Reading, stretches: Iterable[tuple[int, int]]) -> float:
    """The share of the words that the stretches hold."""
    return sum(end - start for start, end in stretches) / max(len(reading.words), 1)


def _stopped(reading: Reading, start: int, end: int) -> bool:
    """Whether a stop or a comma stands within the words `start` to `end`, or a stop right behind them."""
    breaks = reading.breaks
    behind = breaks[end] if end < len(reading.words) else reading.text[reading.span(start, end)[1] :]
    inside = any(c in ",.;:" for at in range(start + 1, end) for c in breaks[at])
    return inside or bool(STOP.search(behind.split("\n")[0]))


def _whole_figures(reading: Reading, bounds: list[int]) -> list[int]:
    """The bounds moved out of the scores that a caption line cuts: 'that three | and a half gone', 'twelve out of the |
    twenty', 'i take off | half a point'."""
    inside = {
        at: number for number in reading.numbers if _several(number) for at in range(number.start, number.end + 1)
    }
    ends = {number.start: number.end for number in reading.numbers}
    behind = set(ends.values())
    out: list[int] = []
    for at in bounds:
        number = inside.get(at) or inside.get(at + (reading.words[at : at + 1] == ["the"]))
        cut = number is not None and 0 < at < len(reading.words) and "\n" in reading.breaks[at]
        if cut and not STOP.search(reading.breaks[at]):
            at = _moved(reading, at, number, ends, behind)
        out.append(at if not out else max(at, out[-1]))
    return sorted(set(out))


def _several(number: Number) -> bool:
    """Whether a number is told in words, or in several: '39 and | a half'."""
    return number.spelled or number.end - number.start > 1


def _moved(reading: Reading, at: int, number: Number, ends: dict[int, int], behind: set[int]) -> int:
    """Where a line's bound at word `at`, inside or at the edge of a number, better stands; `ends` are those of all
    numbers by their first words, `behind` the words behind all of them."""
    words, before = reading.words, reading.words[max(0, at - 4) : at]
    if number.start < at < number.end:
        return number.start
    if number.start == at and any(before[k : k + 2] == ["out", "of"] for k in range(len(before))):
        return number.end  # 'out of the | twenty'
    if number.start >= at and at - 1 in behind and before[-1] in OVER and _is_cap(reading, number):
        return number.end  # 'ten of | the twelve'
    if number.start == at and before[-2:] == ["take", "off"]:
        return at - 2
    if number.start > at:
        return at
    if number.end == at and words[at : at + 2] in (["off", "for"], ["points", "off"], ["gone", "for"]):
        return number.start
    if number.end == at and words[at : at + 2] == ["out", "of"]:
        return ends.get(at + 2, ends.get(at + 3, at))
    return at


def _is_cap(reading: Reading, number: Number) -> bool:
    return any(number.value == category.cap for category in reading.sheet.categories)


def _chunks(reading: Reading, start: int, end: int, joined: set[int]) -> list[Sentence]:
    """Text whose stops tell nothing, cut where a sentence is likely to begin, and in any case after MOST words."""
    likely = bound_odds(reading, start, end)
    out, begin, best = [], start, None
    for at in range(start + 1, end):
        odd = 0.0 if at in joined else likely[at - start]
        if odd >= CUT:
            out.append(Sentence(begin, at))
            begin, best = at, None
            continue
        if best is None or odd > best[0]:
            best = (odd, at)
        if at - begin >= MOST and best:
            out.append(Sentence(begin, best[1]))
            begin, best = best[1], None
    out.append(Sentence(begin, end))
    return out


AFTER_FIGURE = {
    "out",
    "oot",
    "outta",
    "of",
    "off",
    "from",
    "over",
    "point",
    "points",
    "mark",
    "marks",
    "gone",
    "less",
    "percent",
    "ibu",
    "on",
    "for",
}


def _joined(reading: Reading) -> set[int]:
    """Words that no cut may stand before: inside a number, and what says of a number that it is a score."""
    out: set[int] = set()
    for number in reading.numbers:
        out.update(range(number.start + 1, number.end))
        at = number.end
        if reading.words[at : at + 1] == ["a"] and reading.words[at + 1 : at + 2] in (["point"], ["mark"]):
            out.update((at, at + 1))  # 'half a point'
            at += 1
        while at < len(reading.words) and at - number.end < 4 and reading.words[at] in AFTER_FIGURE:
            out.update((at, at + 1))
            at += 1
        if number.start and reading.words[number.start - 1] not in ("and", "so", "then"):
            out.add(number.start)
    return out


def set_times(reading: Reading) -> None:
    """Set the time of each sentence: that of the last line that has one."""
    times = reading.line_times
    at, now = 0, None
    for sentence in reading.sentences:
        offset = reading.starts[sentence.start]
        while at < len(times) and times[at][0] <= offset:
            now = times[at][1]
            at += 1
        sentence.time = now
