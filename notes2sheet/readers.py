"""Notes files to plain text and times: plain text, timed lines, WebVTT and SubRip, told by their content."""

from __future__ import annotations

import re
import sys
from dataclasses import dataclass, field
from pathlib import Path

from notes2sheet.errors import NotesError

CUE_TIME = re.compile(r"^(?:(\d+):)?(\d{1,2}):(\d{2})[.,](\d{1,3})\s*-->\s*(?:\d+:)?\d{1,2}:\d{2}[.,]\d{1,3}")
LINE_TIME = re.compile(r"^\s*[\[(@]?(?:(\d{1,2}):)?(\d{1,3}):(\d{2})[\])]?\s+(?=\S)")
MARKUP = re.compile(r"</?[a-z0-9.]*(?:\s[^<>]*)?>|<\d[\d:.]*>", re.IGNORECASE)
LIMIT = 100 * 1024 * 1024  # bytes


@dataclass
class Notes:
    """The words of one note; `line_times` holds (offset in code points, seconds) for the lines that have a time."""

    text: str
    line_times: list[tuple[int, float]] = field(default_factory=list)


def read_file(path: str) -> Notes:
    """The notes in a file, or on standard input for '-'. Raises NotesError with what is wrong and what to do."""
    if path == "-":
        return parse(_decode(sys.stdin.buffer.read(), "standard input"))
    file = Path(path)
    try:
        if file.is_dir():
            raise NotesError("is a folder", path, "give the files in it")
        if file.stat().st_size > LIMIT:
            raise NotesError("is over 100 MB", path, "split it into one file a tasting")
        return parse(_decode(file.read_bytes(), path))
    except FileNotFoundError:
        raise NotesError("no such file", path, "check the name") from None
    except OSError as error:
        raise NotesError(f"cannot be read: {error.strerror}", path, "check the file's rights") from None


def _decode(data: bytes, where: str) -> str:
    for mark, encoding in ((b"\xef\xbb\xbf", "utf-8-sig"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16")):
        if data.startswith(mark):
            try:
                text = data.decode(encoding)
            except UnicodeDecodeError:
                raise NotesError("broken text encoding", where, "save it as UTF-8") from None
            break
    else:
        if b"\x00" in data:
            raise NotesError("is no text file", where, "give a text, WebVTT or SubRip file")
        try:
            text = data.decode("utf-8")
        except UnicodeDecodeError as error:
            raise NotesError(f"is not UTF-8 text (byte {error.start})", where, "save it as UTF-8") from None
    if not text.strip():
        raise NotesError("is empty", where, "give notes with words in them")
    return text


def parse(text: str) -> Notes:
    """Notes from the content of a file, its format told by what stands in it."""
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    lines = text.split("\n")
    if lines[0].lstrip("\ufeff").startswith("WEBVTT") or any(CUE_TIME.match(line.strip()) for line in lines[:20]):
        return _cues(lines)
    return _lines(lines) if sum(bool(LINE_TIME.match(line)) for line in lines[:40]) >= 2 else Notes(text)


def _cues(lines: list[str]) -> Notes:
    """WebVTT (W3C) or SubRip: the cue payloads, one line each, with the start of their cue."""
    import html

    notes, offset, at = [], 0, 0
    times: list[tuple[int, float]] = []
    while at < len(lines):
        match = CUE_TIME.match(lines[at].strip())
        at += 1
        if not match:
            continue
        hours, minutes, seconds, fraction = match.groups()
        start = int(hours or 0) * 3600 + int(minutes) * 60 + int(seconds) + float(f"0.{fraction}")
        while at < len(lines) and lines[at].strip() and not CUE_TIME.match(lines[at].strip()):
            words = html.unescape(MARKUP.sub("", lines[at])).strip()
            if words:
                times.append((offset, start))
                notes.append(words)
                offset += len(words) + 1
            at += 1
    return Notes("\n".join(notes) + "\n", times)


def _lines(lines: list[str]) -> Notes:
    """Text whose lines begin with a time: '[m:ss] …', 'm:ss …', 'h:mm:ss …'."""
    notes, offset = [], 0
    times: list[tuple[int, float]] = []
    for line in lines:
        if match := LINE_TIME.match(line):
            times.append((offset, int(match[1] or 0) * 3600 + int(match[2]) * 60 + int(match[3])))
            line = line[match.end() :]
        notes.append(line)
        offset += len(line) + 1
    return Notes("\n".join(notes), times)
