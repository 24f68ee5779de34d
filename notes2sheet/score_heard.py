"""Words that are misheard for figures ('ate', 'for', 'won'), where what stands around leaves no other sense."""

from __future__ import annotations

from notes2sheet.features import function_words
from notes2sheet.numbers import Number
from notes2sheet.score_off import off_after, taken_before
from notes2sheet.score_view import SentenceView, score_words


def proves(view: SentenceView, number: Number, capped: bool) -> bool:
    """Whether a word that is misheard for a figure can be nothing else here: it has its cap, a fraction, points are
    taken off, it comes instead of another ('change it to'), or ends the sentence."""
    several = number.end - number.start > 1
    teen = several and number.value > 12 and number.value <= (view.own_cap or 0)  # 'for teen'
    if capped or teen or (number.value % 1 and several) or _taken_off(view, number):
        return True
    settled = view.changes_to(number.start) is not None
    if settled and view.words[number.start] in function_words():  # 'call it for because …'
        settled = number.end < view.sentence.end and view.words[number.end] in score_words("reason")
    return (settled or _certain(view, number)) and number.value <= (view.own_cap or 0)


def _certain(view: SentenceView, number: Number) -> bool:
    """Whether 'ate' and the like end a score ('leaves us on ate') or stand before a part ('ate for aroma') or before
    'is my number'."""
    at, end = number.start, number.end
    if view.words[at] not in score_words("certain"):
        return False
    led = any(view.ends_at("value_before", k) is not None for k in range(max(view.sentence.start, at - 2), at + 1))
    mine = view.words[end : min(end + 4, view.sentence.end)]
    own = mine[:2] == ["is", "my"] and score_words("scored").intersection(mine[2:])
    if view.begins(at) and (own or mine[:3] == ["is", "what", "i"]):
        return True  # 'ate is my number', 'ate is what I put'
    if mine[:2] == ["from", "me"] and (named := view.words[at - 1]) and (named in ("a", "an") or view.begins(at)):
        return True  # 'overall an ate from me'
    end += view.words[end : end + 1] == ["again"]  # 'ate again for the aroma'
    of_part = view.words[end : end + 1] in (["for"], ["on"]) and any(end < s <= end + 2 for s, _, _ in view.part_hits)
    return of_part or (led and view.closed(end))


def _taken_off(view: SentenceView, number: Number) -> bool:
    """Whether a word that is misheard for a figure stands where points are taken off: 'won point off', 'minus ate'."""
    words, at, end = view.words, number.start, number.end
    follows = words[end] if end < view.sentence.end else ""
    if follows == "mark" and number.value != 1:
        return False  # 'I have to mark it down'
    if follows in score_words("unit"):
        return off_after(view, end) is not None and not view.breaks(end)
    before = taken_before(view, at)
    if before is None or before == at:
        return False
    plain = words[at] in function_words() and words[before] != "minus"  # 'take to …'
    closes = not follows and words[at - 1] == "off" and words[before].startswith("t")  # 'I take off for.'
    small = number.value * 2 <= (view.own_cap or 0)
    return follows == "off" or closes or (not plain and small)
