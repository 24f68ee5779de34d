"""Whether the judge lets a fault or a mismatch pass: 'green apple, fine here', 'a thin head. At this strength that's
fine'."""

from __future__ import annotations

from bisect import bisect_left

from notes2sheet.cues import cue_index
from notes2sheet.descriptors import Mention
from notes2sheet.features import START
from notes2sheet.transcript import Reading

REACH, NEXT = 8, 8  # words from a mention to its excuse in its sentence, and in the next one
MANY, AROUND = 12, 12  # mentions behind one that are looked at, and words around them
LATER = 3  # sentences behind a mention in which the style may be said to allow it
DENIED = {"not", "n't", "never", "isn't", "no"}  # right before an excuse
FILE, EXCUSED, LIKED, NORMAL = "answers", "excused", "liked", "normal"


def excused(reading: Reading, mention: Mention) -> bool:
    """Whether what is said right behind a mention, with none of another kind between, lets it pass; or a sentence soon
    behind says that the style allows it: 'a mild's allowed a fleeting head'. Found once, when all stances stand."""
    if reading.excused is None:
        found = (m for m in reading.mentions if _behind(reading, m, EXCUSED) or _allowed(reading, m))
        reading.excused = {(m.start, m.end) for m in found}
    return (mention.start, mention.end) in reading.excused


def liked(reading: Reading, mention: Mention) -> bool:
    """Whether what is said right behind a mention praises it: 'a little leather, it's lovely'."""
    return _behind(reading, mention, LIKED)


def _allowed(reading: Reading, mention: Mention) -> bool:
    """Whether one of the next sentences of the part says of the same kind of thing that it is normal."""
    part = reading.sentences[mention.sentence].category
    last = min(mention.sentence + LATER, len(reading.sentences) - 1)
    first = bisect_left(reading.mentions, mention.end, key=START)
    for at in range(first, min(first + MANY, len(reading.mentions))):
        other = reading.mentions[at]
        sentence = reading.sentences[other.sentence]
        if other.sentence > last:
            return False
        apart = other.sentence == mention.sentence or sentence.category != part or other.state == "present"
        if apart or mention.kinds.isdisjoint(other.kinds):
            continue
        if _says(reading, max(sentence.start, other.start - AROUND), min(sentence.end, other.end + AROUND), NORMAL):
            return True
    return False


def _behind(reading: Reading, mention: Mention, kind: str) -> bool:
    """Whether a phrase of one kind stands right behind a mention."""
    last = reading.sentences[mention.sentence].end
    at = bisect_left(reading.mentions, mention.end, key=START)
    behind = mention.end
    while at < len(reading.mentions) and behind - mention.end < REACH and _goes_on(mention, reading.mentions[at]):
        behind, at = reading.mentions[at].end, at + 1
    end = min(behind + REACH, last)
    if mention.sentence + 1 < len(reading.sentences) and last - behind <= REACH:
        end = min(last + NEXT, reading.sentences[mention.sentence + 1].end)
    if at < len(reading.mentions):
        end = min(end, reading.mentions[at].start)
    return _says(reading, mention.end, end, kind)


def _says(reading: Reading, start: int, end: int, kind: str) -> bool:
    """Whether a phrase of one kind stands among words, and is not denied."""
    hits = cue_index(FILE).find(reading.words[start:end], overlapping=True)
    return any(reading.words[start + at - 1] not in DENIED for at, _, found in hits if found == kind)


def _goes_on(mention: Mention, other: Mention) -> bool:
    """Whether another mention of the sentence tells of the same thing: 'a thin | tan head'."""
    return other.sentence == mention.sentence and not mention.kinds.isdisjoint(other.kinds)
