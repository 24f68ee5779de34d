"""Typed sheets whose scores stand in a column: before or behind each line, on lines of their own, or in brackets.

Figures in one such place that fit the caps of the sheet's parts in their order are the scores, whatever the words
beside them were taken for.
"""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from itertools import pairwise

from notes2sheet.cues import ROLE_FILE, SCORE_FILE, SHEET_FILE, by_sentence, hits_within
from notes2sheet.features import RECITING, announced
from notes2sheet.intensities import is_intensity
from notes2sheet.numbers import QUARTER, Number, begins_number, number_before
from notes2sheet.score_others import OWN, names_other
from notes2sheet.score_view import ABOVE_CAP, score_words
from notes2sheet.sentences import Sentence
from notes2sheet.transcript import DASHES, Reading
from notes2sheet.written_sums import find_written_sums

FORMS = ("bracket", "alone", "before", "behind")
DASHED = re.compile(r"^[ \t]*[-–—][^\W\d]", re.MULTILINE)  # a line whose dash is a bullet
MARK = re.compile(r"[-–—:;>=|,(]")  # behind a figure that stands before its line
PUNCTUATION = re.compile(r"[][,;:./()|>+&–—-]")
OVER = {"of", "out", "from", "over", "max", "maximum"}  # before a cap
EITHER = {"or", "to"}  # before the second of two values
LOSING = {"take_before", "off_after"}  # cues beside figures that are lost: 'three points lost: butter 2, thin 1'
PAST = 3  # words of 'the other week'
FEWEST = 3  # figures of a column with parts left out
Column = list[tuple[str, Number]]


def find_columns(reading: Reading) -> None:
    """Fill `reading.columns` ({first word: (part, figure)}) and settle part and role of the lines they stand in, whose
    other sentences are `reading.beside_columns`.

    Linear in the words.
    """
    reading.columns, reading.beside_columns, reading.written_sums = {}, set(), {}
    if reading.running:
        return
    find_written_sums(reading)
    for at, sums in reading.written_sums.items():
        _give(reading.sentences[at], sums[0].part)
    if table := _with_caps(reading):
        _settle(reading, table, lines=True)
        return
    labeled = _settle_labeled(reading)
    found: dict[str, list[Number]] = {form: [] for form in FORMS}
    for number, form in _edged(reading):
        for place in (form, "before", "behind") if form == "alone" else (form,):
            found[place].append(number)
    for form in FORMS:
        if form != "bracket" and not _punctuated(reading):
            continue  # captions are cut anywhere
        column = _whole(reading, found[form]) or (None if labeled else _partial(reading, found[form]))
        if column:
            _settle(reading, column, form in ("before", "behind"))
            return


def _with_caps(reading: Reading) -> Column | None:
    """The scores of a table in which each line begins with a part's name, its score and its cap, or its cap and its
    score: 'Aroma | 9 | 12 | …'."""
    caps, figures = reading.caps, {number.start: number for number in _typed(reading) if number.over is None}
    rows = [
        (part, first, figures[first.end])
        for part, first, _ in _labeled(reading, figures)
        if part in caps and first.end in figures
    ]
    if len({part for part, _, _ in rows}) < FEWEST or len({part for part, _, _ in rows}) < len(rows):
        return None
    if all(second.value == caps[part] for part, _, second in rows):
        return [(part, first) for part, first, _ in rows]
    return [(part, second) for part, _, second in rows] if all(n.value == caps[p] for p, n, _ in rows) else None


def _settle_labeled(reading: Reading) -> bool:
    """Let each line that begins with a part's name and a figure ('APP 3 pale gold', 'Aroma 10. Pear, …') give its
    part's score, where several parts have one; whether they do."""
    caps, figures = reading.caps, {number.start: number for number in _typed(reading)}
    found = [
        (part, sentence)
        for part, number, sentence in _labeled(reading, figures)
        if part in caps and number.value <= caps[part] + ABOVE_CAP
    ]
    if len({part for part, _ in found}) < FEWEST:
        return False
    for part, sentence in found:
        _give(sentence, part)
    return True


def _typed(reading: Reading) -> Iterator[Number]:
    """The figures that are not spelled out."""
    return (number for number in reading.numbers if not number.spelled)


def _labeled(reading: Reading, figures: dict[int, Number]) -> Iterator[tuple[str, Number, Sentence]]:
    """(part, figure, sentence) of each line that begins with a part's name and one of the figures, by first words."""
    hits = by_sentence(reading, SHEET_FILE)
    for at in reading.line_starts():
        sentence = reading.sentences[at]
        named = {end for start, end, _ in hits[at] if start == sentence.start and end in figures}
        labels = [part for part, where in announced(reading, sentence, hits[at]) if where == "start"] if named else []
        if labels:
            yield reading.sheet.part(labels[0]), figures[max(named)], sentence


def _give(sentence: Sentence, part: str) -> None:
    """Let a sentence give a part's score."""
    sentence.category, sentence.role = part, "score"
    sentence.role_odds = {role: float(role == "score") for role in sentence.role_odds}


def _edged(reading: Reading) -> Iterator[tuple[Number, str]]:
    """The typed figures that may be scores and stand at an edge, with the form of it."""
    breaks, count = reading.breaks, len(reading.words)
    caps = set(reading.caps.values())
    most = max(caps) + ABOVE_CAP
    losing = _losing(reading)
    losses = not DASHED.search(reading.text)
    measured = {mention.end for mention in reading.mentions}
    words = reading.words
    mine = [k + 1 for k in range(count - 1) if words[k] in OWN and begins_number(words[k + 1])]
    for number in reading.numbers:
        apart = number.start and (
            reading.words[number.start - 1] in OVER | EITHER
            or _slashed(reading, number.start)
            or _between(reading, number)
            or _of_others(reading, number, mine)
        )
        loses = losing.get(reading.sentence_at(number.start), number.start) < number.start
        if number.spelled or apart or loses or number.value > most or number.value % QUARTER:
            continue
        if losses and reading.raw[number.start][0] in DASHES:
            continue  # '* -5'
        end = _behind_cap(reading, number, caps)
        if end > number.end:
            number = replace(number, over=Decimal(reading.words[end - 1]))
        elif number.value == 0 and number.start in measured and not breaks[number.start]:
            continue  # 'DMS 0'
        before, after = breaks[number.start], breaks[end] if end < count else "\n"
        first, last = number.start == 0 or "\n" in before, "\n" in after or end == count
        if before.rstrip()[-1:] in ("(", "[") and after.lstrip()[:1] in (")", "]"):
            yield number, "bracket"
        elif first and last:
            yield number, "alone"
        elif first and MARK.match(after.lstrip() or reading.raw[end]) and not _subtracts(reading, end):
            yield number, "before"
        elif last:
            yield number, "behind"


def _losing(reading: Reading) -> dict[int, int]:
    """{sentence that speaks of what is lost: its first word of a figure}"""
    out = {}
    for at, hits in enumerate(by_sentence(reading, SCORE_FILE)):
        if any(table in LOSING for _, _, table in hits):
            sentence = reading.sentences[at]
            places = (k for k in range(sentence.start, sentence.end) if begins_number(reading.words[k]))
            out[at] = next(places, sentence.end)
    return out


def _between(reading: Reading, number: Number) -> bool:
    """Whether a figure is the second of two that the score lies between: 'between 9 and 10', '9-10'."""
    words, at = reading.words, number.start
    if words[at - 1] == "and":
        return "between" in words[max(0, at - 4) : at - 1]
    before = number_before(words, at - 1, at)
    near = before is not None and not before.spelled and 0 < number.value - before.value <= ABOVE_CAP
    return near and _dashed(reading, at) and reading.starts[at] - reading.ends[at - 1] <= 1


def _of_others(reading: Reading, number: Number, mine: list[int]) -> bool:
    """Whether a figure is what stood before, another beer's or another judge's: '9 (was 8.5)', 'last year 8', 'me 9,
    Ines 8'; `mine` are the words behind 'me' that begin a figure."""
    words, at = reading.words, number.start
    sentence = reading.sentences[reading.sentence_at(at)]
    if words[at - 1] in score_words("formerly") or names_other(words[max(sentence.start, at - 2) : at]):
        return True
    hits = hits_within(reading, SCORE_FILE, at - PAST, at)
    past = any(table in ("past", "held_against") and end == at for _, end, table in hits)
    return past or bisect_left(mine, at) > bisect_left(mine, sentence.start)


def _subtracts(reading: Reading, at: int) -> bool:
    """Whether a figure that ends before word `at` is only what another is taken from: '3 - 0.5 (foam) = 2.5'."""
    return _dashed(reading, at) and any(char.isdigit() for char in reading.raw[at])


def _dashed(reading: Reading, at: int) -> bool:
    """Whether a dash alone stands before word `at`, or is its sign."""
    return reading.breaks[at].strip(" ") in tuple(DASHES) or reading.raw[at][0] in DASHES


def _behind_cap(reading: Reading, number: Number, caps: set[int]) -> int:
    """Behind a figure and one of the caps that is said with it: '9 of 12', '2.5 / 3'."""
    words, end = reading.words, number.end
    out = end + (words[end : end + 1] == ["out"])
    at = out + (words[out : out + 1] == ["of"] or _slashed(reading, end))
    capped = at > out and words[at : at + 1] in ([str(cap)] for cap in caps)
    return at + 1 if capped else end


def _slashed(reading: Reading, at: int) -> bool:
    """Whether a slash alone stands before word `at`: '2.5 / 3'."""
    return at < len(reading.words) and reading.breaks[at].strip(" ") == "/"


def _punctuated(reading: Reading) -> bool:
    lines = [line for line in reading.text.splitlines() if line.strip()]
    return 2 * sum(bool(PUNCTUATION.search(line)) for line in lines) >= len(lines)


def _whole(reading: Reading, figures: list[Number]) -> Column | None:
    """One figure a part, in the sheet's order: with their sum behind them, or the only figures that fit the caps."""
    parts = reading.sheet.categories
    if len(figures) < len(parts):
        return None
    labels = _labels(reading, figures)
    later = {number.value: number.start for number in reading.numbers}
    summed, fitting = [], []
    for at in range(len(figures) - len(parts) + 1):
        window = figures[at : at + len(parts)]
        if any(label not in (None, part.id) for label, part in zip(labels[at:], parts, strict=False)):
            continue
        measured = (is_intensity(reading, number, part.cap) for number, part in zip(window, parts, strict=True))
        if _counts(window) or any(measured):
            continue
        above = max(number.value - part.cap for number, part in zip(window, parts, strict=True))
        if above <= ABOVE_CAP and later.get(sum(number.value for number in window), -1) > window[-1].start:
            summed.append(window)
        if above <= 0 and len({reading.sentence_at(number.start) for number in window}) == len(window):
            fitting.append(window)
    chosen = summed[:1] or (fitting if len(fitting) == 1 else [])
    return [(part.id, number) for part, number in zip(parts, chosen[0], strict=True)] if chosen else None


def _counts(figures: list[Number]) -> bool:
    """Whether figures only number the lines: '[1] …', '[2] …'."""
    return all(b.value - a.value in (0, 1) for a, b in pairwise(figures))


def _labels(reading: Reading, figures: list[Number]) -> list[str | None]:
    """The part that the line of each figure begins with the name of."""
    hits = by_sentence(reading, SHEET_FILE)
    lines = reading.line_starts()
    out = []
    for number in figures:
        at = lines[bisect_right(lines, reading.sentence_at(number.start)) - 1]
        named = announced(reading, reading.sentences[at], hits[at])
        labels = [reading.sheet.part(part) for part, where in named if where == "start"]
        out.append(labels[0] if labels and labels[0] != "total" else None)
    return out


def _partial(reading: Reading, figures: list[Number]) -> Column | None:
    """Figures of some parts, each in another one by its cap ('4/5') or the words around it, none above its cap."""
    caps = reading.caps
    figures = [number for number in figures if PUNCTUATION.search(reading.breaks[number.start])]
    if not FEWEST <= len(figures) <= len(caps) or _counts(figures) or not _lone(reading, figures):
        return None
    by_cap = {cap: part for part, cap in caps.items()}
    placed = [
        (by_cap.get(number.over) or reading.sentences[reading.sentence_at(number.start)].category, number)
        for number in figures
    ]
    known = all(part in caps and number.value <= caps[part] for part, number in placed)
    distinct = len({part for part, _ in placed}) == len(placed)
    return placed if known and distinct else None


def _lone(reading: Reading, figures: list[Number]) -> bool:
    """Whether each figure is the only one of its sentence, but for its cap."""
    others = Counter(
        reading.sentence_at(number.start)
        for number in reading.numbers
        if not (number.spelled or (number.start and reading.words[number.start - 1] in OVER))
    )
    return all(others[reading.sentence_at(number.start)] == 1 for number in figures)


def _settle(reading: Reading, column: Column, lines: bool) -> None:
    """Let each figure's sentence give its part's score, and, with `lines`, the rest of its line belong to the part:
    what stands there without a word for what ought to be is no recital."""
    cues = by_sentence(reading, ROLE_FILE)
    for part, number in column:
        reading.columns[number.start] = part, number
        at = reading.sentence_at(number.start)
        _give(reading.sentences[at], part)
        if lines:
            for other in _line_of(reading, at):
                sentence = reading.sentences[other]
                sentence.category = part
                reading.beside_columns.add(other)
                if sentence.role == "expect" and all(cue not in RECITING for _, _, cue in cues[other]):
                    sentence.role = "observe"
                    odds = sentence.role_odds
                    odds["expect"], odds["observe"] = odds["observe"], odds["expect"]


def _line_of(reading: Reading, at: int) -> Iterator[int]:
    """The other sentences of a sentence's line."""
    begin = at
    while begin and "\n" not in reading.breaks[reading.sentences[begin].start]:
        begin -= 1
        yield begin
    end = at + 1
    while end < len(reading.sentences) and "\n" not in reading.breaks[reading.sentences[end].start]:
        yield end
        end += 1
