"""Which of the sheet's prompts the notes answer for this beer, and with which words."""

from __future__ import annotations

from notes2sheet.descriptors import Mention
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


def prompts(reading: Reading, part: str) -> tuple[str, ...]:
    """The prompts of a part of the sheet; none for what is no part."""
    return next((c.aspects for c in reading.sheet.categories if c.id == part), ())


def aspects_of(reading: Reading, mention: Mention) -> list[str]:
    """The prompts of its part that a mention answers."""
    sentence = reading.sentences[mention.sentence]
    asked = prompts(reading, sentence.category)
    if not asked:
        return []
    names = [a for h in mention.hits for a in reading.sheet.aspects_of(h.term)]
    if mention.flaw and mention.flaw not in ("astringent", "alcoholic"):
        names.append("fermentation")
    possible = [a for a in dict.fromkeys(names) if a in asked]
    if len(possible) > 1:
        near = set(reading.words[max(sentence.start, mention.start - NEAR) : min(sentence.end, mention.end + NEAR)])
        told = [a for a in possible if near & SOURCE_WORDS.get(a, set())]
        style = reading.style.style if reading.style else None
        if told:
            possible = told[:1]
        elif mention.flaw:
            possible = ["fermentation"] if "fermentation" in possible else possible[:1]
        elif style and "hops" in possible and "fermentation" in possible:
            possible = (
                ["hops"] if any("hop" in t or "ipa" in t or "bitter" in t for t in style.tags) else ["fermentation"]
            )
        else:
            possible = possible[:1]
    return possible


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
