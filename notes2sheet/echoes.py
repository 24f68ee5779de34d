"""Descriptors that are said again: what a style calls for and this beer shows is often said twice, first in the one
sense and then in the other ('clear it should be, and clear it is')."""

from __future__ import annotations

from collections import defaultdict

from notes2sheet.cues import ROLE_FILE, by_sentence
from notes2sheet.descriptors import Mention
from notes2sheet.features import RECITING
from notes2sheet.transcript import Reading

NEAR = 3  # sentences within which a descriptor is an echo


def find_echoes(reading: Reading) -> list[list[str]]:
    """For each mention how its term is said again: before or behind it in its own sentence, or in one nearby, and
    whether that one speaks of what ought to be. Found once for roles and stances. Linear in the mentions."""
    if reading.echoes is None:
        reading.echoes = _echoes(reading)
    return reading.echoes


def _echoes(reading: Reading) -> list[list[str]]:
    recites = [any(cue in RECITING for _, _, cue in hits) for hits in by_sentence(reading, ROLE_FILE)]
    by_term: dict[str, list[int]] = defaultdict(list)
    for i, mention in enumerate(reading.mentions):
        by_term[_key(reading, mention)].append(i)
    out: list[list[str]] = [[] for _ in reading.mentions]
    for places in by_term.values():
        for first, second in zip(places, places[1:], strict=False):
            early, late = reading.mentions[first].sentence, reading.mentions[second].sentence
            if early == late:
                out[first].append("said:again")
                out[second].append("said:before")
            elif late - early <= NEAR:
                out[first].append(f"echo:behind:{late - early}:{recites[late]}")
                out[second].append(f"echo:before:{late - early}:{recites[early]}")
    return out


def _key(reading: Reading, mention: Mention) -> str:
    return mention.term.name or " ".join(reading.words[mention.start : mention.end])
