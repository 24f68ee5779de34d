"""The score expressions of one sentence: '10/12', 'ten of the twelve', 'two off', 'full marks', 'eight or nine'."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from decimal import Decimal
from functools import lru_cache

from notes2sheet.intensities import TEN, rates_aspect
from notes2sheet.numbers import QUARTER, Number, begins_number, number_before
from notes2sheet.score_asides import without_explanations, without_ranges, without_recalled
from notes2sheet.score_conclusions import WINDING
from notes2sheet.score_decoys import begins_with_cap, begins_year, decoy, of_others, scale_word, year_end
from notes2sheet.score_heard import proves
from notes2sheet.score_off import given_back, off_after, taken_before, taken_of_cap, taken_off
from notes2sheet.score_others import without_others
from notes2sheet.score_parts import located
from notes2sheet.score_points import points_in_words
from notes2sheet.score_supposed import possible, supposed
from notes2sheet.score_unsure import unsure_pairs
from notes2sheet.score_view import Expression, SentenceView, score_words

MOVED = 6  # words before 'from', one for a change among them
DOWN_TO = (["down", "to"], ["up", "to"], ["back", "to"])  # behind 'knock the ten'
NOT_THAT = (["instead", "of"], ["rather", "than"], ["over", "the"], ["over", "my"])  # before a value that is dropped
RECALLED = (["i", "gave"], ["i", "said"], ["i", "put"], ["i", "wrote"])  # behind a value that is changed
BY = 5  # words before a figure, the verb and 'by' among them: 'I'd bring it down by | two'
REASONS = ("because", "since", "for", "given", "due")  # behind a value that is dropped: 'rather than 16 because …'
FIFTH = 5  # of the cap
FINDING = 4  # words of a finding before a colon or a dash at least
MADE_BEHIND = 4  # words between a value and those that change it
BEFORE_POINT = {"a", "one", "the", "another", "point", "mark"}  # 'a point', 'the mark', 'point and a half'
SHARES = {"full": Decimal(1), "half": Decimal("0.5"), "three_quarters": Decimal("0.75")}


def _over(view: SentenceView, at: int) -> tuple[int, Decimal] | None:
    """A cap said after a value: (end, cap) for 'out of twelve', 'of the 20', 'from five', '/ 12', 'marks of five'."""
    words, last = view.words, view.sentence.end
    pause: str | bool = False
    figures = view.reading.running and at < last and words[at].isdigit() and words[at - 1][0].isdigit()
    if figures and Decimal(words[at]) == view.own_cap and words[at - 1] != "0":
        return at + 1, Decimal(words[at])  # 'flavor 15.5 / | 20', its slash lost
    if view.slash(at):
        if view.slash(at - 1) or view.slash(at + 1):
            return None  # '3/10/15/4/8'
        end = at
    else:
        if at < last and words[at] in score_words("unit") and not view.breaks(at):
            at += 1
        end = view.starts_at("over", at)
        pause = view.breaks(at) and view.reading.breaks[at].strip()
        if end is None or pause not in ("", ",", False):
            return None
        if words[end - 1] == "on" and view.breaks(end):
            return None  # 'I'd put three on, twelve'
        while end < last and words[end] in score_words("before_cap"):
            end += 1
    if (
        end < last
        and (cap := _cap_at(view, end))
        and cap.value in view.caps
        and cap.over is None
        and begins_year(view, cap) is None  # 'three euros twenty, from twenty twenty-one'
        and (not pause or view.sentence.category in view.caps[cap.value])  # 'nine, out of your twelve'
    ):
        return cap.end, cap.value
    return None


def _cap_at(view: SentenceView, at: int) -> Number | None:
    """The cap that begins at word `at`, also before another figure ('twenty six off'); or one misheard, of the part
    that is talked about ('two out of free')."""
    cap = number_before(view.words, at, _edge(view, at))
    if cap is not None and cap.over is None and cap.value not in view.caps and cap.end == at + 2:
        return number_before(view.words, at, at + 1)
    if cap is None and (cap := number_before(view.words, at, at + 1, heard=True)):
        return cap if view.own_cap == cap.value else None
    return cap


def _edge(view: SentenceView, at: int) -> int:
    """The word before which the figures that begin at `at` end at the latest: the next punctuation."""
    end = at + 1
    while end < view.sentence.end and not view.breaks(end):
        end += 1
    return end


def read_expressions(view: SentenceView) -> list[Expression]:
    """The score expressions of the sentence in order; figures that are no scores left out."""
    out: list[Expression] = []
    at, last = view.sentence.start, view.sentence.end
    shared = any(view.cue(name) for name in SHARES)
    while at < last:
        share = shared and next(((n, e) for n in SHARES if (e := view.starts_at(n, at)) is not None), None)
        if share and _whole_share(view, at, share[1]):
            out.append(Expression("share", SHARES[share[0]], at, share[1]))
            at = share[1]
            continue
        step = _number_expression(view, at) if _may_begin(view.words[at]) else None
        if step is None:
            at += 1
            continue
        expression, at = step
        if expression is not None:
            out.append(_apart(expression, out))
    out = without_others(view, without_recalled(view, _without_the_lot(view, out)))
    out = without_ranges(view, out)
    return unsure_pairs(view, without_explanations(view, located(view, out)))


def _apart(expression: Expression, found: list[Expression]) -> Expression:
    """The expression without words that the one before it has taken: 'half a point minus, two and a half'."""
    end = found[-1].end if found else 0
    if expression.start >= end or expression.kind != "off":
        return expression
    return replace(expression, kind="value", start=end)


def _without_the_lot(view: SentenceView, found: list[Expression]) -> list[Expression]:
    """Without a share of the cap that only closes a clause behind a value: 'six for that, the lot'."""
    given = [e for e in found if e.kind in ("value", "off")]
    spoken = bool(given) and any(view.taken_back(given[0].end, e.start) for e in found if e.start > given[0].start)
    return found if spoken else [e for e in found if e.kind != "share" or not given or e.start < given[0].start]


def _whole_share(view: SentenceView, start: int, end: int) -> bool:
    """Whether a phrase for a share of the cap stands for a score: not 'max' before a figure, not what is taken off."""
    figures = [n.value for k in range(start, end) if (n := number_before(view.words, k, end))]
    named = figures[-1] if figures else None
    own = view.own_cap
    if named is not None and own is not None and named >= 1 and named != own:
        return False
    if start - 2 >= view.sentence.start and view.words[start - 1] == "of" and view.words[start - 2] in ("shy", "short"):
        return False  # 'three shy of the lot'
    if view.words[end : end + 1] in (["is"], ["'s"], ["being"], ["are"], ["would"], ["'d"]):
        return False  # 'the maximum is three', 'half marks would be ten'
    if view.words[start - 1 : end] == ["for", "the", "lot"]:
        return False  # 'five for the lot of it'
    if view.words[start - 1] in score_words("hits") and start > view.sentence.start:
        return False  # 'it hits all the marks'
    if view.words[start - 1] in ("'s", "is", "being") and begins_number(view.words[start - 2]):
        return False  # 'ten's the max'
    return taken_before(view, start) is None


@lru_cache(maxsize=65536)
def _may_begin(word: str) -> bool:
    """Whether an expression with a figure can begin with `word`."""
    return word in BEFORE_POINT or begins_number(word, heard=True)


def _number_expression(view: SentenceView, at: int) -> tuple[Expression | None, int] | None:
    words = view.words
    if changed := _changed(view, at):
        return changed, changed.end
    number = points_in_words(view, at) or number_before(words, at, _edge(view, at))
    heard = False
    if number is None:
        number = number_before(words, at, _edge(view, at), heard=True)
        another = words[at - 1] == "another"  # 'minus another | for age'
        if number is None or another or not proves(view, number, _over(view, number.end) is not None):
            return None
        heard = True
    raised = number.value < 1 and "up" in words[max(view.sentence.start, number.start - 2) : number.start]
    if number.over is None and not raised and (cap := _over(view, number.end)):
        return _with_cap(view, number, *cap, heard)
    if (back := given_back(view, number)) is not None:
        return Expression("back", number.value, number.start, back), back
    if (others := of_others(view, number)) is not None:
        return None, others
    if begins_with_cap(view, number):
        return None, at + 1
    if number.over is not None and number.over not in view.caps and 0 < number.over - number.value <= 2:
        return Expression("unsure", number.over, number.start, number.end), number.end
    joined = number.start > view.sentence.start and not view.breaks(number.start)
    if joined and words[number.start - 1] == "all" and words[number.start - 2] not in ("at", "in"):
        return (Expression("share", Decimal(1), number.start, number.end) if _all(view, number) else None), number.end
    if (year := year_end(view, number)) is not None:
        return None, year
    if decoy(view, number):
        return None, number.end - _runs_on(view, number)
    if number.over is not None:
        return Expression("value", number.value, number.start, number.end, over=number.over), number.end
    if supposed(view, number):
        return None, number.end
    expression = _plain(view, number, heard or number.heard)
    return expression, max(number.end, expression.end) if expression else number.end


def _with_cap(
    view: SentenceView, number: Number, end: int, cap: Decimal, heard: bool
) -> tuple[Expression | None, int] | None:
    """A figure with its `cap`, which ends before word `end`: a value, or what is taken off it."""
    if heard and (number.value > cap or _behind_figure(view, number)):
        return None  # 'two and a half, then, from three' says no ten
    if number.value > cap and _runs_on(view, number):
        return None, number.end - 1  # 'at three pound forty | eight out of ten'
    counted = (scale_word(view, end) or _measured(view, end)) and not (
        view.reading.running and view.words[end : end + 1] == ["more"]
    )
    rated = cap == TEN and rates_aspect(view.reading, number)
    if counted or rated or number.value % QUARTER or supposed(view, number):
        return None, end
    if number.spelled and number.value < 1 and view.words[number.end] == "of":
        if (stop := off_after(view, end)) is not None and view.score_ends(stop):  # 'a quarter of the twenty goes'
            return Expression("off", number.value * cap, number.start, stop), stop
        share = Expression("share", number.value, number.start, end) if view.score_ends(end) else None
        return share, end  # 'half of the ten'
    stop = off_after(view, end) if number.value * 2 <= cap else None
    if stop and not score_words("taken").isdisjoint(view.words[end:stop]):
        return Expression("off", number.value, number.start, stop, over=cap), stop  # 'one of its five points is gone'
    found = taken_of_cap(view, number, end, cap) or Expression("value", number.value, number.start, end, over=cap)
    return replace(found, heard=heard or number.heard), end


def _measured(view: SentenceView, at: int) -> bool:
    """Whether things with their measure follow at word `at`, which are counted: 'one of the ten, | 16 oz bottles'."""
    size = number_before(view.words, at, view.sentence.end) if at < view.sentence.end else None
    return size is not None and scale_word(view, size.end) and scale_word(view, size.end + 1)


def _all(view: SentenceView, number: Number) -> bool:
    """Whether the figure behind 'all' is the cap, and given: 'I give it all three', 'all three of them'."""
    given = (
        number.end == view.sentence.end
        or view.ends_at("value_before", number.start - 1) is not None
        or view.words[number.end : number.end + 2] in (["of", "them"], ["of", "'em"])
    )
    return given and view.own_cap == number.value


def _behind_figure(view: SentenceView, number: Number) -> bool:
    """Whether a word that is misheard for a figure stands right behind one: 'fifteen then out of the twenty'."""
    at = number.start
    return at > view.sentence.start and number_before(view.words, at - 1, at) is not None


def _runs_on(view: SentenceView, number: Number) -> bool:
    """Whether, in running text, the last word of a figure that is none may be the first of a score: 'three point three
    | two off', 'one pound ninety | seven'."""
    if not view.reading.running or not number.spelled:
        return False
    last = number_before(view.words, number.end - 1, number.end)
    strange = "point" in view.words[number.start : number.end] and number.value % QUARTER
    paid = number.start > 0 and view.words[number.start - 1] in score_words("no_score_before")
    priced = bool(strange) or (paid and number.end == number.start + 2)
    return priced and last is not None and last.value >= 1


def _changed(view: SentenceView, at: int) -> Expression | None:
    """'take that thirteen down to twelve', 'make that fifteen a fourteen', 'that fifteen, I'll make it a fourteen': the
    value that comes instead of another."""
    words, last = view.words, view.sentence.end
    old = number_before(words, at, _edge(view, at))
    if old is None:
        return None
    led = (
        at - 2 >= view.sentence.start and words[at - 1] in ("that", "this") and words[at - 2] in score_words("changes")
    )
    onward = words[old.end : old.end + 1] == ["to"]
    if onward:
        led |= words[at - 1] in ("change", "correct") or _moves_from(view, at)
    if (onward or words[old.end : old.end + 2] in DOWN_TO) and words[at - 1] == "the":
        led |= words[at - 2] in score_words("changes") and _meant(view, at - 2)
        led |= words[at - 2] in score_words("brings") and words[at - 3] in ("that", "which", "it", "this")
    becomes = old.end < last and words[old.end] == "becomes"
    if (dropped := _not_the_other(view, old)) is not None:
        end = old.end if words[old.end] == "not" else dropped.end
        return Expression("value", old.value, at, end, instead=dropped.value)
    to = old.end + becomes if led or becomes else _made(view, at, old.end)
    if to is None:
        return None
    while to < last and words[to] in score_words("changing") and not view.breaks(to):
        to += 1
    new = number_before(words, to, last, heard=words[to] in score_words("certain")) if old.end < to < last else None
    if new is None or new.over is not None:
        return None
    return Expression("value", new.value, at, new.end, instead=old.value)


def _not_the_other(view: SentenceView, number: Number) -> Number | None:
    """The figure that another one comes instead of at the end of a sentence: 'three and a half, not | four', 'nine
    instead of | eight', 'thirteen over the | sixteen'."""
    words, end = view.words, number.end
    behind = 1 if words[end : end + 1] == ["not"] else 2 if words[end : end + 2] in NOT_THAT else 0
    if not behind or number.over is not None or decoy(view, number):
        return None
    at = end + behind + (words[end + behind : end + behind + 1] in (["a"], ["an"], ["the"]))
    dropped = number_before(words, at, view.sentence.end, heard=behind > 1) if at < view.sentence.end else None
    if dropped is None:
        return None
    reasoned = behind > 1 and view.words[dropped.end : dropped.end + 1] in ([word] for word in REASONS)
    return dropped if reasoned or dropped.end == view.sentence.end else None


def _moves_from(view: SentenceView, at: int) -> bool:
    """Whether a value is one that is left for another: 'goes up a half from | three'."""
    before = view.words[max(view.sentence.start, at - MOVED) : at]
    return before[-1:] == ["from"] and not score_words("moves_from").isdisjoint(before)


def _made(view: SentenceView, at: int, behind: int) -> int | None:
    """Behind the words that change the value at word `at`, which ends before `behind`: 'that seven | I'll make it |
    six', 'the nine | goes down to | eight'."""
    definite = at > view.sentence.start and view.words[at - 1] in score_words("definite")
    if not (definite or view.begins(at)):
        return None
    if _moves(view, at, behind):
        to = behind + 1 + (view.words[behind + 1] in score_words("which_way"))
        return to + 1 if view.words[to : to + 1] == ["to"] else None
    if not definite:
        return None
    if view.words[behind : behind + 2] in RECALLED:  # 'that seventeen I gave it, …, so make it sixteen'
        places: Iterable[int] = (k for k in range(behind, view.sentence.end) if _meant(view, k))
    else:
        places = range(behind, min(behind + MADE_BEHIND, view.sentence.end))
    ends = (view.starts_at("makes_it", k) for k in places)
    return next((end for end in ends if end is not None), None)


def _meant(view: SentenceView, at: int) -> bool:
    """Whether the verb at word `at` is what the taster does or asks for, and not only what might be done: 'so make it',
    'I'll knock', not 'I'd knock', 'don't move'."""
    led = at > view.sentence.start and view.words[at - 1] in score_words("meant")
    return at >= view.sentence.start and (led or view.begins(at)) and not view.asks()


def _moves(view: SentenceView, at: int, behind: int) -> bool:
    """Whether the value at word `at` moves to another by the verb at word `behind`, which no unit follows."""
    goes = behind + 1 < view.sentence.end and view.words[behind] in score_words("moves_to")
    new = next(
        (n for k in range(behind + 2, behind + 5) if (n := number_before(view.words, k, view.sentence.end))), None
    )
    return goes and view.words[at] != "one" and new is not None and view.score_ends(new.end)


def _plain(view: SentenceView, number: Number, heard: bool) -> Expression | None:
    """A figure without a cap: taken off, added, or a value."""
    words = view.words
    if taken := taken_off(view, number):
        cap = _over(view, taken.end) or _off_cap(view, taken.end)  # 'three off from ten'
        return replace(taken, heard=heard, end=cap[0], over=cap[1]) if cap else replace(taken, heard=heard)
    previous = words[number.start - 1] if number.start > view.sentence.start else ""
    summing = score_words("summing").intersection(words[max(view.sentence.start, number.start - 4) : number.start])
    moved = number.value <= 3 and not summing  # 'tot it up: three, …'
    if view.starts_at("up_behind", number.end) is not None and moved:
        return Expression("up", number.value, number.start, number.end)  # 'and half more on top'
    verbs = words[max(view.sentence.start, number.start - BY) : number.start]
    if previous == "by" and not score_words("lowering").isdisjoint(verbs):
        return Expression("off", number.value, number.start - 1, number.end, again=True)
    if (previous == "by" and view.cue("up")) or (previous == "up" and moved):
        return Expression("up", number.value, number.start, number.end)
    if previous == "down" and moved and not _written_down(view, number):
        return Expression("off", number.value, number.start, number.end, again=True)
    if number.value < 1 and number.spelled and number.value != 0:
        return Expression("half", number.value, number.start, number.end)  # no score alone
    kind = "maybe" if possible(view, number) else "off" if _too_few(view, number) else "value"
    return Expression(kind, number.value, number.start, number.end, heard=heard)


def _too_few(view: SentenceView, number: Number) -> bool:
    """Whether so few points can only be lost ones: behind a finding of some words ('the grassy note bothers me: two
    points', of twelve) that names no part, and 'that's a point and a half'."""
    own, words, first, start = view.own_cap, view.words, view.sentence.start, number.start
    if own is None or not 0 < number.value * FIFTH <= own:
        return False
    unit = score_words("unit")
    inside = number.end - start > 2 and words[start + 1] in unit and words[number.end - 1] == "half"
    if inside and words[max(first, start - 2) : start] in (["that", "'s"], ["that", "is"]):
        return True
    end = number.end if inside else number.end + 1
    counted = inside or (number.end < view.sentence.end and words[number.end] in unit)
    long = start - first >= (WINDING if "," in view.reading.breaks[start] else FINDING)
    given = score_words("givers").intersection(words[first:start])
    return counted and long and view.breaks(start) and view.closed(end) and not view.part_hits and not given


def _written_down(view: SentenceView, number: Number) -> bool:
    """Whether a figure behind 'down' is put there, or something else came down: 'I put down three', 'the head went
    down'."""
    verb = view.words[max(0, number.start - 2)]
    falls = verb in score_words("falling") and view.words[number.end : number.end + 1] != ["to"]
    return falls or verb in score_words("writes") or (view.reading.running and view.over_half(number.value))


def _off_cap(view: SentenceView, at: int) -> tuple[int, Decimal] | None:
    """(end, cap) of the part's cap right behind 'off': 'three off | the twelve'."""
    at += view.words[at : at + 1] == ["the"]
    if view.words[at - 2 : at] != ["off", "the"] or at >= view.sentence.end:
        return None
    cap = _cap_at(view, at)
    return (cap.end, cap.value) if cap and view.own_cap == cap.value else None
