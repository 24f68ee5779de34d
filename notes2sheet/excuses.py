"""Whether the judge lets a fault or a mismatch pass: 'green apple, fine here', 'a thin head. At this strength that's
fine'."""

from __future__ import annotations

from bisect import bisect_left

from notes2sheet.cues import cue_index
from notes2sheet.descriptors import Mention
from notes2sheet.features import START
from notes2sheet.transcript import Reading

REACH, NEXT = 8, 8  # words from a mention to its excuse in its sentence, and in the next one
DENIED = {"not", "n't", "never", "isn't", "no"}  # right before an excuse
FILE, EXCUSED = "answers", "excused"


def excused(reading: Reading, mention: Mention) -> bool:
    """Whether what is said right behind a mention, with none of another kind between, lets it pass."""
    last = reading.sentences[mention.sentence].end
    at = bisect_left(reading.mentions, mention.end, key=START)
    behind = mention.end
    while at < len(reading.mentions) and _goes_on(mention, reading.mentions[at]):
        behind, at = reading.mentions[at].end, at + 1
    end = min(behind + REACH, last)
    if mention.sentence + 1 < len(reading.sentences) and last - behind <= REACH:
        end = min(last + NEXT, reading.sentences[mention.sentence + 1].end)
    if at < len(reading.mentions):
        end = min(end, reading.mentions[at].start)
    hits = cue_index(FILE).find(reading.words[mention.end : end], overlapping=True)
    begins = (mention.end + start for start, _, kind in hits if kind == EXCUSED)
    return any(reading.words[k - 1] not in DENIED for k in begins)


def _goes_on(mention: Mention, other: Mention) -> bool:
    """Whether another mention of the sentence tells of the same thing: 'a thin | tan head'."""
    return other.sentence == mention.sentence and not mention.kinds.isdisjoint(other.kinds)
