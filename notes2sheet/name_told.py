"""What the words beside a candidate settle, whatever weights and network make of it: which is the brewery and which the
beer, and what is no name at all."""

from __future__ import annotations

import re

from notes2sheet.features import function_words
from notes2sheet.opening import Opening, Span, listed

TOLD, UNLIKELY = 12.0, 20.0  # how much likelier, or less so, what is settled is
IS = frozenset(("is", "are", "'s"))
TOLD_BEHIND = 3  # words of 'is the brewery'
REACH = 12  # words back to such words
AND = ("and", "but", "while")
PAUSE = re.compile(r"[,.;:!?()]")  # a line's end is none
DIGITS = 3  # of the number of an examinee
CLOCK, HOUR = frozenset(("quarter", "half")), 3  # words of 'half past four'
TIME = 6.0  # how much less likely a day alone is a name, or an hour
CALLED = frozenset(("called", "called+", "names", "names+"))  # tables of lexicon/cues/entry.toml that lead to one
JOINING = frozenset(("and", "&", "x", "with"))  # between two makers


def told(o: Opening, span: Span, maker: bool) -> float:
    """How much likelier a candidate is made by what is said of it: its score as a name, or as a maker."""
    kind = _said_to_be(o, span)
    if kind:
        return TOLD if (kind == "maker") == maker else -UNLIKELY
    if maker or o.gaps[span[0]] == '"':
        return 0.0
    if _examinee(o, span):
        return -UNLIKELY
    if CALLED.intersection(o.leads.get(span[0], ())):
        return 0.0
    return -TIME if _clock(o, span) or all(o.words[k] in listed("time") for k in range(*span)) else 0.0


def _said_to_be(o: Opening, span: Span) -> str:
    """'maker' or 'name' where that is said of the words: 'X | is the brewery', 'Y | is the beer'; else ''. Right behind
    one that is told so, the other begins."""
    start, end = span
    kind = _told_at(o, end)
    before = next((k for k in range(start - 1, max(start - REACH, 0), -1) if _told_at(o, k)), 0)
    follows = before > 0 and start - before - TOLD_BEHIND <= (o.words[start - 1] in AND)
    if before and start >= before + TOLD_BEHIND and not follows:
        return ""  # 'X is the brewery, kettle of | larks is the beer'
    if not kind and follows and _is_the(o, end) and (end + 2 in o.styled or o.all[end + 2] in listed("drinks")):
        return "name"  # 'X is the brewery and Y | is the stout'
    if any(o.words[k] in IS for k in range(*span)) or all(k in o.styled or k in o.sensory for k in range(*span)):
        return ""  # 'stout is the beer'
    return kind


def _is_the(o: Opening, at: int) -> bool:
    """Whether 'is the' and one more word stand at word `at`, no mark among them."""
    behind = o.all[at : at + TOLD_BEHIND]
    told = len(behind) == TOLD_BEHIND and behind[0] in IS and behind[1] == "the"
    return told and not any(PAUSE.search(o.breaks[k]) for k in range(at, at + TOLD_BEHIND))


def _told_at(o: Opening, at: int) -> str:
    """What the words behind word `at` tell of those before: 'maker' of 'is the brewery', 'name' of 'is the beer'."""
    if not _is_the(o, at):
        return ""
    behind, said = at + TOLD_BEHIND, o.all[at + TOLD_BEHIND - 1]
    kind = next((kind for kind in ("maker", "name") if said in listed(f"told_{kind}")), "")
    if behind >= len(o.all) or PAUSE.search(o.breaks[behind]):
        return kind
    following = o.all[behind]
    if following in listed("compounds"):
        return ""  # 'the Anchor is the brewery tap'
    ends = "\n" in o.breaks[behind] or following in function_words() or behind in o.styled
    return kind if ends or kind == "maker" else ""  # 'the dog is the beer judge'


def _examinee(o: Opening, span: Span) -> bool:
    """Whether words number who sits an exam, and no beer: 'Candidate 4471'."""
    at = span[1] - 1
    number = o.raw[at].isdigit() and len(o.raw[at]) >= DIGITS and span[1] - span[0] <= 2
    return number and at > 0 and o.words[at - 1] == "candidate"


def _clock(o: Opening, span: Span) -> bool:
    """Whether words without capitals tell the time, or some of it: 'quarter past four'."""
    start, end = span
    near = range(max(0, end - HOUR), min(start, o.count - HOUR) + 1)
    past = (k for k in near if o.words[k + 1] in ("past", "to") and o.numeral(k + 2))
    told = any(o.words[k] in CLOCK or o.numeral(k) for k in past)
    return told and not any(o.caps[start:end])


def both_makers(o: Opening, maker: Span, others: list[Span]) -> Span:
    """A maker with the one that it is joined to where the talk is of a beer that two have made together."""
    if listed("together").isdisjoint(o.words):
        return maker
    start, end = maker
    for first, last in others:
        if first == end + 1 and o.words[end] in JOINING:
            return start, last
        if last == start - 1 and o.words[last] in JOINING:
            return first, end
    return maker
