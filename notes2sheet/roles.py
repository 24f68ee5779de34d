"""What each sentence does: expect, observe, score, prefer, talk."""

from __future__ import annotations

from bisect import bisect_left
from itertools import pairwise

from notes2sheet.cues import ROLE_FILE, SHEET_FILE, STYLE
from notes2sheet.echoes import find_echoes
from notes2sheet.features import START, add_skeleton, sentence_features
from notes2sheet.recipe import leave_recipe
from notes2sheet.seen import Seen
from notes2sheet.tagger import agreed, look, odds
from notes2sheet.transcript import Reading
from notes2sheet.word_odds import ROLES, means

ASKING = {"modal", "permit", "rubric", "page", "compare", "hypothesis", STYLE}  # cues of what ought to be, or of others
WORDS_SHARE = 0.55  # of the odds by words in the decision


def role_features(reading: Reading) -> Seen:
    """What the part tagger sees, the skeleton of function words, and the category that was found."""
    shared, sentences = sentence_features(reading), reading.sentences
    seen = Seen(shared.count, shared.columns)
    add_skeleton(reading, seen)
    seen.say(_echoes(reading))
    placed = [[f"category:{s.category}"] for s in sentences]
    for i in range(1, len(sentences)):
        if sentences[i - 1].category != sentences[i].category:
            placed[i].append("category:begins")
            placed[i - 1].append("category:ends")
    seen.say(placed)
    return seen


def _echoes(reading: Reading) -> list[list[str]]:
    """What the descriptors of each sentence echo."""
    out: list[list[str]] = [[] for _ in reading.sentences]
    for mention, echoes in zip(reading.mentions, find_echoes(reading), strict=True):
        out[mention.sentence] += echoes
    return [list(dict.fromkeys(told)) for told in out]


def find_roles(reading: Reading) -> None:
    """Set the role of every sentence, and the odds of each role: what the tagger of sentences and the odds by words
    agree on."""
    seen = role_features(reading)
    reading.seen = None  # no later stage needs it, and it is the largest thing that a reading holds
    look("roles", seen, reading.running)
    by_word = means(reading.word_odds["role"], reading.sentences)
    found = agreed(odds("roles", ROLES, reading.running), by_word, WORDS_SHARE)
    reading.shape = reading.labels = None
    for sentence, row, best in zip(reading.sentences, found.tolist(), found.argmax(1).tolist(), strict=True):
        sentence.role = ROLES[best]
        sentence.role_odds = dict(zip(ROLES, row, strict=True))
    _find_in_typed_lines(reading)
    _hear_remarks(reading)
    leave_recipe(reading)


def _find_in_typed_lines(reading: Reading) -> None:
    """A typed line that begins with a part's name and holds its score tells what was found, however much its ranges
    sound like a recital ('Aroma: caramel medium to high, hops low to none. 10/12'), where no word asks for anything."""
    if reading.running:
        return
    labels = {start for start, _, _ in reading.cues[SHEET_FILE]}
    asking = [start for start, _, cue in reading.cues[ROLE_FILE] if cue in ASKING]
    caps = set(reading.caps.values())
    lines = [*reading.line_starts(), len(reading.sentences)]
    for first, behind in pairwise(lines):
        begin, end = reading.sentences[first].start, reading.sentences[behind - 1].end
        at = bisect_left(asking, begin)
        if begin not in labels or (at < len(asking) and asking[at] < end) or not _scored(reading, begin, end, caps):
            continue
        reading.own_lines.update(range(first, behind))
        for sentence in reading.sentences[first:behind]:
            if sentence.role == "expect":
                sentence.role = "observe"
                sentence.role_odds["observe"] += sentence.role_odds["expect"]
                sentence.role_odds["expect"] = 0.0


def _scored(reading: Reading, begin: int, end: int, caps: set[int]) -> bool:
    """Whether the words `begin` to `end` hold a figure out of a cap, or end with a figure."""
    low, high = (bisect_left(reading.numbers, at, key=START) for at in (begin, end))
    return any(n.over in caps or n.end == end for n in reading.numbers[low:high])


def _hear_remarks(reading: Reading) -> None:
    """A label with a colon and words behind it ('Overall: pleasant.') gives no score where no figure stands."""
    labels = {start: end for start, end, _ in reading.cues[SHEET_FILE] if reading.breaks[end : end + 1] == [":"]}
    figures = reading.grouped(reading.numbers, START)
    for sentence, inside in zip(reading.sentences, figures, strict=True):
        if (
            sentence.role == "score"
            and not inside
            and sentence.start in labels
            and labels[sentence.start] < sentence.end
        ):
            sentence.role = "observe"
            sentence.role_odds["observe"] += sentence.role_odds["score"]
            sentence.role_odds["score"] = 0.0
