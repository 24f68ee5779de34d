"""What stands for each part: expressions booked on it one after the other, in the order of the talk."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from decimal import Decimal

from notes2sheet.score_asides import REASONS
from notes2sheet.score_few import (
    built_up,
    corrects_loss,
    counted_up,
    loss_changed,
    own_reasons,
    reason_at,
    said_over,
    so_few,
    told_again,
)
from notes2sheet.score_sums import Figure
from notes2sheet.score_view import Expression, SentenceView, score_words

FAR = 4  # a doubt further off than a quarter of the cap is of another part
WORSE = {"worse", "better", "hang", "hold", "again"}  # between a value and one that comes instead of it
CHAIN = {"less", "minus", "more"}  # words of what is lost once more


@dataclass
class Standing:
    """What stands for one part: the value, how it came about, the words it comes from, what was taken off for what."""

    value: Decimal | None = None
    basis: str = "none"
    spans: list[tuple[int, int]] = field(default_factory=list)
    taken: list[tuple[Decimal, int, tuple[int, int]]] = field(default_factory=list)
    few: set[tuple[int, int]] = field(default_factory=set)  # the words of those that are only too few to be a score
    halves: list[tuple[Decimal, int, tuple[int, int]]] = field(default_factory=list)  # without a word for taking off
    sentences: list[int] = field(default_factory=list)
    said_in: int = -1
    heard: bool = False
    figures: list[Figure] = field(default_factory=list)  # all that were said of it, in order
    lowered: Decimal | None = None  # the value said before what was taken off lowered it

    @property
    def lost(self) -> Decimal:
        """The points that were taken off."""
        return sum((points for points, _, _ in self.taken), Decimal(0))

    def only_few(self, settled: bool = False) -> bool:
        """Whether there are but figures too few to be a score, and no value stands (or, settled, for that)."""
        alone = bool(self.taken) and all(span in self.few for _, _, span in self.taken)
        return alone and self.basis != "unsure" and (settled or self.value is None)

    def take_as_score(self) -> None:
        """Let the last of the points lost be the score."""
        self.value, _, span = self.taken.pop()
        self.basis, self.spans = "said", [span]

    def take_other_sense(self, cap: int) -> None:
        """Let what was taken for points lost be the score, or a score points lost."""
        if self.basis == "taken-off":
            self.take_as_score()
        elif self.value is not None:
            self.taken = [(self.value, self.said_in, self.spans[-1])]
            self.value, self.heard = None, True
            self.take_off(cap)

    def take_off(self, cap: int) -> None:
        """Let the cap less what was taken off stand, where no value does."""
        if self.value is None and self.taken and self.basis != "unsure" and self.lost <= cap:
            self.value, self.basis = cap - self.lost, "taken-off"
            self.spans = [span for _, _, span in self.taken]

    def unaccounted(self, cap: int) -> Decimal:
        """The points below the cap that no deduction accounts for; 0 without a value."""
        return Decimal(0) if self.value is None else cap - self.value - self.lost


@dataclass
class Scores:
    """The standing of each part, and the total that was said with its words and band words."""

    parts: dict[str, Standing]
    total: Decimal | None = None
    total_heard: bool = False
    total_spans: list[tuple[int, int]] = field(default_factory=list)
    total_sentence: int = -1
    bands: list[tuple[str, tuple[int, int]]] = field(default_factory=list)

    def give(self, part: str, value: Decimal, basis: str, span: tuple[int, int], sentence: int) -> None:
        """Let `value` stand for `part`; what was taken off stays with its reasons."""
        before = self.parts[part]
        self.parts[part] = replace(
            before, value=value, basis=basis, spans=[*before.spans, span], sentences=[*before.sentences, sentence],
            said_in=sentence, heard=False,
        )  # fmt: skip

    def say_total(self, value: Decimal, span: tuple[int, int], sentence: int, heard: bool = False) -> None:
        """Let `value`, said in the words of `span`, or misheard in them, be the total."""
        self.total, self.total_spans, self.total_sentence, self.total_heard = value, [span], sentence, heard


def book(standing: Standing, expression: Expression, view: SentenceView, cap: int) -> None:
    """Enter one expression on its part."""
    span = view.reading.span(expression.start, expression.end)
    standing.sentences.append(view.index)
    kind, amount = _taken_as(standing, expression, view, cap)
    if built_up(standing, expression, view, cap) or counted_up(standing, expression, view):
        standing.taken, standing.figures = [], []
    if _of_another_part(standing, expression, view, cap):
        return
    left_out = kind == "value" and (
        _repeats_loss(standing, expression, view, cap)
        or _too_little(standing, expression, view, cap)
        or _beside_settled(standing, expression, view, cap)
    )
    if kind == "value" and not left_out and so_few(standing, expression, view, cap):
        if said_over(standing, expression, view):
            return
        kind, standing.heard = "off", True
        standing.few.add(span)
    if kind != "half":
        signed = ("off", -amount) if kind == "back" else (kind, amount)
        reasoned = kind == "off" and _own_reason(view, expression)
        standing.figures.append(Figure(*signed, expression.over is not None, view.index, span, reasoned))
    elif view.sentence.role == "score" and _of_points(view, expression.end):
        standing.halves.append((amount, view.index, span))
    if kind == "value" and not left_out:
        _give(standing, expression, view, amount, span)
    elif kind == "unsure":
        standing.value, standing.basis, standing.spans = None, "unsure", [*standing.spans, span]
    elif kind == "off" and amount <= cap:
        _take(standing, expression, view, cap, span)
    elif kind == "back":
        _give_back(standing, view, amount, span, cap)
    elif kind == "up" and (standing.value is not None or standing.only_few()):
        if standing.value is None:
            standing.take_as_score()
        _revise(standing, standing.value + amount, span)


def _give(
    standing: Standing, expression: Expression, view: SentenceView, amount: Decimal, span: tuple[int, int]
) -> None:
    """Let a value of this `amount` stand; what it takes back was no loss."""
    if view.taken_back(view.sentence.start, expression.start):
        standing.taken = [lost for lost in standing.taken if lost[2] not in standing.few]
    if standing.value is None:
        standing.value, standing.spans, standing.basis = amount, [span], "said"
    elif standing.value != amount:
        _revise(standing, amount, span)
    else:
        standing.spans.append(span)
    standing.said_in, standing.heard = view.index, expression.heard


def _take(standing: Standing, expression: Expression, view: SentenceView, cap: int, span: tuple[int, int]) -> None:
    """Enter points that are taken off."""
    amount = expression.value
    summed = len(standing.taken) > 1 and amount == standing.lost and not _own_reason(view, expression)
    if summed or _told_before(standing, expression, view):
        standing.spans.append(span)
        return
    changed = -1 if corrects_loss(standing, expression, view) else loss_changed(standing, expression, view)
    if changed is not None:
        _, _, dropped = standing.taken.pop(changed)
        standing.figures = [figure for figure in standing.figures if figure.span != dropped]
    standing.taken.append((amount, view.index, span))
    standing.heard |= expression.heard
    if standing.value is not None and amount <= standing.value and _changes_value(standing, expression, view, cap):
        standing.lowered = standing.value if standing.lowered is None else standing.lowered
        _revise(standing, standing.value - amount, span)


def _give_back(standing: Standing, view: SentenceView, amount: Decimal, span: tuple[int, int], cap: int) -> None:
    """Enter points that are given back: a loss of less than nothing."""
    if standing.taken:
        standing.taken.append((-amount, view.index, span))
    if standing.value is not None and standing.value + amount <= cap:
        _revise(standing, standing.value + amount, span)


def _of_points(view: SentenceView, at: int) -> bool:
    """Whether a half that ends before word `at` may be one of a point: a unit, a reason or nothing follows, or what
    becomes of it; not 'half the head', 'half of this'."""
    behind = view.words[at] if at < view.sentence.end else ""
    return view.score_ends(at) or behind in score_words("unit") or behind in score_words("becomes")


def _taken_as(standing: Standing, expression: Expression, view: SentenceView, cap: int) -> tuple[str, Decimal]:
    """(what an expression counts as beside what stands, its points)."""
    kind, amount = expression.kind, expression.value
    if kind == "half" and standing.taken and standing.value is None and _reasoned(view, expression):
        kind = "off"
    if kind == "share":
        kind, amount = "value", cap * expression.value
    if kind == "maybe":
        near = standing.value not in (None, amount) and view.index - standing.said_in <= 1
        kind = "unsure" if near or standing.basis == "unsure" else "value"
    rest = kind == "off" and standing.value is None and bool(standing.taken) and standing.lost + amount == cap
    if rest and amount * 2 > cap and not expression.again:
        kind = "value"  # 'two and a half off the twelve, and that's nine and a half | down'
    if kind == "value" and _only_explains(standing, expression, view, cap):
        kind = "off"
    return kind, amount


def _own_reason(view: SentenceView, expression: Expression) -> bool:
    """Whether a reason stands behind an expression, or its sentence begins with one: 'for that I take three'."""
    words, first, end = view.words, view.sentence.start, expression.end
    led = words[first] == "for" and first < expression.start
    behind = end + (not score_words("unit").isdisjoint(words[end : end + 1])) - (words[end - 1 : end] in REASONS)
    thing = behind + 1 + (words[behind + 1 : behind + 2] == ["the"])
    return led or (reason_at(view, behind) and not view.names_part_at(thing))


def _reasoned(view: SentenceView, expression: Expression) -> bool:
    """Whether a half in a sentence of scores has its reason: 'and a half besides for the toffee'."""
    words, at = view.words, expression.end
    at += words[at : at + 1] in (["besides"], ["more"], ["too"], ["extra"])
    return view.sentence.role == "score" and at < view.sentence.end and reason_at(view, at)


def _of_another_part(standing: Standing, expression: Expression, view: SentenceView, cap: int) -> bool:
    """Whether a plain figure or a doubt above the cap, not said of the part before, stands beside a value that the part
    can have; or, in running text, a doubt far from that value."""
    plain = expression.kind in ("value", "maybe", "unsure") and expression.plain
    if plain and expression.kind != "value" and view.reading.running and standing.value is not None:
        apart = abs(standing.value - expression.value)
        if apart * FAR > cap and standing.value * 2 > cap:  # below half the cap it may be what was taken off
            return True  # behind 'eighteen': 'nine or ten in this box'
    new = all(figure.value != expression.value for figure in standing.figures)
    return plain and new and standing.value is not None and standing.value <= cap < expression.value


def _told_before(standing: Standing, expression: Expression, view: SentenceView) -> bool:
    """Whether a deduction at the end of the talk, at once with the cap, or 'that half off', only repeats the one made
    in its part."""
    closing = view.sentence.category not in view.own_caps
    since = view.index - 1 if expression.over is not None and not closing else 0
    told = any(amount == expression.value and at >= since for amount, at, _ in standing.taken)
    recalled = told_again(view, expression) or _still_off(standing, expression, view)
    return (closing or recalled or expression.over is not None) and not expression.again and told


def _still_off(standing: Standing, expression: Expression, view: SentenceView) -> bool:
    """Whether a loss is told once more where the talk comes back to its part: 'still three off, though'."""
    still = "still" in view.words[max(view.sentence.start, expression.start - 1) : expression.start + 1]
    last = max((at for _, at, _ in standing.taken), default=view.index)
    own = view.sentence.category
    return still and any(view.reading.sentences[at].category != own for at in range(last, view.index))


def _repeats_loss(standing: Standing, expression: Expression, view: SentenceView, cap: int) -> bool:
    """Whether a plain figure only says over what was taken off just before ('I cut four', 'four for the sweet end')."""
    if not (expression.plain and standing.value is None and standing.taken):
        return False
    if len(standing.taken) > 1 and expression.value == standing.lost != cap / 2:
        return True  # 'six for the wort, five for the hops … eleven's plenty'
    if view.index - standing.taken[-1][1] > 1 or own_reasons(standing, expression, view):
        return False
    return standing.taken[-1][0] == expression.value and view.words[expression.end : expression.end + 1] != ["points"]


def _too_little(standing: Standing, expression: Expression, view: SentenceView, cap: int) -> bool:
    """Whether a plain figure is too far below the value that stands to change it ('fifteen', then 'soapy, two'); in a
    read-back a named one too ('the flavor, three and a half, and the eight')."""
    told = expression.named and view.sentence.category != "closing"
    plain = expression.kind == "value" and not told and expression.over is None
    return plain and standing.value is not None and expression.value * 4 < cap <= standing.value * 2


def _beside_settled(standing: Standing, expression: Expression, view: SentenceView, cap: int) -> bool:
    """Whether a plain figure, which nothing says to come instead, stands behind a value that what was lost accounts
    for, and is far from it: 'four off, so sixteen. Come back at six.'."""
    if standing.value is None or not standing.taken or standing.unaccounted(cap):
        return False
    given = view.ends_at("value_before", expression.start) or view.ends_at("gives_it", expression.start)
    begin = view.reading.sentences[standing.said_in].end if standing.said_in >= 0 else view.sentence.start
    between = view.words[begin : expression.start]
    changed = given is not None or view.changes_to(expression.start) is not None
    changed |= not score_words("take_back").isdisjoint(between) or not WORSE.isdisjoint(between)
    return (
        expression.plain
        and expression.instead is None
        and not changed
        and abs(expression.value - standing.value) * FAR > cap
    )


def _only_explains(standing: Standing, expression: Expression, view: SentenceView, cap: int) -> bool:
    """Whether a plain figure after a value is just what is missing from it ('nine, and the three's for that')."""
    if standing.value is None or expression.over is not None or expression.value == standing.value:
        return False
    before = view.words[max(view.sentence.start, expression.start - 1) : expression.start]
    if view.taken_back(max(view.sentence.start, expression.start - 1), expression.start):
        return False
    if before == ["the"] and view.ends_at("gives_it", expression.start - 1) is not None:
        return False  # 'eight, or is it seven, no, I'm happy with the eight'
    definite = before in (["the"], ["missing"]) or view.words[expression.start] == "the"
    that = view.words[max(view.sentence.start, expression.start - 2) : expression.start] == ["that", "'s"]
    definite |= that and view.index == standing.said_in + 1  # 'five, that's seven overboard'
    same = view.index == standing.said_in
    reason = view.words[expression.end : expression.end + 1] in (["for"], ["because"])
    if not reason and view.ends_at("makes_it", expression.start) is not None:
        return False  # 'seven off isn't fair, make it fourteen'
    explained = sum(amount for amount, at, _ in standing.taken if at == view.index)
    if explained and standing.value + explained == cap:
        return expression.value + standing.lost != cap  # 'one for paper, and one for ink gives eight'
    makes_cap = standing.value + expression.value == cap
    share = reason and expression.value <= cap - standing.value and expression.value * 2 < standing.value
    if share and not expression.named:
        return True  # 'twelve', then 'five for the sweet end and three for …'
    return (makes_cap and (definite or same or reason)) or (definite and same and not expression.named)


def _revise(standing: Standing, value: Decimal, span: tuple[int, int]) -> None:
    standing.value, standing.basis = value, "revised"
    standing.spans = [*standing.spans, span]


def _changes_value(standing: Standing, expression: Expression, view: SentenceView, cap: int) -> bool:
    """Whether a deduction said after a value lowers it, or only says where the missing points went."""
    explained = sum(amount for amount, at, _ in standing.taken if at >= standing.said_in - 1)
    chained = not expression.heard and not CHAIN.isdisjoint(view.words[expression.start : expression.end])
    if standing.value == cap and (chained or view.index != standing.said_in):
        return True  # the cap was only recalled, or full marks are taken back: 'full marks, less a half'
    if chained:
        told = standing.lost - expression.value
        if told and standing.value + told == cap:
            return True  # 'twenty, less two, eighteen, less a half'
    if standing.value + explained == cap or standing.value + expression.value == cap:
        return False
    return expression.again or (expression.imperative and view.index == standing.said_in)
