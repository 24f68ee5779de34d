"""SubRip cues, read leniently: the format has no standard, and editors write times in several ways."""

from __future__ import annotations

import re

from notes2sheet.readers.notes import Cue
from notes2sheet.readers.webvtt import cue_pieces, seconds

STAMP = r"(?:(\d{1,5}):)?(\d{1,2}):(\d{1,2})[,.](\d{1,3})(?!\d)"
TIMINGS = re.compile(rf"\s*{STAMP}\s*-->\s*{STAMP}")
STYLING = re.compile(r"\{\\[^{}]*\}")
SEARCHED = 200  # lines in which the first cue must begin


def is_subrip(lines: list[str]) -> bool:
    """Whether a line with a cue's times stands near the start."""
    return any("-->" in line and TIMINGS.match(line) for line in lines[:SEARCHED])


def parse_cues(text: str) -> tuple[list[Cue], list[int]]:
    """(cues, lines whose '-->' could not be read as times). Only the number right before a cue's times is dropped."""
    lines = text.split("\n")
    arrows = [(k, TIMINGS.match(line)) for k, line in enumerate(lines) if "-->" in line]
    timed = [(k, match) for k, match in arrows if match]
    broken = [k + 1 for k, match in arrows if not match]
    first = _number(lines[timed[0][0] - 1]) if timed and timed[0][0] > 0 else None
    if first is not None and _ends_with_number(lines[timed[-1][0] + 1 :], first + len(timed)):
        broken.append(len("\n".join(lines).rstrip().split("\n")))
    cues = []
    for (at, match), (following, _) in zip(timed, [*timed[1:], (len(lines), None)], strict=True):
        end = following
        if first is not None and end < len(lines) and end - 1 > at and _number(lines[end - 1]) is not None:
            end -= 1
        payload = STYLING.sub("", "\n".join(lines[at + 1 : end]))
        start, stop = seconds(match.groups()[:4]), seconds(match.groups()[4:])
        cues.append(Cue(tuple(cue_pieces(payload, at + 2, known_only=True)), start, stop, at + 1))
    return cues, broken


def _ends_with_number(lines: list[str], number: int) -> bool:
    """Whether the last lines end with the number of one more cue: the file is cut off there."""
    rest = "\n".join(lines).rstrip().rpartition("\n\n")
    return bool(rest[1]) and rest[2].strip() == str(number)


def _number(line: str) -> int | None:
    """The number of a cue, where the line holds nothing else."""
    digits = line.strip()
    return int(digits) if digits.isdecimal() and len(digits) < 10 else None
