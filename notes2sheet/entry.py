"""What the beer is called, who made it, and its strength, where the notes say so."""

from __future__ import annotations

import json
import math
from dataclasses import dataclass, field
from functools import cache, cached_property
from pathlib import Path

import numpy as np

from notes2sheet import seen, tagger
from notes2sheet.features import function_words
from notes2sheet.name_odds import FILE as NETWORK
from notes2sheet.name_odds import name_scores
from notes2sheet.naming import Parts, candidates, pair_signs, part_signs, whole_signs
from notes2sheet.network import Network, read_network
from notes2sheet.numbers import number_at
from notes2sheet.opening import LONGEST, Opening, Span, listed
from notes2sheet.own_files import own_file
from notes2sheet.score_view import score_words
from notes2sheet.seen import Places
from notes2sheet.strength import strength
from notes2sheet.transcript import Reading
from notes2sheet.unlisted import in_english

FILE = "entry.json"
STARTS, RUNS, BEST = 40, 80, 8  # candidates of each kind that are looked at more closely, step by step
ARTICLES = {"the", "a", "an"}
FEWEST = 3  # digits of a spoken number
DIGITS = range(10)
REACH = 30  # words behind a name in which it is corrected
LEAST, BEHIND = 2, 6  # words of such a name; those behind what takes it back up to the next
ALIKE, SAME = 82, 100  # per cent of two names' letters
KINDS = (0, 1)  # the beer's name, its maker's
MAKER, UNLIKELY = 1, 20.0  # how much less a club's name is a maker's


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

    @cached_property
    def of(self) -> seen.Weights:
        """The signs of candidates by rows: for a name, for a maker."""
        return seen.Weights(list(self.alone), np.array(list(self.alone.values())).reshape(-1, len(KINDS)))


@cache
def read_weights(folder: Path) -> Weights:
    """The trained weights in `folder`, read once."""
    with own_file(folder / FILE):
        data = json.loads((folder / FILE).read_text(encoding="utf-8"))
        return Weights(data["alone"], data["pairs"])


def find_entry(reading: Reading) -> None:
    """Fill `reading.entry` from the opening."""
    opening = Opening(reading)
    found = named(opening, read_weights(tagger.MODELS), read_network(tagger.MODELS / NETWORK))
    if not in_english(reading):
        found = tuple(span if span and _plainly_named(opening, span) else None for span in found)
    name, maker = (_without_article(reading, span and _corrected(reading, span)) for span in found)
    reading.entry = EntryFound(spoken(reading, name), spoken(reading, maker), strength(reading))


def _plainly_named(opening: Opening, span: Span) -> bool:
    """Whether words are a name in any language: in quotes, or beside a word for a brewery."""
    start, end = span
    return opening.gaps[start] == '"' or any(opening.kinds[k].startswith("maker") for k in range(start, end))


def _corrected(reading: Reading, span: Span) -> Span:
    """The words nearly alike that come instead of a name soon behind it: 'Mrs Odeline Crake. I tell a lie, it's Mrs
    Ottoline Crake'."""
    words, size = reading.words, span[1] - span[0]
    stop = min(span[1] + REACH, len(words))
    back = [k for k in range(span[1], stop) if words[k] in score_words("name_taken_back")]
    if size < LEAST or not back:
        return span
    strange = function_words() - set(words[slice(*span)])
    near = sorted({at for k in back for at in range(k + 1, min(k + BEHIND, stop - size) + 1)})
    runs = [(at, at + size) for at in near if strange.isdisjoint(words[at : at + size])]
    if not runs:
        return span
    from rapidfuzz import fuzz

    said = " ".join(words[slice(*span)])
    alike = {run: fuzz.ratio(said, " ".join(words[slice(*run)])) for run in runs}
    best = max(runs, key=lambda run: alike[run])
    return best if ALIKE <= alike[best] < SAME else span


def _without_article(reading: Reading, span: Span | None) -> Span | None:
    """A name without the article before it ('the Zilverkraan'), unless written as part of it ('The Last Fare')."""
    if span is None or span[1] - span[0] < 2 or reading.raw[span[0]] not in ARTICLES:
        return span
    return span[0] + 1, span[1]


def named(opening: Opening, known: Weights, trained: Network) -> tuple[Span | None, Span | None]:
    """The likeliest words for the beer's name, and for its maker beside that name, by weights and network together;
    None where there is none."""
    scores = _best(opening, known, trained)
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


def _best(opening: Opening, known: Weights, trained: Network) -> list[dict[Span | None, float]]:
    """The likeliest candidates of each kind with their scores, and the score of none."""
    sums, at = known.of.sums(part_signs(opening)), Parts(opening)
    around = name_scores(opening, trained)
    for place, rows in (("start", at.first), ("end", at.last), ("inside", at.inner), ("none", [at.none])):
        sums[rows] += around[place]
    starts, ends = _likely_starts(sums[at.first], *candidates(opening))
    inner = np.vstack([sums[at.inner] + sums[at.joined], np.zeros((LONGEST, len(KINDS)))])
    begun = [sums[at.first][starts] + sums[at.inner][starts]]
    for size in range(1, LONGEST):
        begun.append(begun[-1] + inner[starts + size])
    by_parts = np.array(begun)[ends - starts - 1, np.arange(len(starts))] + sums[at.last][ends - 1]
    close = sorted({run for kind in KINDS for run in _most(by_parts[:, kind], RUNS)})
    starts, ends = starts[close], ends[close]
    scores = by_parts[close] + known.of.sums(whole_signs(opening, starts, ends))
    runs = list(zip(starts.tolist(), ends.tolist(), strict=True))
    gathered = np.array([opening.words[end - 1] in listed("gatherings") for _, end in runs], dtype=bool)
    scores[gathered, MAKER] -= UNLIKELY
    out: list[dict[Span | None, float]] = []
    for kind in KINDS:
        best = {runs[n]: float(scores[n, kind]) for n in _most(scores[:, kind], BEST)}
        out.append({None: float(sums[at.none, kind])} | best)
    return out


def _likely_starts(firsts: np.ndarray, starts: Places, ends: Places) -> tuple[Places, Places]:
    """The candidates that begin with one of the likeliest first words of either kind."""
    begin = np.array(list(dict.fromkeys(starts.tolist())), dtype=np.int64)
    chosen = np.zeros(len(firsts), dtype=bool)
    for kind in KINDS:
        chosen[begin[_most(firsts[begin, kind], STARTS)]] = True
    kept = chosen[starts]
    return starts[kept], ends[kept]


def _most(values: np.ndarray, count: int) -> list[int]:
    """The places of the largest values, the first of equal ones first."""
    most: list[int] = np.argsort(-values, kind="stable")[:count].tolist()
    return most


def spoken(reading: Reading, span: Span | None) -> str | None:
    """The words of `span` as the notes write them; a number that is spoken digit by digit ('five five two') in
    figures."""
    if span is None:
        return None
    start, stop = reading.span(*span)
    said = " ".join(reading.text[start:stop].split()).strip(" \"'.,#“”")
    return _digits(said.lower().split()) or said or None


def _digits(words: list[str]) -> str:
    """The number that three words and more say digit by digit; '' where they hold other words or are figures."""
    found = [number_at(words, at) for at in range(len(words))]
    plain = all(n and n.end == n.start + 1 and n.value in DIGITS and n.spelled for n in found)
    return "".join(str(int(n.value)) for n in found if n) if plain and len(words) >= FEWEST else ""
