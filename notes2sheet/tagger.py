"""Linear-chain taggers (CRF) over sentences and descriptors; the weights are trained by tests/accuracy/train.py.

Text with stops or lines and running text without either are so unlike that each has its own weights (what one set for
both costs is in tests/accuracy/README.md).
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from notes2sheet.chain import Chain
from notes2sheet.own_files import own_file
from notes2sheet.seen import Seen

Odds = np.ndarray[Any, np.dtype[np.float64]]
LEAST = 1e-4  # added to odds before they are multiplied: no tagger may rule out what it never saw
MODELS = Path(__file__).parent / "models"


@cache
def tagger(name: str, running: bool) -> Chain:
    """The trained tagger models/<name>[-running].npz, read once."""
    path = MODELS / file_name(name, running)
    with own_file(path):
        return Chain(path)


def file_name(name: str, running: bool) -> str:
    return f"{name}{'-running' if running else ''}.npz"


def look(name: str, seen: Seen, running: bool) -> None:
    """Read the rows, for `odds`."""
    tagger(name, running).look(seen)


def odds(name: str, labels: Sequence[str], running: bool) -> Odds:
    """After `look`: the odds of `labels` at each row (rows x labels); 0 for one never seen in training."""
    opened = tagger(name, running)
    known = opened.odds()
    out = np.zeros((len(known), len(labels)))
    for n, label in enumerate(labels):
        if label in opened.labels:
            out[:, n] = known[:, opened.labels.index(label)]
    return out


def agreed(own: Odds, other: Odds, share: float) -> Odds:
    """The odds that two taggers agree on (rows x labels): the geometric mean of theirs, `share` the other's weight."""
    both = (own + LEAST) ** (1 - share) * (other + LEAST) ** share
    mean: Odds = both / both.sum(1, keepdims=True)
    return mean
