"""Notes files to words, times and speakers: plain text, timed Markdown, WebVTT, SubRip, JSON, told by their content.

`read_all` gives one Notes for each judge of a file, `parse` the words of all of them as one.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

from notes2sheet.errors import NotesError
from notes2sheet.readers import encoding, segments, subrip, timed, webvtt
from notes2sheet.readers.hearing import flag_unsure
from notes2sheet.readers.notes import Cue, Notes, assemble, by_speaker
from notes2sheet.readers.speakers import find_speakers
from notes2sheet.readers.tidy import drop_sounds, join_wrapped, merge_rolling

__all__ = ["Notes", "Progress", "content", "flag_unsure", "is_sound", "parse", "parse_all", "read_all", "read_bytes"]

MATROSKA, MPEG = b"\x1aE\xdf\xa3", (b"\xff\xfb", b"\xff\xf3", b"\xff\xf2", b"\xff\xf1", b"\xff\xf9")
SOUND_MARKS = (b"ID3", b"fLaC", b"OggS", MATROSKA, *MPEG)
BACKWARDS = 0.5  # seconds by which recorders' cues may overlap the wrong way round

Progress = Callable[[float, float], None]


def read_all(path: str, model: str | None = None, progress: Progress | None = None) -> list[Notes]:
    """The notes in a file, or on standard input for '-': one Notes a speaker, in the order in which they first speak.

    A sound or video file is transcribed (extra 'audio'; `model` is a folder, `progress` is called with the seconds done
    and the seconds in all). Raises NotesError with what is wrong and what to do.
    """
    data = content(path)
    if not is_sound(data):
        return read_bytes(data, _name(path))
    if path == "-":
        raise NotesError("is sound", _name(path), "give the sound file by its name")
    from notes2sheet.sound import transcribe

    return [transcribe(path, model, progress)]


def read_bytes(data: bytes, where: str) -> list[Notes]:
    """The notes in the content of a text file; `where` names it in errors."""
    return parse_all(encoding.decode(data, where), where)


def is_sound(data: bytes) -> bool:
    """Whether the first bytes of a file are those of a sound or video container."""
    riff = data[:4] in (b"RIFF", b"RF64") and data[8:12] in (b"WAVE", b"AVI ")
    aiff = data[:4] == b"FORM" and data[8:12] in (b"AIFF", b"AIFC")
    return riff or aiff or data[4:8] == b"ftyp" or data.startswith(SOUND_MARKS)


def _name(path: str) -> str:
    return "standard input" if path == "-" else path


def content(path: str) -> bytes:
    """A file's bytes, no more than one over the limit; of a sound file only the head."""
    try:
        if path == "-":
            return sys.stdin.buffer.read(encoding.LIMIT + 1)
        if Path(path).is_dir():
            raise NotesError("is a folder", path, "give the files in it, or use notes2sheet batch")
        with open(path, "rb") as file:
            head = file.read(64)
            return head if is_sound(head) else head + file.read(encoding.LIMIT + 1 - len(head))
    except FileNotFoundError:
        raise NotesError("no such file", path, "check the name") from None
    except (OSError, ValueError, RuntimeError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise NotesError(f"cannot be read: {reason}", path, "check the name and the file's rights") from None


def parse(text: str, where: str = "notes") -> Notes:
    """All the words of a file's text as one Notes, its format told by what stands in it."""
    return assemble(join_wrapped(find_speakers(_cues(text, where), where)))


def parse_all(text: str, where: str = "notes") -> list[Notes]:
    """One Notes for each speaker that the text names, or the one Notes where it names none."""
    turns = by_speaker(find_speakers(_cues(text, where), where))
    return [assemble(join_wrapped(cues), name) for name, cues in turns.items()]


def _cues(text: str, where: str) -> list[Cue]:
    """The cues of a text in whichever format, tidied. Raises NotesError where the format is broken."""
    text = text.replace("\r\n", "\n").replace("\r", "\n").removeprefix("\ufeff")
    if segments.is_json(text):
        cues = segments.json_cues(text, where)
    else:
        lines = text.split("\n")
        encoding.check_lines(lines, where)
        if (vtt := webvtt.is_webvtt(text)) or subrip.is_subrip(lines):
            cues, broken = (webvtt if vtt else subrip).parse_cues(text)
            _check_captions(lines, cues, broken, where)
        elif timed.is_timed(lines):
            cues = timed.timed_cues(text)
        else:
            cues = timed.plain_cues(text)
    _check_clock(cues, where)
    cues = merge_rolling(drop_sounds(cues))
    if not any(piece.words for cue in cues for piece in cue.pieces):
        raise NotesError("has no words in it", where, "give notes with words")
    return cues


def _check_captions(lines: list[str], cues: list[Cue], broken: list[int], where: str) -> None:
    """Raise NotesError for times that cannot be read and for a file that ends within a cue."""
    if broken:
        raise NotesError(f"line {broken[0]} has broken cue times", where, "write 00:00:01.000 --> 00:00:02.500")
    last = len(lines) if lines[-1] else len(lines) - 1
    if cues and not cues[-1].pieces and cues[-1].at_line == last:
        raise NotesError(f"line {last} ends within a cue: the file is cut off", where, "export it again")


def _check_clock(cues: list[Cue], where: str) -> None:
    """Raise NotesError for times that run backwards."""
    latest = 0.0
    for cue in cues:
        if cue.start is None:
            continue
        if cue.start < latest - BACKWARDS or (cue.end is not None and cue.end < cue.start):
            seconds = cue.end if cue.start >= latest - BACKWARDS else cue.start
            order = f"{_clock(seconds)} after {_clock(max(latest, cue.start))}"
            what = f"line {cue.at_line} has a time that runs backwards ({order})"
            raise NotesError(what, where, "sort the cues, or mend that time")
        latest = max(latest, cue.start)


def _clock(seconds: float | None) -> str:
    whole = int(seconds or 0)
    return f"{whole // 60}:{whole % 60:02d}"
