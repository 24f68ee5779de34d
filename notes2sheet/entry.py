"""What the beer is called, who made it, and its strength, where the notes say so."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cache
from heapq import nlargest

from notes2sheet import tagger
from notes2sheet.naming import (
    Opening,
    Span,
    ends_of,
    first_signs,
    inner_signs,
    last_signs,
    no_signs,
    pair_signs,
    whole_signs,
)
from notes2sheet.numbers import number_at
from notes2sheet.strength import strength
from notes2sheet.transcript import Reading

FILE = "entry.json"
STARTS, RUNS, BEST = 40, 80, 8  # candidates of each kind that are looked at more closely, step by step
KINDS = (0, 1)  # the beer's name, its maker's


@dataclass
class EntryFound:
    name: str | None = None
    maker: str | None = None
    abv: float | None = None


@dataclass
class Weights:
    """How much each sign speaks for a name and for a maker, and for the two together."""

    alone: dict[str, tuple[float, float]] = field(default_factory=dict)
    pairs: dict[str, float] = field(default_factory=dict)

    def of(self, signs: Iterable[str]) -> tuple[float, float]:
        """The sums of the signs' weights: for a name, for a maker."""
        name = maker = 0.0
        for sign in signs:
            found = self.alone.get(sign)
            if found:
                name += found[0]
                maker += found[1]
        return name, maker


@cache
def weights() -> Weights:
    """The trained weights, models/entry.json."""
    data = json.loads((tagger.MODELS / FILE).read_text(encoding="utf-8"))
    return Weights(data["alone"], data["pairs"])


def find_entry(reading: Reading) -> None:
    """Fill `reading.entry` from the opening."""
    name, maker = named(Opening(reading), weights())
    reading.entry = EntryFound(spoken(reading, name), spoken(reading, maker), strength(reading))


def named(opening: Opening, known: Weights) -> tuple[Span | None, Span | None]:
    """The likeliest words for the beer's name, and for its maker beside that name; None where there is none."""
    scores = _best(opening, known)
    pairs: dict[tuple[Span | None, Span | None], float] = {}
    for name, by_name in scores[0].items():
        for maker, by_maker in scores[1].items():
            signs = pair_signs(opening, name, maker)
            if signs is not None:
                pairs[name, maker] = by_name + by_maker + sum(known.pairs.get(sign, 0.0) for sign in signs)
    most = max(pairs.values())
    by: dict[Span | None, float] = {}
    for (name, _), score in pairs.items():
        by[name] = by.get(name, 0.0) + math.exp(score - most)
    name = max(by, key=lambda span: by[span])
    return name, max((pair for pair in pairs if pair[0] == name), key=lambda pair: pairs[pair])[1]


def _best(opening: Opening, known: Weights) -> list[dict[Span | None, float]]:
    """The likeliest candidates of each kind with their scores, and the score of none."""
    ends = {start: found for start in range(opening.count) if (found := list(ends_of(opening, start)))}
    firsts = {start: known.of(first_signs(opening, start)) for start in ends}
    chosen = {s for kind in KINDS for s in nlargest(STARTS, firsts, key=lambda s: firsts[s][kind])}
    lasts: dict[int, tuple[float, float]] = {}
    inner: dict[tuple[int, bool], tuple[float, float]] = {}
    runs: dict[Span, tuple[float, float]] = {}
    for start in sorted(chosen):
        name, maker = firsts[start]
        done = start
        for end in ends[start]:
            for k in range(done, end):
                key = (k, k == start)
                if key not in inner:
                    inner[key] = known.of(inner_signs(opening, *key))
                name, maker = name + inner[key][0], maker + inner[key][1]
            done = end
            if end not in lasts:
                lasts[end] = known.of(last_signs(opening, end))
            runs[start, end] = name + lasts[end][0], maker + lasts[end][1]
    close = {run for kind in KINDS for run in nlargest(RUNS, runs, key=lambda run: runs[run][kind])}
    whole = {run: known.of(whole_signs(opening, run)) for run in close}
    none = known.of(no_signs(opening))
    out: list[dict[Span | None, float]] = []
    for kind in KINDS:
        scores: dict[Span | None, float] = {run: runs[run][kind] + whole[run][kind] for run in sorted(close)}
        best = nlargest(BEST, scores, key=lambda run: scores[run])
        out.append({None: none[kind]} | {run: scores[run] for run in best})
    return out


def spoken(reading: Reading, span: Span | None) -> str | None:
    """The words of `span` as the notes write them; a number that is spoken in words ('five five two') in figures."""
    if span is None:
        return None
    figures = _figures(reading.words[span[0] : span[1]])
    if figures:
        return figures
    start, stop = reading.span(*span)
    return " ".join(reading.text[start:stop].split()).strip(" \"'.,#“”") or None


def _figures(words: list[str]) -> str:
    """The number that `words` say digit by digit or group by group; '' where they hold other words or are figures."""
    out, at = "", 0
    while at < len(words):
        number = number_at(words, at)
        if words[at] == "oh":
            out, at = out + "0", at + 1
        elif number and number.value == int(number.value) and not any(c.isdigit() for c in words[at]):
            out, at = f"{out}{int(number.value)}", number.end
        else:
            return ""
    return out
