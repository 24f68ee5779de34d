"""Linear-chain taggers (CRF) over sentences and descriptors; the weights are trained by tests/accuracy/train.py.

Text with stops or lines and running text without either are so unlike that each has its own weights (what one set for
both costs is in tests/accuracy/README.md).
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

from notes2sheet.chain import Chain
from notes2sheet.seen import Seen

MODELS = Path(__file__).parent / "models"


@cache
def tagger(name: str, running: bool) -> Chain:
    """The trained tagger models/<name>[-running].npz, read once."""
    return Chain(MODELS / file_name(name, running))


def file_name(name: str, running: bool) -> str:
    return f"{name}{'-running' if running else ''}.npz"


def tag(name: str, seen: Seen, running: bool) -> list[str]:
    """The likeliest label of each row, as one sequence."""
    look(name, seen, running)
    return tagger(name, running).best()


def look(name: str, seen: Seen, running: bool) -> None:
    """Read the rows for `odds` alone, without labels."""
    tagger(name, running).look(seen)


def odds(name: str, label: str, count: int, running: bool) -> list[float]:
    """After `tag` or `look`: the odds of `label` at each of `count` rows; 0 for a label never seen in training."""
    opened = tagger(name, running)
    if label not in opened.labels:
        return [0.0] * count
    column: list[float] = opened.odds()[:, opened.labels.index(label)].tolist()
    return column
