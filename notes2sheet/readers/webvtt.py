"""WebVTT cues by the parsing rules of the W3C (WebVTT: The Web Video Text Tracks Format, sections 6.1 to 6.4).

Own code: webvtt-py and pysubs2 keep neither the line that a cue comes from nor the lines that they pass over, and fail
4 and 12 of 38 of the W3C's published test cases (tests/readers/test_webvtt_w3c.py).
"""

from __future__ import annotations

import html
import re
from typing import Any

from notes2sheet.readers.notes import Cue, Piece

SIGNATURE = re.compile(r"WEBVTT(?:[ \t].*)?$")
STAMP = r"(?:(\d{1,5}):)?([0-5]\d):([0-5]\d)\.(\d{3})(?!\d)"
TIMINGS = re.compile(rf"[ \t\f]*{STAMP}[ \t\f]*-->[ \t\f]*{STAMP}")
TOKEN = re.compile(r"<[^>]*>?|\n|[^<\n]+")
TAG = re.compile(r"<(/?)([A-Za-z]*)((?:\.[^\s.>]*)*)(?:\s+([^>]*))?>?$")
UNCLOSED_TAG = re.compile(r"<[</]?[a-z]*[.\w]*\s*$", re.IGNORECASE)
NAMES = {"c", "i", "b", "u", "s", "ruby", "rt", "v", "lang", "font"}


def is_webvtt(text: str) -> bool:
    """Whether the text begins with the signature."""
    return bool(SIGNATURE.match(text.split("\n", 1)[0]))


def seconds(parts: tuple[str | Any, ...]) -> float:
    """Hours (may be None), minutes, seconds and thousandths as seconds."""
    hours, minutes, secs, fraction = parts
    return int(hours or 0) * 3600 + int(minutes) * 60 + int(secs) + int(fraction.ljust(3, "0")) / 1000


def parse_cues(text: str) -> tuple[list[Cue], list[int]]:
    """(cues in the order of the file, lines whose '-->' could not be read as times)."""
    lines = text.split("\n")
    cues: list[Cue] = []
    broken: list[int] = []
    at = 1
    while at < len(lines) and lines[at] and "-->" not in lines[at]:
        at += 1  # the header goes up to an empty line or the first cue
    while at < len(lines):
        if lines[at] == "":
            at += 1
            continue
        at = _block(lines, at, cues, broken)
    return cues, broken


def _block(lines: list[str], at: int, cues: list[Cue], broken: list[int]) -> int:
    """Read one block from line `at`: a cue, or a note, style or region that is passed over. The line after it."""
    body: list[str] = []
    begin, times, arrow = at, None, False
    while at < len(lines) and lines[at] != "":
        line = lines[at]
        if "-->" in line:
            if arrow or at - begin > 1:
                break
            arrow = True
            times = TIMINGS.match(line)
            if times is None:
                broken.append(at + 1)
            body, timed_at = [], at
        else:
            body.append(line)
        at += 1
    if times is not None:
        start, end = seconds(times.groups()[:4]), seconds(times.groups()[4:])
        cues.append(Cue(tuple(cue_pieces("\n".join(body), timed_at + 2)), start, end, timed_at + 1))
    return at


def cue_pieces(payload: str, line: int, known_only: bool = False) -> list[Piece]:
    """The words of a cue, one piece a row and voice. `known_only` keeps tags that are no markup as words."""
    pieces: list[Piece] = []
    speaker, words = None, ""

    def flush() -> None:
        nonlocal words
        if words.strip():
            pieces.append(Piece(words.strip(), line, speaker))
        words = ""

    for token in TOKEN.findall(payload):
        if token == "\n":
            flush()
            line += 1
        elif token[0] != "<":
            words += html.unescape(token)
        elif kept := _literal(token, known_only):
            words += html.unescape(kept)
        else:
            tag = TAG.match(token)
            if tag and tag[2] == "v" and not tag[1]:
                flush()
                speaker = " ".join(html.unescape(tag[4] or "").split()) or None
            line += token.count("\n")
    flush()
    return pieces


def _literal(token: str, known_only: bool) -> str:
    """The token when it is words after all: '<20 IBU' without an end, or no tag of captions where only those count."""
    if not token.endswith(">"):
        return "" if UNCLOSED_TAG.match(token) else token
    tag = TAG.match(token)
    stamp = token[1:2].isdigit() and ":" in token
    return token if known_only and not stamp and not (tag and tag[2].lower() in NAMES) else ""
