"""Sensory words of the lexicon found in the notes; `levels.py` tells the level that is said of each."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import pairwise

from notes2sheet.compiled import compiled
from notes2sheet.cues import cue_index
from notes2sheet.lexicon import CONTRACT_LEVEL, Hit, Term, cue_file, shipped
from notes2sheet.style_data import named_styles
from notes2sheet.transcript import Reading
from notes2sheet.unlisted import UNKNOWN, find_unlisted
from notes2sheet.words import PhraseIndex, split_list

HARD_BREAK = re.compile(r"[.;!?\n]")  # what ends a written sentence or an item
CLAUSE_BREAK = re.compile(r"[,.;:!?()\n/—–]|--")
WALL = "\n"  # stands in no phrase
NOUN_BEFORE, NOUN_BEHIND = 12, 2  # words in which an adjective's noun is looked for
AND = {"and", "&", "+"}
CONTRAST = {"but", "though", "although", "whereas", "however", "except", "yet"}
CLEAN, FAULTLESS = "clean fermentation", "faultless"  # the term, and how it is found, where no fault is found


@dataclass
class Mention:
    """A sensory word or phrase: words `start` to `end`, the lexicon's readings of it, and what is said of it.

    `state` is present, absent or mentioned, set by the stance stage; `level` one of the lexicon's eight levels.
    """

    start: int
    end: int
    hits: list[Hit]
    term: Term | None
    state: str = "present"
    level: str | None = None
    flaw: str | None = None
    sentence: int = 0
    strong: bool = False  # by words that name much of a fault whatever level is said

    @property
    def known(self) -> bool:
        """Whether the lexicon holds the words: guesses do not color a sentence."""
        return self.term.kind != UNKNOWN.kind

    @property
    def kinds(self) -> set[str]:
        """The kinds of all that the words may mean."""
        return {hit.term.kind for hit in self.hits}


@cache
def level_index() -> tuple[PhraseIndex, PhraseIndex]:
    """(phrases that stand before what they measure, phrases that stand after it); the payload is the level."""
    data = compiled("levels", [shipped() / "cues" / "levels.toml"], _index_levels)
    return PhraseIndex(data["before"]), PhraseIndex(data["after"])


def _index_levels() -> dict[str, dict]:
    before, after = PhraseIndex(), PhraseIndex()
    for level, entry in cue_file("levels").items():
        if level in CONTRACT_LEVEL:
            for key, index in (("before", before), ("after", after)):
                for phrase in split_list(entry.get(key, "")):
                    index.add(phrase, level)
    return {"before": before.data, "after": after.data}


def level_hits(reading: Reading) -> list[list[tuple[int, int, str]]]:
    """All (start, end, level) of the notes, found once: of the phrases before what they measure, and of those after."""
    if reading.levels is None:
        reading.levels = [index.find(reading.words, overlapping=True) for index in level_index()]
    return reading.levels


def find_descriptors(reading: Reading) -> None:
    """Fill `reading.mentions`, in the order of the words, none overlapping."""
    ingredients = {(s, e) for s, e, _ in reading.lexicon.ingredients.find(reading.words)}
    named = {k: (s, e) for s, e, _ in (*_idioms(reading), *named_styles(reading)) for k in range(s, e)}
    found: dict[tuple[int, int], Mention] = {}
    for start, end, hit in _unbroken(reading):
        if hit.how == "adjectives" and not _noun_near(reading, start, end, hit.term):
            continue
        if (start, end) in found:
            found[start, end].hits.append(hit)
            continue
        if (start, end) in ingredients and hit.term.kind == "other":
            continue
        around = named.get(start, (start, end))
        if around[1] - around[0] > end - start and end <= around[1]:
            continue  # 'amber' in 'American amber ale', 'alcohol' in 'alcohol-free'
        found[start, end] = Mention(start, end, [hit], None)
    faultless = list(_faultless(reading))
    said = {k for start, end in faultless for k in range(start, end)}
    found = {span: mention for span, mention in found.items() if said.isdisjoint(range(*span))}
    clean = Hit(reading.lexicon.terms[CLEAN], FAULTLESS)
    found |= {span: Mention(*span, [clean], None) for span in faultless}
    taken = {k for start, end in (*found, *ingredients, *named.values()) for k in range(start, end)}
    for start, end, hit in find_unlisted(reading, taken, CLAUSE_BREAK, level_hits(reading)[0]):
        if taken.isdisjoint(range(start, end)):
            found[start, end] = Mention(start, end, [hit], None)
    reading.mentions = [found[span] for span in sorted(found)]
    place(reading)
    for mention in reading.mentions:
        _read_as(mention)


def _faultless(reading: Reading) -> Iterator[tuple[int, int]]:
    """Where faults are said not to be there: 'faults: none', 'off flavors - nil', 'no faults'."""
    answers = cue_index("answers").find(reading.words)
    for start, end, kind in answers:
        if kind == "faults" and reading.words[start - 1 : start] == ["no"] and closed(reading, end):
            yield start - 1, end
    for (start, end, kind), (begin, stop, answer) in pairwise(answers):
        listed = kind == "faults" and answer == "no" and begin == end and not closed(reading, end, but=":")
        if listed and closed(reading, stop):
            yield start, stop


def closed(reading: Reading, at: int, but: str = "") -> bool:
    """Whether a clause ends before word `at`, with another mark than `but`."""
    if at >= len(reading.words):
        return True
    mark = reading.breaks[at]
    return bool(CLAUSE_BREAK.search(mark)) and mark != but


def _idioms(reading: Reading) -> list[tuple[int, int, str]]:
    """Where phrases stand that hold sensory words and name no sensation."""
    return cue_index("idioms").find(reading.words)


@lru_cache(maxsize=1024)
def _nouns(listed: str) -> frozenset[str]:
    """The words of a term's `nouns`: each itself, or what lexicon/cues/nouns.toml has under its name."""
    groups = cue_file("nouns")
    said = (groups[noun]["said"] if noun in groups else noun for noun in split_list(listed))
    return frozenset(split_list(", ".join(said)))


def _noun_near(reading: Reading, start: int, end: int, term: Term) -> bool:
    """Whether one of the nouns of which an adjective is said stands before it or right behind: 'the finish is long'."""
    near = reading.words[max(0, start - NOUN_BEFORE) : end + NOUN_BEHIND]
    return not _nouns(term.data.get("nouns", "")).isdisjoint(near)


def _unbroken(reading: Reading) -> Iterator[tuple[int, int, Hit]]:
    """The phrases of the lexicon, none running over a mark of punctuation: "brilliant, white" are two."""
    walled: list[str] = []
    walls: list[int] = []  # their places among the words with them
    for word, between in zip(reading.words, reading.breaks, strict=True):
        if between and CLAUSE_BREAK.search(between):
            walls.append(len(walled))
            walled.append(WALL)
        walled.append(word)
    passed = 0
    for start, end, hit in reading.lexicon.phrases.find(walled):
        while passed < len(walls) and walls[passed] < start:
            passed += 1
        yield start - passed, end - passed, hit


def place(reading: Reading) -> None:
    """Tell each mention the sentence in which it begins."""
    sentence = 0
    for mention in reading.mentions:
        while mention.start >= reading.sentences[sentence].end:
            sentence += 1
        mention.sentence = sentence


def _read_as(mention: Mention) -> None:
    """Choose among the readings of a phrase: a plain descriptor before a doubtful fault, a sure fault before all."""
    sure = next((h for h in mention.hits if h.term.flaw and h.how in ("said", "heard", "risky")), None)
    plain = next((h for h in mention.hits if not h.term.flaw), None)
    doubtful = next((h for h in mention.hits if h.term.flaw), None)
    chosen = sure or plain or doubtful
    mention.term = chosen.term
    mention.flaw = (sure or doubtful).term.flaw if (sure or doubtful) else None
