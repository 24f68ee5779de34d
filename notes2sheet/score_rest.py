"""What settles a part after the talk is read: a figure that closes its line, points that make up what is missing."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from itertools import pairwise
from operator import itemgetter
from typing import TYPE_CHECKING

from notes2sheet.numbers import number_before
from notes2sheet.score_decoys import decoy
from notes2sheet.score_off import taken_before
from notes2sheet.score_others import tells_others
from notes2sheet.score_terms import read_expressions
from notes2sheet.score_view import Expression, SentenceView, score_words

if TYPE_CHECKING:
    from notes2sheet.score_booking import Scores
    from notes2sheet.transcript import Reading

Spare = dict[str, list[tuple[SentenceView, Expression]]]  # by part: figures of sentences that seem to give no score

LEAST_ODDS = 0.2  # words this likely to give a score are read as one where the part has none
IT_IS = (["it", "is"], ["it", "'s"])  # before the value that ends a doubt
MOST = 6  # figures of one part that are tried against the total


def settle_doubts(scores: Scores, views: Sequence[SentenceView]) -> None:
    """Let one of two values that were left open stand where a later sentence of the part ends with it and says that it
    is: 'okay, then it is thirteen', whatever the sentence was taken for."""
    for part, standing in scores.parts.items():
        if standing.basis != "unsure" or not standing.figures:
            continue
        last = standing.figures[-1]
        for view in views[standing.sentences[-1] + 1 :]:
            if view.sentence.category != part or view.sentence.role in ("expect", "prefer") or tells_others(view):
                continue
            found = read_expressions(view)
            if len(found) == 1 and _settles(view, found[0], last.value):
                span = view.reading.span(found[0].start, found[0].end)
                scores.give(part, found[0].value, "said", span, view.index)


def _settles(view: SentenceView, e: Expression, doubted: Decimal) -> bool:
    """Whether a sentence ends with a value near the one that is doubted, and 'it is' before it."""
    plain = e.kind == "value" and e.plain and e.end == view.sentence.end and abs(e.value - doubted) <= 1
    return plain and view.words[e.start - 2 : e.start] in IT_IS


def spare_values(spare: Spare, part: str, cap: int) -> list[tuple[SentenceView, Expression]]:
    """The figures that may be the part's score: a quarter of its cap at least."""
    return [(view, e) for view, e in spare.get(part, ()) if e.kind == "value" and cap / 4 <= e.value <= cap]


def figures_between(
    reading: Reading, scores: Scores, views: Sequence[SentenceView], part: str
) -> list[tuple[SentenceView, Expression]]:
    """The figures that may be the part's score by their place: between the first scores of the parts before and
    behind, in the order of the sheet. The last MOST of them."""
    parts = list(scores.parts)
    at, cap = parts.index(part), reading.sheet.cap(part)
    first = {p: s.spans[0] for p, s in scores.parts.items() if s.spans}
    low = max((first[p][1] for p in parts[:at] if p in first), default=0)
    high = min([first[p][0] for p in parts[at + 1 :] if p in first] + [a for a, _ in scores.total_spans], default=0)
    out = []
    for view in views:
        if not low < reading.ends[view.sentence.end - 1] or reading.starts[view.sentence.start] >= high:
            continue
        for e in read_expressions(view):
            start, end = reading.span(e.start, e.end)
            fits = e.kind == "value" and e.part in (None, part) and cap / 4 <= e.value <= cap
            if fits and low <= start and end <= high:
                out.append((view, e))
    return out[-MOST:]


def fill_from_caps(reading: Reading, scores: Scores, closing: list[tuple[SentenceView, list[Expression]]]) -> None:
    """Give a part of running text, whose closing words may begin too early, the figure with its cap that is said there
    where it has no score: 'eight out of ten | so two and a half, nine'; elsewhere beside the total: '6.5/10, total
    34.5'."""
    for view, expressions in closing:
        if not reading.running and not any(view.beyond_all(e.value) and e.over is None for e in expressions):
            continue
        for e in expressions:
            standing = scores.parts.get(e.part or "")
            open_part = standing is not None and standing.value is None and standing.basis == "none"
            if open_part and e.kind == "value" and e.over is not None and e.part and e.value <= e.over:
                scores.give(e.part, e.value, "said", reading.span(e.start, e.end), view.index)


def fill_from_first_closing(reading: Reading, scores: Scores, views: Sequence[SentenceView]) -> None:
    """Give the part that running text ends with, where it has no score, the figure that its closing words begin with
    ('six right bed', 'eight total thirty-eight'), or what is lost there ('minus two fifty less eight')."""
    last = next((n for n, view in enumerate(views) if view.sentence.category == "closing"), 0)
    part = views[last - 1].sentence.category if reading.running and last else ""
    standing = scores.parts.get(part)
    if standing is None or standing.value is not None or standing.basis != "none":
        return
    view, cap = views[last], reading.sheet.cap(part)
    begin = view.sentence.start
    begun = (number_before(view.words, at, view.sentence.end) for at in (begin, begin + 1))
    number = next((figure for figure in begun if figure), None)
    if number is None or number.over is not None or decoy(view, number):
        return
    span = reading.span(begin, number.end)
    if number.start > begin:
        if taken_before(view, number.start) == begin and number.value * 2 <= cap:
            standing.taken.append((number.value, last, span))
            standing.take_off(cap)
    elif cap / 4 <= number.value <= cap and _ends_part(view, number.end, scores):
        scores.give(part, number.value, "said", span, last)


def _ends_part(view: SentenceView, at: int, scores: Scores) -> bool:
    """Whether the last part's talk ends before word `at`: the sentence does, words for an end follow, or the scores
    that stand are read back."""
    known = [s.value for s in scores.parts.values() if s.value is not None]
    listed = [n.value for n in view.reading.numbers if at <= n.start < view.sentence.end][: len(known)]
    return at == view.sentence.end or view.words[at] in score_words("winds_up") or (listed == known != [])


def fill_from_odds(reading: Reading, scores: Scores, spare: Spare) -> None:
    """Give a part of running text that has no score the last of its figures whose words may well give one."""
    for part, standing in scores.parts.items():
        if standing.value is not None or standing.basis != "none":
            continue
        values = spare_values(spare, part, reading.sheet.cap(part))
        likely = [(view, e) for view, e in values if view.likely_score(e.start, e.end, LEAST_ODDS)]
        if likely:
            view, e = likely[-1]
            scores.give(part, e.value, "said", reading.span(e.start, e.end), view.index)


def fill_from_line_ends(reading: Reading, scores: Scores, spare: Spare) -> None:
    """Give a part without a score the typed figure that closes the last of its lines to end in one ('no warmth 4')."""
    for part, standing in scores.parts.items():
        if standing.value is not None or standing.basis != "none":
            continue
        values = spare_values(spare, part, reading.sheet.cap(part))
        closing = [(view, e) for view, e in values if _closes_line(view, e)]
        if closing:
            view, e = closing[-1]
            scores.give(part, e.value, "said", reading.span(e.start, e.end), view.index)


def _closes_line(view: SentenceView, e: Expression) -> bool:
    reading, end = view.reading, e.end
    if end < len(reading.words) and "\n" not in reading.breaks[end]:
        return False
    if reading.running or e.start == view.sentence.start:
        return False
    typed = view.words[e.start][0].isdigit()
    return typed and view.words[e.start - 1] not in score_words("measures")


def explain_from_spare(reading: Reading, scores: Scores, spare: Spare) -> None:
    """Where points are missing that no deduction explains: those said in the part ('so two points', 'another for
    that'), if together they are just what is missing."""
    for part, standing in scores.parts.items():
        missing = standing.unaccounted(reading.sheet.cap(part))
        lost = [(view, e) for view, e in spare.get(part, ()) if _speaks_of_points(view, e)]
        if lost and missing and sum(e.value for _, e in lost) == missing:
            standing.taken += [(e.value, view.index, reading.span(e.start, e.end)) for view, e in lost]
            standing.taken.sort(key=itemgetter(2))


def lower_from_spare(reading: Reading, scores: Scores, spare: Spare) -> None:
    """Where a sentence that seemed to give no score takes points off what stands, and says just what that leaves, let
    it stand: 'one more gone, eight left' behind nine."""
    for part, standing in scores.parts.items():
        for (view, lost), (behind, left) in pairwise(spare.get(part, ())):
            kinds = (lost.kind, left.kind) == ("off", "value")
            if kinds and view is behind and view.index > standing.said_in and standing.value == lost.value + left.value:
                standing.taken.append((lost.value, view.index, reading.span(lost.start, lost.end)))
                scores.give(part, left.value, "revised", reading.span(left.start, left.end), view.index)
                break


def _speaks_of_points(view: SentenceView, e: Expression) -> bool:
    if e.kind == "value":
        return view.words[e.end : e.end + 1] in (["point"], ["points"], ["mark"], ["marks"])
    return e.kind == "off"
