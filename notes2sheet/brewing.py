"""Advice to the brewer, what is told to be done another time, and what befell the beer when it was brewed: no finding
of this beer."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from notes2sheet.cues import cue_index, cue_words
from notes2sheet.descriptors import CLAUSE_BREAK
from notes2sheet.numbers import begins_number
from notes2sheet.sentences import Sentence
from notes2sheet.transcript import Reading

FILE = "advice"
AHEAD = 8  # words behind a verb in which the thing is named that is to be changed
NEAR = 4  # words behind 'fresher', 'less' in which the thing is named
TALKED = 2  # words behind 'note to the brewer' at least


@cache
def advice_words(table: str) -> frozenset[str]:
    """A list of single words of lexicon/cues/advice.toml."""
    return cue_words(FILE, "words", table)


def phrases(reading: Reading, sentence: Sentence, *tables: str) -> list[tuple[int, int]]:
    """Where phrases of these tables stand in a sentence: (first word, behind the last)."""
    found = cue_index(FILE).find(reading.words[sentence.start : sentence.end])
    return [(sentence.start + start, sentence.start + end) for start, end, table in found if table in tables]


def advice_in(reading: Reading, sentence: Sentence) -> tuple[int, int] | None:
    """The words of a sentence that tell its brewer what to do: all behind 'note to the brewer', else the clause."""
    words = reading.words[sentence.start : sentence.end]
    if reading.asks(sentence) or phrases(reading, sentence, "idle") or not advice_words("farewell").isdisjoint(words):
        return None
    for start, end in phrases(reading, sentence, "addressed"):
        if sentence.end - end >= TALKED and _speaks_to_brewer(reading, start, end):
            return end, sentence.end
    at = next((k for k in _openings(reading, sentence) if _tells_to_do(reading, k, sentence.end)), None)
    return None if at is None else (at, _clause_end(reading, at, sentence.end))


def _speaks_to_brewer(reading: Reading, start: int, end: int) -> bool:
    """Whether advice follows words that it may begin with: 'tell the brewer', 'advice:'; not 'a suggestion of honey',
    'tell the brewer it's lovely'."""
    if reading.words[end] in advice_words("finding"):
        return False
    marked = bool(reading.breaks[end].strip()) or reading.words[end] == "is"
    return marked or "brewer" in reading.words[start:end]


def befell(reading: Reading, sentence: Sentence) -> Iterator[int]:
    """The words of a sentence that tell what happened in the brewhouse, not in the glass: 'the wort sat hot', 'the
    ferment got too warm'."""
    words = reading.words
    for k in range(sentence.start, sentence.end - 1):
        if words[k] in advice_words("stage"):
            end = _clause_end(reading, k, min(k + 1 + NEAR, sentence.end))
            told = [at for at in range(k + 2, end) if words[at] in advice_words("befallen")]
            if told and not advice_words("befell").isdisjoint(words[k + 1 : told[0]]):
                yield from (k, *told)


def asked_for(reading: Reading, sentence: Sentence) -> bool:
    """Whether a sentence asks for a change in the brewing, in whatever words: 'two more weeks would help'."""
    words = reading.words[sentence.start : sentence.end]
    return bool(phrases(reading, sentence, "asked", "helped")) and not advice_words("thing").isdisjoint(words)


def change_wanted(reading: Reading, sentence: Sentence) -> tuple[int, int] | None:
    """The beginning of a clause with what there should be more or less of: 'fresher hops', 'with a little less black
    malt', 'a touch more acidity would help'."""
    starts = (k for k in _openings(reading, sentence) if reading.words[k] in advice_words("change"))
    ends = ((k, _clause_end(reading, k, min(k + 1 + NEAR, sentence.end))) for k in starts)
    things = advice_words("thing")
    lifted = max((at for at, _ in phrases(reading, sentence, "helped")), default=0)
    return next(((k, e) for k, e in ends if k < lifted or not things.isdisjoint(reading.words[k + 1 : e])), None)


def _openings(reading: Reading, sentence: Sentence) -> Iterator[int]:
    """The words that a clause begins with; those behind its first small words too, and behind a figure."""
    opened = False
    for k in range(sentence.start, sentence.end):
        begins = k == sentence.start or bool(CLAUSE_BREAK.search(reading.breaks[k])) or _marked(reading.breaks[k])
        opened = begins or (opened and reading.words[k - 1] in advice_words("lead")) or _must(reading, k, sentence)
        if opened or (k > sentence.start and begins_number(reading.words[k - 1])):
            yield k


def _must(reading: Reading, at: int, sentence: Sentence) -> bool:
    """Whether word `at` is what the brewer ought to do: 'they need to | mash', 'somebody should | clean'."""
    words = reading.words
    verb = at - 1 - (words[at - 1] == "to")
    told = verb > sentence.start and words[verb] in advice_words("must")
    return told and words[verb - 1] in advice_words("brewer")


def _marked(between: str) -> bool:
    """Whether a dash or an arrow stands between two words, with room beside it."""
    return any(mark in between for mark in "-→>*+")


def _clause_end(reading: Reading, at: int, last: int) -> int:
    """The word behind the clause that holds word `at`."""
    return next((k for k in range(at + 1, last) if CLAUSE_BREAK.search(reading.breaks[k])), last)


def _tells_to_do(reading: Reading, at: int, last: int) -> bool:
    """Whether word `at` is a verb of brewing with what is done behind it ('ferment cooler', 'mash two degrees
    higher'), or another one with the thing that is to be changed ('check your bottling line')."""
    word, end = reading.words[at], _clause_end(reading, at, min(at + 1 + AHEAD, last))
    behind = reading.words[at + 1 : end]
    if not behind:
        return False
    if word in advice_words("process"):
        measured = begins_number(behind[0]) and not advice_words("thing").isdisjoint(behind)
        return measured or behind[0] in advice_words("behind_process") | advice_words("change")
    led = behind[0] in advice_words("behind_measure") or begins_number(behind[0]) or word in advice_words("bare")
    thing = next((k for k, said in enumerate(behind) if said in advice_words("thing")), None)
    scored = thing is not None and not advice_words("scored").isdisjoint(behind[:thing])
    return word in advice_words("measure") and led and thing is not None and not scored
