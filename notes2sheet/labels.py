"""Labels, such as 'In the glass:' or 'Wanted.', that tell what all the fragments behind them are."""

from __future__ import annotations

import re

from notes2sheet.cues import ROLE_FILE, SHEET_FILE, STYLE, by_sentence
from notes2sheet.transcript import Reading

TELLING = {"page", "glass", "modal", "permit", "rubric", "here", STYLE, "compare", "hypothesis", "taste"}
MARKED, PLAIN = 6, 4  # words of the longest label before a colon or dash, and before a comma or a stop
MARK = re.compile(r"\s*:|\s*[–—]|\s+-+\s|\s*\*+:")
COMMA = re.compile(r"\s*,")


def find_labels(reading: Reading) -> list[tuple[str, ...]]:
    """For each sentence the cues of the label that it stands under: its own, else the last one before it in the same
    part. Linear in the words."""
    if reading.labels is None:
        parts, roles = by_sentence(reading, SHEET_FILE), by_sentence(reading, ROLE_FILE)
        known = {m.start for m in reading.mentions if m.known}
        figures = {n.start for n in reading.numbers}
        reading.labels, now = [], ()
        for sentence, named, hits in zip(reading.sentences, parts, roles, strict=True):
            end, marked = _label_end(reading, sentence)
            words = range(sentence.start, end)
            if end and not any(k in figures or (k in known and not marked) for k in words):
                cues = tuple(sorted({cue for _, stop, cue in hits if cue in TELLING and stop <= end}))
                begins = any(stop <= end for _, stop, _ in named)
                now = cues if cues or begins else now
            reading.labels.append(now)
    return reading.labels


def _label_end(reading: Reading, sentence) -> tuple[int, bool]:
    """(where the label that a sentence begins with ends, 0 without one; whether a colon or a dash shows it). A sentence
    of a few words may be one."""
    for k in range(sentence.start + 1, min(sentence.start + MARKED + 1, sentence.end)):
        if MARK.match(reading.breaks[k]):
            return k, True
        if k <= sentence.start + PLAIN and COMMA.match(reading.breaks[k]):
            return k, False
    return (sentence.end if sentence.end <= sentence.start + PLAIN else 0), False
