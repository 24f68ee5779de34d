"""What each sentence does: expect, observe, score, prefer, talk."""

from __future__ import annotations

from notes2sheet.features import sentence_features
from notes2sheet.tagger import odds, tag
from notes2sheet.transcript import Reading

ROLES = ("expect", "observe", "score", "prefer", "talk")


def role_features(reading: Reading) -> list[list[str]]:
    """The part tagger's features, and the category that was found."""
    rows = sentence_features(reading, skeleton=True)
    sentences = reading.sentences
    for i, row in enumerate(rows):
        row.append(f"category:{sentences[i].category}")
        if i and sentences[i - 1].category != sentences[i].category:
            row.append("category:begins")
        if i + 1 < len(sentences) and sentences[i + 1].category != sentences[i].category:
            row.append("category:ends")
    return rows


def find_roles(reading: Reading) -> None:
    """Set the role of every sentence, and the odds of each role."""
    rows = role_features(reading)
    reading.seen = None  # no later stage needs it, and it is the largest thing that a reading holds
    for sentence, label in zip(reading.sentences, tag("roles", rows, reading.running), strict=True):
        sentence.role = label
    for role in ROLES:
        for sentence, odd in zip(reading.sentences, odds("roles", role, len(rows), reading.running), strict=True):
            sentence.role_odds[role] = odd
