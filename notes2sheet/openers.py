"""Where a further beer may begin in one recording: what announces it, be it words, numbers, labels or styles."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, NamedTuple

from notes2sheet.cues import cue_index
from notes2sheet.numbers import begins_number, number_at
from notes2sheet.style import CODE, codes_said, excludes
from notes2sheet.style_data import name_index, named_styles
from notes2sheet.words import phrase_words

if TYPE_CHECKING:
    from notes2sheet.transcript import Reading

SIGN = re.compile(r"[,.:;*]")
PARTS_NAMED = 3  # parts of the sheet on both sides of a place where a further beer may begin
HEAD = re.compile(r"#|[-*=_]{3}|\d\d?[.)]")  # of a line
LEADING = 8  # words of a sentence in which it may name the next beer
RULE = re.compile(r"[-*=_]{3,}")  # a line of signs between two notes
SURE = ("told", "counted", "label")  # kinds that need no scores to be believed
SERIES = {"next", "last", "another", "other"}  # compared with nothing where a tasting follows
HEADED = 3  # sentences that may stand between a blank line and what announces the beer


def may_open(text: str) -> bool:
    """Whether a text holds anything that could announce a further beer; cheap, so that single beers cost little."""
    words: list[str] = []
    places, labels = [], set()  # where lines are headed
    for line in text.splitlines():
        head = line.lstrip(" \t>*")
        label = head[:40].partition(":")[0].strip(" *").casefold() if ":" in head[:40] else ""
        if label in labels:
            return True
        if label and "label" in cue_index("flight").get(label):
            labels.add(label)
        if HEAD.match(head):
            places.append(len(words))
        words += phrase_words(SIGN.sub(" ", line.replace("#", " # ")))
    counted: set[str] = set()
    for start, end, table in cue_index("flight").find(words, overlapping=True):
        if table == "next":
            return True
        if table == "counted" and end < len(words) and begins_number(words[end]) and words[end] not in counted:
            places += [start] if counted else []
            counted.add(words[end])
    return _amid_parts(words, places + _other_styles(words))


def _other_styles(words: list[str]) -> list[int]:
    """Where a style is named that is not the first one."""
    named = [(start, {code}) for start, _, (code, _) in name_index().find(words)]
    named = sorted(named + [(k, {word}) for k, word in enumerate(words) if CODE.match(word)], key=lambda one: one[0])
    return [start for start, codes in named if codes.isdisjoint(named[0][1])]


def _amid_parts(words: list[str], places: list[int]) -> bool:
    """Whether at one of these words several parts of the sheet are named before, and several behind."""
    if not places:
        return False
    named = [(start, table.partition(":")[0]) for start, _, table in cue_index("sheet").find(words)]
    first: dict[str, int] = {}
    last: dict[str, int] = {}
    for start, part in named:
        first.setdefault(part, start)
        last[part] = start
    if len(first) < PARTS_NAMED:
        return False
    begun, still = sorted(first.values())[PARTS_NAMED - 1], sorted(last.values())[-PARTS_NAMED]
    return any(begun < place <= still for place in places)


class Opener(NamedTuple):
    """A sentence at which a further beer may begin: how it is announced (told, counted, label, list, heading, style),
    at which word, the styles that it names, and whether the words allow that it is the same beer again."""

    kind: str
    word: int
    styles: frozenset[str]
    again: bool = False


def openers(reading: Reading) -> dict[int, Opener]:
    """The sentences, by number, that may begin a further beer; what stands around them decides (`flight.py`)."""
    hits = cue_index("flight").find(reading.words, overlapping=True)
    styles = styles_said(reading)
    again = {reading.sentence_at(begin) for begin, _, table in hits if table == "again"}
    found = {
        "style": [word for word, _ in styles.values()],
        "heading": _headings(reading),
        "list": _listed(reading, styles),
        "label": _labels(reading, hits),
        "told": [begin for begin, _, table in hits if table == "next" and _leads(reading, begin)],
        "counted": _counted(reading, hits),
    }  # the surest last
    out: dict[int, Opener] = {}
    for kind, places in found.items():
        for word in reversed(places):
            i = reading.sentence_at(word)
            out[i] = Opener(kind, word, styles[i][1] if i in styles else frozenset(), i in again)
    return out


def styles_said(reading: Reading) -> dict[int, tuple[int, frozenset[str]]]:
    """By sentence: the word at which it names a style near its beginning, as that of a beer judged, and the codes."""
    named = [(start, end, code) for start, end, (code, _) in named_styles(reading)]
    out: dict[int, tuple[int, frozenset[str]]] = {}
    for start, _, code in sorted([*codes_said(reading), *named]):
        i = reading.sentence_at(start)
        begin = reading.sentences[i].start
        compared = any(excludes(reading.words, at) and reading.words[at] not in SERIES for at in range(begin, start))
        if start - begin < LEADING and not compared:
            first, codes = out.get(i, (start, frozenset()))
            out[i] = first, codes | {code}
    return out


def begins_at(reading: Reading, opener: Opener) -> int:
    """The word with which the notes of an announced beer begin: the first of its sentence, or, where that ends what
    came before, of the announcement; the first of the lines before it as far as a blank line or a rule that stands
    shortly before, if nothing is tasted in between."""
    at = reading.sentence_at(opener.word)
    start = reading.sentences[at].start
    if any(start <= n.start < opener.word for n in reading.numbers) or describes(reading, start, opener.word):
        return opener.word
    for i in range(at, max(at - HEADED, 0), -1):
        first = reading.sentences[i].start
        if reading.breaks[first].count("\n") > 1 or RULE.search(reading.breaks[first]):
            return first
        if describes(reading, reading.sentences[i - 1].start, first):
            break
    return start


def describes(reading: Reading, start: int, end: int) -> bool:
    """Whether a sensory word begins within the words `start` to `end`."""
    return any(start <= m.start < end for m in reading.mentions)


def _leads(reading: Reading, begin: int) -> bool:
    """Whether words for the next beer may lead to it: in what tells of a beer they stand near the beginning ('each sip
    leaves a layer and the next one goes over it')."""
    sentence = reading.sentences[reading.sentence_at(begin)]
    return sentence.role not in ("observe", "score") or begin - sentence.start < LEADING


def _counted(reading: Reading, hits: list[tuple[int, int, str]]) -> list[int]:
    """Words that count on: 'entry 302' after 'entry 301', '#2' after '#1'."""
    out: list[int] = []
    last: dict[str, object] = {}
    for start, end, table in hits:
        sentence = reading.sentences[reading.sentence_at(start)]
        if table != "counted" or start - sentence.start >= LEADING or end >= len(reading.words):
            continue
        number = number_at(reading.words, end) if begins_number(reading.words[end]) else None
        if number is None or number.over is not None:
            continue
        word = " ".join(reading.words[start:end])
        if last.setdefault(word, number.value) != number.value:
            out.append(start)
            last[word] = number.value
    return out


def _listed(reading: Reading, styles: dict[int, tuple[int, frozenset[str]]]) -> list[int]:
    """The numbers of a list that goes on, at the start of a line or right before a style."""
    out: list[int] = []
    last = None
    for i, sentence in enumerate(reading.sentences):
        at = sentence.start
        if not reading.raw[at].isdigit() or at + 1 >= len(reading.words):
            continue
        opens = at == 0 or "\n" in reading.breaks[at] or i + 1 in styles
        if not opens or reading.breaks[at + 1][:1] not in (".", ")", ":"):
            continue
        value = int(reading.raw[at])
        if last is not None and value == last + 1:
            out.append(at)
        last = value
    return out


def _labels(reading: Reading, hits: list[tuple[int, int, str]]) -> list[int]:
    """Where lines begin with a label of a beer's head that has stood before: 'Beer: …'."""
    out: list[int] = []
    seen: set[str] = set()
    for start, end, table in hits:
        begins = start == 0 or "\n" in reading.breaks[start]
        if table != "label" or not begins or end >= len(reading.words) or ":" not in reading.breaks[end]:
            continue
        label = " ".join(reading.words[start:end])
        if label in seen:
            out.append(start)
        seen.add(label)
    return out


def _headings(reading: Reading) -> list[int]:
    """Where lines are headed by '#', or by a rule before them."""
    return [
        s.start
        for s in reading.sentences
        if "\n" in (between := reading.breaks[s.start])
        and (RULE.search(between) or "#" in between or reading.words[s.start] == "#")
    ]
