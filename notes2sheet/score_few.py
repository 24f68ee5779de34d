"""Figures so small that they are rather points lost than a score: 'two for the wax' of an aroma's twelve."""

from __future__ import annotations

from bisect import bisect_left
from decimal import Decimal
from itertools import product
from typing import TYPE_CHECKING

from notes2sheet.faults import LOOKED_AT
from notes2sheet.numbers import begins_number, number_before
from notes2sheet.score_asides import REASONS
from notes2sheet.score_view import Expression, SentenceView, score_words

if TYPE_CHECKING:
    from notes2sheet.score_booking import Scores, Standing
    from notes2sheet.transcript import Reading

SHARES = ((10, 3), (5, 5))  # of a cap of ten and more a third at most, of five a fifth
TOLD = Decimal("2.5")  # with the reason behind it two fifths of any cap
DOUBT = 2  # points at most between a score that is left open and the one that settles it
INSTEAD = (["rather", "than"], ["instead", "of"])  # before a loss that another one comes instead of
BARE = {"and", "a", "half", "more", "for", "the", "that"}  # in figures that nothing says to be lost: 'three more for'
REASON = 8  # words behind a loss, its reason among them, up to 'not' and the one that it comes instead of
CLAUSE = 4  # words of what is said between a loss and the one that comes instead of it


def so_few(standing: Standing, expression: Expression, view: SentenceView, cap: int) -> bool:
    """Whether a plain figure is so small a share of the cap that it is rather lost than given, where no value stands
    and no word gives it (how often that is right: tests/accuracy/README.md)."""
    share = next((share for least, share in SHARES if cap >= least), None)
    few = share is not None and 0 < expression.value * share <= cap
    few |= _for_something(view, expression.end) and 0 < expression.value * TOLD <= cap
    if not few or standing.value is not None:
        return False
    plain = expression.kind in ("value", "maybe") and expression.over is None and expression.instead is None
    left = standing.taken and standing.lost + expression.value == cap
    doubted = any(f.kind == "unsure" and abs(f.value - expression.value) <= DOUBT for f in standing.figures)
    again = any(amount == expression.value for amount, _, _ in standing.taken)
    given = doubted or (not again and (_names_part(view, expression) or _given(view, expression)))
    return plain and not left and not given


def _for_something(view: SentenceView, at: int) -> bool:
    """Whether a reason stands at word `at`: 'for the haze', 'for lack of a head'."""
    reason = view.words[at : at + 2]
    return reason[:1] == ["for"] and not score_words("charged").isdisjoint(reason[1:]) and not view.breaks(at)


def _names_part(view: SentenceView, expression: Expression) -> bool:
    """Whether a figure is said of a part by its name, and that name is not in its reason: 'a two for overall', not 'two
    for the soapy nose'."""
    behind = next((start for start, _, _ in view.part_hits if start >= expression.end), None)
    reason = behind is not None and view.words[expression.end] == "for" and behind - expression.end > 2
    return expression.named and not reason


def _given(view: SentenceView, expression: Expression) -> bool:
    """Whether words before so small a figure give it as a score: 'I'll give it a four', 'stays at three', 'a six'; or
    nothing but its digits stands in the line."""
    words, first, at = view.words, view.sentence.start, expression.start
    if view.changes_to(at) is not None or not score_words("graded").isdisjoint(words[first:at]):
        return True
    if (at, at + 1) == (first, view.sentence.end) and words[at][:1].isdigit() and not view.reading.running:
        return True
    begin = at
    while begin > first and words[begin - 1] in score_words("before_few") and not view.breaks(begin):
        begin -= 1
    if {"a", "an"}.intersection(words[begin:at]):
        return True
    before = words[begin - 1] if begin > first and not view.breaks(begin) else ""
    told = reason_at(view, expression.end) or not score_words("unit").isdisjoint(
        words[expression.end : expression.end + 1]
    )
    copula = before in ("'s", "is") and not told and words[begin - 2] != "that"  # 'that's six' may be lost, too
    return before in score_words("give_few") or copula


def reason_at(view: SentenceView, at: int) -> bool:
    """Whether a word for a reason stands at word `at`."""
    return view.words[at : at + 1] in REASONS


def _behind_last(standing: Standing, view: SentenceView) -> int:
    """The word behind the last loss."""
    return bisect_left(view.reading.ends, standing.taken[-1][2][1]) + 1


def own_reasons(standing: Standing, expression: Expression, view: SentenceView) -> bool:
    """Whether the last loss and a figure behind it have each a reason: 'two for soap, two for ash'."""
    return reason_at(view, _behind_last(standing, view)) and reason_at(view, expression.end)


def said_over(standing: Standing, expression: Expression, view: SentenceView) -> bool:
    """Whether points that were taken off before are only said over, no reason behind them: 'four off', then 'four'."""
    told = any(amount == expression.value for amount, _, _ in standing.taken)
    return told and not reason_at(view, expression.end)


def built_up(standing: Standing, expression: Expression, view: SentenceView, cap: int) -> bool:
    """Whether a value is the sum of bare figures that seemed too few, and is too much to be lost: 'two for the bubbles,
    two for the body, four' of five. A fault among the reasons has them lost all the same."""
    several = expression.kind == "value" and expression.plain and standing.value is None and len(standing.taken) > 1
    if not several or expression.value != standing.lost or expression.value * 2 < cap:
        return False
    reading, spans = view.reading, [span for _, _, span in standing.taken]
    bare = all(begins_number(word) or word in BARE for a, b in spans for word in reading.text[a:b].lower().split())
    first = bisect_left(reading.starts, spans[0][0])
    charged = not score_words("charged").isdisjoint(set(reading.words[first : expression.start]) - BARE)
    within = (m for m in reading.mentions if first < m.start < expression.start)
    faulty = charged or any(m.flaw and m.state == "present" for m in within)
    return bare and spans[0] in standing.few and not faulty


def counted_up(standing: Standing, expression: Expression, view: SentenceView) -> bool:
    """Whether a value is the sum of all figures said before, which were given one after the other: 'four right away,
    plus two, that's six'. The first of them only seemed to be lost."""
    figures = [figure for figure in standing.figures if figure.kind in ("value", "off")]
    if expression.kind != "value" or not expression.plain or len(figures) < 2 or figures[0].span not in standing.few:
        return False
    if sum(figure.value for figure in figures) != expression.value:
        return False
    behind = bisect_left(view.reading.starts, figures[0].span[1])
    return not score_words("givers").isdisjoint(view.words[behind : expression.start])


def corrects_loss(standing: Standing, expression: Expression, view: SentenceView) -> bool:
    """Whether what is lost comes instead of the loss said right before it: 'three, or rather four', 'two, no, one'; not
    'two off for the wax, no malt, so one off'."""
    if standing.value is not None or not standing.taken or standing.taken[-1][1] < view.index - 1 or expression.again:
        return False
    words, behind = view.words, _behind_last(standing, view)
    if not score_words("too").isdisjoint(words[expression.end : view.sentence.end]):
        return False
    at = expression.start
    while at > behind and words[at - 1] in score_words("before_few") and not view.taken_back(at - 1, at):
        at -= 1
    if at > behind and view.taken_back(at - 1, at):
        return True
    if expression.kind == "maybe" and "or" in words[behind:at] and standing.taken[-1][1] == view.index:
        return True  # 'one off for the tin, or it might be one and a half'
    harsh = words[max(behind, at - CLAUSE) : at]  # 'no, that's harsh | three and a half'
    return len(harsh) > 2 and score_words("take_back").issuperset(harsh[:1]) and harsh[1] == "that"


def loss_changed(standing: Standing, expression: Expression, view: SentenceView) -> int | None:
    """The place, among what was taken off, of the loss that this one comes instead of: 'make it six off the flavor,
    not five', or 'make it six off' where there is but one."""
    words, end = view.words, view.sentence.end
    too = not score_words("too").isdisjoint(words[expression.end : end])
    if standing.value is not None or not standing.taken or expression.again or too:
        return None
    near = range(expression.end, min(expression.end + REASON, end))
    places = [at for at in near if words[at] == "not" or words[at - 1 : at + 1] in INSTEAD]
    dropped = number_before(words, places[0] + 1, end) if places else None
    if dropped is not None and not view.score_ends(dropped.end):
        dropped = None  # 'not one of them'
    amounts = [amount for amount, _, _ in standing.taken]
    if dropped is not None and dropped.value in amounts and dropped.value != expression.value:
        return amounts.index(dropped.value)
    return 0 if len(amounts) == 1 and view.ends_at("makes_it", expression.start) is not None else None


def told_again(view: SentenceView, expression: Expression) -> bool:
    """Whether a word right before the figure of a loss recalls one that was told: 'the four stays off', 'that half
    off'; not with a reason of its own ('the one point off for the gas')."""
    words, end = view.words, expression.end
    figure = next((k for k in range(expression.start, end) if begins_number(words[k])), expression.start)
    before = {words[k] for k in (figure - 1, figure) if k >= view.sentence.start}
    own = any(reason_at(view, k) for k in range(figure + 1, min(end + 1, view.sentence.end)))
    return not own and not score_words("recalled").isdisjoint(before)


def settle_few(reading: Reading, scores: Scores) -> None:
    """Let such figures be losses, or the scores of a beer whose other parts, what is only looked at apart, got less
    than half of their points."""
    poor = _poor(reading, scores)
    for part, standing in scores.parts.items():
        if standing.only_few() and poor:
            standing.take_as_score()
        elif standing.only_few():
            standing.take_off(reading.sheet.cap(part))


def let_total_choose(reading: Reading, scores: Scores) -> None:
    """Where the sum differs from the total that was said, let the doubtful figures be scores, or lost points, as makes
    it up, if there is one way only."""
    fixed = sum((s.value for s in scores.parts.values() if s.value is not None), Decimal(0))
    if scores.total is None or fixed == scores.total:
        return
    others = {part: _other_sense(s, reading.sheet.cap(part)) for part, s in scores.parts.items()}
    steps = {part: other - (scores.parts[part].value or 0) for part, other in others.items() if other is not None}
    ways = [dict(zip(steps, way, strict=True)) for way in product((False, True), repeat=len(steps))]
    right = [way for way in ways if fixed + sum(steps[part] for part, on in way.items() if on) == scores.total]
    if len(right) != 1:
        return
    for part in (part for part, on in right[0].items() if on):
        scores.parts[part].take_other_sense(reading.sheet.cap(part))


def _other_sense(standing: Standing, cap: int) -> Decimal | None:
    """The score that a part has if its figure is taken the other way: as given instead of lost, or as lost where it is
    a plain one of at most half the cap."""
    if standing.basis == "taken-off" and standing.only_few(settled=True):
        return standing.taken[-1][0]
    said = [figure for figure in standing.figures if figure.kind == "value"]
    plain = standing.basis in ("said", "revised") and bool(said) and not any(figure.capped for figure in said)
    if plain and standing.value is not None and said[-1].value == standing.value and standing.value * 2 < cap:
        return cap - standing.value
    return None


def _poor(reading: Reading, scores: Scores) -> bool:
    """Whether the parts that have a score got less than half of their points, what is only looked at apart."""
    given = {p: s.value for p, s in scores.parts.items() if s.value is not None and p != LOOKED_AT}
    return 2 * sum(given.values(), Decimal(0)) < sum(reading.sheet.cap(part) for part in given)
