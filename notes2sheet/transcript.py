"""The words of the notes, normalised, each with its place in the text: what every later stage reads."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from notes2sheet.words import norm

if TYPE_CHECKING:
    from spacy.tokens import Doc

DECIMAL = re.compile(r"^\.\d+$")
SIGNED = re.compile(r"^[-–−][0-9½¼¾.]+(/[0-9]+)?$")


@dataclass
class Reading:
    """The state that the pipeline's stages read and extend, one for a note.

    `words[i]` is a normal word, `starts[i]`/`ends[i]` its code-point offsets in `text`, `breaks[i]` the punctuation
    (and line breaks) that stand between word i-1 and word i. Stages add their findings to the other fields.
    """

    text: str
    lexicon: Any
    sheet: Any
    line_times: list[tuple[int, float]] = field(default_factory=list)
    style_given: str | None = None
    sheet_from: str = "open"  # open until it is chosen; then given or notes
    words: list[str] = field(default_factory=list)
    raw: list[str] = field(default_factory=list)
    starts: list[int] = field(default_factory=list)
    ends: list[int] = field(default_factory=list)
    breaks: list[str] = field(default_factory=list)
    running: bool = False
    sentences: list[Any] = field(default_factory=list)
    numbers: list[Any] = field(default_factory=list)
    mentions: list[Any] = field(default_factory=list)
    cues: dict[str, list[tuple[int, int, Any]]] = field(default_factory=dict)
    scores: Any = None
    style: Any = None
    entry: Any = None
    unmarked: list[Any] = field(default_factory=list)
    mismatches: list[Any] | None = None

    def span(self, start: int, end: int) -> tuple[int, int]:
        """Code-point span of the words `start` to `end` (end excluded)."""
        return self.starts[start], self.ends[end - 1]


def read_words(doc: Doc, reading: Reading) -> None:
    """Fill the reading's words from the tokens of `doc`; punctuation becomes a break before the next word."""
    pending = ""
    words, raw, starts, ends, breaks = reading.words, reading.raw, reading.starts, reading.ends, reading.breaks
    for token in doc:
        text = token.text
        if text.isspace():
            pending += "\n" * text.count("\n")
            continue
        if not any(c.isalnum() for c in text) and text not in ("%", "&", "=", "#", "+", "->", "→", "??"):
            pending += text
            continue
        word = norm(text)
        core = (
            word.strip(".,;:!?()[]\"'*_…“”‘’")
            if len(word) > 1 and word not in ("'s", "'m", "'d", "n't", "'re", "'ve", "'ll")
            else word
        )
        if not core:
            pending += text
            continue
        if core != word and DECIMAL.match(word):
            core = word  # '.5'
        lead = text[: len(text) - len(text.lstrip('.,;:!?()[]"*_'))]
        if SIGNED.match(core):  # '-2' takes two off
            pending, core = pending + "-", core[1:]
        words.append(norm(core) if core != word else word)
        raw.append(text)
        starts.append(token.idx)
        ends.append(token.idx + len(text))
        breaks.append(pending + lead)
        trail = text[len(text.rstrip('.,;:!?()[]"*_')) :]
        pending = trail
