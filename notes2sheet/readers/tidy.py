"""What captioning leaves in a transcript and nobody said: repeated rows of rolling captions, sound tags, markers."""

from __future__ import annotations

import re
from dataclasses import replace

from notes2sheet.readers.notes import Cue, Piece

SOUNDS = (
    "music|applause|laughter|laughs|laughing|laugh|cheering|clapping|silence|noise|background noise|inaudible|"
    "indistinct|crosstalk|coughs|coughing|clears throat|sighs|sniffs|sound|beep|static|bell rings|phone rings|"
    "foreign|blank_audio|blank audio"
)
SOUND_TAG = re.compile(
    rf"\[[♪♫\s]*(?:[a-z]+ ){{0,2}}(?:{SOUNDS})(?: [a-z]+)?[♪♫\s]*\]|[(*]\s*(?:{SOUNDS})(?: playing)?\s*[)*]|"
    r"[♪♫][^♪♫\n]*[♪♫]|[♪♫]+",
    re.IGNORECASE,
)
TURN = re.compile(r"^>>+\s*")
ROLLING = 0.3  # share of cues that begin with what the cue before ended with, from which a file counts as rolling
APART = 0.5  # seconds between cues that may still be one roll
STOP_AT_END = re.compile(r"[.!?…][\"'”’)\]]*$")
STOP_INSIDE = re.compile(r"[.!?…][\"'”’)\]]*\s+(?=[\"'“‘(]?[A-Z])")
STOP_BEFORE_LOWER = re.compile(r"[.!?][\"'”’)\]]*\s+[\"'“‘(]?[a-z]")
WRAPPED_LEAST = 8  # lines from which the way they break can be told


def drop_sounds(cues: list[Cue]) -> list[Cue]:
    """The cues without sound tags; those with nothing else go, so do the '>>' of a change of speaker."""
    out = []
    for cue in cues:
        pieces = []
        for piece in cue.pieces:
            words = TURN.sub("", piece.words)
            if SOUND_TAG.search(words):
                words = " ".join(SOUND_TAG.sub(" ", words).split())
                if not words:
                    continue
            pieces.append(piece if words == piece.words else replace(piece, words=words))
        if pieces:
            out.append(replace(cue, pieces=tuple(pieces)))
    return out


def merge_rolling(cues: list[Cue]) -> list[Cue]:
    """The cues of rolling captions with each row once: rows that the cue before still shows, and rows that grow word
    by word. A row that is really said twice stays where the file does not roll."""
    shown = [c for c in cues if any(p.words for p in c.pieces)]
    rolls = [_overlap(a, b) for a, b in zip(shown, shown[1:], strict=False)]
    rolling = _rolls(shown, rolls)
    if not rolling and not any(len(c.pieces) > 1 for c in cues):
        return cues
    out, last = [], None
    for cue in cues:
        if not any(p.words for p in cue.pieces):
            out.append(cue)
            continue
        rows, chars = _overlap(last, cue) if last is not None else (0, 0)
        same = last is not None and cue.start is not None and cue.start == last.start and rows == len(cue.pieces)
        if not (rolling or same or (last and rows and rows < len(cue.pieces) and len(last.pieces) >= rows)):
            rows = chars = 0
        last = cue
        rest = cue.pieces[rows:]
        if chars and rest:
            rest = (replace(rest[0], words=rest[0].words[chars:].lstrip()), *rest[1:])
        if rest:
            out.append(replace(cue, pieces=rest))
    return out


def _rolls(shown: list[Cue], rolls: list[tuple[int, int]]) -> bool:
    """Whether the file rolls: rows that stay or grow, or so many cues said twice that nobody spoke like that."""
    moving = sum(chars > 0 or 0 < rows < len(c.pieces) for (rows, chars), c in zip(rolls, shown[1:], strict=True))
    still = sum(rows == len(c.pieces) for (rows, _), c in zip(rolls, shown[1:], strict=True))
    timed = any(c.start is not None for c in shown)
    return timed and moving + still >= ROLLING * len(rolls) and (moving >= 1 or still >= 2)


def _overlap(before: Cue, cue: Cue) -> tuple[int, int]:
    """(rows of `cue` that `before` ended with, characters of its next row that grow from the last of them)."""
    if before.end is not None and cue.start is not None and cue.start - before.end > APART:
        return 0, 0
    old, new = [_key(p) for p in before.pieces], [_key(p) for p in cue.pieces]
    for size in range(min(len(old), len(new)), 0, -1):
        if old[-size:] == new[:size]:
            return size, 0
        grown = new[size - 1]
        if old[-size:-1] == new[: size - 1] and grown[0] == old[-1][0] and grown[1].startswith(old[-1][1] + " "):
            return size - 1, len(old[-1][1])
    return 0, 0


def _key(piece: Piece) -> tuple[str | None, str]:
    return piece.speaker, piece.words


def join_wrapped(cues: list[Cue]) -> list[Cue]:
    """Cues that break wherever a row was full are marked as running on, so that sentences become whole again.

    Only where the text shows it: written with stops, many of them inside the lines, and many lines that begin in lower
    case. Notes and captions with one sentence or thought a line stay as they are.
    """
    rows = [" ".join(p.words for p in c.pieces) for c in cues]
    said = [row for row in rows if row]
    if len(said) < WRAPPED_LEAST:
        return cues
    ends = sum(bool(STOP_AT_END.search(row)) for row in said)
    inside = sum(len(STOP_INSIDE.findall(row)) for row in said)
    lower = sum(row[:1].islower() for row in said)
    jotted = sum(len(STOP_BEFORE_LOWER.findall(row)) for row in said)  # no prose: 'amber? no. copper.'
    stops = ends + inside
    if inside < 0.4 * stops or stops < 0.15 * len(said) or lower < 0.4 * len(said) or jotted > 0.1 * inside:
        return cues
    out, before = [], ""
    for cue, row in zip(cues, rows, strict=True):
        out.append(replace(cue, runs_on=bool(before and row)))
        before = row
    return out
