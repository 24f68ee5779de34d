"""The level that is said of each sensory word: before it, behind it, of its neighbor too, or by the word itself."""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Iterator
from functools import cache
from itertools import pairwise

from notes2sheet.descriptors import AND, CLAUSE_BREAK, CONTRAST, HARD_BREAK, Mention, closed
from notes2sheet.level_words import Level, Levels, parts
from notes2sheet.lexicon import cue_file
from notes2sheet.transcript import Reading
from notes2sheet.words import split_list

JOTTED = re.compile(
    r"[^\S\n]*(?:[:=]{1,2}[^\S\n]*)?(\+{1,3}|[lmh])(?=[^\S\n]*(?:[,;.)|/\n]|\Z)|[^\S\n]+[-–—])", re.IGNORECASE
)
BEFORE_REACH, AFTER_REACH, RESUMED = 4, 5, 9
APART = 3  # words between two that 'both' speaks of
POINTING = {"the", "that", "this", "its"}  # before what was named before
AGAIN = 8  # words between a word and the same said again with its level
STANDS_FOR = {"it", "that", "them", "this"}  # behind 'of': what was named before
ARTICLES = (["a"], ["an"], ["the"])
AND_ALONE = [[word] for word in sorted(AND)]
SOURCES = {"malt", "hops", "fermentation"}  # prompts
OPENS = CONTRAST | AND | {"then", "with"}  # before the article of what follows
FILLERS, VERBS = {"um", "uh", "er", "erm", "uhm", "hm", "hmm"}, {"is", "are", "was", "were", "'s", "at"}
JOINS = CONTRAST | AND  # before a level that measures what follows


def find_levels(reading: Reading) -> None:
    """Set each mention's level: said before it, said behind it, told by its neighbor, or in the word itself."""
    levels, mentions = Levels(reading), reading.mentions
    postponed = _postponed(reading, levels)
    said: list[str | None] = []
    behind: set[int] = set()  # numbers of those whose level stands behind them
    for i, mention in enumerate(mentions):
        sentence = reading.sentences[mention.sentence]
        previous = mentions[i - 1] if i and mentions[i - 1].sentence == mention.sentence else None
        floor = previous.end if previous else sentence.start
        if (compound := _compound(reading, mention, floor, levels.hits)) is not None:
            mention.start, mention.level = compound
            said.append(mention.level)
            continue
        if (ranged := _ranged(mention, mentions[i + 1 : i + 2], levels.ranges)) is not None:
            mention.end, mention.level = ranged
            said.append(mention.level)
            continue
        if mention.start in levels.opened:
            mention.level = levels.opened[mention.start].level
            said.append(mention.level)
            continue
        mention.level = None if postponed.get(i) else _level_before(reading, mention, floor, levels, previous)
        if mention.level is None:
            mention.level = _level_behind(reading, i, levels, postponed.get(i + 1))
            behind.update([i] if mention.level else [])
        if mention.level is None and previous and _shares_level(reading, previous, mention, levels):
            mention.level = said[-1]
        said.append(mention.level)
        if mention.level is None and mention.term.kind != "color":
            mention.level = mention.term.level
    _hand_back(reading, said, behind, levels)


def find_late_levels(reading: Reading, late: list[Mention]) -> None:
    """The levels of mentions that are found by the words around them, last of all; each stands among the others."""
    if not late:
        return
    levels, mentions = Levels(reading), reading.mentions
    numbers = {id(mention) for mention in late}
    for i, mention in enumerate(mentions):
        if id(mention) not in numbers:
            continue
        previous = mentions[i - 1] if i and mentions[i - 1].sentence == mention.sentence else None
        floor = previous.end if previous else reading.sentences[mention.sentence].start
        level = _level_before(reading, mention, floor, levels, previous) or _level_behind(reading, i, levels, None)
        mention.level = None if level == "none" else level or mention.level


def recall_levels(reading: Reading) -> None:
    """What points are taken off for is as strong as it was said to be: 'banana, high ... two off for the banana'."""
    told: dict[tuple[str, str], str] = {}
    for mention in reading.mentions:
        sentence = reading.sentences[mention.sentence]
        at = (sentence.category, mention.term.name)
        if mention.state != "present" or not mention.known or mention.term.level is not None:
            continue
        if mention.level is not None:
            told[at] = mention.level
        elif sentence.role == "score" and reading.words[mention.start - 1] in POINTING:
            mention.level = told.get(at)


def _paired(reading: Reading, one: Mention, other: Mention) -> bool:
    """Whether two mentions are named as one: 'mango and pine', 'toasty/bready'."""
    between = reading.words[one.end : other.start]
    if one.sentence != other.sentence or one.term.bare or other.term.level is not None:
        return False
    return between in AND_ALONE and not parts(reading, one.end) if between else reading.breaks[other.start] == "/"


def _both(one: Mention, other: Mention, levels: Levels) -> bool:
    """Whether what is said behind a mention is said of the one before it too."""
    near = one.sentence == other.sentence and other.start - one.end <= APART
    return near and any(k in levels.both for k in range(other.end, other.end + AFTER_REACH))


def _hand_back(reading: Reading, said: list[str | None], behind: set[int], levels: Levels) -> None:
    """Give a mention without a level that of the next one, where that is the same said again, or they are a pair with
    one level behind it: 'corn, a little bit of corn', 'mango and pine are high', 'floral, herbal, both low'."""
    for i, (one, other) in enumerate(pairwise(reading.mentions)):
        if said[i] is not None or said[i + 1] is None or one.term.level is not None:
            continue
        again = one.term is other.term and other.sentence - one.sentence <= 1 and other.start - one.end <= AGAIN
        pair = (i + 1 in behind and _paired(reading, one, other)) or _both(one, other, levels)
        if (again and not one.term.bare) or pair:
            one.level = said[i + 1]


def _level_behind(reading: Reading, i: int, levels: Levels, postponed: bool | None) -> str | None:
    """The level behind mention `i`; the passage around may show whose the one between it and the next mention is,
    whatever sentences are guessed there."""
    mention = reading.mentions[i]
    if jotted := _jotted(reading, mention):
        return jotted
    if postponed is not None:
        return levels.at[mention.end].level if postponed else None
    if mention.term.level is not None and not levels.named.isdisjoint(range(mention.start, mention.end)):
        return None  # 'high carbonation, light'
    ceiling = _ceiling(reading, reading.mentions, i, reading.sentences[mention.sentence].end)
    return _level_after(reading, mention, ceiling, levels)


@cache
def _marks() -> dict[str, str]:
    """{mark or letter that is jotted behind a word: its level}"""
    return {mark: level for level, said in cue_file("levels")["jotted"].items() for mark in split_list(said)}


def _jotted(reading: Reading, mention: Mention) -> str | None:
    """The level of a mark or letter right behind a mention: 'pear ++', 'caramel L'; plus signs also join words, so
    they count where some are doubled."""
    found = None if reading.running else JOTTED.match(reading.text, reading.ends[mention.end - 1])
    if not found or (found[1] == "+" and "++" not in reading.text):
        return None
    return _marks()[found[1].lower()]


def _postponed(reading: Reading, levels: Levels) -> dict[int, bool]:
    """{number of a mention: whether the level right between it and the one before belongs to that one}, where a
    passage of mentions and levels without a mark shows it: 'caramel low bitterness medium', 'low caramel medium
    bitterness'. It begins or ends with a level."""
    mentions, out = reading.mentions, {}
    chain: list[int] = []
    for i in range(1, len(mentions) + 1):
        before, here = mentions[i - 1], mentions[i] if i < len(mentions) else None
        link = levels.at.get(before.end)
        linked = here is not None and link is not None and link.end == here.start
        linked = linked and (reading.running or here.sentence == before.sentence)  # those of running text are guessed
        if linked and not parts(reading, link.start) and not parts(reading, link.end):
            chain.append(i)
            continue
        if chain:
            sentence = reading.sentences[before.sentence]
            first = mentions[chain[0] - 1].start
            leads = sentence.start < first and first in levels.ending and not parts(reading, first)
            closes = link is not None and link.end <= sentence.end and not parts(reading, link.start)
            closes = closes and not _opens(reading, link, here)
            if leads != closes:
                out.update(dict.fromkeys(chain, closes))
            chain = []
    return out


def _opens(reading: Reading, level: Level, following: Mention | None) -> bool:
    """Whether a level measures the mention that follows it, further words between."""
    near = following is not None and following.start - level.end <= 1
    if near and not JOINS.isdisjoint(reading.words[level.end : following.start]):
        return False  # 'bitterness medium high | but rounded'
    return near and not any(parts(reading, k) for k in range(level.end, following.start + 1))


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


def _ranged(mention: Mention, following: list[Mention], ranges: dict[int, list[Level]]) -> tuple[int, str] | None:
    """(where the mention ends, its level) where its last word begins a range: 'carbonation medium| to high'."""
    for level in ranges.get(mention.end - 1, ()):
        if level.end > mention.end > mention.start + 1 and not (following and following[0].start < level.end):
            return level.end, level.level
    return None


def _shares_level(reading: Reading, one: Mention, other: Mention, levels: Levels) -> bool:
    """Whether one mention's level is the next one's too: 'medium-high grapefruit and pine', 'hops low, spicy', 'hop
    flavor is low and spicy', 'cocoa about the same'."""
    if any(k in levels.same for k in range(other.end, other.end + 2)):
        return not other.term.bare or one.term.bare
    if other.term.level is not None and other.term.kind != "color":
        return False  # 'medium-high bitterness and light body'
    if one.term.bare and not other.term.bare and not _one_prompt(reading, one, other):
        return False  # 'medium bitterness, fruity'
    apart, joined = other.start - one.end, reading.words[other.start - 1] in AND
    if joined:
        between = other.start - 1 in levels.ending and one.term.bare and not other.term.bare
        return (apart == 1 or between) and not parts(reading, one.end)  # not 'low toffee, and pine'
    return one.term.bare and not other.term.bare and apart <= 2


def _one_prompt(reading: Reading, one: Mention, other: Mention) -> bool:
    """Whether two mentions may answer the same prompt of the sheet, or malt or hops are said to taste of something."""
    ours, theirs = (set(reading.sheet.aspects_of(mention.term)) for mention in (one, other))
    tastes = not ours.isdisjoint(SOURCES) and not theirs.isdisjoint(SOURCES) and other.term.kind != "ferment"
    behind = other.start > one.end and reading.words[other.start - 1] not in AND  # 'hops low, peppery'
    return not ours.isdisjoint(theirs) or (tastes and behind)


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
    reading: Reading, mention: Mention, floor: int, levels: Levels, previous: Mention | None
) -> str | None:
    """The level said before a mention. One with 'and' or 'but' behind it is what the mention before it has
    ('bitterness is medium-high and clean')."""
    behind_bare = previous is not None and previous.term.bare
    if behind_bare and reading.words[mention.start - 1] in AND:
        return None
    begin = max(floor, mention.start - BEFORE_REACH - 2)
    begin = next((k for k in range(mention.start, begin, -1) if parts(reading, k)), begin)
    best = None
    for level in _between(levels.before, begin, mention.start):
        gap = mention.start - level.end
        between = reading.words[level.end : mention.start]
        if (gap and between[-1] in AND) or (gap and level.degree == "strong"):
            continue  # 'light and spritzy', 'at a low level and pine', 'really | nice wheat'
        if gap and CLAUSE_BREAK.search(reading.breaks[level.end]):
            continue  # 'wet paper med. some sherry'
        if previous is not None and begin == floor and not CONTRAST.isdisjoint(between):
            continue  # 'bitterness medium high | but rounded'
        if gap and begin == floor and not FILLERS.isdisjoint(between) and _behind(reading, floor, level):
            continue  # 'bitterness is medium um | hop flavor'
        if gap <= BEFORE_REACH:
            key = (gap, level.start - level.end)
            if best is None or key < best[0]:
                best = (key, level.level)
    return best[1] if best else None


def _behind(reading: Reading, end: int, level: Level) -> bool:
    """Whether a level stands right behind the mention that ends before word `end`, a verb between."""
    return level.start == end or (level.start == end + 1 and reading.words[end] in VERBS)


def _level_after(reading: Reading, mention: Mention, ceiling: int, levels: Levels) -> str | None:
    """The level said behind a mention, before the next one."""
    degree = next(_between(levels.before, mention.end, mention.end + AFTER_REACH), None)
    strong = degree and degree.start == mention.end and degree.degree == "strong" and closed(reading, degree.end)
    if strong and mention.term.kind != "color":
        return degree.level  # 'sharp, very'
    end = min(ceiling, mention.end + RESUMED + 4)
    if (letter := _letter(reading, mention.end)) is not None:
        return letter
    stops = (k for k in range(mention.end, end) if HARD_BREAK.search(reading.breaks[k]) and parts(reading, k))
    end = next(stops, end)
    best = None
    for level in _between(levels.after, mention.end, end):
        if level.end in levels.opened or _is_the_next_ones(reading, mention.end, level, ceiling, levels):
            continue
        if level.start - mention.end <= (RESUMED if _resumed(reading, level.start) else AFTER_REACH):
            key = (level.start, level.start - level.end)
            if best is None or key < best[0]:
                best = (key, level.level)
    return best[1] if best else None


def _letter(reading: Reading, at: int) -> str | None:
    """The level that a letter alone tells behind a colon: 'caramel: L, toast: M'."""
    if at >= len(reading.words) or reading.breaks[at] not in (":", "=") or not closed(reading, at + 1):
        return None
    return next((level for level, letter in cue_file("levels")["letters"].items() if reading.words[at] == letter), None)


def _is_the_next_ones(reading: Reading, behind: int, level: Level, ceiling: int, levels: Levels) -> bool:
    """Whether a level behind a mention that ends at `behind` measures what follows: 'clean, but a bit | harsh',
    'bitterness a bit | harsh', 'a lot | of these'."""
    words, stop = reading.words, level.end
    if stop < len(words) and words[stop] == "of":
        behind_of = stop + 1  # a line may be cut there; the last word of the notes measures nothing behind it
        return behind_of < len(words) and not (
            words[behind_of] in STANDS_FOR or CLAUSE_BREAK.search(reading.breaks[behind_of].strip())
        )
    begun = words[level.start - 2] in OPENS and [words[level.start - 1]] in ARTICLES
    if begun and stop in levels.named and stop <= ceiling <= stop + 1:
        return True  # 'and then | a firm, medium-high bitterness'
    if stop != ceiling or ceiling >= len(words) or parts(reading, stop):
        return False
    if reading.sentences[reading.sentence_at(behind - 1)].end == stop:
        return False
    if level.degree:
        return True
    return any(words[k] in JOINS or CLAUSE_BREAK.search(reading.breaks[k]) for k in range(behind, level.start + 1))


def _resumed(reading: Reading, at: int) -> bool:
    """Whether 'it is' or the like stands right before a level: 'banana is in there, but it is | low'."""
    return reading.words[at - 1] in ("is", "'s", "are", "'re") and reading.words[at - 2] in ("it", "that", "they")


def _between(hits: list[Level], begin: int, end: int) -> Iterator[Level]:
    """Those of the levels that lie within the words `begin` to `end`."""
    at = bisect_left(hits, (begin,))
    while at < len(hits) and hits[at].start < end:
        if hits[at].end <= end:
            yield hits[at]
        at += 1
