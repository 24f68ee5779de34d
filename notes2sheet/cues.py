"""Cue phrases found in the words: which part of the sheet is named, and what a sentence does."""

from __future__ import annotations

from bisect import bisect_left
from functools import cache
from operator import itemgetter
from typing import Any

from notes2sheet.compiled import compiled
from notes2sheet.lexicon import cue_file, shipped
from notes2sheet.style_data import named_styles
from notes2sheet.transcript import Reading
from notes2sheet.words import PhraseIndex, split_list

SHEET_FILE, ROLE_FILE, SCORE_FILE = "sheet", "roles", "scores"
STYLE = "style"  # the cue that the name of a style is
BEGIN = itemgetter(0)  # the first word of a hit


@cache
def cue_index(file: str) -> PhraseIndex:
    """All cue phrases of lexicon/cues/<file>.toml; the payload is 'table' or 'table:key' for keys other than said."""
    return PhraseIndex(compiled(f"cues-{file}", [shipped() / "cues" / f"{file}.toml"], lambda: _index(file)))


def _index(file: str) -> dict[str, Any]:
    index = PhraseIndex()
    for table, entry in cue_file(file).items():
        for key, phrases in entry.items():
            for phrase in split_list(phrases):
                index.add(phrase, table if key == "said" else f"{table}:{key}")
    return index.data


@cache
def cue_words(file: str, table: str, key: str = "said") -> frozenset[str]:
    """The words and phrases of one list of lexicon/cues/<file>.toml."""
    return frozenset(split_list(cue_file(file)[table][key]))


def find_cues(reading: Reading) -> None:
    """Fill `reading.cues` with the hits of each cue file, all of them, in the order of the words."""
    for file in (SHEET_FILE, ROLE_FILE, SCORE_FILE):
        reading.cues[file] = cue_index(file).find(reading.words, overlapping=True)
    styles = [(start, end, STYLE) for start, end, _ in named_styles(reading)]
    reading.cues[ROLE_FILE] = sorted(reading.cues[ROLE_FILE] + styles)


def hits_within(reading: Reading, file: str, start: int, end: int) -> list[tuple[int, int, str]]:
    """The cue hits of `file` that begin within the words `start` to `end`."""
    hits = reading.cues[file]
    low, high = (bisect_left(hits, at, key=BEGIN) for at in (start, end))
    return hits[low:high]


def by_sentence(reading: Reading, file: str) -> list[list[tuple[int, int, str]]]:
    """The cue hits of `file`, one list a sentence."""
    return reading.grouped(reading.cues[file], BEGIN)
