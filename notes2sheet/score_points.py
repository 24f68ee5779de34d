"""Points in words that hold no plain figure: 'a point and a half', 'another for the gas', 'a couple of points'."""

from __future__ import annotations

from decimal import Decimal

from notes2sheet.numbers import Number, number_before
from notes2sheet.score_off import takes
from notes2sheet.score_view import SentenceView, score_words

UNIT = (["point"], ["mark"])
LIKELY = 0.2  # a sentence this likely to give a score may take off 'another' alone
BEHIND_ANOTHER = {"for", "off", "gone", "because", "there", "lost"}  # 'another point for that'


def points_in_words(view: SentenceView, at: int) -> Number | None:
    """'a point and a half', 'a point', 'half a point', 'a couple of points' before or after a word for taking off."""
    words, last = view.words, view.sentence.end
    ahead = words[at : min(at + 5, last)]
    alone = view.begins(at) or (view.reading.running and number_before(words, at - 1, at) is None)
    if ahead[:1] in UNIT and ahead[1:4] == ["and", "a", "half"] and alone:
        return Number(at, at + 4, Decimal("1.5"), True)  # 'Point and a half off.'
    if ahead[1:2] in (["whole"], ["full"]) and ahead[2:3] in UNIT and takes(view, at, at + 3):
        return Number(at, at + 3, Decimal(1), True)
    counted = ahead[1:2] in UNIT
    if counted and ahead[0] in ("a", "one", "the"):
        if ahead[2:5] == ["and", "a", "half"]:
            return Number(at, at + 5, Decimal("1.5"), True)
        given = not score_words("give_few").isdisjoint(words[max(at - 1, view.sentence.start) : at])
        reasoned = ahead[0] == "a" and not given and not BEHIND_ANOTHER.isdisjoint(ahead[2:3])
        if reasoned or (ahead[0] in ("a", "the") and takes(view, at, at + 2)):
            return Number(at, at + 2, Decimal(1), True)
    if ahead[:1] == ["another"] and (number := _another(view, at, ahead)) is not None:
        return number
    if ahead[:2] == ["a", "couple"]:
        points = at + 2 + (ahead[2:4] == ["of", "points"]) * 2
        reasoned = points > at + 2 and not BEHIND_ANOTHER.isdisjoint(view.words[points : points + 1])
        if reasoned or takes(view, at, points):
            return Number(at, at + 2, Decimal(2), True)
    return None


def _taken_in(view: SentenceView, at: int) -> bool:
    """Whether points are taken off in the sentence before word `at`."""
    taken = (end for start, end, name in view.hits if name == "take_before" and end < at)
    return any(number_before(view.words, end, at) is not None for end in taken)


def _another(view: SentenceView, at: int, ahead: list[str]) -> Number | None:
    """'another point', 'another point and a half', 'and another for the thin middle'; `ahead` are the words from there
    on."""
    if ahead[1:2] in UNIT:
        if ahead[2:5] == ["and", "a", "half"]:
            return Number(at, at + 5, Decimal("1.5"), True)
        lost = takes(view, at, at + 2) or not ahead[2:3] or ahead[2] in BEHIND_ANOTHER
        return Number(at, at + 2, Decimal(1), True) if lost else None
    first = view.sentence.start
    begins = at == first or (at == first + 1 and view.words[first] == "and")
    begins |= view.words[at - 1] in ("and", "then", "plus") and _taken_in(view, at)  # 'lose two for soap, then another'
    lost = (begins and view.sentence.role_odds["score"] >= LIKELY) or view.ends_at("take_before", at) is not None
    return Number(at, at + 1, Decimal(1), True) if ahead[1:2] == ["for"] and lost else None
