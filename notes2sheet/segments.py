"""Which part of the sheet each sentence belongs to, decided over the whole monologue at once."""

from __future__ import annotations

from bisect import bisect_right

import numpy as np

from notes2sheet.features import sentence_features
from notes2sheet.tagger import Odds, agreed, look, odds
from notes2sheet.transcript import Reading
from notes2sheet.word_odds import PARTS, means

WORDS_SHARE = 0.5  # of the odds by words in the decision
TALK_SHARE = 0.5  # of the odds by the whole talk, where several judges speak


def part_odds(reading: Reading) -> Odds:
    """The odds of each of PARTS for every sentence: what the tagger of sentences and the odds by words agree on."""
    look("segments", sentence_features(reading), reading.running)
    by_word = means(reading.word_odds["part"], reading.sentences)
    return agreed(odds("segments", PARTS, reading.running), by_word, WORDS_SHARE)


def find_segments(reading: Reading) -> None:
    """Set the category of every sentence; where several judges speak, the whole talk has its say."""
    found = part_odds(reading)
    if reading.talk:
        begins = [reading.starts[s.start] for s in reading.sentences]
        at = [max(bisect_right(reading.talk, begin, key=lambda told: told[0]) - 1, 0) for begin in begins]
        found = agreed(found, np.array([reading.talk[k][1] for k in at]), TALK_SHARE)
    for sentence, best in zip(reading.sentences, found.argmax(1).tolist(), strict=True):
        sentence.category = reading.sheet.part(PARTS[best])
