"""Which part of the sheet each sentence belongs to, decided over the whole monologue at once."""

from __future__ import annotations

from bisect import bisect_right

import numpy as np

from notes2sheet.cues import cue_words
from notes2sheet.features import START, sentence_features
from notes2sheet.tagger import Odds, agreed, look, odds
from notes2sheet.transcript import Reading
from notes2sheet.word_odds import PARTS, means

WORDS_SHARE = 0.5  # of the odds by words in the decision
TALK_SHARE = 0.5  # of the odds by the whole talk, where several judges speak
LIKENED = 1e4  # how much likelier what is likened to the smell is tasted: all but sure
WITHIN, LONGEST = 10, 3  # words of a sentence in which it is likened; words of a likeness
ARTICLES = {"the", "its", "that"}


def part_odds(reading: Reading) -> Odds:
    """The odds of each of PARTS for every sentence: what the tagger of sentences and the odds by words agree on."""
    look("segments", sentence_features(reading), reading.running)
    by_word = means(reading.word_odds["part"], reading.sentences)
    found = agreed(odds("segments", PARTS, reading.running), by_word, WORDS_SHARE)
    likened = [
        k for k, s in enumerate(reading.sentences) if _likened(reading.words[s.start : min(s.end, s.start + WITHIN)])
    ]
    found[likened, PARTS.index("flavor")] *= LIKENED
    sure: Odds = found / found.sum(1, keepdims=True)
    return sure


def _likened(words: list[str]) -> bool:
    """Whether the first words of a sentence liken what is said to the smell of the beer: 'same as in the nose'."""
    for k in range(2, len(words)):
        if words[k] in cue_words("discourse", "as_smelled", "smell") and words[k - 1] in ARTICLES:
            before = [" ".join(words[first : k - 1]) for first in range(max(0, k - 1 - LONGEST), k - 1)]
            first = before and before[0] in cue_words("discourse", "as_smelled", "at_first") and k - 1 <= LONGEST
            if (first or not cue_words("discourse", "as_smelled").isdisjoint(before)) and words[k + 1 : k + 2] != [
                "of"
            ]:
                return True
    return False


def find_segments(reading: Reading) -> None:
    """Set the category of every sentence; where several judges speak, the whole talk has its say."""
    found = part_odds(reading)
    if reading.talk:
        begins = [reading.starts[s.start] for s in reading.sentences]
        at = [max(bisect_right(reading.talk, begin, key=lambda told: told[0]) - 1, 0) for begin in begins]
        found = agreed(found, np.array([reading.talk[k][1] for k in at]), TALK_SHARE)
    for sentence, best in zip(reading.sentences, found.argmax(1).tolist(), strict=True):
        sentence.category = reading.sheet.part(PARTS[best])
    _keep_scores(reading)


def _keep_scores(reading: Reading) -> None:
    """A score that stands alone behind what a part was found to have is that part's, though the notes end with it:
    'Aroma: grapefruit and pine. 10/12'."""
    caps = reading.caps
    figures = reading.grouped(reading.numbers, START)
    for before, sentence, inside in zip(reading.sentences, reading.sentences[1:], figures[1:], strict=False):
        cap = caps.get(before.category)
        if sentence.category != "closing" or cap is None or len(inside) != 1:
            continue
        (number,) = inside
        alone = (number.start, number.end) == (sentence.start, sentence.end)
        if alone and number.value <= cap and number.over in (None, cap):
            sentence.category = before.category
