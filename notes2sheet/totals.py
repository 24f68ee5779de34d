"""The total that the taster says, chosen among the figures that close the talk."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from functools import cache
from typing import TYPE_CHECKING

from notes2sheet.features import function_words
from notes2sheet.lexicon import cue_file
from notes2sheet.numbers import HALF, misheard_unit
from notes2sheet.score_off import NOT
from notes2sheet.score_others import tells_others
from notes2sheet.score_view import Expression, SentenceView, score_words
from notes2sheet.unlisted import common_words
from notes2sheet.words import PhraseIndex, split_list

if TYPE_CHECKING:
    from notes2sheet.numbers import Number
    from notes2sheet.score_booking import Scores
    from notes2sheet.transcript import Reading

CALLED = ("total", "sum", "tally", "score", "number", "figure")  # what somebody has for the whole beer
THEIRS = ("his", "her", "their", "your")
NEAR = 6  # words before a figure, what denies it among them
BEHIND = 2  # words of the last score before a total in its sentence at least: 'seven five | thirty-six'
LEAST_SHARE = Decimal("0.75")  # of what the parts make: sums said wrongly are near it


@cache
def band_index() -> PhraseIndex:
    index = PhraseIndex()
    for band, phrases in cue_file("scores")["band"].items():
        for phrase in split_list(phrases):
            index.add(phrase, band)
    return index


def choose_total(reading: Reading, scores: Scores, closing: list[tuple[SentenceView, list[Expression]]]) -> bool:
    """Set the said total and the band words beside it, None where none is said; whether it is called the total."""
    known = [s.value for s in scores.parts.values() if s.value is not None]
    complete = len(known) == len(scores.parts)
    the_sum, highest = sum(known), max(known, default=Decimal(0))
    candidates = []
    for view, expressions in closing:
        for n, e in enumerate(expressions):
            if e.kind != "value" or not highest <= e.value <= reading.sheet.total or e.value < 5:
                continue
            if e.value == reading.sheet.total and e.over is None and the_sum != e.value:
                continue  # the sheet's own fifty
            within = view.sentence.category in view.own_caps and _later(view, scores)
            if e.value < the_sum * LEAST_SHARE and (e.part != "total" or within):
                continue
            if _before_parts(view, e, scores) or _anothers(view, e) or _not_reached(view, e):
                continue
            e = _with_misheard_unit(view, e, the_sum)
            weight = _weight(view, e, expressions, n)
            if complete and e.value == the_sum:
                weight += 3
            if weight > 0:
                candidates.append((weight, view.index, e, view))
    if not candidates:
        return False
    latest = max(c[1] for c in candidates)
    best = max(candidates, key=lambda c: (c[0] + (1.5 if c[1] == latest else 0), c[1], c[2].start))
    _, at, said, _ = best
    scores.say_total(said.value, reading.span(said.start, said.end), at, said.heard)
    _find_bands(reading, scores)
    return said.part == "total" or said.over == reading.sheet.total


def _before_parts(view: SentenceView, e: Expression, scores: Scores) -> bool:
    """Whether a figure that nothing calls the total stands in a part behind which others are scored."""
    within = view.sentence.category in view.own_caps and e.part != "total" and e.over is None
    return within and _later(view, scores)


def _later(view: SentenceView, scores: Scores) -> bool:
    """Whether parts are scored behind a sentence."""
    return any(max((s.said_in, *(at for _, at, _ in s.taken))) > view.index for s in scores.parts.values())


def _anothers(view: SentenceView, e: Expression) -> bool:
    """Whether a figure is what somebody else had: 'and the young lady had 33'."""
    who = view.words[max(view.sentence.start, e.start - 2) : e.start]
    if _called_anothers(view, e):
        return True
    called = e.part == "total" or e.over == view.reading.sheet.total
    return not called and len(who) == 2 and who[1] in ("had", "gave") and who[0] not in score_words("had_here")


def _called_anothers(view: SentenceView, e: Expression) -> bool:
    """Whether a figure is called somebody else's total: "Olu's total is 41", "and Ines's is 46", 'her sum is 40'."""
    words, at = view.words, e.start - 1
    first = view.sentence.start if not view.reading.running else max(0, view.sentence.start - NEAR)
    if at <= first or words[at] not in ("is", "'s", "was", "at"):
        return False
    at -= words[at - 1] in CALLED
    if at > first and words[at] in CALLED and words[at - 1] in THEIRS:
        return True
    return at - 2 >= first and words[at - 1] == "'s" and _named(view, at - 2)


def _named(view: SentenceView, at: int) -> bool:
    """Whether word `at` is somebody's name: no everyday word, or with a capital inside a written sentence."""
    inside = not view.reading.running and not view.begins(at)
    capital = inside and view.reading.raw[at][:1].isupper()
    return capital or (view.words[at].isalpha() and view.words[at] not in common_words())


def _not_reached(view: SentenceView, e: Expression) -> bool:
    """Whether a figure is a bound that the total does not reach: 'it has not crossed into forty-five'."""
    first = max(view.sentence.start, e.start - NEAR)
    broken = [k for k in range(first + 1, e.start + 1) if view.breaks(k)]
    before = view.words[broken[-1] if broken else first : e.start]
    return not score_words("reaches").isdisjoint(before[-2:]) and not NOT.isdisjoint(before)


def _with_misheard_unit(view: SentenceView, e: Expression, the_sum: Decimal) -> Expression:
    """'forty too' where the parts make forty-two, 'thirty ate' at the end: the word behind is the unit, misheard; in
    'forty-two five', where they make forty-two and a half, its half without the point."""
    if view.words[e.end : e.end + 1] == ["five"] and not view.breaks(e.end) and e.value + HALF == the_sum:
        return replace(e, value=the_sum, end=e.end + 1, heard=True)
    unit = misheard_unit(view.words[e.end]) if e.end < view.sentence.end and not view.breaks(e.end) else None
    tens = e.value % 10 == 0 and e.end == e.start + 1
    if unit is None or not tens:
        return e
    alone = e.end + 1 == view.sentence.end and view.words[e.end] not in function_words()
    return replace(e, value=e.value + unit, end=e.end + 1, heard=True) if alone or e.value + unit == the_sum else e


def take_sum_said(reading: Reading, scores: Scores, views: list[SentenceView]) -> None:
    """Take a figure at the very end that is exactly the sum of all parts for the total ('which is what, 43')."""
    known = [s.value for s in scores.parts.values()]
    last = max((s.said_in for s in scores.parts.values()), default=0)
    the_sum = sum((v for v in known if v is not None), Decimal(0))
    if None in known or scores.total == the_sum:
        return
    for number in reading.numbers:
        if number.value != the_sum or the_sum <= max(known) or number.over not in (None, reading.sheet.total):
            continue
        view = views[reading.sentence_at(number.start)]
        if view.sentence.role == "expect":
            continue  # '38 to 44 is excellent'
        behind = view.index > last or (view.index == last and number.start >= view.sentence.start + BEHIND)
        if behind and view.sentence.category == "closing" and not tells_others(view):
            let_total_be(reading, scores, number)


def let_total_be(reading: Reading, scores: Scores, number: Number) -> None:
    """Take this figure for the total, and the band words beside it."""
    scores.bands.clear()
    scores.say_total(number.value, reading.span(number.start, number.end), reading.sentence_at(number.start))
    _find_bands(reading, scores)


def _weight(view: SentenceView, e: Expression, expressions: list[Expression], n: int) -> float:
    weight = 0.0
    if e.over == view.reading.sheet.total or e.part == "total":
        weight += 3
    floor = expressions[n - 1].end if n else view.sentence.start
    before = view.words[max(floor, e.start - 4) : e.start]
    if any(w in score_words("total") for w in before):
        weight += 2
    elif any(w in ("that's", "'s", "is", "get", "gives", "at", "says", "be") for w in before[-3:]):
        weight += 1
    if n == len(expressions) - 1:
        weight += 1
    elif weight == 0:
        weight -= 1  # one of several figures, and nothing calls it the total
    if band_index().find(view.words[view.sentence.start : view.sentence.end]):
        weight += 1
    if view.sentence.category == "closing":
        weight += 1
    elif view.beyond_all(e.value):
        weight += 1  # more than any part can have
    elif e.part is None:
        weight -= 2
    return weight if e.value >= 13 else weight - 2


def _find_bands(reading: Reading, scores: Scores) -> None:
    """Band words said of the total: in its sentence or the two after it, unless they recite the table."""
    begin = scores.total_sentence
    for sentence in reading.sentences[begin : begin + 3]:
        if sentence.role == "expect" or (sentence.role == "talk" and sentence.category != "closing"):
            continue
        if _recites_bound(reading, sentence, scores):
            continue
        words = reading.words[sentence.start : sentence.end]
        for start, end, band in band_index().find(words):
            at = sentence.start + start
            if band == "good" and not _names_a_band(words, start):
                continue
            if score_words("denial").intersection(words[max(0, start - 6) : start]):
                continue
            scores.bands.append((band, reading.span(at, at + end - start)))
        if scores.bands:
            return


def _recites_bound(reading: Reading, sentence, scores: Scores) -> bool:
    """Whether another figure than the total stands beside a band word ('forty-five opens outstanding')."""
    figures = [n.value for n in reading.numbers if sentence.start <= n.start < sentence.end and n.value >= 13]
    return bool(figures) and scores.total not in figures


def _names_a_band(words: list[str], at: int) -> bool:
    """'good' names the band only before 'band' or 'range', or after words such as 'called', 'is', 'in'."""
    if words[at + 1 : at + 2] in (["band"], ["range"], ["bracket"], ["territory"]):
        return True
    of_something = any(word not in function_words() for word in words[at + 1 : at + 2])  # 'a good summer beer'
    return at > 0 and words[at - 1] in score_words("before_band") and not of_something
