"""What the beer is called, who made it, and its strength, where the notes say so."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

from notes2sheet.lexicon import cue_file
from notes2sheet.numbers import number_at
from notes2sheet.style_data import name_index
from notes2sheet.tagger import look, odds
from notes2sheet.transcript import Reading
from notes2sheet.unlisted import common_words
from notes2sheet.words import PhraseIndex, split_list

OPENING_WORDS = 260  # the beer is named near the start
NAME_ODDS, MAKER_ODDS, INSIDE_ODDS = 0.02, 0.15, 0.2
LINKS = ("a", "the", "of", "and", "in", "for", "de", "la")  # small words inside names
CALLED = ("called", "named")  # what has a capital right after these is the name
LED = 4.0  # how much likelier a name is right after 'called', 'the beer is', or a quotation mark
QUOTES = '"“”'


@dataclass
class EntryFound:
    name: str | None = None
    maker: str | None = None
    abv: float | None = None


@cache
def _anchors() -> PhraseIndex:
    index = PhraseIndex()
    for table, entry in cue_file("entry").items():
        for phrase in split_list(entry["said"]):
            index.add(phrase, table)
    return index


def entry_features(reading: Reading, common: frozenset[str] | None = None) -> list[list[str]]:
    """One list of feature strings a word of the opening, for the tagger that finds the entry's and the maker's name."""
    common = common_words() if common is None else common
    last = min(len(reading.words), OPENING_WORDS)
    words, raw, breaks = reading.words[:last], reading.raw[:last], reading.breaks
    styled = {k for s, e, _ in name_index().find(words) for k in range(s, e)}
    sensory = {k for m in reading.mentions for k in range(m.start, m.end)}
    begins = {s.start for s in reading.sentences}
    leads: dict[int, set[str]] = {}
    opens: dict[int, set[str]] = {}
    for start, end, table in _anchors().find(words, overlapping=True):
        leads.setdefault(end, set()).add(table)
        opens.setdefault(start, set()).add(table)
    marks = [_mark(words[k], raw[k], k in begins, k in styled, words[k] in common) for k in range(last)]
    rows = []
    for k in range(last):
        gap = "line" if "\n" in breaks[k] else breaks[k].strip()[:2] or "_"
        row = ["bias", f"mark:{marks[k]}", f"gap:{gap}", f"sensory:{k in sensory}", f"at:{min(k // 25, 5)}"]
        row += [f"lead:{t}" for t in leads.get(k, ())] + [f"lead:{t}:{marks[k]}" for t in leads.get(k, ())]
        row += [f"open:{t}" for t in opens.get(k, ())] + [f"next:{t}" for t in opens.get(k + 1, ())]
        if gap != "_":
            row.append(f"gap:{gap}:{marks[k]}")
        for step in (-3, -2, -1, 1, 2, 3):
            at = k + step
            row.append(f"{step}:mark:{marks[at]}" if 0 <= at < last else f"{step}:<>")
            if abs(step) <= 2 and 0 <= at < last and words[at] in common:
                row.append(f"{step}:{words[at]}")
        if k + 1 < last:
            after = "line" if "\n" in breaks[k + 1] else breaks[k + 1].strip()[:2] or "_"
            row += [f"gap+:{after}", f"marks:{marks[k]}:{marks[k + 1]}:{after}"]
        if words[k] in common:
            row.append(f"w:{words[k]}")
        rows.append(row)
    return rows


def _mark(word: str, raw: str, begins: bool, styled: bool, common: bool) -> str:
    """The look of a word: figures, capital inside a sentence, in a style's name, rare or common."""
    if raw[:1].isdigit():
        return "figure"
    case = "Cap" if raw[:1].isupper() and not begins else "First" if raw[:1].isupper() else "low"
    return f"{case}{'-style' if styled else ''}{'-common' if common else '-rare'}"


def find_entry(reading: Reading) -> None:
    """Fill `reading.entry` from the opening."""
    rows = entry_features(reading)
    look("entry", rows, reading.running)
    name = _likeliest(reading, rows, "E", NAME_ODDS, (0, 0))
    maker = _likeliest(reading, rows, "K", MAKER_ODDS, name)
    reading.entry = EntryFound(_spoken(reading, name), _spoken(reading, maker), _strength(reading))


def _likeliest(
    reading: Reading, rows: list[list[str]], kind: str, least: float, taken: tuple[int, int]
) -> tuple[int, int]:
    """The words (start, end) likeliest to be the name, outside `taken`; (0, 0) where nothing looks like one."""
    count = len(rows)
    begin = odds("entry", f"B-{kind}", count, reading.running)
    inside = odds("entry", f"I-{kind}", count, reading.running)
    lead = "lead:names" if kind == "E" else "lead:makers"
    for k in range(count):
        if lead in rows[k] or (kind == "E" and _quoted(reading, k)):
            begin[k] *= LED
        if kind == "E" and k and reading.words[k - 1] in CALLED and _capital(rows[k]):
            begin[k] = 1.0
        if taken[0] <= k < taken[1]:
            begin[k] = 0.0
    if not begin or max(begin) < least:
        return 0, 0
    at = max(range(count), key=begin.__getitem__)
    if _quoted(reading, at):
        closing = next((k for k in range(at + 1, min(at + 8, count)) if set(reading.breaks[k]) & set(QUOTES)), None)
        if closing:
            return at, closing
    end = at + 1
    while end < count and _joined(reading, end) and (inside[end] >= INSIDE_ODDS or _capital(rows[end])):
        end += 1
    return _from_first_capital(reading, rows, at, taken[1]), end


def _quoted(reading: Reading, at: int) -> bool:
    """Whether a quotation mark opens right before word `at`."""
    return reading.breaks[at].strip().endswith(tuple(QUOTES))


def _joined(reading: Reading, at: int) -> bool:
    """Whether nothing but what stands inside names stands before word `at`."""
    return not reading.breaks[at].strip(" '’-.")


def _capital(row: list[str]) -> bool:
    """Whether a word looks like one of a name: a capital inside a sentence, and no word of a style's name."""
    return "mark:Cap-rare" in row or "mark:Cap-common" in row


def _from_first_capital(reading: Reading, rows: list[list[str]], at: int, least: int) -> int:
    """Where a name written with capitals begins, small words inside it counted: 'Half a Goanna'."""
    while at > least and _capital(rows[at]) and _joined(reading, at):
        back = at - 2 if reading.words[at - 1] in LINKS and at - 2 >= least and _joined(reading, at - 1) else at - 1
        if not _capital(rows[back]) or reading.words[back] == "i":
            break
        at = back
    return at


def _spoken(reading: Reading, words: tuple[int, int]) -> str | None:
    if words == (0, 0):
        return None
    start, stop = reading.span(*words)
    return " ".join(reading.text[start:stop].split()).strip(" \"'.,#“”") or None


def _strength(reading: Reading) -> float | None:
    """The ABV when it is said: the first figure before 'percent', '%' or 'ABV' below 20."""
    words = reading.words
    for k in range(len(words)):
        number = number_at(words, k)
        if (
            number
            and number.end < len(words)
            and number.value < 20
            and re.match(r"^(%|percent|abv)$", words[number.end])
        ):
            return float(number.value)
        if number and words[number.end : number.end + 2] == ["per", "cent"] and number.value < 20:
            return float(number.value)
    return None
