"""The score expressions of one sentence: '10/12', 'ten of the twelve', 'two off', 'full marks', 'eight or nine'."""

from __future__ import annotations

from decimal import Decimal
from functools import lru_cache

from notes2sheet.numbers import Number, begins_number, number_before
from notes2sheet.score_asides import without_explanations, without_ranges, without_recalled
from notes2sheet.score_parts import located
from notes2sheet.score_unsure import unsure_pairs
from notes2sheet.score_view import Expression, SentenceView, score_words

QUARTER = Decimal("0.25")
CENTURIES = (17, 18, 19, 20)  # a year begins with
BEFORE_POINT = {"a", "one", "the", "another"}  # 'a point', 'the mark'
BEHIND_ANOTHER = {"for", "off", "gone", "because", "there", "lost"}  # 'another point for that'
SHARES = {"full": Decimal(1), "half": Decimal("0.5"), "three_quarters": Decimal("0.75")}


def _over(view: SentenceView, at: int) -> tuple[int, Decimal] | None:
    """A cap said after a value: (end, cap) for 'out of twelve', 'of the 20', 'from five', '/ 12', 'marks of five'."""
    words, last = view.words, view.sentence.end
    pause: str | bool = False
    if view.slash(at):
        if view.slash(at - 1) or view.slash(at + 1):
            return None  # '3/10/15/4/8'
        end = at
    else:
        if at < last and words[at] in ("points", "marks", "point", "mark") and not view.breaks(at):
            at += 1
        end = view.starts_at("over", at)
        pause = view.breaks(at) and view.reading.breaks[at].strip()
        if end is None or pause not in ("", ",", False):
            return None
        while end < last and words[end] in score_words("before_cap"):
            end += 1
    if (
        end < last
        and (cap := number_before(words, end, _edge(view, end)))
        and cap.value in view.caps
        and cap.over is None
        and (not pause or view.sentence.category in view.caps[cap.value])  # 'nine, out of your twelve'
    ):
        return cap.end, cap.value
    return None


def _edge(view: SentenceView, at: int) -> int:
    """The word before which the figures that begin at `at` end at the latest: the next punctuation."""
    end = at + 1
    while end < view.sentence.end and not view.breaks(end):
        end += 1
    return end


def _scale_word(view: SentenceView, end: int) -> bool:
    """Whether the figures are followed by a unit, so that they are no score."""
    word = view.words[end] if end < view.sentence.end else ""
    if (view.starts_at("decoy_after", end) or end) - end > 1 and not view.breaks(end):
        return True  # 'four of us'
    if word in score_words("point"):
        return False
    return view.starts_at("decoy_after", end) is not None and not view.breaks(end)


def _decoy(view: SentenceView, number: Number) -> bool:
    value = number.value
    if value > 100 or (number.over is None and value % QUARTER and value != Decimal("0.333")):
        return True
    if number.over is not None and (number.over not in view.caps or value % QUARTER):
        return True
    if _scale_word(view, number.end):
        return True
    before = number.start
    previous = view.words[before - 1] if before > view.sentence.start else ""
    if previous in score_words("no_score_before") and not view.breaks(before):
        return True
    if view.words[before] == "one" and number.over is None and not _one_counts(view, number):
        return True
    if number.over is None and value in view.caps and _cap_recalled(view, number):
        return True
    if value == 0 and number.over is None and not _points_follow(view, number.end):
        return True  # 'hops zero'
    if view.ends_at("decoy_before", before) is not None and before > view.sentence.start and number.over is None:
        return not view.breaks(before) or view.words[before - 1] in ("table", "entry", "flight", "episode")
    return False


def _of_others(view: SentenceView, number: Number) -> int | None:
    """Behind 'three out of four of these': so many of some things, where the second figure is no cap."""
    over = view.starts_at("over", number.end)
    counted = number_before(view.words, over, view.sentence.end) if over is not None else None
    if counted is None or counted.value in view.caps or view.words[counted.end : counted.end + 1] != ["of"]:
        return None
    return counted.end


def _year_end(view: SentenceView, number: Number) -> int | None:
    """Behind the second of two figures that tell a year: 'in nineteen eighty-one', 'back in twenty twenty-four'."""
    told = number.start > view.sentence.start and view.words[number.start - 1] in score_words("before_year")
    behind = number_before(view.words, number.end, view.sentence.end) if told and number.value in CENTURIES else None
    if behind is None or not 10 <= behind.value < 100 or behind.over is not None or view.breaks(number.end):
        return None
    return behind.end


def _one_counts(view: SentenceView, number: Number) -> bool:
    """Whether 'one' is a figure, not a pronoun: a word for giving or taking stands beside it, or nothing before it."""
    at = number.start
    if at == view.sentence.start or view.breaks(at) or number.end > at + 1 or _points_follow(view, number.end):
        return True
    if view.words[at - 1] in score_words("pronoun"):
        return False
    return (
        view.ends_at("value_before", at) is not None
        or view.words[at - 1] in ("up", "down", "by", "another", "further")
        or _takes(view, at, at + 1)
    )


def _points_follow(view: SentenceView, at: int) -> bool:
    return at < view.sentence.end and view.words[at] in score_words("point")


def _cap_recalled(view: SentenceView, number: Number) -> bool:
    """Whether the figure recalls the cap: 'off the twenty', 'shy of the full ten', 'twelve being the most'."""
    at = number.start
    behind = view.words[number.end : min(number.end + 6, view.sentence.end)]
    if behind[:1] == ["and"] and len(behind) > 1 and begins_number(behind[1]):
        behind = behind[2:]  # 'three and twelve being the most'
    if behind and behind[0] in ("is", "being", "as", "points", "marks") and score_words("cap").intersection(behind[:4]):
        return True
    before = view.words[max(view.sentence.start, at - 3) : at]
    if before[-1:] in (["on"], ["over"]) or (before[-1:] == ["from"] and behind[:1] != ["to"]):
        return True
    return (
        before[-1:] in (["the"], ["full"])
        and any(w in ("of", "off", "from", "out") for w in before)
        and "take" not in before
    )


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
            out.append(expression)
    out = without_ranges(view, without_recalled(view, out))
    return unsure_pairs(view, without_explanations(view, located(view, out)))


def _whole_share(view: SentenceView, start: int, end: int) -> bool:
    """Whether a phrase for a share of the cap stands for a score: not 'max' before a figure, not what is taken off."""
    named = next((n.value for k in range(start, end) if (n := number_before(view.words, k, end))), None)
    own = view.own_caps.get(view.sentence.category)
    if named is not None and own is not None and named >= 1 and named != own:
        return False
    return _taken_before(view, start) is None


@lru_cache(maxsize=65536)
def _may_begin(word: str) -> bool:
    """Whether an expression with a figure can begin with `word`."""
    return word in BEFORE_POINT or begins_number(word, heard=True)


def _number_expression(view: SentenceView, at: int) -> tuple[Expression | None, int] | None:
    words = view.words
    number = _point_and_a_half(view, at) or number_before(words, at, _edge(view, at))
    heard = False
    if number is None:
        number = number_before(words, at, _edge(view, at), heard=True)
        if number is None or not (_over(view, number.end) or (number.value % 1 and number.end - at > 1)):
            return None
        heard = True
    if number.over is None and (cap := _over(view, number.end)):
        if heard and number.value > cap[1]:
            return None  # 'two and a half, then, from three' says no ten
        if _scale_word(view, cap[0]) or number.value % QUARTER or _supposed(view, number):
            return None, cap[0]
        return Expression("value", number.value, number.start, cap[0], over=cap[1], heard=heard), cap[0]
    if (others := _of_others(view, number)) is not None:
        return None, others
    if number.over is not None and number.over not in view.caps and 0 < number.over - number.value <= 2:
        return Expression("unsure", number.over, number.start, number.end), number.end
    if words[number.start - 1] == "all" and number.start > view.sentence.start:
        whole = view.own_caps.get(view.sentence.category) == number.value and number.end == view.sentence.end
        return (Expression("share", Decimal(1), number.start, number.end) if whole else None), number.end
    if (year := _year_end(view, number)) is not None:
        return None, year
    if _decoy(view, number):
        return None, number.end
    if number.over is not None:
        return Expression("value", number.value, number.start, number.end, over=number.over), number.end
    if _supposed(view, number):
        return None, number.end
    expression = _plain(view, number, heard)
    return expression, max(number.end, expression.end) if expression else number.end


def _point_and_a_half(view: SentenceView, at: int) -> Number | None:
    """'a point and a half', 'a point', 'half a point', 'a couple of points' before or after a word for taking off."""
    words, last = view.words, view.sentence.end
    ahead = words[at : min(at + 5, last)]
    if ahead[:2] in (
        ["a", "point"],
        ["a", "mark"],
        ["one", "point"],
        ["one", "mark"],
        ["the", "point"],
        ["the", "mark"],
    ):
        if ahead[2:5] == ["and", "a", "half"]:
            return Number(at, at + 5, Decimal("1.5"), True)
        if ahead[0] in ("a", "the") and _takes(view, at, at + 2):
            return Number(at, at + 2, Decimal(1), True)
    if ahead[:2] in (["another", "point"], ["another", "mark"]) and (
        _takes(view, at, at + 2) or not ahead[2:3] or ahead[2] in BEHIND_ANOTHER
    ):
        return Number(at, at + 2, Decimal(1), True)
    if ahead[:2] == ["a", "couple"] and _takes(view, at, at + 2 + (ahead[2:4] == ["of", "points"]) * 2):
        return Number(at, at + 2, Decimal(2), True)
    return None


def _takes(view: SentenceView, start: int, end: int) -> bool:
    return _taken_before(view, start) is not None or _off_after(view, end) is not None


def _taken_before(view: SentenceView, at: int) -> int | None:
    """The start of a phrase for taking off that stands before word `at`, small words between them passed over."""
    if view.signed(at):
        return at
    begin = at
    while begin > view.sentence.start and at - begin < 4 and view.words[begin - 1] in score_words("small"):
        begin -= 1
    for k in range(begin, at + 1):
        if (start := view.ends_at("take_before", k)) is not None and not any(view.breaks(j) for j in range(k, at + 1)):
            return start
    return None


def _off_after(view: SentenceView, at: int) -> int | None:
    """The end of a phrase that marks what stands before it as taken off."""
    end = at
    while end < view.sentence.end and end - at < 3 and view.words[end] in score_words("before_off"):
        end += 1
    for k in range(at, min(end + 1, view.sentence.end)):
        stop = view.starts_at("off_after", k)
        if stop is None or any(view.breaks(j) for j in range(at, k + 1)):
            continue
        if (
            view.words[k] == "minus" and number_before(view.words, stop, view.sentence.end)
            if stop < view.sentence.end
            else False
        ):
            continue  # 'four minus one': the first figure stands
        return stop
    return _verb_behind(view, at)


def _verb_behind(view: SentenceView, at: int) -> int | None:
    """The end of a verb for taking off that stands a few words after 'N points' ('one point I take away')."""
    if at >= view.sentence.end:
        return None
    if view.words[at] == "from" and any(at < start <= at + 2 for start, _, _ in view.part_hits):
        return at + 1  # 'four from the flavor'
    if view.words[at] not in ("point", "points", "mark", "marks"):
        return None
    for k in range(at + 1, min(at + 6, view.sentence.end)):
        if view.breaks(k):
            return None
        if (stop := view.starts_at("take_before", k)) is not None:
            return stop
    return None


def _plain(view: SentenceView, number: Number, heard: bool) -> Expression | None:
    """A figure without a cap: taken off, added, or a value."""
    words = view.words
    if taken := _taken(view, number):
        return taken
    previous = words[number.start - 1] if number.start > view.sentence.start else ""
    summing = score_words("summing").intersection(words[max(view.sentence.start, number.start - 4) : number.start])
    moved = number.value <= 3 and not summing  # 'tot it up: three, …'
    if (previous == "by" and view.cue("up")) or (previous == "up" and moved):
        return Expression("up", number.value, number.start, number.end)
    if previous == "down" and moved:
        return Expression("off", number.value, number.start, number.end, again=True)
    if number.value < 1 and number.spelled and number.value != 0:
        return None  # 'half' alone is no score
    kind = "maybe" if _possible(view, number) else "value"
    return Expression(kind, number.value, number.start, number.end, heard=heard)


def _taken(view: SentenceView, number: Number) -> Expression | None:
    """The figure as points taken off, where a word before or behind it says so."""
    words = view.words
    before, after = _taken_before(view, number.start), _off_after(view, number.end)
    if number.value < 1 and words[number.end : number.end + 2] in (["a", "point"], ["a", "mark"], ["of", "a"]):
        after = after or number.end + 2
    if before is not None and after is None and _takes_a_value(view, number, before):
        before = None
    near = words[max(view.sentence.start, number.start - 3) : number.start]
    again = words[number.start] == "another" or any(w in ("another", "further", "more", "extra") for w in near)
    if again and after is None and before is None and number.value <= 3:
        after = number.end
    if after is None and before is None:
        return None
    verb = words[before] if before is not None else ""
    if verb.startswith("drop") and near[-1:] == ["to"]:
        return None  # 'dropping to seven' gives a value
    return Expression(
        "off", number.value, number.start if before is None else before, number.end if after is None else after,
        again=again, imperative=verb in score_words("imperative"),
    )  # fmt: skip


def _takes_a_value(view: SentenceView, number: Number, verb_at: int) -> bool:
    """Whether 'take' or a dash gives a value ('the nose takes nine'): more than half the cap, and no 'off'."""
    words = view.words
    cap = view.own_caps.get(view.sentence.category)
    signed = verb_at == number.start  # 'aroma -9'
    plain = signed or (words[verb_at].startswith("tak") and "off" not in words[verb_at : number.start])
    return plain and cap is not None and number.value * 2 > cap


def _supposed(view: SentenceView, number: Number) -> bool:
    """Whether a value is only what would be: 'it would be a nine', 'had it been fresh, ten', 'nine if it were dry'."""
    begin = number.start
    while begin > view.sentence.start and view.words[begin - 1] not in score_words("turn"):
        begin -= 1
    if view.starts_at("only_if", number.end) is not None and not view.breaks(number.end):
        return True
    if any(name == "supposed" and begin <= start and end <= number.start for start, end, name in view.hits):
        return True
    before = view.words[max(begin, number.start - 6) : number.start]
    asked = number.end == view.sentence.end and "could" in before and view.asks()
    verbs = {"be", "been", "being", "get", "gone", "given", "said", "scored"}
    return asked or (bool({"would", "'d"} & set(before)) and bool(verbs & set(before)))


def _possible(view: SentenceView, number: Number) -> bool:
    """Whether a value is only possible: 'might be a seven', 'seven and a half maybe'."""
    if view.ends_at("maybe", number.start) is not None:
        return True
    return (
        number.end < view.sentence.end
        and view.words[number.end] in ("maybe", "perhaps")
        and not view.breaks(number.end)
    )
