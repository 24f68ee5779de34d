"""Descriptors that are taken back, and those that come instead of them: 'straw, well, no, it's deep yellow'."""

from __future__ import annotations

from bisect import bisect_left

from notes2sheet.cues import ROLE_FILE
from notes2sheet.transcript import Reading

CUE = "take_back"
REACH = 5  # words between a descriptor and the words that take it back
INSTEAD = 8  # words behind those in which another one comes instead


def find_repairs(reading: Reading) -> list[list[str]]:
    """For each mention whether words that take something back stand closely behind it (and whether another descriptor
    follows them) or before it. Linear in the words but for the search of the nearest words."""
    cues = [(start, end) for start, end, cue in reading.cues[ROLE_FILE] if cue == CUE]
    starts, ends = [start for start, _ in cues], sorted(end for _, end in cues)
    begins = [mention.start for mention in reading.mentions]
    out: list[list[str]] = []
    for i, mention in enumerate(reading.mentions):
        told = []
        at = bisect_left(starts, mention.end)
        if at < len(starts) and starts[at] - mention.end <= REACH:
            following = begins[i + 1] if i + 1 < len(begins) else len(reading.words)
            between = following < starts[at]  # another descriptor is nearer
            instead = following - cues[at][1] <= INSTEAD
            told.append(f"repair:behind:{starts[at] - mention.end}")
            told.append(f"repair:behind:{between}:{instead}")
        at = bisect_left(ends, mention.start + 1) - 1
        if at >= 0 and mention.start - ends[at] <= REACH:
            told.append(f"repair:before:{mention.start - ends[at]}")
        out.append(told)
    return out
