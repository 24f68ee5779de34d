"""Sensory words of the lexicon found in the notes, each with the level that is said of it."""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, lru_cache

from notes2sheet.compiled import compiled
from notes2sheet.cues import cue_index
from notes2sheet.lexicon import CONTRACT_LEVEL, Hit, Term, cue_file, shipped
from notes2sheet.style_data import named_styles
from notes2sheet.transcript import Reading
from notes2sheet.unlisted import UNKNOWN, find_unlisted
from notes2sheet.words import PhraseIndex, split_list

CLAUSE_BREAK = re.compile(r"[,.;:!?()\n/—–]|--")
WALL = "\n"  # stands in no phrase
HARD_BREAK = re.compile(r"[.;!?\n]")
BEFORE_REACH, AFTER_REACH = 4, 5
NOUN_BEFORE, NOUN_BEHIND = 12, 2  # words in which an adjective's noun is looked for
STANDS_FOR = {"it", "that", "them", "this"}  # behind 'of': what was named before
AND = {"and", "&", "+"}
CONTRAST = {"but", "though", "although", "whereas", "however", "except", "yet"}
ARTICLES = (["a"], ["an"], ["the"])
JOINS = CONTRAST | AND  # before a level that measures what follows


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
    taken = {k for start, end in (*found, *ingredients, *named.values()) for k in range(start, end)}
    for start, end, hit in find_unlisted(reading, taken, CLAUSE_BREAK, level_hits(reading)[0]):
        if taken.isdisjoint(range(start, end)):
            found[start, end] = Mention(start, end, [hit], None)
    reading.mentions = [found[span] for span in sorted(found)]
    place(reading)
    for mention in reading.mentions:
        _read_as(mention)
    _find_levels(reading)


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


def _find_levels(reading: Reading) -> None:
    """Set each mention's level: said before it, said after it, told by its neighbor, or in the word itself."""
    before, after = level_hits(reading)
    mentions = reading.mentions
    said: list[str | None] = []
    for i, mention in enumerate(mentions):
        sentence = reading.sentences[mention.sentence]
        previous = mentions[i - 1] if i and mentions[i - 1].sentence == mention.sentence else None
        floor = previous.end if previous else sentence.start
        if (compound := _compound(reading, mention, floor, before)) is not None:
            mention.start, mention.level = compound
            said.append(mention.level)
            continue
        mention.level = _level_before(reading, mention, floor, before, bool(previous and previous.term.bare))
        if mention.level is None:
            mention.level = _level_after(reading, mention, _ceiling(reading, mentions, i, sentence.end), after)
        if mention.level is None and previous and _shares_level(reading, previous, mention):
            mention.level = said[-1]
        said.append(mention.level)
        if mention.level is None and mention.term.kind != "color":
            mention.level = mention.term.level


def _compound(
    reading: Reading, mention: Mention, floor: int, hits: list[tuple[int, int, str]]
) -> tuple[int, str] | None:
    """(where the mention begins, its level) where its first word ends a level: 'medium-|high bitterness', of 'a | low
    carbonation' without the article."""
    at = bisect_left(hits, (max(floor, mention.start - BEFORE_REACH),))
    over = None
    while at < len(hits) and hits[at][0] < mention.start:
        start, end, level = hits[at]
        at += 1
        if not mention.start < end < mention.end:
            continue
        if reading.words[start : mention.start] not in ARTICLES:
            over = start, level  # the last is the shortest: 'medium high', not 'a medium high'
        elif mention.term.level is None:
            over = mention.start, level
    return over


def _shares_level(reading: Reading, one: Mention, other: Mention) -> bool:
    """Whether one mention's level is the next one's too: 'medium-high grapefruit and pine', 'hops low, spicy'."""
    if other.term.level is not None and other.term.kind != "color":
        return False  # 'medium-high bitterness and light body'
    apart, joined = other.start - one.end, reading.words[other.start - 1] in AND
    return apart == 1 if joined else one.term.bare and apart <= 2


def _ceiling(reading: Reading, mentions: list[Mention], i: int, end: int) -> int:
    """Where the words that may measure mention `i` end: the next mention that is more than a bare aspect word."""
    for following in mentions[i + 1 : i + 3]:
        if following.sentence != mentions[i].sentence:
            break
        if not following.term.bare or following.start - mentions[i].end > 1:
            return following.start
        if any(CLAUSE_BREAK.search(reading.breaks[k]) for k in range(mentions[i].end, following.start + 1)):
            return following.start  # 'crackery malt, bitterness high'
    return end


def _level_before(
    reading: Reading, mention: Mention, floor: int, hits: list[tuple[int, int, str]], behind_bare: bool
) -> str | None:
    """The level said before a mention; one with 'and' behind it is what a bare aspect before it has ('bitterness is
    medium-high and clean')."""
    if behind_bare and reading.words[mention.start - 1] in AND:
        return None
    begin = max(floor, mention.start - BEFORE_REACH - 2)
    for at in range(mention.start, begin, -1):
        if CLAUSE_BREAK.search(reading.breaks[at]):
            begin = at
            break
    best = None
    for start, end, level in _between(hits, begin, mention.start):
        gap = mention.start - end
        if gap == 1 and reading.words[end] in AND:
            continue  # 'light and spritzy'
        if gap <= BEFORE_REACH:
            key = (gap, start - end)
            if best is None or key < best[0]:
                best = (key, level)
    return best[1] if best else None


def _level_after(reading: Reading, mention: Mention, ceiling: int, hits: list[tuple[int, int, str]]) -> str | None:
    end = min(ceiling, mention.end + AFTER_REACH + 4)
    for at in range(mention.end, end):
        if HARD_BREAK.search(reading.breaks[at]):
            end = at
            break
    best = None
    for start, stop, level in _between(hits, mention.end, end):
        if _is_the_next_ones(reading, mention.end, start, stop, ceiling):
            continue
        if start - mention.end <= AFTER_REACH:
            key = (start, start - stop)
            if best is None or key < best[0]:
                best = (key, level)
    return best[1] if best else None


def _is_the_next_ones(reading: Reading, behind: int, start: int, stop: int, ceiling: int) -> bool:
    """Whether a level at the words `start` to `stop`, behind a mention that ends at `behind`, measures what follows:
    'clean, but a bit | harsh', 'a lot | of these'."""
    words = reading.words
    if stop < len(words) and words[stop] == "of":
        behind_of = stop + 1  # the last word of the notes measures nothing behind it
        return behind_of < len(words) and not (
            words[behind_of] in STANDS_FOR or CLAUSE_BREAK.search(reading.breaks[behind_of])
        )
    if stop != ceiling or ceiling >= len(words) or CLAUSE_BREAK.search(reading.breaks[stop]):
        return False
    return any(words[k] in JOINS or CLAUSE_BREAK.search(reading.breaks[k]) for k in range(behind, start + 1))


def _between(hits: list[tuple[int, int, str]], begin: int, end: int) -> Iterator[tuple[int, int, str]]:
    """Those of the hits that lie within the words `begin` to `end`."""
    at = bisect_left(hits, (begin,))
    while at < len(hits) and hits[at][0] < end:
        if hits[at][1] <= end:
            yield hits[at]
        at += 1
