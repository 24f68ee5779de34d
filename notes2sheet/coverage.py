"""Which of the sheet's prompts the notes answer for this beer, and with which words."""

from __future__ import annotations

from bisect import bisect_left
from functools import cache

from notes2sheet.cues import cue_words
from notes2sheet.descriptors import AND, CLAUSE_BREAK, CONTRAST, Mention, level_hits
from notes2sheet.features import START, function_words
from notes2sheet.lexicon import cue_file
from notes2sheet.transcript import Reading

# What near words tell about a descriptor that could come from malt, hops or fermentation.
SOURCE_WORDS = {
    "malt": {"malt", "malts", "malty", "grain", "grist", "barley"},
    "hops": {"hop", "hops", "hoppy", "hopping", "hop's"},
    "fermentation": {
        "yeast",
        "ester",
        "esters",
        "easters",
        "ferment",
        "fermentation",
        "phenol",
        "phenols",
        "fennels",
        "estery",
    },
}
NEAR = 6
SAID_OF = (
    5  # words between the name of what is looked at and a quality that is said of it: 'the malt is a little | thin'
)
QUALITIES = {"body", "creaminess", "astringency", "finish", "bitterness", "taste", "balance"}  # kinds of such qualities
FELT = {"astringent": "astringency", "alcoholic": "warmth"}  # off-flavors that are felt, and the prompts for them
LOOKED_AT, LIKENED = "appearance", 3  # words between 'head' and what its color is likened to
HEAD_WORDS = {"head", "foam", "froth", "collar"}
JOINING = AND | CONTRAST
SIZES = {"light", "medium", "full", "heavy", "big"}  # alone in a part that asks for the body


def prompts(reading: Reading, part: str) -> tuple[str, ...]:
    """The prompts of a part of the sheet; none for what is no part."""
    return next((c.aspects for c in reading.sheet.categories if c.id == part), ())


def aspects_of(reading: Reading, mention: Mention) -> list[str]:
    """The prompts of its part that a mention answers."""
    sentence = reading.sentences[mention.sentence]
    asked = prompts(reading, sentence.category)
    if not asked:
        return []
    if (said_of := _said_of(reading, mention, asked)) is not None:
        return [said_of]
    if "head" in asked and of_head(reading, mention):
        return ["head"]
    names = [a for h in mention.hits for a in reading.sheet.aspects_of(h.term)]
    if mention.flaw and mention.flaw not in FELT and not _of_malt(mention):
        names.append("fermentation")
    possible = [a for a in dict.fromkeys(names) if a in asked]
    if len(possible) > 1:
        near = _near(reading, mention)
        told = [a for a in possible if near & SOURCE_WORDS.get(a, set())]
        style = reading.style.style if reading.style else None
        if told:
            possible = told[:1]
        elif mention.flaw:
            asks = FELT.get(mention.flaw, "fermentation")
            possible = [asks] if asks in possible else possible[:1]
        elif style and "hops" in possible and "fermentation" in possible:
            possible = (
                ["hops"] if any("hop" in t or "ipa" in t or "bitter" in t for t in style.tags) else ["fermentation"]
            )
        else:
            possible = possible[:1]
    return possible or _by_place(reading, mention, asked)


def of_head(reading: Reading, mention: Mention) -> bool:
    """Whether a color stands under the label of the head: 'foam: brown', 'Head: thick, brown', 'head brown'."""
    first = reading.sentences[mention.sentence].start
    if mention.term is None or mention.term.kind != "color" or reading.running or mention.start == first:
        return False
    marks = [reading.breaks[k].strip() for k in range(first + 1, mention.start + 1)]
    beside = mention.start == first + 1 and not marks[0].strip("-–=")
    labelled = marks[0] == ":" and not any(mark in (":", ";", ".") for mark in marks[1:])
    return reading.words[first] in HEAD_WORDS and (beside or labelled)


def _said_of(reading: Reading, mention: Mention, asked: tuple[str, ...]) -> str | None:
    """The prompt whose name stands right before a quality that is said of it: 'the malt is a little thin', 'finish a
    bit sweet'."""
    term = mention.term
    if term is None or term.bare or term.kind not in QUALITIES or mention.state != "present":
        return None
    begin = max(reading.sentences[mention.sentence].start, mention.start - SAID_OF)
    named = None
    for mentions in (reading.mentions, reading.unmarked):
        at = bisect_left(mentions, mention.start, key=START) - 1
        before = mentions[at] if at >= 0 else None
        if before is not None and before.start >= begin and (named is None or before.start > named.start):
            named = before
    if named is None or not named.term.bare or named.end > mention.start:
        return None
    broken = any(CLAUSE_BREAK.search(reading.breaks[k]) for k in range(named.end, mention.start + 1))
    if broken or not _only_links(reading, named.end, mention.start):
        return None
    if _measured_itself(reading, named.end, mention.start):
        return None
    return next((aspect for aspect in reading.sheet.aspects_of(named.term) if aspect in asked), None)


def _measured_itself(reading: Reading, start: int, end: int) -> bool:
    """Whether a level that belongs to the name before stands between it and a quality: 'bubbles medium | kinda creamy',
    not 'bitterness is high and | rough', 'malt a little | thin'."""
    joined = not JOINING.isdisjoint(reading.words[start:end])
    return not joined and any(
        not _degrees().issuperset(reading.words[first:last])
        for hits in level_hits(reading)
        for first, last, _ in hits[bisect_left(hits, (start,)) : bisect_left(hits, (end,))]
        if last <= end
    )


def _only_links(reading: Reading, start: int, end: int) -> bool:
    """Whether the words `start` to `end` are function words and levels."""
    measured = {
        k for hits in level_hits(reading)
        for first, last, _ in hits[bisect_left(hits, (start,)) : bisect_left(hits, (end,))]
        for k in range(first, last)
    }  # fmt: skip
    linking = function_words() | _hedges()
    return all(k in measured or reading.words[k] in linking for k in range(start, end))


@cache
def _degrees() -> frozenset[str]:
    said = cue_file("levels")["degrees"].values()
    return frozenset(word for words in said for word in words.replace(",", " ").split())


@cache
def _hedges() -> frozenset[str]:
    return frozenset(word for said in cue_words("levels", "hedges") for word in said.split())


def _by_place(reading: Reading, mention: Mention, asked: tuple[str, ...]) -> list[str]:
    """The prompt that words answer only where they stand: in the looks what a color is likened to ('orange'), or how
    light or full a beer feels."""
    words = reading.words[mention.start : mention.end]
    if "body" in asked and SIZES.issuperset(words):
        return ["body"]
    if "color" not in asked or mention.state != "present" or not mention.known:
        return []
    smelled = any(a in SOURCE_WORDS for hit in mention.hits for a in reading.sheet.aspects_of(hit.term))
    if not smelled or any(LOOKED_AT in hit.term.categories for hit in mention.hits):
        return []
    near = reading.words[max(0, mention.start - LIKENED) : mention.end + LIKENED]
    return ["color" if HEAD_WORDS.isdisjoint(near) else "head"]


def _near(reading: Reading, mention: Mention) -> set[str]:
    """The words around a mention in its sentence, without those of what is missing: 'white grape low, no | hops'."""
    sentence = reading.sentences[mention.sentence]
    start, end = max(sentence.start, mention.start - NEAR), min(sentence.end, mention.end + NEAR)
    at = bisect_left(reading.mentions, start, key=START)
    missing: set[int] = set()
    while at < len(reading.mentions) and reading.mentions[at].start < end:
        other = reading.mentions[at]
        missing.update(range(other.start, other.end) if other.state == "absent" and other is not mention else ())
        at += 1
    return {reading.words[k] for k in range(start, end) if k not in missing}


def _of_malt(mention: Mention) -> bool:
    """Whether the off-flavor comes from malt and nothing else: 'acrid'."""
    return all(hit.term.aspects == ("malt",) for hit in mention.hits if hit.term.flaw)


def answers(mention: Mention) -> bool:
    """Whether words that are marked as no descriptor may answer a prompt still: names of what is looked at, and what
    is said of the balance."""
    return mention.term is not None and (mention.term.bare or mention.term.kind == "balance")


def find_coverage(reading: Reading) -> dict[str, dict[str, list[tuple[int, int]]]]:
    """{category: {aspect: spans}} of the prompts that the notes answer for this beer."""
    out: dict[str, dict[str, list[tuple[int, int]]]] = {
        c.id: {a: [] for a in c.aspects} for c in reading.sheet.categories
    }
    for mention in reading.mentions:
        sentence = reading.sentences[mention.sentence]
        if mention.state == "mentioned" or sentence.category not in out:
            continue
        for aspect in aspects_of(reading, mention):
            out[sentence.category][aspect].append(reading.span(mention.start, mention.end))
    for mention in reading.unmarked:
        sentence = reading.sentences[mention.sentence]
        covered = out.get(sentence.category)
        if covered is None or sentence.role not in ("observe", "score") or not answers(mention):
            continue
        for aspect in reading.sheet.aspects_of(mention.term):
            if aspect in covered:
                covered[aspect].append(reading.span(mention.start, mention.end))
    return out
