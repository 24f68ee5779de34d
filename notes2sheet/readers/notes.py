"""What a reader makes of a file: cues with their place in it, and the Notes that the pipeline is given."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import TypeVar

T = TypeVar("T")


@dataclass(frozen=True)
class Piece:
    """Words from one source line (from 1; 0 for sound), by one speaker; `heard`: words with their probabilities."""

    words: str
    line: int
    speaker: str | None = None
    heard: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True)
class Cue:
    """What is shown or said at one time (seconds, None where unknown); its pieces make one line of the notes."""

    pieces: tuple[Piece, ...]
    start: float | None = None
    end: float | None = None
    at_line: int = 0
    runs_on: bool = False  # goes on in the sentence of the cue before


@dataclass
class Notes:
    """The words of one note, of one speaker where the file names speakers.

    `line_times`: (offset in code points, seconds) where a time begins to hold. `source_lines`: (offset, line of the
    file from 1) where a line begins. `entry`: the number of the beer in a recording of several, else 0.
    `hearing`: (start, end, probability) of each word that a recognizer heard.
    """

    text: str
    line_times: list[tuple[int, float]] = field(default_factory=list)
    source_lines: list[tuple[int, int]] = field(default_factory=list)
    speaker: str | None = None
    entry: int = 0
    hearing: list[tuple[int, int, float]] = field(default_factory=list)

    def part(self, start: int, end: int, entry: int) -> Notes:
        """The notes of entry number `entry`, the words from offset `start` to `end`; times and lines kept."""
        return Notes(
            self.text[start:end],
            _within(self.line_times, start, end),
            _within(self.source_lines, start, end),
            self.speaker,
            entry,
            [(s - start, e - start, odds) for s, e, odds in self.hearing if start <= s and e <= end],
        )

    def source_line(self, offset: int) -> int | None:
        """The line of the source file (from 1) that the words at `offset` of `text` come from."""
        return _holds(self.source_lines, offset)

    def time(self, offset: int) -> float | None:
        """The time in seconds at `offset` of `text`; None where the source gives none."""
        return _holds(self.line_times, offset)


def _within(pairs: list[tuple[int, T]], start: int, end: int) -> list[tuple[int, T]]:
    """The pairs that hold between two offsets, counted from `start`."""
    first = max(bisect_right(pairs, start, key=lambda pair: pair[0]) - 1, 0)
    return [(max(offset - start, 0), value) for offset, value in pairs[first:] if offset < end]


def own_lines(notes: Notes) -> tuple[tuple[int, int], ...]:
    """The `source_lines`, or none where all of them are simply the lines of the text."""
    line, seen = 1, 0
    for offset, source in notes.source_lines:
        line, seen = line + notes.text.count("\n", seen, offset), offset
        if source != line:
            return tuple(notes.source_lines)
    return ()


def _holds(pairs: list[tuple[int, T]], offset: int) -> T | None:
    at = bisect_right(pairs, offset, key=lambda pair: pair[0])
    return pairs[at - 1][1] if at else None


def assemble(cues: Iterable[Cue], speaker: str | None = None) -> Notes:
    """One Notes: a line a cue, the rows of a cue on one line unless they are dashed turns of a dialog."""
    parts: list[str] = []
    notes = Notes("", speaker=speaker)
    offset, last_time = 0, None
    for cue in cues:
        for k, piece in enumerate(cue.pieces):
            if parts:
                joined = cue.runs_on if k == 0 else not piece.words.startswith(("- ", "– "))
                parts.append(" " if joined else "\n")
                offset += 1
            if cue.start is not None and cue.start != last_time:
                notes.line_times.append((offset, cue.start))
                last_time = cue.start
            if piece.line:
                notes.source_lines.append((offset, piece.line))
            _hearing(notes.hearing, piece, offset)
            parts.append(piece.words)
            offset += len(piece.words)
    notes.text = "".join(parts).rstrip("\n") + "\n"
    for pairs in (notes.line_times, notes.source_lines):  # those of empty lines at the end
        while pairs and pairs[-1][0] >= len(notes.text):
            pairs.pop()
    return notes


def _hearing(hearing: list[tuple[int, int, float]], piece: Piece, offset: int) -> None:
    at = 0
    for word, odds in piece.heard:
        found = piece.words.find(word, at)
        if found >= 0:
            at = found + len(word)
            hearing.append((offset + found, offset + at, odds))


def by_speaker(cues: list[Cue]) -> dict[str | None, list[Cue]]:
    """The cues of each speaker. Words without a tag go on with the speaker before; what comes before the first tag
    (a heading, the style) belongs to every one."""
    names = {p.speaker.casefold(): p.speaker for c in reversed(cues) for p in c.pieces if p.speaker}
    if not names:
        return {None: cues}
    out: dict[str | None, list[Cue]] = {}
    preface: list[Cue] = []
    for cue in cues:
        now = next(reversed(out)) if out else None
        for piece in cue.pieces:
            now = names[piece.speaker.casefold()] if piece.speaker else now
            turn = replace(cue, pieces=(piece,))
            if now is None:
                preface.append(turn)
                continue
            mine = out.pop(now, None)  # the one who speaks stands last
            if mine is None:
                mine = list(preface)
            if mine and mine[-1].at_line == cue.at_line and piece is not cue.pieces[0]:
                mine[-1] = replace(cue, pieces=(*mine[-1].pieces, piece))
            else:
                mine.append(turn)
            out[now] = mine
    order = dict.fromkeys(names[p.speaker.casefold()] for c in cues for p in c.pieces if p.speaker)
    return {name: out[name] for name in order}
