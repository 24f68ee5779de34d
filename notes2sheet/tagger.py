"""Linear-chain taggers (CRF) over sentences and descriptors; the weights are trained by tests/accuracy/train.py.

Text with stops or lines and running text without either are so unlike that each has its own weights (what one set for
both costs is in tests/accuracy/README.md).
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

from notes2sheet.chain import Chain

MODELS = Path(__file__).parent / "models"


@cache
def tagger(name: str, running: bool) -> Chain:
    """The trained tagger models/<name>[-running].crfsuite, read once."""
    return Chain(MODELS / file_name(name, running))


def file_name(name: str, running: bool) -> str:
    return f"{name}{'-running' if running else ''}.crfsuite"


def tag(name: str, rows: list[list[str]], running: bool) -> list[str]:
    """The likeliest label of each row of feature strings, as one sequence."""
    look(name, rows, running)
    return tagger(name, running).best()


def look(name: str, rows: list[list[str]], running: bool) -> None:
    """Read the rows for `odds` alone, without labels."""
    tagger(name, running).look(rows)


def odds(name: str, label: str, count: int, running: bool) -> list[float]:
    """After `tag` or `look`: the odds of `label` at each of `count` rows; 0 for a label never seen in training."""
    opened = tagger(name, running)
    if label not in opened.labels:
        return [0.0] * count
    column: list[float] = opened.odds()[:, opened.labels.index(label)].tolist()
    return column
