"""Beers that the notes name beside the one that is judged: what is said of them is not said of this one."""

from __future__ import annotations

import re

from notes2sheet.features import START
from notes2sheet.sentences import Sentence
from notes2sheet.transcript import Reading

PROPER = r"[A-Z][\w'’]+"
JOINED = rf"(?:\s+(?:(?:of|the|and|in|on)\s+){{0,2}}{PROPER})"
OTHER = re.compile(
    r"\b(?:[Oo]ther|[Ss]econd|[Aa]nother|[Nn]eighbou?r|[Bb]rother|[Ss]ister|[Ss]ibling)\b[^.!?\n]{0,60}?\b"
    rf"(?:(?:called|named)\s+(?:[Tt]he\s+)?({PROPER}{JOINED}{{0,4}})|(?:is|was)\s+(?:[Tt]he\s+)?({PROPER}{JOINED}{{1,4}}))"
)
MOST = 6  # other beers that one tasting names
LED = 3  # words of a sentence before the beer that it tells of: 'whereas the | Verandah goes on'


def pass_over_others(reading: Reading) -> None:
    """What a sentence tells that begins with the name of another beer is only mentioned: 'the other is called Peach
    Verandah ... Peach Verandah is cloudy'. Written text shows names by their capitals (15 of 15 marked descriptors)."""
    names = [] if reading.running else _others(reading)
    if not names:
        return
    for sentence, mentions in zip(reading.sentences, reading.grouped(reading.mentions, START), strict=True):
        if any(_tells_of(reading, sentence, name) for name in names):
            for mention in mentions:
                mention.state = "mentioned" if mention.state in ("present", "absent") else mention.state


def _others(reading: Reading) -> list[str]:
    """The names of other beers that the notes announce, and not the judged one's own."""
    own = _own(reading)
    found = {" ".join((match[1] or match[2]).split()) for match in OTHER.finditer(reading.text)}
    others = (name for name in found if not own or (name.lower() not in own and own not in name.lower()))
    return sorted(others)[:MOST]


def _own(reading: Reading) -> str:
    return (reading.entry.name or "").lower() if reading.entry else ""


def _tells_of(reading: Reading, sentence: Sentence, name: str) -> bool:
    """Whether a sentence has a name, or 'the' and its last word, among its first words, and not the judged beer's."""
    start, end = reading.span(sentence.start, sentence.end)
    text = reading.text[start:end]
    last = re.escape(name.split()[-1])
    led = rf"\W*(?:\w+\W+){{0,{LED}}}?(?:{re.escape(name)}|[Tt]he {last})\b"
    own = _own(reading)
    return bool(re.match(led, text)) and not (own and own in text.lower())
