"""Scores that the taster leaves between two values: 'fifteen or sixteen', '14 15 somewhere', 'eight, maybe nine'."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from notes2sheet.numbers import HALF
from notes2sheet.score_view import Expression, SentenceView, score_words

OPEN_LINKS = {"or", "maybe", "to", "stroke", "slash"}  # one of them leaves two values open
RANGES = ("-", "–", "—")  # alone between two values
LINKS = OPEN_LINKS | {"a", "an", "the", "perhaps", "it", "is", "'s", "that"}
FIVE = Decimal(5)  # behind another figure: its half, where the point is not said
ASKING = {"should", "shall", "is", "it", "be"}  # 'four, or should it be three?'


def unsure_pairs(view: SentenceView, found: list[Expression]) -> list[Expression]:
    """The expressions with each run of neighboring values that is left open as one unsure expression."""
    if (alone := _two_alone(view, found)) is not None:
        return [alone]
    out: list[Expression] = []
    for expression in found:
        previous = out[-1] if out else None
        if previous is not None and _doubts(view, previous, expression):
            part = previous.part or expression.part
            out[-1] = Expression("unsure", expression.value, previous.start, expression.end, part, None, previous.named)
        elif previous is None or not _argues(view, previous, expression):
            out.append(expression)
    if (
        found
        and view.words[view.sentence.start] == "or"
        and out[-1].kind == "value"
        and view.changes_to(out[-1].start) is None
    ):
        if len(out) > 1 and _settled(view, out[-2].end, out[-1].start):
            return out[-1:]  # 'or is it seven, no, I'm happy with the eight'
        out[-1] = replace(out[-1], kind="maybe")
    return out


def _settled(view: SentenceView, start: int, at: int) -> bool:
    """Whether the words `start` up to a value at word `at` take back what was asked and give it: 'no, I'm happy with
    the | eight'."""
    article = at - (view.words[at - 1] in ("a", "an", "the"))
    return view.taken_back(start, at) or view.ends_at("gives_it", article) is not None


def _two_alone(view: SentenceView, found: list[Expression]) -> Expression | None:
    """Two figures that are a whole sentence: 'eight five' is eight and a half, its point left out; 'seven, eight' is
    left open. In running text a cut may part them."""
    if len(found) != 2 or view.reading.running or any(e.kind != "value" or not e.plain for e in found):
        return None
    first, second = found
    apart = view.reading.breaks[second.start].strip() not in ("", ",")
    if first.start != view.sentence.start or second.end != view.sentence.end or first.end != second.start or apart:
        return None
    own, whole = view.own_cap, not first.value % 1
    fits = view.beyond_all(first.value) if own is None else first.value + HALF <= own and abs(first.value - FIVE) > 1
    if second.value == FIVE and whole and fits:
        return replace(first, value=first.value + HALF, end=second.end, heard=True)
    rises = own is not None and 0 < second.value - first.value <= 1
    return Expression("unsure", second.value, first.start, second.end) if rises else None


def _between(view: SentenceView, previous: Expression, expression: Expression) -> list[str]:
    doubted = {k for start, end, name in view.hits if name == "doubted" for k in range(start, end)}
    between = (k for k in range(previous.end, expression.start) if k not in doubted)
    return [view.words[k] for k in between if view.words[k] not in score_words("filler")]


def _doubts(view: SentenceView, previous: Expression, expression: Expression) -> bool:
    """Whether two values that follow each other are alternatives."""
    if previous.kind not in ("value", "unsure") or expression.kind not in ("value", "maybe") or previous.over:
        return False
    between = _between(view, previous, expression)
    questioned = view.asks()
    asked = (
        questioned
        or view.cue("open", "doubted")
        or "between" in view.words[view.sentence.start : view.sentence.end]
        or "/" in view.reading.breaks[expression.start]
    )
    links = LINKS | ASKING if questioned else LINKS
    beside = previous.end == expression.start and view.reading.breaks[previous.end].strip() in RANGES
    dashed = beside and view.reading.starts[expression.start] - view.reading.ends[previous.end - 1] <= 1
    linked = (
        dashed
        or (set(between) <= links and bool(set(between) & OPEN_LINKS))
        or (set(between) <= {"and", "a", "the"} and asked)
    )
    step = expression.value - previous.value
    return 0 < (abs(step) if asked else step) <= 2 and (
        linked or expression.kind == "maybe" or _left(view, previous, expression.start)
    )


def _left(view: SentenceView, first: Expression, at: int) -> bool:
    """Whether a second value at word `at`, right behind the first, is left open: 'seven, eight, let them choose'."""
    return view.cue("open") and first.end == at and view.reading.breaks[first.end].strip() == ","


def _argues(view: SentenceView, previous: Expression, expression: Expression) -> bool:
    """Whether a value after alternatives only repeats one of them ('my heart says fourteen') and settles nothing."""
    if previous.kind != "unsure" or expression.kind != "value" or expression.over is not None:
        return False
    near = view.words[max(previous.end, expression.start - 4) : expression.start]
    led = near[:-1] if near[-1:] in (["a"], ["an"], ["the"]) else near  # 'oh, leave it at a four'
    settled = led[-1:] == ["at"] or (score_words("settles") | score_words("take_back")).intersection(near)
    return abs(previous.value - expression.value) <= 1 and not settled
