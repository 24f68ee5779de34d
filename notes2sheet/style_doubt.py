"""How firmly the style is named: where it is only guessed at, or by a name to which several answer."""

from __future__ import annotations

from collections.abc import Iterable

from notes2sheet.cues import cue_index, cue_words
from notes2sheet.transcript import Reading

NEAR = 8  # words before a style in which a guess may begin
Place = tuple[int, int]  # first word, word behind the last


def doubt_of(reading: Reading, places: Iterable[Place]) -> tuple[str, tuple[int, int]] | None:
    """('guessed' or 'broad', the span of the words) where no words name the style firmly; `places` are all that do."""
    places = sorted(places)
    if not places:
        return None
    guesses = [_guessed_from(reading, start, end) for start, end in places]
    for k in range(1, len(places)):  # 'probably a saison, 25B'
        if guesses[k] is None and places[k][0] == places[k - 1][1]:
            guesses[k] = guesses[k - 1]
    if None not in guesses:
        return "guessed", reading.span(min(g for g in guesses if g is not None), places[0][1])
    if all(" ".join(reading.words[start:end]) in cue_words("style_words", "broad") for start, end in places):
        return "broad", reading.span(*places[0])
    return None


def _guessed_from(reading: Reading, start: int, end: int) -> int | None:
    """The word with which the guess begins that a style stands in; None where it is named outright."""
    if end < len(reading.words) and reading.breaks[end].startswith("?"):
        return start
    first = max(reading.sentences[reading.sentence_at(start)].start, start - NEAR)
    hits = cue_index("style_words").find(reading.words[first:start], overlapping=True)
    for begin, behind, table in hits:
        if table == "guessed" and cue_words("style_words", "between").issuperset(reading.words[first + behind : start]):
            return first + begin
    return None
