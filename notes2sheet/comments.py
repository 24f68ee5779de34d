"""The draft comment of each part: level, descriptor and absence in the order of the prompts, in the judge's own words."""

from __future__ import annotations

from notes2sheet.coverage import aspects_of
from notes2sheet.descriptors import Mention
from notes2sheet.transcript import Reading

LEVEL_WORDS = {"none": "no", "very low": "very low", "low": "low", "medium-low": "medium-low", "medium": "medium",
               "medium-high": "medium-high", "high": "high", "very high": "very high"}  # fmt: skip


def compose(reading: Reading, category: str) -> str:
    """What was said of this beer for `category`; nothing is added that the notes don't say."""
    definition = next(c for c in reading.sheet.categories if c.id == category)
    groups: dict[str, list[str]] = {aspect: [] for aspect in (*definition.aspects, "other")}
    for mention in reading.mentions:
        sentence = reading.sentences[mention.sentence]
        if sentence.category != category or mention.state == "mentioned":
            continue
        aspect = next(iter(aspects_of(reading, mention)), "other")
        words = _worded(reading, mention)
        if words not in groups[aspect]:
            groups[aspect].append(words)
    lines = [f"{aspect.capitalize()}: {', '.join(words)}." for aspect, words in groups.items() if words and aspect != "other"]
    if groups["other"]:
        lines.append(f"{'Also: ' if lines else ''}{', '.join(groups['other'])}.")
    if not definition.aspects:
        lines += _observations(reading, category)
    return " ".join(lines)


def _worded(reading: Reading, mention: Mention) -> str:
    start, end = reading.span(mention.start, mention.end)
    said = " ".join(reading.text[start:end].split())
    if any(h.how in ("heard", "risky") for h in mention.hits):
        said = mention.term.name
    if mention.state == "absent":
        return f"no {said}"
    named = f" ({mention.flaw})" if mention.flaw and mention.flaw not in said.lower() else ""
    level = mention.level if mention.level and mention.term and mention.term.level is None else None
    return f"{LEVEL_WORDS[level]} {said}{named}" if level and level != "none" else f"{said}{named}"


def _observations(reading: Reading, category: str) -> list[str]:
    """For a part without prompts, the sentences that observe, as said."""
    out = []
    for sentence in reading.sentences:
        if sentence.category == category and sentence.role == "observe":
            start, end = reading.span(sentence.start, sentence.end)
            said = " ".join(reading.text[start:end].split()).rstrip(".,;")
            out.append(said[:1].upper() + said[1:] + ".")
    return out
