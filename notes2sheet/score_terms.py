"""The score expressions of one sentence: '10/12', 'ten of the twelve', 'two off', 'full marks', 'an eight or a nine'."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cache

from notes2sheet.lexicon import cue_file
from notes2sheet.numbers import Number, number_at
from notes2sheet.transcript import Reading
from notes2sheet.words import PhraseIndex, split_list

QUARTER = Decimal("0.25")
SHARES = {"full": Decimal(1), "half": Decimal("0.5"), "three_quarters": Decimal("0.75")}
SMALL = {"the", "a", "an", "only", "just", "about", "another", "further", "of", "like", "say", "um", "uh", "er", "erm", "maybe", "full", "whole", "solid", "good"}
POINT_WORDS = {"point", "points", "mark", "marks", "pt", "pts", "of", "it", "for"}
UNSURE_LINKS = ({"or"}, {"or", "a"}, {"or", "maybe", "a"}, {"or", "maybe"}, {"or", "an"}, {"maybe", "a"}, {"or", "perhaps"}, {"to"})
IMPERATIVE = {"take", "knock", "dock", "drop", "cut", "minus", "subtract", "deduct", "lose", "shave", "nick", "remove", "taking", "chop"}
TAKE_BACK = {"no", "nah", "actually", "make", "scratch", "change", "wait", "sorry", "rather", "delete", "bump"}


@dataclass(frozen=True)
class Expression:
    """One score expression in words `start` to `end`. `kind`: value, off, up, share (of the cap) or unsure."""

    kind: str
    value: Decimal
    start: int
    end: int
    part: str | None = None
    over: Decimal | None = None
    named: bool = False
    heard: bool = False
    again: bool = False
    taken_by_verb: bool = False
    imperative: bool = False


@cache
def _phrases() -> dict[str, PhraseIndex]:
    out = {}
    for table, entry in cue_file("scores").items():
        index = PhraseIndex()
        for phrase in split_list(entry.get("said", "")):
            index.add(phrase, table)
        index.freeze()
        out[table] = index
    return out


@dataclass
class SentenceView:
    """A sentence with its cue hits, as the score reader sees it."""

    reading: Reading
    index: int
    sentence: object
    hits: list[tuple[int, int, str]]
    part_hits: list[tuple[int, int, str]]
    parts: list[str]
    caps: dict[Decimal, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.caps = {Decimal(c.cap): c.id for c in self.reading.sheet.categories}
        self.caps[Decimal(self.reading.sheet.total)] = "total"

    @property
    def words(self) -> list[str]:
        return self.reading.words

    def cue(self, table: str) -> bool:
        return any(hit[2] == table for hit in self.hits)

    def named_parts(self) -> set[str]:
        return set(self.parts)

    def starts_at(self, table: str, at: int) -> int | None:
        """The end of the longest phrase of `table` that begins at word `at`."""
        ends = [end for start, end, name in self.hits if start == at and name == table]
        return max(ends, default=None)

    def ends_at(self, table: str, at: int) -> int | None:
        """The start of the longest phrase of `table` that ends before word `at`."""
        starts = [start for start, end, name in self.hits if end == at and name == table]
        return min(starts, default=None)

    def has_ratio(self) -> bool:
        return any(e.over is not None and e.over in self.caps for e in read_expressions(self) if e.kind == "value")


def _over(view: SentenceView, at: int) -> tuple[int, Decimal] | None:
    """A cap said after a value: (end, cap) for 'out of twelve', 'of the 20', 'from five'."""
    end = view.starts_at("over", at)
    if end is None:
        return None
    words, last = view.words, view.sentence.end
    while end < last and words[end] in ("the", "a", "possible", "of", "total"):
        end += 1
    if end < last and (cap := number_at(words, end)) and cap.value in view.caps and cap.over is None:
        return cap.end, cap.value
    return None


def _scale_word(view: SentenceView, end: int) -> bool:
    """Whether the figures are followed by a unit, so that they are no score."""
    word = view.words[end] if end < view.sentence.end else ""
    if word in POINT_WORDS:
        return False
    return view.starts_at("decoy_after", end) is not None and not _breaks(view, end)


def _breaks(view: SentenceView, at: int) -> bool:
    return at < len(view.reading.breaks) and bool(re.search(r"[,.;:!?\n]", view.reading.breaks[at]))


def _decoy(view: SentenceView, number: Number) -> bool:
    value = number.value
    if value > 100 or (number.over is None and value % QUARTER and value != Decimal("0.333")):
        return True
    if number.over is not None and (number.over not in view.caps or value % QUARTER):
        return True
    if _scale_word(view, number.end):
        return True
    before = number.start
    if view.starts_at("decoy_before", before - 1) == before and before > view.sentence.start and number.over is None:
        return not _breaks(view, before) or view.words[before - 1] in ("table", "entry", "flight", "episode")
    return False


def read_expressions(view: SentenceView) -> list[Expression]:
    """The score expressions of the sentence in order; figures that are no scores left out."""
    out: list[Expression] = []
    at, last, words = view.sentence.start, view.sentence.end, view.words
    while at < last:
        share = next(((n, e) for n in SHARES if (e := view.starts_at(n, at)) is not None), None)
        if share and not (share[0] == "full" and view.words[at] in ("all", "max", "maximum", "the") and share[1] < last and view.starts_at("over", share[1])):
            out.append(_located(view, Expression("share", SHARES[share[0]], at, share[1])))
            at = share[1]
            continue
        step = _number_expression(view, at)
        if step is None:
            at += 1
            continue
        expression, at = step
        if expression is not None:
            out.append(_located(view, expression))
    return _unsure_pairs(view, _without_explanations(view, out))


def _number_expression(view: SentenceView, at: int) -> tuple[Expression | None, int] | None:
    words, last = view.words, view.sentence.end
    number = _point_and_a_half(view, at) or number_at(words[:last], at)
    heard = False
    if number is None:
        number = number_at(words[:last], at, heard=True)
        if number is None or not (_over(view, number.end) or (number.value % 1 and number.end - at > 1)):
            return None
        heard = True
    if number.over is None and (cap := _over(view, number.end)):
        if _scale_word(view, cap[0]) or number.value % QUARTER:
            return None, cap[0]
        return Expression("value", number.value, number.start, cap[0], over=cap[1], heard=heard), cap[0]
    if _decoy(view, number):
        return None, number.end
    if number.over is not None:
        return Expression("value", number.value, number.start, number.end, over=number.over), number.end
    return _plain(view, number, heard), number.end


def _point_and_a_half(view: SentenceView, at: int) -> Number | None:
    """'a point and a half', 'a point', 'half a point', 'a couple of points' before or after a word for taking off."""
    words, last = view.words, view.sentence.end
    ahead = words[at : min(at + 5, last)]
    if ahead[:2] in (["a", "point"], ["a", "mark"], ["one", "point"], ["one", "mark"], ["the", "point"], ["the", "mark"]):
        if ahead[2:5] == ["and", "a", "half"]:
            return Number(at, at + 5, Decimal("1.5"), True)
        if ahead[0] in ("a", "the") and _takes(view, at, at + 2):
            return Number(at, at + 2, Decimal(1), True)
    if ahead[:2] == ["a", "couple"] and _takes(view, at, at + 2 + (ahead[2:4] == ["of", "points"]) * 2):
        return Number(at, at + 2, Decimal(2), True)
    return None


def _takes(view: SentenceView, start: int, end: int) -> bool:
    return _taken_before(view, start) is not None or _off_after(view, end) is not None


def _taken_before(view: SentenceView, at: int) -> int | None:
    """The start of a phrase for taking off that stands before word `at`, small words between them passed over."""
    begin = at
    while begin > view.sentence.start and at - begin < 3 and view.words[begin - 1] in SMALL:
        begin -= 1
    for k in range(begin, at + 1):
        if (start := view.ends_at("take_before", k)) is not None and not any(_breaks(view, j) for j in range(k, at + 1)):
            return start
    return None


def _off_after(view: SentenceView, at: int) -> int | None:
    """The end of a phrase that marks what stands before it as taken off."""
    end = at
    while end < view.sentence.end and end - at < 3 and view.words[end] in ("a", "point", "points", "mark", "marks", "of", "it", "pts", "pt", "and"):
        end += 1
    for k in range(at, end + 1):
        if k < view.sentence.end and (stop := view.starts_at("off_after", k)) is not None and not any(_breaks(view, j) for j in range(at, k + 1)):
            return stop
    return None


def _plain(view: SentenceView, number: Number, heard: bool) -> Expression | None:
    """A figure without a cap: taken off, added, or a value."""
    before, after = _taken_before(view, number.start), _off_after(view, number.end)
    words = view.words
    again = any(w in ("another", "further", "more", "extra") for w in words[max(view.sentence.start, number.start - 3) : number.start])
    if after is not None or before is not None:
        start = number.start if before is None else before
        verb = words[start] if before is not None else ""
        end = after if after is not None else number.end
        if before is not None and verb in ("down", "less", "drop", "dropping", "dropped") and words[number.start - 1] == "to":
            return Expression("value", number.value, number.start, number.end, heard=heard)
        return Expression(
            "off", number.value, start, end, again=again, taken_by_verb=before is not None, imperative=verb in IMPERATIVE
        )
    if view.words[number.start - 1 : number.start] == ["by"] and view.cue("up"):
        return Expression("up", number.value, number.start, number.end)
    if number.value < 1 and number.spelled and number.value != 0:
        return None  # 'half' alone is no score
    return Expression("value", number.value, number.start, number.end, heard=heard)


def _located(view: SentenceView, expression: Expression) -> Expression:
    """The part that an expression belongs to, where its cap or a name beside it tells."""
    part = view.caps.get(expression.over) if expression.over is not None else None
    named = _name_beside(view, expression)
    if part is None or (named and named != part and part != "total"):
        part = named if part is None else part
    return Expression(**{**expression.__dict__, "part": part, "named": named is not None})


def _name_beside(view: SentenceView, expression: Expression) -> str | None:
    """'on the aroma' after, or 'MF' / 'aroma is' before, within a few words and no other figure between."""
    best: tuple[int, str] | None = None
    words = view.words
    for start, end, payload in view.part_hits:
        part, _, key = payload.partition(":")
        if key == "announce" and part != "total":
            continue
        if key == "short" and not (start == view.sentence.start or _breaks(view, start) or view.reading.raw[start].isupper()):
            continue
        if start >= expression.end:
            gap = start - expression.end
            linked = any(w in ("on", "for", "in", "off") for w in words[expression.end : start]) and gap <= 3
            cost = gap + 1 if linked else 99
        else:
            gap = expression.start - end
            cost = gap if 0 <= gap <= 4 else 99
            if part == "total" and gap > 2:
                cost = 99
        between = words[min(end, expression.end) : max(start, expression.start)]
        if any(number_at(between, k) for k in range(len(between)) if between[k] not in ("a", "half")):
            continue
        if cost < 99 and (best is None or cost < best[0]):
            best = (cost, part)
    return best[1] if best else None


def _without_explanations(view: SentenceView, found: list[Expression]) -> list[Expression]:
    """After a score with its cap, plain figures in the same sentence only explain it, unless it is taken back."""
    out: list[Expression] = []
    capped: Expression | None = None
    for expression in found:
        if expression.over is not None and expression.over != view.reading.sheet.total:
            capped = expression
        elif capped is not None and expression.kind == "value" and expression.over is None and expression.part in (None, capped.part):
            between = view.words[capped.end : expression.start]
            if not any(w in TAKE_BACK for w in between[-6:]):
                continue
        out.append(expression)
    return out


def _unsure_pairs(view: SentenceView, found: list[Expression]) -> list[Expression]:
    """'fifteen or sixteen', '15/16', 'an eight, maybe a nine': one unsure expression instead of two values."""
    out: list[Expression] = []
    for expression in found:
        previous = out[-1] if out else None
        if previous is not None and previous.kind == expression.kind == "value" and previous.over is None:
            between = [w for w in view.words[previous.end : expression.start] if w not in ("i", "think", "um", "uh", "like")]
            close = 0 < expression.value - previous.value <= 2
            if close and between and set(between) in UNSURE_LINKS or close and between[:1] == ["between"]:
                out[-1] = Expression("unsure", expression.value, previous.start, expression.end, previous.part or expression.part, None, previous.named)
                continue
            doubtful = any(" ".join(between[k : k + 2]) in ("might be", "could be", "may be") for k in range(len(between)))
            if close and doubtful:
                out[-1] = Expression("unsure", expression.value, previous.start, expression.end, previous.part or expression.part, None, previous.named)
                continue
        out.append(expression)
    return out
