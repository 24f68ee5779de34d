"""Which part of the sheet each sentence belongs to, decided over the whole monologue at once."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterator
from itertools import pairwise

import numpy as np

from notes2sheet.brewing import advice_words
from notes2sheet.cues import SHEET_FILE, cue_index, cue_words
from notes2sheet.features import START, sentence_features
from notes2sheet.tagger import Odds, agreed, look, odds
from notes2sheet.transcript import Reading
from notes2sheet.word_odds import PARTS, means

WORDS_SHARE = 0.8  # of the odds by words in the decision
TALK_SHARE = 0.5  # of the odds by the whole talk, where several judges speak
LIKENED = 1e4  # how much likelier what is likened to the smell is tasted: all but sure
WITHIN, LONGEST = 10, 3  # words of a sentence in which it is likened; words of a likeness
HEADED = 300.0  # how much likelier a sentence under a part's heading is of that part
WORDED = 30.0  # how much likelier what speaks of the body, or of the whole beer, is of mouthfeel or overall
FELT = {"body", "carbonation"}  # kinds of the first descriptor of a sentence on how the beer feels
CALLED = 3  # words from an impression to the word for the beer
SEVERAL, HEADING = 2, 3  # headings of different parts at least; words of one at most
LETTERS = {"A": "appearance", "S": "aroma", "T": "flavor", "M": "mouthfeel", "O": "overall", "D": "overall"}
TELLING = {"A", "S", "T"}  # letters of look, smell and taste: where all head lines, each letter heads one
MARK = re.compile(r"\W*?(?::|\n|[–—]|-(?=\s|$))")
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
    for at, part in _headed(reading):
        found[at, PARTS.index(part)] *= HEADED
    for at, part in _told_by_words(reading, found):
        found[at, PARTS.index(part)] *= WORDED
    sure: Odds = found / found.sum(1, keepdims=True)
    return sure


def _told_by_words(reading: Reading, found: Odds) -> Iterator[tuple[int, str]]:
    """(number of a sentence, part) of those, thought to be on the flavor, that speak of how the body or the gas feels,
    or of the beer as a whole: 'light bodied', 'nice saison', 'I'm pleased with how it turned out'."""
    flavor, feel = PARTS.index("flavor"), PARTS.index("mouthfeel")
    best = found.argmax(1)
    mentions = reading.grouped(reading.mentions, START)
    turned = cue_index("discourse").find(reading.words)
    whole = {reading.sentence_at(start) for start, _, name in turned if name == "as_whole"}
    tasted = False
    for at, sentence in enumerate(reading.sentences):
        first = next((m.term.kind for m in mentions[at] if m.known), None)
        if tasted and (at in whole or _calls_beer(reading.words[sentence.start : sentence.end])):
            yield at, "overall"
        elif best[at] == flavor and first in FELT:
            yield at, "mouthfeel"
        tasted |= best[at] in (flavor, feel)


def _calls_beer(words: list[str]) -> bool:
    """Whether words begin by calling the beer something: 'nice saison', 'an average beer'."""
    at = 0
    while at < len(words) and words[at] in advice_words("article"):
        at += 1
    called = words[at + 1 : at + CALLED]
    return (
        words[at : at + 1] != []
        and words[at] in advice_words("impression")
        and not advice_words("drink").isdisjoint(called)
    )


def _headed(reading: Reading) -> Iterator[tuple[int, str]]:
    """(number of a sentence, part) of the sentences in typed lines that begin with a part's heading, and of the lines
    behind a heading that stands alone, up to an empty one; where notes have headings of several parts."""
    lines = [*reading.line_starts(), len(reading.sentences)]
    headed = {} if reading.running else dict(_headings(reading, lines[:-1]))
    if len({part for part, _ in headed.values()}) < SEVERAL:
        return
    totals = {reading.sentence_at(start) for start, _, name in reading.cues[SHEET_FILE] if name.startswith("total:")}
    now, alone = None, False  # the part that is headed, and whether nothing but its heading stood so far
    for first, behind in pairwise(lines):
        part, own_line = headed.get(first, (now, False))
        empty = first not in headed and "\n\n" in reading.breaks[reading.sentences[first].start]
        now = part if part is not None and (alone or not empty) else None
        if now is not None:
            yield from ((at, now) for at in range(first, behind) if at not in totals)
        alone = own_line
        now = now if own_line or first not in headed else None


def _letter(reading: Reading, at: int) -> str:
    """The letter that heads a line at word `at`: 'A- amber', 'S: toast'; '' where none does."""
    letter, glued, _ = reading.raw[at].partition("-")
    behind = reading.breaks[at + 1] if at + 1 < len(reading.words) else ""
    return letter if letter in LETTERS and (glued or MARK.match(behind)) else ""


def _headings(reading: Reading, lines: list[int]) -> Iterator[tuple[int, tuple[str, bool]]]:
    """(number of the sentence, (part, whether it stands alone)) of the lines that begin with a part's heading."""
    named = [(start, end, name.partition(":")[0]) for start, end, name in reading.cues[SHEET_FILE]]
    named += cue_index("headings").find(reading.words)
    ends = {(start, end): part for start, end, part in named if part in reading.caps}
    letters = {at: letter for at in lines if (letter := _letter(reading, reading.sentences[at].start))}
    if TELLING.issubset(letters.values()):
        yield from ((at, (LETTERS[letter], False)) for at, letter in letters.items())
        return
    for at in lines:
        start = reading.sentences[at].start
        for end in range(start + HEADING, start, -1):
            behind = reading.breaks[end] if end < len(reading.words) else "\n"
            if (start, end) in ends and MARK.match(behind):
                yield at, (ends[start, end], "\n" in behind)
                break


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
