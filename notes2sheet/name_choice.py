"""The likeliest words for a beer's name and for its maker, among the candidates of a stretch of the notes."""

from __future__ import annotations

import json
import math
from dataclasses import dataclass, field
from functools import cache, cached_property
from pathlib import Path
from typing import NamedTuple

import numpy as np

from notes2sheet import seen
from notes2sheet.name_odds import name_scores
from notes2sheet.name_told import both_makers, told
from notes2sheet.naming import Parts, candidates, pair_signs, part_signs, whole_signs
from notes2sheet.network import Network
from notes2sheet.opening import LONGEST, Opening, Span, listed
from notes2sheet.own_files import own_file
from notes2sheet.seen import Places

FILE = "entry.json"
STARTS, RUNS, BEST = 40, 80, 8  # candidates of each kind that are looked at more closely, step by step
KINDS = (0, 1)  # the beer's name, its maker's
MAKER, UNLIKELY = 1, 20.0  # how much less a club's name is a maker's


class Named(NamedTuple):
    """The words of a beer's name and of its maker, and by how much, as a logarithm of odds, the name is likelier than
    that nothing is named."""

    name: Span | None
    maker: Span | None
    odds: float


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


def named(opening: Opening, known: Weights, trained: Network) -> Named:
    """The likeliest words for the beer's name, and for its maker beside that name, by weights and network together;
    None where there is none."""
    scores = _best(opening, known, trained)
    pairs: dict[tuple[Span | None, Span | None], float] = {}
    for name, by_name in scores[0].items():
        for maker, by_maker in scores[1].items():
            signs = pair_signs(opening, name, maker)
            if signs is not None:
                pairs[name, maker] = by_name + by_maker + sum(known.pairs.get(sign, 0.0) for sign in signs)
    by: dict[Span | None, float] = {}
    for (name, _), score in pairs.items():
        by[name] = float(np.logaddexp(by.get(name, -math.inf), score))
    name = max(by, key=lambda span: by[span])
    _, maker = max((pair for pair in pairs if pair[0] == name), key=lambda pair: pairs[pair])
    if maker is not None:
        apart = (m for _, m in pairs if m is not None and (name is None or m[1] <= name[0] or name[1] <= m[0]))
        maker = both_makers(opening, maker, list(dict.fromkeys(apart)))
    return Named(name, maker, by[name] - by[None])


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
        scores[:, kind] += [told(opening, run, kind == MAKER) for run in runs]
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
