"""What the off-flavors say of other words: the descriptors that may be them, what they are likened to, their causes."""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

from notes2sheet.descriptors import closed
from notes2sheet.lexicon import Lexicon, Term
from notes2sheet.transcript import Reading
from notes2sheet.words import PhraseIndex, split_list

BEHIND = 2  # words behind a sensation that may tell what it is like


class Likeness(NamedTuple):
    """Of all off-flavors together; the indexes hand out the off-flavor."""

    doubts: dict[str, Term]  # by the descriptor all of whose words may be the fault
    alone: frozenset[str]  # descriptors that are the fault where no style is said
    likened: PhraseIndex  # words with an everyday sense, which name a fault only where a sensation is surely meant
    causes: PhraseIndex


@lru_cache(maxsize=4)
def likeness(lexicon: Lexicon) -> Likeness:
    """What the keys `terms`, `alone`, `likened` and `causes` of lexicon/flaws/ hold together."""
    doubts, alone, likened, causes = {}, set(), PhraseIndex(), PhraseIndex()
    for flaw in lexicon.flaws.values():
        doubts.update(dict.fromkeys(split_list(flaw.data.get("terms", "")), flaw))
        alone.update(split_list(flaw.data.get("alone", "")))
        for key, index in (("likened", likened), ("causes", causes)):
            for phrase in split_list(flaw.data.get(key, "")):
                index.add(phrase, flaw)
    return Likeness(doubts, frozenset(alone), likened, causes)


def meant_by(reading: Reading, start: int, end: int) -> Term | None:
    """The off-flavor that words of a sensation are likened to, or those right behind: 'a wet tin bath' is metallic,
    and 'sucking | a sixpence'."""
    limit = next((k for k in range(end, end + BEHIND) if closed(reading, k)), end + BEHIND)
    found = likeness(reading.lexicon).likened.find(reading.words[start:limit])
    return max(found, key=lambda hit: (hit[0] < end - start, hit[1] - hit[0]))[2] if found else None


def blamed(reading: Reading) -> dict[str, str]:
    """{off-flavor: the name that its words get in these notes}: plaster is chlorophenol where chlorine is blamed, and
    wild yeast is not."""
    absent = {k for m in reading.mentions if m.state == "absent" for k in range(m.start, m.end)}
    hits = likeness(reading.lexicon).causes.find(reading.words)
    named = {flaw.name: flaw for start, _, flaw in hits if start not in absent}
    others = ((other, flaw.flaw) for flaw in named.values() for other in split_list(flaw.data.get("instead", "")))
    return {other: name for other, name in others if other not in named}
