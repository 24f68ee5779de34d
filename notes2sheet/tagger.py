"""Linear-chain taggers (CRF) over sentences and descriptors; the weights are trained by tests/accuracy/train.py."""

from __future__ import annotations

from functools import cache
from pathlib import Path

MODELS = Path(__file__).parent / "models"


@cache
def tagger(name: str):
    """The trained tagger models/<name>.crfsuite, opened once."""
    import pycrfsuite

    opened = pycrfsuite.Tagger()
    opened.open(str(MODELS / f"{name}.crfsuite"))
    return opened


def tag(name: str, rows: list[list[str]]) -> list[str]:
    """The likeliest label of each row of feature strings, as one sequence."""
    return tagger(name).tag(rows) if rows else []


def odds(name: str, label: str, count: int) -> list[float]:
    """After `tag`: the probability of `label` at each of the `count` rows; 0 for a label never seen in training."""
    opened = tagger(name)
    if label not in opened.labels():
        return [0.0] * count
    return [opened.marginal(label, i) for i in range(count)]
