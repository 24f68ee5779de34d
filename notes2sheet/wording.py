"""How one finding is worded in a comment: its level or that it is missing, its words, the off-flavor that they name."""

from __future__ import annotations

from bisect import bisect_left
from functools import cache

from notes2sheet.coverage import FELT, SOURCE_WORDS
from notes2sheet.descriptors import CLEAN, Mention, level_hits, level_index
from notes2sheet.expectations import SCALED, tinged
from notes2sheet.lexicon import cue_file
from notes2sheet.transcript import Reading
from notes2sheet.words import base_forms, capitals, split_list

SEEN_OR_FELT = {"clarity", "body", "creaminess", "astringency", "warmth"}  # kinds told by adjectives: 'slightly hazy'
ENDINGS = (
    *("y", "ing", "ed", "ic", "ish", "clear", "bright", "brilliant", "dull", "thin", "full", "smooth", "soft"),
    *("rough", "harsh", "slick", "hot", "warm", "ent", "dry"),
)  # how they end
TASTES = {"sweet", "sour", "bitter", "tart", "acidic", "dry", "stale", "acrid", "burnt", "sharp", "side"}
FORMED = ("y", "ish", "like")  # endings of adjectives made of nouns: 'buttery'
DENIED = ("no ", "not ")  # how what is missing is worded
NOUNS = ("body", "ity", "cy")
WEAKENED = frozenset(("at", "all", "really", "very", "too", "overly", "particularly", "especially", "terribly"))
LEVEL_WORDS = 8  # of a level at most
DEGREE = 3  # words of 'a little bit' at most


def spoken(reading: Reading, start: int, end: int) -> str:
    """The words as the lexicon spells them, hyphens kept."""
    out = capitals(reading.words[start])
    for k in range(start + 1, end):
        between = reading.text[reading.ends[k - 1] : reading.starts[k]]
        out += (between if between in ("-", "/", "") else " ") + capitals(reading.words[k])
    return out


def worded(reading: Reading, mention: Mention, aspect: str = "") -> str:
    """What a mention tells under a prompt, with its level: 'low cooked corn (DMS)', 'slightly hazy', 'no butter', 'not
    harsh'. An off-flavor that the prompt asks for needs no name there."""
    said = spoken(reading, mention.start, mention.end)
    if mention.term.bare and _shortens(said, mention.term.name):
        said = mention.term.name
    if any(h.how in ("heard", "risky") for h in mention.hits):
        said = mention.term.name
    if mention.state == "absent":
        denied = "not" if _adjective(mention, said) or _made_of_noun(reading, said) else _denial(reading, mention)
        return said if said.startswith(DENIED) else f"{denied} {said}"
    said += f" {tinge}" if (tinge := tinged(reading, mention)) else ""
    told = not mention.flaw or mention.flaw[:4] in said.lower() or FELT.get(mention.flaw) == aspect
    return _measured(reading, mention, said) + ("" if told else f" ({capitals(mention.flaw)})")


def _measured(reading: Reading, mention: Mention, said: str) -> str:
    """The words with the level that is said of them; those that hold a level themselves with what weakens it: 'a little
    thin'."""
    if mention.term.level is not None:
        degree = _degree_before(reading, mention)
        return said if not degree or degree in said else f"{degree} {said}"
    if mention.term.kind == "color":
        return f"{_share_before(reading, mention)}{said}"
    level = mention.level if mention.term.name != CLEAN and not _far_level(reading, mention) else None
    if not level or level == "none" or level in said or _holds_level(reading, mention):
        return said
    if mention.term.kind == "head" and (size := _level_words(reading, mention)):
        return f"{size} {said}"
    if _adjective(mention, said) and not (level.startswith("medium") and said.split()[-1] in TASTES):
        level = cue_file("levels")[level]["adverb"]
    return said if level in said else f"{level} {said}"


def _level_words(reading: Reading, mention: Mention) -> str:
    """The level right before a mention, as said: a head is big, not high. '' without any."""
    hits = level_hits(reading)[0]
    near = hits[bisect_left(hits, (mention.start - LEVEL_WORDS,)) : bisect_left(hits, (mention.start,))]
    start = next((start for start, end, _ in near if end == mention.start), mention.start)
    start += reading.words[start] in ("a", "an", "the")
    return spoken(reading, start, mention.start) if start < mention.start else ""


def _holds_level(reading: Reading, mention: Mention) -> bool:
    """Whether words tell their level themselves: 'big white head'."""
    first, last = (mention.start,), (mention.end,)
    near = (hits[bisect_left(hits, first) : bisect_left(hits, last)] for hits in level_hits(reading))
    return any(end < mention.end for hits in near for _, end, _ in hits)


def _share_before(reading: Reading, mention: Mention) -> str:
    """The words right before a color that say how much of it there is: 'hints of | deep brown'."""
    before = mention.start - 2
    told = before >= 0 and reading.words[before + 1] == "of" and not reading.breaks[mention.start].strip()
    return f"{spoken(reading, before, mention.start)} " if told and mention.level else ""


def _far_level(reading: Reading, mention: Mention) -> bool:
    """Whether what is left at the end of a sip has its level from words that are not beside it: 'bitterness
    medium-high and it lingers'."""
    if mention.term.kind != "finish":
        return False
    first = mention.start - LEVEL_WORDS
    near = (hits[bisect_left(hits, (first,)) : bisect_left(hits, (mention.start,))] for hits in level_hits(reading))
    return not any(end == mention.start for hits in near for _, end, _ in hits)


def _shortens(said: str, name: str) -> bool:
    """Whether a word is a name shortened by leaving letters out: 'bitt', 'bttrness'."""
    letters = iter(name)
    return said != name and said[:1] == name[:1] and len(said) < len(name) and all(c in letters for c in said)


@cache
def _weak() -> frozenset[tuple[str, ...]]:
    return frozenset(tuple(said.split()) for said in split_list(cue_file("levels")["degrees"]["weak"]))


def _degree_before(reading: Reading, mention: Mention) -> str:
    """The words right before a mention that say how little of it there is, as said; '' without any."""
    for size in range(DEGREE, 0, -1):
        at = mention.start - size
        if at < 0 or any(reading.breaks[k].strip() for k in range(at + 1, mention.start + 1)):
            continue
        if tuple(reading.words[at : mention.start]) in _weak():
            return spoken(reading, at, mention.start)
    return ""


def _adjective(mention: Mention, said: str) -> bool:
    """Whether the words are adjectives, which a level measures as an adverb: 'slightly hazy', 'very sour'."""
    if said.split()[-1] in TASTES:
        return True
    felt = mention.flaw in FELT or any(hit.term.kind in SEEN_OR_FELT for hit in mention.hits)
    return felt and said.endswith(ENDINGS) and not said.endswith(NOUNS)


def _made_of_noun(reading: Reading, said: str) -> bool:
    """Whether the words end in an adjective that is made of a noun: 'buttery', 'papery', not 'celery'."""
    last = said.split()[-1].split("-")[-1]
    return (
        last.endswith(FORMED)
        and not last.endswith(NOUNS)
        and any(reading.lexicon.phrases.get(base) for base in base_forms(last))
    )


def _denial(reading: Reading, mention: Mention) -> str:
    """'not' where the notes deny a quality ('isn't harsh'), 'no' where they miss a thing."""
    before = mention.start - 1
    while before >= 0 and reading.words[before] in WEAKENED:
        before -= 1
    word = reading.words[max(before, 0)]
    return "not" if word in ("not", "never") or word.endswith(("n't", "n’t")) else "no"


def under_name(reading: Reading, aspect: str, said: str, there: list[str]) -> str:
    """The words without the prompt's name, under which they stand anyway: 'finish is dry', 'brilliant clarity'. A level
    needs the name beside other words ('high carbonation, low sparkle'), and that of what is smelled ('low malt')."""
    links = (f"{aspect} is ", f"{aspect}'s ", f"{aspect}’s ", f"{aspect} are ")
    linked = said.startswith(links)
    link = next((link for link in links if said.startswith(link)), f"{aspect} ")
    rest = said.removeprefix(link).removesuffix(f" {aspect}").strip()
    if not rest or rest == said:
        return said
    telling = _telling(reading, aspect, rest)
    named = aspect in SOURCE_WORDS
    if telling == "level":
        return rest if (said == there[0] if linked else len(there) == 1 and not named) else said
    whole = linked or (aspect in SCALED and said.endswith(f" {aspect}"))
    return rest if whole or (telling and not named) else said


def _telling(reading: Reading, aspect: str, said: str) -> str | None:
    """'level' where words tell a level and nothing else, 'quality' where they tell what the prompt asks for; None where
    some of them are of another kind ('hop astringency', 'high white head') and need its name."""
    words = said.replace("-", " ").split()
    levels = {k for index in level_index() for a, b, _ in index.find(words, overlapping=True) for k in range(a, b)}
    hits = reading.lexicon.phrases.find(words, overlapping=True)
    own = {
        k for a, b, hit in hits for k in range(a, b)
        if not hit.term.bare and (hit.term.kind == aspect or aspect in SCALED)
    }  # fmt: skip
    every = set(range(len(words)))
    if levels >= every:
        return "level"
    return "quality" if own | (levels if aspect in SCALED else set()) >= every else None
