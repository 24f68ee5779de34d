"""Figures that are no scores: measures, years, caps that are only recalled, 'one' as a pronoun."""

from __future__ import annotations

import re
from decimal import Decimal

from notes2sheet.features import function_words
from notes2sheet.intensities import is_intensity
from notes2sheet.numbers import QUARTER, Number, begins_number, number_before
from notes2sheet.score_off import (
    NOT,
    another_would_take,
    more_taken,
    off_after,
    taken_before,
    takes,
    would_be_wrong_to_take,
)
from notes2sheet.score_view import SentenceView, score_words
from notes2sheet.transcript import DASHES

GRAVITY = re.compile(r"[01]\.\d{3}(?!\d)")  # common practice: a gravity has three decimals, and a score never
ORDINAL = re.compile(r"\d+(?:st|nd|rd|th)")
CENTURIES = (17, 18, 19, 20)  # a year begins with
NEVER = NOT | {"ca", "can", "never", "to", "wo", "could", "hard"}  # before what is not taken back
OUT = {"one", "out", "again", "half", "bit", "lot", "then", "please"}  # behind 'strike that'
COMPOUND = 4  # the largest figure of a compound: 'three-dimensional'
LAST_WORDS = 6  # of a sentence that takes a figure back
IS = {"is", "'s", "are", "was", "'m"}
AGAIN = 4  # words before a wrong cut, those that take points off among them
BEHIND_MORE = (["for"], ["because"], ["since"], ["off"], ["gone"])


def decoy(view: SentenceView, number: Number) -> bool:
    value = number.value
    if number.over is not None and is_intensity(view.reading, number, view.own_cap):
        return True
    if number.start in view.numbered or _beyond_scale(view, number) or _ordinal(view, number):
        return True
    if would_be_wrong_to_take(view, number.start) or another_would_take(view, number.start):
        return True
    if view.starts_at("up_behind", number.end) is not None:
        return False  # 'half more on top'
    counts = scale_word(view, number.end) and not _part_of_one(view, number)
    if counts or _withdrawn(view, number.end) or _judged(view, number.end):
        return True
    before = number.start
    if view.reading.running and _for_part(view, number.end):
        return False  # 'I was glad of a second | seven for the overall'
    previous = view.words[before - 1] if before > view.sentence.start else ""
    if previous in score_words("no_score_before") and not view.breaks(before):
        return True
    near = view.words[max(view.sentence.start, before - 2) : before]
    if near == ["not", "the"] and not view.breaks(before):
        return True  # 'ten, but not the twelve'
    if _of_scale(view, number) or _compares(view, number.end):
        return True
    if previous == "why" or _or_two(view, number) or _of_the_two(view, number):
        return True  # 'why five and not two?'
    if _not_given(view, number):
        return True
    if near == ["out", "of"] and value not in view.caps:
        return True  # 'one out of two'
    if previous == "of" and ORDINAL.fullmatch(view.words[before - 2]):
        return True  # 'placed 3rd of 6'
    if view.words[before] == "one" and number.over is None and not _one_counts(view, number):
        return True
    if number.over is None and value in view.caps and _cap_recalled(view, number):
        return True
    if value == 0 and number.over is None and not _points_follow(view, number.end) and not _nothing_off(view, number):
        return True  # 'hops zero'
    return number.over is None and not _my_score(view, number) and _led_by_decoy(view, before)


def _of_scale(view: SentenceView, number: Number) -> bool:
    """Whether the figure tells of the scale: 'the last six are for the balance', 'the aroma is worth twelve points'."""
    at = number.start
    near = view.words[max(view.sentence.start, at - 2) : at]
    if near == ["the", "last"]:
        return off_after(view, number.end) is None and taken_before(view, at) is None
    named = any(start < at for start, _, _ in view.part_hits)
    return near[-1:] == ["worth"] and number.value == view.own_cap and named


def _compares(view: SentenceView, at: int) -> bool:
    """Whether a figure that ends before word `at` only says how far a score is from somebody else's: 'two above her',
    'a point higher than his'."""
    words, end = view.words, view.sentence.end
    for table in ("unit", "compared"):
        at += at < end and words[at] in score_words(table)
    against = at + 1 < end and words[at] in score_words("beside") and words[at + 1] in score_words("rival")
    return against and not view.breaks(at)


def _led_by_decoy(view: SentenceView, at: int) -> bool:
    """Whether words before which no score stands lead to the figure at word `at`: 'table | four', not 'that ran them |
    two points'."""
    if view.ends_at("decoy_before", at) is None or at <= view.sentence.start:
        return False
    told = not view.breaks(at) or view.words[at - 1] in ("table", "entry", "flight", "episode")
    return told and taken_before(view, at) is None  # 'dock her | two' takes them off


def _judged(view: SentenceView, at: int) -> bool:
    """Whether a figure that ends before word `at` recalls a value and what it was: 'four and a half was generous', not
    'sixteen was kind of my first thought'."""
    behind = view.words[at : min(at + 3, view.sentence.end)]
    was = behind[:1] in (["was"], ["were"]) and behind[1:] != ["kind", "of"]
    return was and not score_words("judged").isdisjoint(behind[1:])


def _withdrawn(view: SentenceView, at: int) -> bool:
    """Whether a sentence ends by taking back the only figure in it: 'and a half for being lean, no, hang on, strike
    that one out'."""
    words, end = view.words, view.sentence.end
    places = (k for k in range(max(at, end - LAST_WORDS), end - 1) if words[k] in score_words("withdraws"))
    drops = next((k for k in places if words[k + 1] in ("that", "it", "this")), None)
    if drops is None or not NEVER.isdisjoint(words[max(at, drops - 2) : drops]):
        return False  # 'can't scratch it', 'hard to forget that finish'
    return OUT.issuperset(words[drops + 2 : end])


def _ordinal(view: SentenceView, number: Number) -> bool:
    """Whether the figure is the first half of an ordinal, or of another word: 'on the twenty | -first', 'one |
    -dimensional'; not 'two | -off'."""
    at = number.end
    hyphened = at < len(view.words) and view.reading.text[view.reading.ends[at - 1] : view.reading.starts[at]] == "-"
    if not hyphened or view.words[at] in score_words("ordinals"):
        return hyphened
    if number.value > COMPOUND:
        return False  # 'sixteen-solid'
    counted = score_words("unit") | score_words("taken") | score_words("counted") | function_words()
    return (
        number.spelled
        and view.words[at].isalpha()
        and view.words[at] not in counted
        and not begins_number(view.words[at])
    )


def _beyond_scale(view: SentenceView, number: Number) -> bool:
    """Whether no score is such a figure: a gravity, above a hundred, finer than a quarter, over another cap, or a share
    by which something is changed ('less spice, by 1/3')."""
    value, at = number.value, number.start
    if GRAVITY.match(view.words[at]):
        return True
    if value > 100 or number.over is None:
        return value > 100 or (bool(value % QUARTER) and value != Decimal("0.333"))
    share = at > view.sentence.start and view.words[at - 1] == "by" and not view.breaks(at)
    return number.over not in view.caps or bool(value % QUARTER) or (share and value < 2)


def _for_part(view: SentenceView, at: int) -> bool:
    """Whether a part is named right behind a figure that ends before word `at`: 'for looks', 'on the nose'."""
    link = view.words[at : at + 2]
    named = at + 1 + (link[1:] in (["the"], ["its"]))
    return link[:1] in (["for"], ["on"]) and view.names_part_at(named)


def _not_given(view: SentenceView, number: Number) -> bool:
    """Whether the figure at a clause's end is what the score is not: 'it isn't quite a ten', 'it is no ten', 'the haze
    keeps it off the ten'."""
    words, first, at = view.words, view.sentence.start, number.start
    if not view.closed(number.end) or view.reading.running:  # 'the foam isn't | three'
        return False
    while at > first and not view.breaks(at) and words[at - 1] in score_words("below"):
        at -= 1
    before = words[max(first, at - 5) : at]
    if before[-1:] in (["off"], ["from"]):
        return not score_words("bars").isdisjoint(before)
    if view.breaks(at) or len(before) < 2:
        return False
    denied, led = (before[-2], True) if before[-1] == "be" else (before[-1], before[-2] in IS)
    return led and denied in NOT


def _or_two(view: SentenceView, number: Number) -> bool:
    """Whether the figure only loosely counts a thing: 'another ounce or two'."""
    before = view.words[max(view.sentence.start, number.start - 3) : number.start]
    return before[2:] == ["or"] and before[0] in ("a", "an", "another") and not begins_number(before[1])


def _of_the_two(view: SentenceView, number: Number) -> bool:
    """Whether the figure counts what one is chosen of: 'sixteen, seventeen, one of the two'."""
    before = view.words[max(view.sentence.start, number.start - 3) : number.start]
    return number.value == 2 and before[1:] == ["of", "the"] and before[0] in score_words("chosen")


def _my_score(view: SentenceView, number: Number) -> bool:
    """Whether 'my' stands before a score: 'so that's my nine', not 'that's my three kids'."""
    at = number.start
    led = at - 1 > view.sentence.start and view.words[at - 1] == "my" and view.words[at - 2] in ("'s", "is", "thats")
    return led and view.score_ends(number.end) and view.words[at] != "one"


def scale_word(view: SentenceView, end: int) -> bool:
    """Whether the figures are followed by a unit, so that they are no score."""
    word = view.words[end] if end < view.sentence.end else ""
    if (view.starts_at("decoy_after", end) or end) - end > 1 and not view.breaks(end):
        return True  # 'four of us'
    if word == "more" and (view.words[end + 1 : end + 2] in BEHIND_MORE or _costs_more(view, end)):
        return False  # 'and two more because of that', 'which costs it two more'
    if word == "more" and _taken_again(view, end):
        return False
    if word in score_words("point"):
        return False
    return view.starts_at("decoy_after", end) is not None and not view.breaks(end)


def _part_of_one(view: SentenceView, number: Number) -> bool:
    """Whether a figure with a fraction stands before things counted whole: 'two and a half | hops jump out'."""
    return number.value % 1 != 0 and view.words[number.end] in score_words("whole")


def _costs_more(view: SentenceView, end: int) -> bool:
    """Whether a phrase ends with what is lost once more, or goes on so: 'which costs it two | more', 'two | more are
    deducted'."""
    return more_taken(view, end) is not None or (view.closed(end + 1) and taken_before(view, end - 1) is not None)


def _taken_again(view: SentenceView, end: int) -> bool:
    """Whether points are taken off once more in a clause without a verb: 'I deduct two, and for the caramel one |
    more'."""
    at = end + 1
    ends = view.closed(at) or view.words[at] in ("so", "and", "which", "that")
    taken = any(name in ("take_before", "off_after") and start < end - 1 for start, _, name in view.hits)
    if not taken and view.reading.running:  # 'I deduct two | and for the caramel one more'
        before = view.words[max(0, view.sentence.start - AGAIN) : view.sentence.start]
        taken = not score_words("i_take").isdisjoint(before)
    return ends and taken


def begins_with_cap(view: SentenceView, number: Number) -> bool:
    """Whether only the first word of the figures is one, the part's cap: 'from twenty, five and a half gone'; or the
    cap is what points are taken from: 'twelve less three'."""
    own, at = view.own_cap, number.start
    if own is None or number.over is not None:
        return False
    if number.value == own:
        less = view.words[number.end : number.end + 1] in (["less"], ["minus"])
        loss = number_before(view.words, number.end + less, view.sentence.end)
        return loss is not None and (less or _dashed(view, number.end))
    first = number_before(view.words, at, at + 1)
    if number.value <= own or first is None or first.value != own:
        return False
    led = at > view.sentence.start and view.words[at - 1] in ("from", "of", "the")
    return led or off_after(view, number.end, number.value - own) is not None  # 'twenty | three gone for the wort'


def _dashed(view: SentenceView, at: int) -> bool:
    """Whether a dash alone stands before word `at`, or is its sign: '3 - 0.5', '5 -1'."""
    return view.reading.breaks[at].strip() in tuple(DASHES) or view.signed(at)


def of_others(view: SentenceView, number: Number) -> int | None:
    """Behind 'three out of four of these': so many of some things, where the second figure is no cap."""
    over = view.starts_at("over", number.end)
    counted = number_before(view.words, over, view.sentence.end) if over is not None else None
    if counted is None or counted.value in view.caps or view.words[counted.end : counted.end + 1] != ["of"]:
        return None
    return counted.end


def year_end(view: SentenceView, number: Number) -> int | None:
    """Behind the second of two figures that tell a year: 'in nineteen eighty-one', 'back in twenty twenty-four'."""
    before = view.words[max(view.sentence.start, number.start - 2) : number.start]
    told = before[-1:] != [] and before[-1] in score_words("before_year") and before != ["out", "of"]
    behind = begins_year(view, number) if told else None
    return behind.end if behind is not None and behind.over is None else None


def begins_year(view: SentenceView, number: Number) -> Number | None:
    """The figure that makes a year of the one before it: 'twenty | twenty-four'."""
    behind = number_before(view.words, number.end, view.sentence.end) if number.value in CENTURIES else None
    return behind if behind is not None and 10 <= behind.value < 100 and not view.breaks(number.end) else None


def _one_counts(view: SentenceView, number: Number) -> bool:
    """Whether 'one' is a figure, not a pronoun: a word for giving or taking stands beside it, or nothing before it."""
    at = number.start
    if view.words[number.end : number.end + 2] in (["of", "those"], ["of", "these"], ["of", "them"], ["of", "the"]):
        return False
    if view.begins(at) or number.end > at + 1 or _points_follow(view, number.end):
        return True
    if view.words[number.end : number.end + 1] == ["more"] and _taken_again(view, number.end):
        return True
    if view.words[at - 1] in score_words("pronoun"):
        return False
    return (
        view.ends_at("value_before", at) is not None
        or view.words[at - 1] in ("up", "down", "by", "another", "further")
        or takes(view, at, at + 1)
        or view.words[number.end : number.end + 1] in (["because"], ["since"])
    )


def _aside_cap(view: SentenceView, at: int) -> bool:
    """Whether the figure at word `at` stands behind a word for 'out of'."""
    over = view.ends_at("over", at)
    return over is not None and view.words[over].startswith(("out", "oot")) and view.words[over : over + 1] != ["out"]


def _points_follow(view: SentenceView, at: int) -> bool:
    return at < view.sentence.end and view.words[at] in score_words("point")


def _nothing_off(view: SentenceView, number: Number) -> bool:
    """Whether a zero with its sign stands alone: 'white foam, lasts. -0'."""
    apart = view.begins(number.start) or "(" in view.reading.breaks[number.start]
    return view.signed(number.start) and apart and (view.closed(number.end) or ")" in view.reading.breaks[number.end])


def _called_cap(view: SentenceView, at: int, behind: list[str]) -> bool:
    """Whether the words `behind` a figure, from word `at` on, call it the cap: 'three is the most', 'only twelve
    on offer', 'twelve available'."""
    if not behind:
        return False
    if behind[0] in ("is", "'s", "being", "as", "points", "marks") and score_words("cap").intersection(behind[:4]):
        return True
    return not view.breaks(at) and (behind[:2] == ["on", "offer"] or behind[0] in score_words("cap"))


def _cap_recalled(view: SentenceView, number: Number) -> bool:
    """Whether the figure recalls the cap: 'off the twenty', 'shy of the full ten', 'twelve being the most'."""
    at = number.start
    behind = view.words[number.end : min(number.end + 6, view.sentence.end)]
    if behind[:1] == ["and"] and len(behind) > 1 and begins_number(behind[1]):
        behind = behind[2:]  # 'three and twelve being the most'
    if _called_cap(view, number.end, behind) or _aside_cap(view, at):
        return True  # 'twelve available', 'eight, I reckon, outta ten'
    before = view.words[max(view.sentence.start, at - 3) : at]
    told = [w for w in view.words[max(view.sentence.start, at - 4) : at] if w not in score_words("before_cap") - {"of"}]
    if before[-1:] != ["of"] and told[-2:] == ["out", "of"]:
        return True  # 'nine and a half for the nose, out of your twelve'
    if before[-2:] == ["which", "is"] and behind[:1] in ([], ["points"], ["marks"]) and view.part_hits:
        return True  # 'lastly the overall impression, which is ten points'
    if before[-1:] == ["to"] and {"only", "up"}.intersection(view.words[max(view.sentence.start, at - 4) : at - 1]):
        return number.value == view.own_cap  # 'it goes only to five'
    if before[-1:] in (["is"], ["'s"], ["being"]) and before[-2:-1] and before[-2] in score_words("limits"):
        return number.value == view.own_cap  # 'the limit is five'
    if "maximum" in before[-2:] or before[-1:] == ["max"]:
        return True  # '2. AROMA (max 12)', 'the maximum is three'
    if before[-1:] == ["of"] and number.value == view.own_cap:
        return True  # what stands before was not understood
    if (
        before[-2:] == ["out", "of"]
        or (before[-1:] == ["on"] and not view.breaks(at) and not _on_its_own(view, at, before[-2:-1]))
        or before[-1:] == ["over"]
        or (before[-1:] == ["from"] and behind[:1] != ["to"])
    ):
        return True
    return (
        before[-1:] in (["the"], ["full"])
        and any(w in ("of", "off", "from", "out") for w in before)
        and "take" not in before
    )


def _on_its_own(view: SentenceView, at: int, before: list[str]) -> bool:
    """Whether 'on' before word `at` leads to no cap: 'spot on three', and in running text 'the head hangs on | 3'."""
    return not score_words("exact").isdisjoint(before) or (
        view.reading.running and view.score_ends(at + 1) and not score_words("lasts").isdisjoint(before)
    )
