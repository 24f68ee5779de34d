"""What the beer is called, who made it, and its strength, where the notes say so."""

from __future__ import annotations

import re
from dataclasses import dataclass

from notes2sheet.numbers import number_at
from notes2sheet.tagger import tag
from notes2sheet.transcript import Reading

OPENING_WORDS = 260  # the beer is named near the start


@dataclass
class EntryFound:
    name: str | None = None
    maker: str | None = None
    abv: float | None = None


def entry_features(reading: Reading) -> list[list[str]]:
    """One list of feature strings a word of the opening, for the tagger that finds the entry's and the maker's name."""
    from notes2sheet.style_data import name_index

    last = min(len(reading.words), OPENING_WORDS)
    words, raw, breaks = reading.words[:last], reading.raw[:last], reading.breaks
    styled = {k for s, e, _ in name_index().find(words) for k in range(s, e)}
    where = {}
    for s in reading.sentences:
        for k in range(s.start, min(s.end, last)):
            where[k] = (s.category, s.role, k == s.start)
    rows = []
    for k in range(last):
        shape = "num" if raw[k][:1].isdigit() else "Upper" if raw[k][:1].isupper() and not where[k][2] else "First" if raw[k][:1].isupper() else "lower"
        row = ["bias", f"w:{words[k]}", f"shape:{shape}", f"in:{where[k][0]}", f"style:{k in styled}", f"break:{breaks[k].strip() or '_'}"]
        for step in (-4, -3, -2, -1, 1, 2, 3):
            at = k + step
            row.append(f"{step}:{words[at]}" if 0 <= at < last else f"{step}:<>")
            if abs(step) <= 2 and 0 <= at < last:
                row.append(f"{step}:up:{raw[at][:1].isupper()}")
                if step > 0:
                    row.append(f"{step}:break:{breaks[at].strip() or '_'}")
        row.append(f"b:{words[k - 1] if k else '<'}_{words[k]}")
        row.append(f"bb:{'_'.join(words[max(0, k - 2):k])}")
        row.append(f"known:{reading.lexicon.phrases.resolve(words[k]) in reading.lexicon.phrases.known}")
        rows.append(row)
    return rows


def find_entry(reading: Reading) -> None:
    """Fill `reading.entry` from the opening."""
    labels = tag("entry", entry_features(reading), reading.running)
    reading.entry = EntryFound(_longest(reading, labels, "E"), _longest(reading, labels, "K"), _strength(reading))


def _longest(reading: Reading, labels: list[str], kind: str) -> str | None:
    """The first run of words tagged as the name."""
    k = 0
    while k < len(labels):
        if labels[k] == f"B-{kind}":
            end = k + 1
            while end < len(labels) and labels[end] == f"I-{kind}":
                end += 1
            start, stop = reading.span(k, end)
            return " ".join(reading.text[start:stop].split()).strip(" \"'.,#")
        k += 1
    return None


def _strength(reading: Reading) -> float | None:
    """The ABV when it is said: the first figure before 'percent', '%' or 'ABV' below 20."""
    words = reading.words
    for k in range(len(words)):
        number = number_at(words, k)
        if number and number.end < len(words) and number.value < 20 and re.match(r"^(%|percent|abv)$", words[number.end]):
            return float(number.value)
        if number and words[number.end : number.end + 2] == ["per", "cent"] and number.value < 20:
            return float(number.value)
    return None
