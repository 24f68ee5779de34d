"""Values that come instead of others ("take that 13 down to 12"), and the part that each of them belongs to."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import TYPE_CHECKING

from notes2sheet.numbers import number_before
from notes2sheet.score_view import ABOVE_CAP, Expression, SentenceView, score_words

if TYPE_CHECKING:
    from notes2sheet.score_booking import Scores


def given_to_changed(view: SentenceView, expressions: list[Expression], scores: Scores) -> list[Expression]:
    """'Not nine, change that to eight' changes the part where nine stands, where that is one alone and not the part
    that is talked about."""
    own = scores.parts.get(view.sentence.category)
    if own is not None and own.value is not None and _adds_up(view, expressions, own.value):
        return [replace(expressions[0], kind="up"), expressions[1]]
    changed = _changed_value(view, expressions)
    parts = [part for part, standing in scores.parts.items() if standing.value == changed]
    if not parts and len(expressions) == 2 and (own is None or own.value is not None):
        caps = view.own_caps  # 'half off, four and a half' can be of one part only
        parts = [part for part, s in scores.parts.items() if s.value is None and not s.taken and caps[part] == changed]
    if changed is None:
        changed, parts = _settles_doubt(view, expressions, scores)
    if changed is None or len(parts) != 1 or (own is not None and own.value == changed):
        return expressions
    if expressions[-1].value > view.own_caps[parts[0]] + ABOVE_CAP:
        return expressions[:-1]  # a running sum: 'and the three bring it to thirty-five'
    return [replace(e, part=parts[0], named=True) for e in expressions]


def _adds_up(view: SentenceView, expressions: list[Expression], value: Decimal) -> bool:
    """Whether a sentence adds to the value that stands: 'one more for that, nine', 'one for the finish, nine' behind
    eight; not 'eleven', and then 'I'm keeping one back, nobody gets a twelve'."""
    kinds = [e.kind for e in expressions]
    added = kinds in (["off", "value"], ["value", "value"]) and value + expressions[0].value == expressions[1].value
    return added and expressions[1].value != view.own_cap


def _settles_doubt(
    view: SentenceView, expressions: list[Expression], scores: Scores
) -> tuple[Decimal | None, list[str]]:
    """'Call it seven' behind 'seven or eight': the value and the part that was left between it and another, where the
    part that is talked about is not."""
    if len(expressions) != 1 or expressions[0].part or view.changes_to(expressions[0].start) is None:
        return None, []
    value = expressions[0].value
    doubtful = {part: s for part, s in scores.parts.items() if s.basis == "unsure" and s.figures}
    near = [part for part, s in doubtful.items() if abs(s.figures[-1].value - value) <= 1]
    return value, near


def _changed_value(view: SentenceView, expressions: list[Expression]) -> Decimal | None:
    """The value that the one of the sentence comes instead of, where the sentence says so.

    Nine in 'not nine, change that to eight'; 18 in 'I'm changing that eighteen to the whole twenty'; twelve in 'pull
    another point and a half, that's ten and a half'.
    """
    if not expressions or expressions[-1].kind != "value" or any(e.part or e.over for e in expressions):
        return None
    if expressions[-1].instead is not None:
        return expressions[-1].instead
    if len(expressions) == 2 and expressions[0].kind == "off":
        return expressions[0].value + expressions[1].value
    begin = expressions[0].start
    if len(expressions) == 1 and _stays(view, begin):
        return expressions[0].value
    if len(expressions) > 1 or view.changes_to(begin) is None:
        return None
    dropped = (k + 1 for k in range(view.sentence.start, begin - 1) if view.words[k] in ("not", "scratch"))
    return next((n.value for k in dropped if (n := number_before(view.words, k, begin))), None)


def _stays(view: SentenceView, at: int) -> bool:
    """Whether the figure at word `at` is the one that was given and stays: 'I'll leave the twelve', 'the twelve stays',
    'it doesn't shift the twelve'."""
    words = view.words
    before = words[max(view.sentence.start, at - 4) : at]
    if not before or before[-1] not in score_words("definite"):
        return False
    number = number_before(words, at, view.sentence.end)
    stays = number is not None and number.end < view.sentence.end and words[number.end] in score_words("stays")
    unmoved = before[-2:-1] and before[-2] in score_words("moves") and _denied(before[:-2])
    return stays or unmoved or (len(before) > 1 and before[-2] in score_words("keeps"))


def _denied(words: list[str]) -> bool:
    return any(word in ("not", "never") or word.endswith(("n't", "nae", "nay")) for word in words)
