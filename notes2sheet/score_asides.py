"""Figures beside a score that give none: what was said before, bounds of a band, what only explains."""

from __future__ import annotations

from dataclasses import replace

from notes2sheet.numbers import number_at
from notes2sheet.score_others import figure_before, values_before
from notes2sheet.score_parts import LINKS
from notes2sheet.score_view import Expression, SentenceView, score_words

REASONS = (["for"], ["because"], ["since"])  # behind points taken off
TOOK = (["i", "took"], ["i", "take"], ["i", "docked"])  # behind 'the two', which were told before
OUGHT = (["should", "be"], ["should", "'ve"], ["could", "be"])  # before what it is not, where another value stands
STRAIGHT = {"straight", "right", "clean", "off"}  # between points that are taken off and their reason
SPREADS = ("range", "ranging", "ranges", "spread")  # before the bounds of what others gave
FORMERLY = 4  # words of 'down from the earlier'
WILL, POINTS = {"will", "'ll"}, (["that"], ["which"], ["this"], ["it"])  # make a figure the total
REST = 10  # words behind a half that tell for what the rest was taken off
LEADS = {"so", "is", "makes", "leaves", "=", "that's"}  # before a score that is less than what was taken off it


def without_recalled(view: SentenceView, found: list[Expression]) -> list[Expression]:
    """Without the values that recall what was said before ('sixteen, I know I said 15', 'sixteen, one six'), where
    another one stands."""
    took = [e for e in found if view.words[e.start - 1] == "the" and view.words[e.end : e.end + 2] in TOOK]
    found = [e for e in found if e not in took]  # 'so the two I took stands'
    before = values_before(found)
    recalled = {
        e.start
        for e in found
        if e.kind == "value"
        and e.start > view.sentence.start
        and (
            view.words[e.start - 1] == "said"
            or view.words[max(0, e.start - 3) : e.start] == ["know", "it", "'s"]
            or _spelled_digits(view, e, found)
            or _formerly(view, e, before.get(e.start))
            or (view.own_cap is not None and view.words[max(0, e.start - 2) : e.start] in OUGHT)
        )
    }
    values = sum(e.kind in ("value", "share") for e in found)
    return [e for e in found if e.start not in recalled] if values > len(recalled) else found


def _spelled_digits(view: SentenceView, e: Expression, found: list[Expression]) -> bool:
    """Whether the figure is the last digit of another one, which is said over digit by digit."""
    ten = number_at(view.words, e.start - 1)
    return ten is not None and 1 <= ten.value < 10 and any(10 * ten.value + e.value == other.value for other in found)


def _formerly(view: SentenceView, e: Expression, given: int | None) -> bool:
    """Whether a figure right behind another one, which ends before word `given`, is what stood before it: '9.5 (was
    9)', '8.5, down from 9'."""
    if given is None or e.start - given > FORMERLY:
        return False
    between, told = view.words[given : e.start], score_words("formerly")
    return not told.isdisjoint(between) and (told | {"it", "up", "down", "had"}).issuperset(between)


def without_ranges(view: SentenceView, found: list[Expression]) -> list[Expression]:
    """Without the bounds of a band ('30 to 37 is very good'); 'from nine to six' changes a score and stays."""
    out: list[Expression] = []
    for e in found:
        low = out[-1] if out else None
        wide = low is not None and (e.value - low.value > 2 or view.words[low.start - 1] in SPREADS)
        if low and wide and low.kind == e.kind == "value" and low.over is e.over is None:
            between = view.words[low.end : e.start]
            spread = between == ["to"] or (not between and view.reading.breaks[e.start].strip() in ("-", "–"))
            if spread and view.words[low.start - 1] != "from":
                out.pop()
                continue
        out.append(e)
    return out


def without_explanations(view: SentenceView, found: list[Expression]) -> list[Expression]:
    """After a score with its cap, plain figures in the same sentence only explain it, unless it is taken back."""
    if _makes_up_cap(view, found):
        return [*(replace(e, kind="off") for e in found[:-1]), found[-1]]
    reader = _Explanations(view)
    for e in found:
        reader.read(e)
    return reader.kept + _losses(reader.capped, reader.reasons)


def _makes_total(view: SentenceView, e: Expression) -> bool:
    """Whether words beside a figure behind a part's score call it the total, or it is what that makes: 'in all 34.5',
    '34.5 all told', 'and that'll be 34.5'."""
    before = view.words[max(view.sentence.start, e.start - 3) : e.start]
    if before[-1:] in (["be"], ["is"], ["'s"]):
        pointing = [word for word in before[:-1] if word not in WILL]
        return pointing[-1:] in POINTS and not (before[-1] == "be" and WILL.isdisjoint(before))
    return view.ends_at("total", e.start) is not None or view.starts_at("total", e.end) is not None


class _Explanations:
    """Reads the expressions of a sentence in order, and keeps those that count, as what they count as."""

    def __init__(self, view: SentenceView) -> None:
        self.view = view
        self.kept: list[Expression] = []
        self.capped: Expression | None = None  # the last score with its cap
        self.reasons: list[Expression] = []  # the figures behind it
        self.off: Expression | None = None  # the first that is taken off
        self.given: Expression | None = None  # the first plain value
        self.split = False  # whether figures say where the points of `off` went

    def read(self, e: Expression) -> None:
        if e.kind == "half" and not (self.off or self.given):
            self.kept.append(e)
            return
        if e.kind == "half":  # 'one for the grip and a half for the fizz'
            if self.view.words[e.end : e.end + 1] not in REASONS:
                return
            e = replace(e, kind="part" if self.off and self._tells_rest(e) else "off")
        if self.capped and _of_the_rest(self.view, self.capped, e):
            return
        given = self.given is not None or figure_before(self.view) is not None
        if e.kind == "off" and given and not self.off and _added(self.view, e):
            e = replace(e, kind="up")
        if e.kind == "off":
            self.off = self.off or e
        elif e.kind == "value" and e.over is None:
            self._read_plain(e)
            return
        if e.kind == "value" and e.over != self.view.reading.sheet.total:
            self.capped, self.reasons = e, []
        self.kept.append(e)

    def _tells_rest(self, e: Expression) -> bool:
        """Whether the other points that were taken off are told behind: 'a half for the varnish and the rest for …'."""
        behind = self.view.words[e.end : e.end + REST]
        return any(behind[k : k + 3] == ["and", "the", "rest"] for k in range(len(behind)))

    def _read_plain(self, e: Expression) -> None:
        """A value without its cap."""
        view, capped = self.view, self.capped
        more = self.off is not None and view.words[e.end : e.end + 1] == ["more"] and e.value <= self.off.value
        if capped and _at_once(view, capped, e):
            self.kept.append(e)
        elif more:
            self.kept.append(replace(e, kind="off", again=True))
        elif self.off and not self.split and _one_more_loss(view, self.off, e):
            self.kept.append(replace(e, kind="off"))
        elif self.off and _part_of_loss(view, self.off, e):
            self.split = True
            self.kept.append(replace(e, kind="part"))
        elif self.kept and _reason_of(view, self.kept[-1], e):
            return
        elif self.given and _lost_with_reason(view, self.given, e):
            self.kept.append(replace(e, kind="up" if _added(view, e) else "off"))
        elif capped and _leaves(view, capped, e):
            self.kept[self.kept.index(capped)] = replace(capped, kind="off")
            self.kept.append(e)
            self.capped = None  # it is no score
        elif capped and view.beyond_all(e.value) and _makes_total(view, e):
            self.kept.append(e)  # '6.5/10, in all 34.5'
        elif capped and e.part in (None, capped.part) and not view.taken_back(max(capped.end, e.start - 6), e.start):
            self.reasons.append(e)
        else:
            self.given = self.given or (None if capped else e)
            self.kept.append(e)


def _added(view: SentenceView, e: Expression) -> bool:
    """Whether points with a reason are put on the value before them: '15, and I added half a point for that'."""
    at = e.start - (view.words[e.start - 1] in ("a", "an", "another"))
    taken = score_words("taken").isdisjoint(view.words[e.start : e.end + 2])
    return view.words[at - 1] in score_words("adds") and taken


def _at_once(view: SentenceView, capped: Expression, e: Expression) -> bool:
    """Whether a figure comes instead of the score right before it, dots or a dash between: 'fifteen out of twenty …
    sixteen'."""
    dots = e.start == capped.end and view.reading.breaks[e.start].strip() in ("…", "...", "..", "-", "–", "—")
    return dots and e.end == view.sentence.end and capped.over is not None and capped.over / 2 < e.value <= capped.over


def _of_the_rest(view: SentenceView, capped: Expression, e: Expression) -> bool:
    """Whether a figure with a cap counts what is missing: 'nine of the twelve, two of the three for the plaster'."""
    rest = None if capped.over is None else capped.over - capped.value
    return e.over is not None and e.over == rest and e.over != view.reading.sheet.total


def _makes_up_cap(view: SentenceView, found: list[Expression]) -> bool:
    """Whether three figures and more are what was taken off and, last, what is left ('wort costs 4, roast 2. = 14')."""
    cap = view.own_cap
    plain = all(e.kind in ("value", "off") and e.over is None and e.part in (None, found[0].part) for e in found)
    if cap is None or len(found) < 3 or not plain or found[0].kind != "off" or found[-1].kind != "value":
        return False
    if view.words[found[-1].end : found[-1].end + 1] == ["for"]:
        return False  # the last one has its reason too
    rest = sum(e.value for e in found[1:])
    return found[0].value + rest == cap and found[0].value != rest  # '5 off: 3 for the soap, 2 for the ash'


def _losses(capped: Expression | None, reasons: list[Expression]) -> list[Expression]:
    """The figures behind a score as points taken off, where they make up what it lacks ('16/20 (3 corn, 1 malt)')."""
    if capped is None or capped.over is None or sum(e.value for e in reasons) != capped.over - capped.value:
        return []
    return [replace(e, kind="off", part=capped.part, named=capped.named) for e in reasons]


def _one_more_loss(view: SentenceView, off: Expression, e: Expression) -> bool:
    """Whether a figure takes off once more, the words for it left out ('two off for the corn, one for the ash')."""
    unit = not score_words("unit").isdisjoint(view.words[off.end : off.end + 1])
    behind = off.end + unit + sum(word in STRAIGHT for word in view.words[off.end : off.end + 2])
    first = view.words[off.end - 1 : behind + 1]
    reasoned = any([word] in REASONS for word in first) and view.words[e.end : e.end + 1] in REASONS
    reasoned &= view.words[e.start - 1] not in LEADS  # 'two off for being quiet, so ten for the aroma'
    joined = view.words[e.start - 1] in ("and", "plus", "&") or view.reading.breaks[e.start].strip() == ","
    unbroken = range(view.sentence.start + 1, view.sentence.end)  # in captions nothing joins them
    joined = joined or (reasoned and not any(map(view.breaks, unbroken)))
    return reasoned and joined and not _told_apart(view, off, e)


def _leaves(view: SentenceView, capped: Expression, e: Expression) -> bool:
    """Whether a figure is what points taken from the cap leave: 'two from ten, so it has eight'."""
    between = view.words[capped.end : e.start]
    led = bool((LEADS | {"has", "have", "leaving"}).intersection(between))
    return led and capped.over is not None and e.value > capped.value and e.value + capped.value == capped.over


def _lost_with_reason(view: SentenceView, given: Expression, e: Expression) -> bool:
    """Whether a figure behind a value says for what some of the missing points went ("8.5, three for the oats")."""
    cap = view.own_caps.get(given.part or view.sentence.category, 0)
    reasoned = view.words[e.end : e.end + 1] == ["for"] and not e.named
    return reasoned and e.value <= cap - given.value and e.value < given.value


def _part_of_loss(view: SentenceView, off: Expression, e: Expression) -> bool:
    """Whether a figure less than what was taken off only says where it went ('5 off: 3 for the soap')."""
    leads = LEADS.intersection(view.words[max(off.end, e.start - 2) : e.start])
    return e.value < off.value and not leads and not _told_apart(view, off, e)


def _told_apart(view: SentenceView, off: Expression, e: Expression) -> bool:
    """Whether a part is named beside the figure itself, not only beside what was taken off before it."""
    own = next((start for start, _, _ in view.part_hits if view.words[off.end : start] in LINKS), -1)
    names = [start for start, _, _ in view.part_hits if start > own]  # 'two shy of twelve on aroma, one for …'
    beside = (off.end <= start < e.start or e.end <= start <= e.end + 3 for start in names)
    return e.named and (e.part != off.part or any(beside))


def _reason_of(view: SentenceView, given: Expression, e: Expression) -> bool:
    """Whether a figure only gives the reason of a score ('three and a half, because three is not enough')."""
    between = view.words[given.end : e.start]
    because = {"because", "since"} & set(between[-3:])
    return given.kind == "value" and bool(because) and not e.named and not view.taken_back(given.end, e.start)
