"""The score expressions of one sentence: '10/12', 'ten of the twelve', 'two off', 'full marks', 'an eight or a nine'."""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from decimal import Decimal
from functools import cache

from notes2sheet.lexicon import cue_file
from notes2sheet.numbers import Number, number_at
from notes2sheet.transcript import Reading
from notes2sheet.words import PhraseIndex, split_list

QUARTER = Decimal("0.25")
SHARES = {"full": Decimal(1), "half": Decimal("0.5"), "three_quarters": Decimal("0.75")}
SMALL = {"the", "a", "an", "only", "just", "about", "another", "further", "of", "like", "say", "um", "uh", "er", "erm", "maybe", "full", "whole", "solid", "good", "off", "cool", "mere", "there"}
POINT_WORDS = {"point", "points", "mark", "marks", "pt", "pts", "of", "it", "for"}
UNSURE_LINKS = ({"or"}, {"or", "a"}, {"or", "maybe", "a"}, {"or", "maybe"}, {"or", "an"}, {"maybe", "a"}, {"or", "perhaps"}, {"to"})
IMPERATIVE = {"take", "knock", "dock", "drop", "cut", "minus", "subtract", "deduct", "lose", "shave", "nick", "remove", "taking", "chop"}
FILLERS = {"i", "think", "um", "uh", "like"}
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
    """A cap said after a value: (end, cap) for 'out of twelve', 'of the 20', 'from five', '/ 12', 'marks of five'."""
    words, last = view.words, view.sentence.end
    if at < last and view.reading.breaks[at].strip() == "/":
        end = at
    else:
        if at < last and words[at] in ("points", "marks", "point", "mark") and not _breaks(view, at):
            at += 1
        end = view.starts_at("over", at)
        if end is None or _breaks(view, at):
            return None
        while end < last and words[end] in ("the", "a", "possible", "of", "total", "full", "available"):
            end += 1
    if end < last and (cap := number_at(words[: _edge(view, end)], end)) and cap.value in view.caps and cap.over is None:
        return cap.end, cap.value
    return None


def _edge(view: SentenceView, at: int) -> int:
    """The word before which the figures that begin at `at` end at the latest: the next punctuation."""
    end = at + 1
    while end < view.sentence.end and not _breaks(view, end):
        end += 1
    return end


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
    if number.over is None and value in view.caps and _cap_recalled(view, before):
        return True
    if view.starts_at("decoy_before", before - 1) == before and before > view.sentence.start and number.over is None:
        return not _breaks(view, before) or view.words[before - 1] in ("table", "entry", "flight", "episode")
    return False


def _cap_recalled(view: SentenceView, at: int) -> bool:
    """Whether the figure at `at` recalls the cap: 'off the twenty', 'shy of the full ten', 'the missing five'."""
    before = view.words[max(view.sentence.start, at - 3) : at]
    return before[-1:] in (["the"], ["full"]) and any(w in ("of", "off", "from", "out") for w in before) and "take" not in before


def read_expressions(view: SentenceView) -> list[Expression]:
    """The score expressions of the sentence in order; figures that are no scores left out."""
    out: list[Expression] = []
    at, last, words = view.sentence.start, view.sentence.end, view.words
    while at < last:
        share = next(((n, e) for n in SHARES if (e := view.starts_at(n, at)) is not None), None)
        if share and _whole_share(view, at, share[1]):
            out.append(Expression("share", SHARES[share[0]], at, share[1]))
            at = share[1]
            continue
        step = _number_expression(view, at)
        if step is None:
            at += 1
            continue
        expression, at = step
        if expression is not None:
            out.append(expression)
    return _unsure_pairs(view, _without_explanations(view, _located(view, _without_recalled(view, out))))


def _without_recalled(view: SentenceView, found: list[Expression]) -> list[Expression]:
    """Without the values that recall what was said before ('sixteen, I know I said 15'), where another one stands."""
    recalled = [e for e in found if e.kind == "value" and view.words[e.start - 1] == "said" and e.start > view.sentence.start]
    values = sum(e.kind in ("value", "share") for e in found)
    return [e for e in found if e not in recalled] if values > len(recalled) else found


def _whole_share(view: SentenceView, start: int, end: int) -> bool:
    """Whether a phrase for a share of the cap stands for a score: not 'max' before a figure, not what is taken off."""
    named = next((n.value for k in range(start, end) if (n := number_at(view.words[:end], k))), None)
    own = next((cap for cap, part in view.caps.items() if part == view.sentence.category), None)
    if named is not None and own is not None and named >= 1 and named != own:
        return False
    return _taken_before(view, start) is None


def _number_expression(view: SentenceView, at: int) -> tuple[Expression | None, int] | None:
    words, last = view.words, view.sentence.end
    edge = _edge(view, at)
    number = _point_and_a_half(view, at) or number_at(words[:edge], at)
    heard = False
    if number is None:
        number = number_at(words[:edge], at, heard=True)
        if number is None or not (_over(view, number.end) or (number.value % 1 and number.end - at > 1)):
            return None
        heard = True
    if number.over is None and (cap := _over(view, number.end)):
        if _scale_word(view, cap[0]) or number.value % QUARTER:
            return None, cap[0]
        return Expression("value", number.value, number.start, cap[0], over=cap[1], heard=heard), cap[0]
    if number.over is not None and number.over not in view.caps and 0 < number.over - number.value <= 2:
        return Expression("unsure", number.over, number.start, number.end), number.end
    if _decoy(view, number) or (words[number.start - 1] == "all" and number.start > view.sentence.start):
        return None, number.end
    if number.over is not None:
        return Expression("value", number.value, number.start, number.end, over=number.over), number.end
    expression = _plain(view, number, heard)
    return expression, max(number.end, expression.end) if expression else number.end


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
    if view.reading.breaks[at].endswith("-") and view.reading.text[view.reading.starts[at] - 1 : view.reading.starts[at]] != " ":
        return at
    begin = at
    while begin > view.sentence.start and at - begin < 4 and view.words[begin - 1] in SMALL:
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
    half_point = number.value < 1 and words[number.end : number.end + 2] in (["a", "point"], ["a", "mark"], ["of", "a"])
    if half_point and after is None:
        after = number.end + 2
    if before is not None and after is None and words[before].startswith("tak") and "off" not in words[before : number.start]:
        cap = next((c for c, part in view.caps.items() if part == view.sentence.category), None)
        if cap is not None and number.value * 2 > cap:
            before = None  # 'the nose takes nine'
    again = any(w in ("another", "further", "more", "extra") for w in words[max(view.sentence.start, number.start - 3) : number.start])
    if again and after is None and before is None and number.value <= 3:
        after = number.end
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
    if _possible(view, number):
        return Expression("maybe", number.value, number.start, number.end, heard=heard)
    return Expression("value", number.value, number.start, number.end, heard=heard)


def _possible(view: SentenceView, number: Number) -> bool:
    """Whether a value is only possible: 'might be a seven', 'seven and a half maybe'."""
    if view.ends_at("maybe", number.start) is not None:
        return True
    return number.end < view.sentence.end and view.words[number.end] in ("maybe", "perhaps") and not _breaks(view, number.end)


def _located(view: SentenceView, found: list[Expression]) -> list[Expression]:
    """The expressions with the part that each belongs to, where its cap or a name beside it tells."""
    names = _names(view)
    after_first = bool(found and names) and found[0].start < names[0][0]
    out = []
    for n, expression in enumerate(found):
        following = found[n + 1].start if n + 1 < len(found) else view.sentence.end
        before = found[n - 1].end if n else view.sentence.start
        named = _name_beside(view, expression, names, before, following, after_first)
        part = view.caps.get(expression.over) if expression.over is not None else named
        out.append(replace(expression, part=part, named=named is not None))
    return out


def _names(view: SentenceView) -> list[tuple[int, int, str]]:
    """(start, end, part) of the sheet parts that the sentence names, in order."""
    out = []
    for start, end, payload in view.part_hits:
        part, _, key = payload.partition(":")
        if key == "announce":
            continue
        if key == "short":
            after = view.reading.breaks[end].strip() if end < view.sentence.end else "."
            figure_next = end < view.sentence.end and view.words[end][:1].isdigit()
            upper = view.reading.raw[start].isupper() and end - start == 1 and len(view.words[start]) > 1
            if not (upper or (start == view.sentence.start and (after or figure_next))):
                continue
        out.append((start, end, part))
    return out


def _name_beside(view, expression: Expression, names, floor: int, ceiling: int, after_first: bool) -> str | None:
    """'on the aroma' after, or 'MF' / 'aroma is' before, within a few words and no other figure between."""
    words, best = view.words, None
    for start, end, part in names:
        if expression.end <= start < ceiling:
            between = words[expression.end : start]
            linked = len(between) <= 4 and any(w in ("on", "for", "in", "off", "to") for w in between)
            cost = len(between) if linked else 99
            if not after_first:
                cost += 4
        elif floor <= start and end <= expression.start:
            between = words[end : expression.start]
            joined = any(w in ("and", "plus", "then") for w in between) or (after_first and _breaks(view, expression.start))
            cost = len(between) if len(between) <= (2 if part == "total" else 5) and not joined else 99
            if after_first:
                cost += 6
        else:
            continue
        if cost < 90 and (best is None or cost < best[0]):
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
    """'fifteen or sixteen', '14 15 somewhere', 'an eight, maybe a nine': one unsure expression instead of two values."""
    out: list[Expression] = []
    for expression in found:
        previous = out[-1] if out else None
        if previous is not None and previous.kind == "value" and expression.kind in ("value", "maybe") and previous.over is None:
            between = [w for w in view.words[previous.end : expression.start] if w not in FILLERS]
            close = 0 < expression.value - previous.value <= 2
            asked = view.cue("open") or view.words[previous.start - 1] == "between" or "/" in view.reading.breaks[expression.start]
            linked = set(between) in UNSURE_LINKS or (set(between) <= {"and", "a"} and asked)
            if close and (linked or expression.kind == "maybe"):
                part = previous.part or expression.part
                out[-1] = Expression("unsure", expression.value, previous.start, expression.end, part, None, previous.named)
                continue
        out.append(expression)
    if found and view.words[view.sentence.start] == "or" and out[-1].kind == "value":
        out[-1] = replace(out[-1], kind="maybe")
    return out
