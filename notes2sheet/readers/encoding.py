"""Bytes to text: UTF-8 with or without a mark, UTF-16; all else is refused with what to do."""

from __future__ import annotations

import codecs

from notes2sheet.errors import NotesError

LIMIT = 32 * 1024 * 1024  # bytes of a file; eight hours of word-timed JSON stay below 10 MB
LINE_LIMIT = 1024 * 1024  # code points of a line of text
MARKS = ((codecs.BOM_UTF8, "utf-8"), (codecs.BOM_UTF16_LE, "utf-16-le"), (codecs.BOM_UTF16_BE, "utf-16-be"))


def decode(data: bytes, where: str) -> str:
    """The text of a file, its line ends made '\\n'. Raises NotesError for no text, an unknown encoding, too much."""
    if len(data) > LIMIT:
        raise NotesError(f"is over {LIMIT >> 20} MB", where, "split it into one file a tasting")
    mark, encoding = next((m for m in MARKS if data.startswith(m[0])), (b"", None))
    encoding = encoding or _unmarked_utf16(data) or "utf-8"
    try:
        text = data[len(mark) :].decode(encoding)
    except UnicodeDecodeError as error:
        place = data.count(b"\n", 0, error.start) + 1
        raise NotesError(f"line {place} is not {encoding.upper()} text", where, "save it as UTF-8") from None
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    if "\0" in text:
        place = text.count("\n", 0, text.index("\0")) + 1
        raise NotesError(f"line {place} holds a NUL byte: no text file", where, "give text, captions or JSON, as UTF-8")
    if not text.strip():
        raise NotesError("is empty", where, "give notes with words in them")
    return text


def _unmarked_utf16(data: bytes) -> str | None:
    """UTF-16 that lacks its mark shows as a NUL in nearly every second byte."""
    head = data[:4096]
    half = len(head) // 2
    if half < 2 or len(data) % 2:
        return None
    first, second = head[0::2].count(0), head[1::2].count(0)
    if second > 0.7 * half and not first:
        return "utf-16-le"
    return "utf-16-be" if first > 0.7 * half and not second else None


def check_lines(lines: list[str], where: str) -> None:
    """Raise NotesError for a line too long to be notes."""
    for number, line in enumerate(lines, 1):
        if len(line) > LINE_LIMIT:
            size = f"{len(line) >> 20} million characters"
            raise NotesError(f"line {number} is over {size} long", where, "give one sentence or cue a line")
