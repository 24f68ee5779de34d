"""Plain text, and text whose lines begin with a time: '[m:ss] …', 'm:ss …', 'h:mm:ss …', also as Markdown."""

from __future__ import annotations

import re

from notes2sheet.readers.notes import Cue, Piece

STAMP = r"(?:(\d{1,2}):(?=\d\d:))?(\d{1,3}):([0-5]\d)(?:[.,]\d{1,3})?"
LINE_TIME = re.compile(
    rf"^\s*(?:[-*+>]\s+)?(?P<bold>\**)(?P<open>[\[(@]?){STAMP}(?:\s*[-–—]\s*(?:\d+:)?\d+:\d\d)?"
    r"[\])]?(?:\([^()\s]*\))?(?P=bold)"
    r"(?:(?<=[\])])\s*|\s+|\s*:\s+)(?=\S)"
)
SEARCHED = 40  # lines in which two times must stand


def is_timed(lines: list[str]) -> bool:
    """Whether lines begin with times: two near the start, or one in brackets when there is no more than that."""
    matches = [m for line in lines[:SEARCHED] if (m := LINE_TIME.match(line))]
    return len(matches) >= 2 or (len(matches) == 1 and matches[0]["open"] == "[")


def timed_cues(text: str) -> list[Cue]:
    """A cue a line; a line without a time goes on under the time before."""
    cues, now = [], None
    for number, line in enumerate(text.split("\n"), 1):
        if match := LINE_TIME.match(line):
            now = int(match[3] or 0) * 3600 + int(match[4]) * 60 + int(match[5])
            line = line[match.end() :]
        cues.append(Cue((Piece(line.strip(), number),), now, None, number))
    return cues


def plain_cues(text: str) -> list[Cue]:
    """A cue a line, without times; empty lines stay, they part paragraphs."""
    return [Cue((Piece(line.strip(), k),), None, None, k) for k, line in enumerate(text.split("\n"), 1)]
