"""Which part of the sheet each score expression of a sentence belongs to: by its cap, or by a name beside it."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from notes2sheet.numbers import number_before
from notes2sheet.score_view import ABOVE_CAP, Expression, SentenceView, score_words

SUMMING = {"makes", "brings", "takes"}  # before a running sum: 'then the aroma makes eleven'
GOES = (["go", "up"], ["go", "down"], ["going", "up"], ["going", "down"], ["went", "up"], ["went", "down"])
ARROWS, POINTING = (["->"], ["→"]), ("->", "-->", "=>", ">")  # from a value to the one instead, as a word or between
WHICH = ("last", "first", "second", "third", "next")  # before the sip until which a value stood
LISTED = 4  # figures before one that make a list
LINKS = (["on"], ["for"], ["in"], ["on", "the"], ["for", "the"], ["on", "its"], ["for", "its"])  # from figure to name


def located(view: SentenceView, found: list[Expression]) -> list[Expression]:
    """The expressions with the part that each belongs to, where its cap or a name beside it tells."""
    names = _names(view)
    after_first = bool(found and names) and found[0].start < names[0][0]
    out = []
    for n, expression in enumerate(found):
        following = found[n + 1].start if n + 1 < len(found) else view.sentence.end
        before = found[n - 1].end if n else view.sentence.start
        before_it = found[n - 1].kind if n else ""
        named = _name_beside(view, expression, names, before, following, after_first, before_it)
        if named is None and 0 < n < LISTED and out[-1].named and out[-1].kind in ("up", "off"):
            named = out[-1].part  # 'the flavor goes up one, thirteen'
        if (
            n
            and out[-1].named
            and out[-1].kind == expression.kind == "value"
            and _takes_back(view, out[-1], expression)
        ):
            named = out[-1].part  # 'overall gets six, no, six and a half, for the aroma'
        if (
            named
            and expression.over is None
            and (_begins_next(view, expression, named) or _beyond(view, expression, named))
        ):
            named = None
        if not n and (before := _closes_before(view, found, names)):
            named = before
        part = named if expression.over is None else _part_of_cap(view, expression.over, named)
        elsewhere = part in view.own_caps and part not in (named, view.sentence.category)
        if elsewhere and named and expression.over and _closes_with_name(view, expression, names):
            expression, part = replace(expression, kind="unsure"), named
        out.append(replace(expression, part=part, named=named is not None))
    again = {e.value: e.part for e in out if (e.named or e.over) and e.kind == "value"}  # 'ten, ten out of twelve'
    out = [replace(e, part=again.get(e.value)) if e.part is None and e.kind == "value" else e for e in out]
    own = view.sentence.category
    plain = any(e.kind == "value" and e.over is None and e.part is None for e in out)
    if own in view.own_caps and plain:  # 'a miss on two out of three, so I give seven and a half'
        out = [e for e in out if e.over is None or e.named or e.part in (own, "total")]
    return out


def _takes_back(view: SentenceView, before: Expression, expression: Expression) -> bool:
    """Whether a figure comes at once instead of the one before it, or where the taster moves to: 'nine and a half, and
    it opens, so I go up, ten'."""
    if view.words[expression.start - 2 : expression.start] in GOES:
        return True
    mark = view.reading.breaks[expression.start].strip()
    if view.words[before.end : expression.start] in ARROWS or (before.end == expression.start and mark in POINTING):
        return True
    return expression.start - before.end < 3 and view.taken_back(before.end, expression.start)


def _begins_next(view: SentenceView, expression: Expression, named: str) -> bool:
    """Whether, in running text, a name behind a figure too small for its part begins the next one ('I'd give that two
    and a half | on the nose')."""
    own, cap = view.own_cap, view.own_caps.get(named)
    if not view.reading.running or own is None or cap is None or expression.kind != "value":
        return False
    before = {name.partition(":")[0] for start, _, name in view.part_hits if start < expression.start}
    behind = named not in map(view.reading.sheet.part, before)
    return behind and expression.value * 4 <= cap and expression.value <= own


def _beyond(view: SentenceView, expression: Expression, named: str) -> bool:
    """Whether a value can be of the part that is talked about and not of the one named: 'the thing to look at: 8.5'."""
    cap, own = view.own_caps.get(named), view.own_cap
    other = cap is not None and own is not None and named != view.sentence.category
    return other and expression.kind == "value" and cap + ABOVE_CAP < expression.value <= own


def _closes_before(view: SentenceView, found: list[Expression], names: list[tuple[int, int, str]]) -> str | None:
    """The part before, where running text is cut so that its score stands before the name and the score of the next:
    '3.5 | general impression 7'."""
    first, at = found[0], view.sentence.start
    if not (view.reading.running and names and len(found) > 1 and view.index and first.start == at == names[0][0] - 1):
        return None
    before, (_, end, part) = view.reading.sentences[view.index - 1].category, names[0]
    plain = first.kind == found[1].kind == "value" and first.over is None and found[1].start <= end + 1
    cap = view.own_caps.get(before)
    return before if plain and cap is not None and part != before and cap / 4 <= first.value <= cap else None


def _closes_with_name(view: SentenceView, expression: Expression, names: list[tuple[int, int, str]]) -> bool:
    """Whether the part's name and nothing else stands behind a figure with the cap of another part: 'eight out of ten
    for the aroma.' In running text the name rather begins the next part."""
    if view.reading.running:
        return False
    for start, end, _ in names:
        if view.words[expression.end : start] in LINKS and view.closed(end):
            return not any(view.breaks(k) for k in range(expression.end, end))
    return False


def _part_of_cap(view: SentenceView, cap: Decimal, named: str | None) -> str | None:
    """The part that has this cap; of several, the one named beside the figure, else the one that is talked about."""
    parts = view.caps.get(cap, ())
    if len(parts) < 2:
        return next(iter(parts), None)
    return next((part for part in (named, view.sentence.category) if part in parts), None)


def _names(view: SentenceView) -> list[tuple[int, int, str]]:
    """(start, end, part) of the sheet parts that the sentence names, in order."""
    out = []
    for start, end, payload in view.part_hits:
        label, _, key = payload.partition(":")
        if key == "announce" or view.words[start].endswith("ed") or _ends_time(view, start):
            continue  # 'she looked at me, so three'
        if key == "short":
            after = view.reading.breaks[end].strip() if end < view.sentence.end else "."
            ahead = view.words[end : min(end + 3, view.sentence.end)]
            while ahead and ahead[0] in ("still", "now", "is", "up", "down", "to"):
                ahead = ahead[1:]  # 'F still 15/16', 'OI up to 8'
            figure_next = bool(ahead) and ahead[0][:1].isdigit()
            if figure_next and _article(view, start, end, view.own_caps.get(view.reading.sheet.part(label))):
                continue
            upper = view.reading.raw[start].isupper() and end - start == 1 and len(view.words[start]) > 1
            if not (upper or (start == view.sentence.start and (after or figure_next))):
                continue
        out.append((start, end, view.reading.sheet.part(label)))
    return out


def _ends_time(view: SentenceView, at: int) -> bool:
    """Whether a name only says when a value ended: 'it was a nine until that last | sip'."""
    first = 0 if view.reading.running else view.sentence.start
    while at > first and (view.words[at - 1] in score_words("definite") or view.words[at - 1] in WHICH):
        at -= 1
    return at > first and view.words[at - 1] in ("until", "till")


def _article(view: SentenceView, start: int, end: int, cap: int | None) -> bool:
    """Whether an 'A' before a figure is no label: 'A 15 or a 16', 'A 4 for mouthfeel'."""
    figure = number_before(view.words, end, view.sentence.end) if view.words[start] == "a" else None
    if figure is None or cap is None:
        return False
    linked = next((k for k in (1, 2) if view.words[figure.end : figure.end + k] in LINKS), None)
    return figure.value > cap or (linked is not None and view.names_part_at(figure.end + linked))


def _name_beside(
    view, expression: Expression, names, floor: int, ceiling: int, after_first: bool, before_it: str
) -> str | None:
    """'on the aroma' after, or 'MF' / 'aroma is' before, within a few words and no other figure between; `before_it`
    is the kind of the expression that ends at `floor`."""
    words, best = view.words, None
    for start, end, part in names:
        if expression.end <= start < ceiling:
            between = words[expression.end : start]
            leads = words[expression.end - 1 : start]  # 'two off for' ends in its own link
            linked = len(between) <= 4 and any(w in ("on", "for", "in", "off", "to") for w in leads)
            if view.reading.running and expression.kind == "off":
                linked &= leads[0] in ("for", "on", "from") or leads[1:2] in (["for"], ["on"], ["from"], ["the"])
            alone = floor == view.sentence.start and ceiling == end == view.sentence.end
            linked |= alone and between[:1] == ["for"]  # 'nine and a half for all that I had through the nose.'
            linked &= {"and", "then"}.isdisjoint(between)  # 'two and a half then, and in the nose …'
            closes = not between and end == view.sentence.end and not view.reading.running  # 'nine and a half aroma'
            cost = len(between) if linked or closes else 99
            if not after_first and between not in LINKS:
                cost += 4  # of 'more sips, four on feel' the nearer name counts all the same
        elif words[floor:start] in LINKS and before_it in ("value", "off"):
            continue  # 'four on feel eight on the whole': the name is taken
        elif floor <= start and end <= expression.start:
            between = words[end : expression.start]
            joined = any(w in ("and", "plus", "then") for w in between) or (
                after_first and view.breaks(expression.start)
            )
            joined |= view.sentence.category == "closing" and not SUMMING.isdisjoint(between)
            cost = len(between) if len(between) <= (2 if part == "total" else 5) and not joined else 99
            if after_first:
                cost += 6
        else:
            continue
        if cost < 90 and (best is None or cost < best[0]):
            best = (cost, part)
    return best[1] if best else None
