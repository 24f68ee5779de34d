"""Scores on a scale that is not this sheet's: '4/5' for every part, 'Smell: 4.0', '8/10' once for the whole beer."""

from __future__ import annotations

from bisect import bisect_right
from decimal import Decimal
from typing import TYPE_CHECKING

from notes2sheet.cues import SHEET_FILE, by_sentence
from notes2sheet.features import announced
from notes2sheet.intensities import is_intensity
from notes2sheet.numbers import Number, number_before
from notes2sheet.score_booking import Scores, Standing
from notes2sheet.score_view import ABOVE_CAP

if TYPE_CHECKING:
    from notes2sheet.transcript import Reading

LEAST = 4  # the top of a scale at least: '2/3' may be a share of something
SCALES = (5, 10)  # on which beers are rated as a whole
NEAR = 2  # words between a part's name and its figure
LINKS = {"is", "was", "gets", "got", "a", "an", "score", "rating", "of", "=", "at", "i", "'d", "give", "it"}
FOR = frozenset(("for", "on"))  # before a name, which is that of the figure before it
STOPS = frozenset(".!?\n")
APART = frozenset(".!?(…|\n")  # before a figure that stands apart from what was found
FEWEST = 3  # parts with plain figures that show a scale
DESCRIBED = 2  # other parts that are described
FULL_NAME = "impression"  # by which a judge names the part 'overall', and no rating
Graded = tuple[str, Number, Decimal | None]  # part, figure, top of its scale where one is said


def leave_other_scales(reading: Reading, scores: Scores) -> None:
    """Take back the scores that are no points of this sheet, and note their words in `reading.other_scale`."""
    graded = _graded(reading)
    foreign = _capped_otherwise(reading, graded) or _of_one_scale(reading, graded)
    if foreign:
        scores.parts = {part: Standing() for part in scores.parts}
        scores.total, scores.total_spans = None, []
    else:
        foreign = _rating_of_whole(reading, scores, graded)
    reading.other_scale = [reading.span(number.start, _end(reading, number)) for number in foreign]


def _graded(reading: Reading) -> list[Graded]:
    """The figures that stand behind a part's name or alone under its label, with the top of their scale."""
    names = {
        end: reading.sheet.part(payload.partition(":")[0])
        for start, end, payload in reading.cues[SHEET_FILE]
        if FOR.isdisjoint(reading.words[max(0, min(start, end - 2) - 1) : end])  # '9 out of 12 for aroma, | 14 of 20'
    }
    labels = _labels(reading)
    out: list[Graded] = []
    for number in reading.numbers:
        top = _top(reading, number)
        part = _named(reading, number, names)
        if part is None and top is not None and not reading.running:
            part = _under_label(reading, number, labels)
        cap = reading.caps.get(part or "")
        if part is not None and cap is not None and not is_intensity(reading, number, cap):
            out.append((part, number, top))
    return out


def _top(reading: Reading, number: Number) -> Decimal | None:
    """The top of the scale that a figure is of, where it is said: '4/5', 'four out of five'."""
    said = _top_said(reading, number)
    return said.value if said is not None else number.over


def _top_said(reading: Reading, number: Number) -> Number | None:
    if reading.words[number.end : number.end + 2] != ["out", "of"]:
        return None
    return number_before(reading.words, number.end + 2, min(number.end + 4, len(reading.words)))


def _end(reading: Reading, number: Number) -> int:
    """The word behind a figure and the top of its scale."""
    said = _top_said(reading, number)
    return number.end if said is None else said.end


def _named(reading: Reading, number: Number, names: dict[int, str]) -> str | None:
    """The part whose name stands right before a figure: 'Taste: 4', 'mouthfeel is 4'; none where 'for' follows."""
    behind = _end(reading, number)
    if behind < len(reading.words) and reading.words[behind] in FOR:
        return None
    for end in range(number.start, max(-1, number.start - NEAR - 1), -1):
        if end < number.start and reading.words[end] not in LINKS:
            return None
        if not STOPS.isdisjoint(reading.breaks[end]) and end == number.start:
            return None
        if end in names:
            return names[end]
    return None


def _labels(reading: Reading) -> list[tuple[int, str]]:
    """(first word, part) of the lines that begin with a part's label."""
    hits = by_sentence(reading, SHEET_FILE)
    out = []
    for at in reading.line_starts():
        sentence = reading.sentences[at]
        begun = [part for part, where in announced(reading, sentence, hits[at]) if where == "start"]
        if begun:
            out.append((sentence.start, reading.sheet.part(begun[0])))
    return out


def _under_label(reading: Reading, number: Number, labels: list[tuple[int, str]]) -> str | None:
    """The part under whose label a figure stands apart: 'Smell: sweet, fruity. 4.5/5'."""
    at = bisect_right(labels, number.start, key=lambda label: label[0]) - 1
    behind = reading.breaks[number.end] if number.end < len(reading.words) else "\n"
    apart = not APART.isdisjoint(reading.breaks[number.start]) and bool(behind.strip(" ") or "\n" in behind)
    return labels[at][1] if at >= 0 and apart else None


def _capped_otherwise(reading: Reading, graded: list[Graded]) -> list[Number]:
    """The figures of a text in which more parts are graded to other tops than to their own; or where two parts are,
    alike, and nothing else is graded."""
    capped = [(part, number, top) for part, number, top in graded if top is not None and _may_be_top(number, top)]
    own = {part for part, _, top in capped if top == reading.caps[part]}
    other = {part for part, _, _ in capped} - own
    tops = {top for _, _, top in capped}
    written = len(graded) == len(capped) and all(number.over is not None for _, number, _ in capped)
    alike = len(other) == len(own) == len(tops) == 1 and written and not reading.running
    return [number for _, number, _ in capped] if len(other) > max(1, len(own)) or alike else []


def _may_be_top(number: Number, top: Decimal) -> bool:
    return number.value <= top and top >= LEAST


def _of_one_scale(reading: Reading, graded: list[Graded]) -> list[Number]:
    """The plain figures of a typed list in which all parts are graded alike: more than the smallest part can have, and
    the largest not above the same five or ten."""
    plain = {part: number for part, number, top in graded if top is None and not number.spelled}
    least = min(reading.caps, key=lambda part: reading.caps[part])
    if reading.running or len(plain) < FEWEST or least not in plain:
        return []
    top = max(number.value for number in plain.values())
    for scale in SCALES:
        larger = [part for part in plain if reading.caps[part] > scale]
        beyond = reading.caps[least] + (0 if scale == SCALES[0] else ABOVE_CAP)
        if top <= scale and plain[least].value > beyond and len(larger) >= (2 if scale == SCALES[0] else 1):
            return list(plain.values())
    return []


def _rating_of_whole(reading: Reading, scores: Scores, graded: list[Graded]) -> list[Number]:
    """The one figure of five or ten in notes that describe several parts and score none: it rates the whole beer, or
    grades another part than that with this cap. Its score is taken back."""
    scored = [(part, s) for part, s in scores.parts.items() if s.value is not None or s.basis == "unsure"]
    if len(scored) != 1 or scores.total is not None:
        return []
    part, standing = scored[0]
    begins = {start for start, _ in standing.spans}
    same = [n for n in reading.numbers if reading.starts[n.start] in begins and n.over in SCALES]
    if len(same) >= FEWEST and len({n.over for n in same}) == 1:  # '3/5' again and again: for each part, unnamed
        scores.parts[part] = Standing()
        return same
    if standing.basis != "said":
        return []
    inside = [n for n in reading.numbers if reading.starts[n.start] >= standing.spans[-1][0]]
    if not inside or _top(reading, inside[0]) not in SCALES:
        return []
    elsewhere = any(number is inside[0] and named != part for named, number, _ in graded)  # 'Taste - 9/10'
    if not (elsewhere or _rates(reading, part, inside[0])):
        return []
    scores.parts[part] = Standing()
    return inside[:1]


def _rates(reading: Reading, part: str, number: Number) -> bool:
    """Whether a figure is of no part by its name or label, or of 'overall' where other parts are described."""
    sentence = reading.sentences[reading.sentence_at(number.start)]
    if FULL_NAME in reading.words[sentence.start : sentence.end]:
        return False
    described = {reading.sentences[m.sentence].category for m in reading.mentions if m.state == "present"}
    if len((described & reading.caps.keys()) - {part}) < DESCRIBED:
        return False
    labels = _labels(reading)
    at = bisect_right(labels, number.start, key=lambda label: label[0]) - 1
    under = labels[at] if at >= 0 else None
    if under is not None and FULL_NAME in reading.words[under[0] : under[0] + NEAR]:
        return False
    named = any(
        sentence.start <= start < sentence.end and reading.sheet.part(payload.partition(":")[0]) == part
        for start, _, payload in reading.cues[SHEET_FILE]
    )
    return part == "overall" or not (named or (under is not None and under[1] == part))
