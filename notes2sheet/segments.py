"""Which part of the sheet each sentence belongs to, decided over the whole monologue at once."""

from __future__ import annotations

from notes2sheet.features import sentence_features
from notes2sheet.tagger import tag
from notes2sheet.transcript import Reading


def find_segments(reading: Reading) -> None:
    """Set the category of every sentence."""
    seen = sentence_features(reading)
    for sentence, label in zip(reading.sentences, tag("segments", seen, reading.running), strict=True):
        sentence.category = reading.sheet.part(label)
