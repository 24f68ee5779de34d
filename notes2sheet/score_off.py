"""Points taken off: 'two off', 'dock it one', 'minus a half', 'one point I take away', 'lose four of the twenty'."""

from __future__ import annotations

from decimal import Decimal

from notes2sheet.numbers import Number, begins_number, number_before
from notes2sheet.score_view import Expression, SentenceView, score_words
from notes2sheet.unlisted import common_words

HELPED = 7  # words, 'I' among them, up to the verb in 'two I'm going to have to | withhold'
BEFORE_BACK = {"a", "an", "the", "that", "it", "it's", "its", "back", "them", "her", "him"}  # before points given back
MOST_BACK = 3  # points that are given back at most
NOT = {"not", "n't", "no", "never"}  # right before what is denied
LOWERED = {"a", "by", "to", "half", "one"}  # behind a value and 'down'
HALF_OF = (["a", "point"], ["a", "mark"], ["of", "a"], ["of", "one"])  # behind 'half'
FADES = (["lost"], ["dropped"], ["missing"])  # what a beer does, rather than points
HAVE = ("have", "'ve", "has", "had", "got", "'d", "a", "an")  # before a figure that is 'down' on paper
LEADS_IN = ("so", "and", "then", "right", "okay")  # before those words at a sentence's beginning
BEGINNINGS = (["off"], ["off", "with"], ["off", "w/"])


def takes(view: SentenceView, start: int, end: int) -> bool:
    return taken_before(view, start) is not None or off_after(view, end) is not None


def taken_before(view: SentenceView, at: int) -> int | None:
    """The start of a phrase for taking off that stands before word `at`, small words between them passed over."""
    if view.signed(at):
        return at
    if _begins_with_off(view, at):
        return view.sentence.start
    if (off := _off_the_cap(view, at)) is not None:
        return off
    begin = at
    while begin > view.sentence.start and at - begin < 4 and view.words[begin - 1] in score_words("small"):
        begin -= 1
    for k in range(begin, at + 1):
        if (start := view.ends_at("take_before", k)) is not None and not any(view.breaks(j) for j in range(k, at + 1)):
            return None if _in_share(view, start) or _would_be_wrong(view, start) else start
    return None


def would_be_wrong_to_take(view: SentenceView, at: int) -> bool:
    """Whether the figure at word `at` is what it would be wrong to take off."""
    verbs = range(max(view.sentence.start, at - 3), at)
    return any(_would_be_wrong(view, k) and view.starts_at("take_before", k) is not None for k in verbs)


def another_would_take(view: SentenceView, at: int) -> bool:
    """Whether the figure at word `at` is what somebody else would take off: 'Thandi would take eight'."""
    words, first = view.words, view.sentence.start
    verbs = (k for k in range(max(first + 2, at - 3), at) if view.starts_at("take_before", k) is not None)
    return any(words[k - 1] in ("would", "'d") and _person(view, k - 2) for k in verbs)


def _person(view: SentenceView, at: int) -> bool:
    """Whether word `at` of the sentence stands for somebody: 'she', or a name."""
    word, begins = view.words[at], at == view.sentence.start
    if view.reading.running or (begins and word not in ("he", "she", "they")):
        return word in ("he", "she", "they") or word not in common_words()
    return word in ("he", "she", "they") or (view.reading.raw[at][:1].isupper() and word != "i")


def _would_be_wrong(view: SentenceView, at: int) -> bool:
    """Whether a verb for taking off at word `at` is what it would be wrong to do: 'it's daft to lose a point'."""
    words, first = view.words, view.sentence.start
    led = at - 2 >= first and words[at - 1] == "to" and words[at - 2] in score_words("wrong")
    return led and NOT.isdisjoint(words[max(first, at - 4) : at - 2])


def _in_share(view: SentenceView, at: int) -> bool:
    """Whether word `at` stands inside a phrase for the whole cap: 'nothing to | take off three out of three'."""
    return any(name == "full" and start < at < end for start, end, name in view.hits)


def _begins_with_off(view: SentenceView, at: int) -> bool:
    """Whether a sentence begins so that the figure at word `at` is taken off: 'Off 3 for the soap.', not 'off ten I
    take one'."""
    begin = view.sentence.start
    while begin < at and view.words[begin] in LEADS_IN:
        begin += 1
    if not 0 < at - begin < 3 or view.words[begin:at] not in BEGINNINGS or view.breaks(at):
        return False
    number = number_before(view.words, at, view.sentence.end)
    own = view.own_cap
    if view.reading.running and number is not None and view.over_half(number.value):
        return False  # 'it knocks your boots off | seventeen for taste'
    return number is None or (number.value != own if own else number.value not in view.caps)


def given_back(view: SentenceView, number: Number) -> int | None:
    """The end of words that give points back which were taken off: 'I give half a point of it back', 'I'll hand back
    one', 'I return the half'."""
    words, at = view.words, number.start
    while at > view.sentence.start and number.start - at < HELPED and words[at - 1] in BEFORE_BACK:
        at -= 1
    verb = words[at - 1] if at > view.sentence.start else ""
    if number.value > MOST_BACK or verb not in score_words("gives_back") or view.breaks(at):
        return None
    if "if" in words[number.end : view.sentence.end]:
        return None  # 'I'd give one back if it were livelier'
    if verb in score_words("returns") or "back" in words[at : number.start]:
        return number.end
    near = range(number.end, min(number.end + HELPED, view.sentence.end))
    back = next((k for k in near if words[k] == "back"), None)
    unbroken = back is not None and not any(map(view.breaks, range(number.end, back + 1)))
    return back + 1 if back is not None and unbroken else None


def _off_the_cap(view: SentenceView, at: int) -> int | None:
    """The 'off' of 'off the ten one for the wax', where the figure begins at word `at`."""
    words, cap = view.words, at - 1
    if cap <= view.sentence.start or not begins_number(words[cap]) or view.breaks(at):
        return None
    number = number_before(words, cap, at)
    off = cap - 1 - (words[cap - 1] in ("the", "your", "its"))
    led = off >= view.sentence.start and words[off] == "off"
    return off if led and number is not None and number.value in view.caps else None


def off_after(view: SentenceView, at: int, value: Decimal | None = None) -> int | None:
    """The end of a phrase that marks what stands before it, a figure of this `value`, as taken off."""
    if (stop := more_taken(view, at)) is not None:
        return stop
    if (stop := _i_take(view, at, value)) is not None:
        return stop
    end = at
    while end < view.sentence.end and end - at < 3 and view.words[end] in score_words("before_off"):
        end += 1
    for k in range(at, min(end + 1, view.sentence.end)):
        stop = view.starts_at("off_after", k)
        if stop is None or any(view.breaks(j) for j in range(at, k + 1)) or _keeps_doing(view, k, stop):
            continue
        if view.words[k] == "down" and score_words("writes").intersection(view.words[max(k - 4, 0) : k]):
            continue  # 'I put nine down'
        if view.words[k] == "minus" and _a_thing(view, stop):
            continue  # 'eight minus the socks'
        loss = stop + (view.words[stop : stop + 1] == ["a"])
        next_one = number_before(view.words, loss, view.sentence.end) if view.words[k] in ("minus", "less") else None
        if next_one is not None and (value is None or value >= next_one.value):
            continue  # 'four minus one': the first figure stands; not 'one less, sixteen'
        return stop
    return _verb_behind(view, at)


def _a_thing(view: SentenceView, at: int) -> bool:
    """Whether a thing follows at word `at`, and no figure: 'the socks', not 'the half', 'my two'."""
    figure = number_before(view.words, at + 1, view.sentence.end)
    return not view.closed(at) and view.words[at] in score_words("definite") and figure is None


def _i_take(view: SentenceView, at: int, value: Decimal | None) -> int | None:
    """The end of 'I'm withholding', 'points I'll skim off' at word `at`, behind a figure of at most half the cap."""
    words, end = view.words, view.sentence.end
    me = at + (not score_words("unit").isdisjoint(words[at : at + 1]))
    if value is None or view.own_cap is None or view.over_half(value) or words[me : me + 1] not in (["i"], ["we"]):
        return None
    verb = next((k for k in range(me + 1, min(me + HELPED, end)) if words[k] not in score_words("helps")), end)
    if verb >= end or any(view.breaks(k) for k in range(at, verb + 1)) or words[verb] not in score_words("i_take"):
        return None
    back = verb + 1 + (words[verb + 1 : verb + 2] in (["back"], ["off"], ["away"], ["out"]))
    follows = words[back] if back < end else ""
    return back if view.closed(back) or follows in score_words("behind_taking") else None


def more_taken(view: SentenceView, at: int) -> int | None:
    """The end of 'more are deducted', 'more is gone' at word `at`."""
    stop = view.starts_at("off_after", at + 1) if view.words[at : at + 1] == ["more"] else None
    return stop if stop is not None and stop > at + 2 and not view.breaks(at + 1) else None


def _keeps_doing(view: SentenceView, start: int, end: int) -> bool:
    """Whether what is kept is no points: 'a seven I keep moving the pen'."""
    behind = view.words[end] if end < view.sentence.end else ""
    return behind.endswith("ing") and view.words[end - 1].startswith("keep") and end > start + 1


def _verb_behind(view: SentenceView, at: int) -> int | None:
    """The end of a verb for taking off that stands a few words after 'N points' ('one point I take away')."""
    if at >= view.sentence.end:
        return None
    named = at + 1 + (view.words[at + 1 : at + 2] in (["the"], ["its"], ["your"], ["my"]))
    if view.words[at] == "from" and view.names_part_at(named):
        return at + 1  # 'four from the flavor'
    if view.words[at] not in score_words("unit"):
        return None
    for k in range(at + 1, min(at + 6, view.sentence.end)):
        if view.breaks(k) or begins_number(view.words[k]):
            return None
        if (stop := view.starts_at("take_before", k)) is not None:
            return None if view.words[k - 1] in NOT else stop
    return None


def taken_off(view: SentenceView, number: Number) -> Expression | None:
    """The figure as points taken off, where a word before or behind it says so."""
    words = view.words
    before, after = taken_before(view, number.start), off_after(view, number.end, number.value)
    if words[number.end : number.end + 1] == ["from"] and before is None and view.over_half(number.value):
        return None  # 'eight and a half from smell'
    if number.value < 1 and words[number.end : number.end + 2] in HALF_OF:
        after = after or number.end + 2
    if before is not None and after is None and _takes_a_value(view, number, before):
        before = None
    if before is not None and words[before] == "all" and (before + 2 < number.start or view.over_half(number.value)):
        before = None  # 'it's all but a three'
    if after is not None and before is None and view.over_half(number.value) and _only_written(view, number, after):
        after = None
    near = words[max(view.sentence.start, number.start - 3) : number.start]
    behind = words[number.end : min(number.end + 2, view.sentence.end)]
    lowered = behind[:1] == ["down"] and not LOWERED.isdisjoint(behind[1:]) and not view.breaks(number.end)
    if near[-1:] == ["the"] and lowered and before is not None:
        return None  # 'knock the nine down a point'
    if broken := [k for k in range(number.start - len(near) + 1, number.start + 1) if view.breaks(k)]:
        near = words[broken[-1] : number.start]  # 'nothing more, so two and a half'
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


def _only_written(view: SentenceView, number: Number, after: int) -> bool:
    """Whether words behind more than half of the cap take nothing off: 'I've nine down', 'two and a half, it dropped
    quick'."""
    behind = view.words[number.end : after]
    if behind == ["i", "keep"] or (behind[:1] == ["it"] and len(behind) == 2):
        return True  # 'eight and a half I keep points back'
    if view.reading.running and behind in FADES:
        return True
    return behind == ["down"] and view.words[number.start - 1] in HAVE  # 'I had an eleven down for that'


def _takes_a_value(view: SentenceView, number: Number, verb_at: int) -> bool:
    """Whether 'take' or a dash gives a value ('the nose takes nine'): more than half the cap, and no 'off'; or, in
    running text, a verb that rather tells of the beer ('the head keeps dropping | two and a half')."""
    words = view.words
    if not view.over_half(number.value):
        return False
    signed = verb_at == number.start  # 'aroma -9'
    verb = words[verb_at]
    to_it = verb.startswith("tak") or (verb in ("cut", "cutting") and words[number.start - 1] == "it")
    to_it |= words[number.start - 1] == "have" or verb == "there"  # 'I'll have twelve', 'there goes a nine'
    plain = signed or (to_it and "off" not in words[verb_at : number.start])
    return plain or (view.reading.running and verb in score_words("of_beer"))


def taken_of_cap(view: SentenceView, number: Number, end: int, cap: Decimal) -> Expression | None:
    """A figure with its `cap`, up to word `end`, as points taken off: 'dock it four of the twenty', 'two from the
    five'."""
    before = taken_before(view, number.start)
    rest = view.words[number.end : number.end + 2] == ["from", "the"] and number.value * 2 < cap
    if before is None and rest and view.ends_at("value_before", number.start) is None:
        return Expression("off", number.value, number.start, end, over=cap)  # 'two from the five'
    if before is None or before == number.start or _takes_a_value(view, number, before):
        return None
    verb = view.words[before]
    plain = verb in score_words("imperative") or verb in score_words("loses")
    if not plain and number.value * 2 > (view.own_cap or 0):
        return None
    return Expression("off", number.value, before, end, over=cap, imperative=verb in score_words("imperative"))
