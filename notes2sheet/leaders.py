"""Forms whose labels are led to their answers by dots or dashes of a line: 'Body ....... medium'.

They mean what a colon means, and are read as one; else they would end a sentence between a label and its answer.
"""

from __future__ import annotations

import re

from notes2sheet.transcript import Reading

LEADER = re.compile(r"(?:[.·•_]{3,}|…+)$")  # and nothing else between two words
DOT = "."  # what is left of a leader behind the longest label
FEWEST = 3  # lines of a form that have one
LABEL = 3  # words of a label at most


def read_leaders(reading: Reading) -> None:
    """Put a colon for the leader of each line, where several lines have one. Linear in the words."""
    begin, led, short = 0, [], []
    for k, mark in enumerate(reading.breaks):
        if k == 0 or "\n" in mark:
            begin = k
        elif k - begin <= LABEL and LEADER.match(mark):
            led.append(k)
        elif k - begin <= LABEL and mark == DOT and _apart(reading, k):
            short.append(k)
    if len(led) >= FEWEST:
        for k in (*led, *short):
            reading.breaks[k] = ":"


def _apart(reading: Reading, k: int) -> bool:
    """Whether a space stands on both sides of the mark before word `k`."""
    between = reading.text[reading.ends[k - 1] : reading.starts[k]]
    return between[:1].isspace() and between[-1:].isspace()
