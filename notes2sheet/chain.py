"""A trained linear-chain CRF, read from its file and applied here: most features of a row are none of its own, and
writing all of them out for the library that trained it takes many times as long as looking them up (`seen.py`).

The file is an NPZ archive of four arrays: the labels and the features as UTF-8 parted by zero bytes, the weights of
features (features x labels) and those of steps (labels x labels); tests/accuracy/train.py makes it.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

from notes2sheet.seen import Seen, Weights

LEAST = 1e-200  # of a label's own odds, so that none is 0
SCALED = 8  # steps after which products are brought back to 1: no exponent of a weight comes near the limit till then


def write_chain(path: Path, labels: list[str], features: list[str], state: np.ndarray, step: np.ndarray) -> None:
    """Write a tagger's file, its features in order, the weights as precise as they are given."""
    order = sorted(range(len(features)), key=features.__getitem__)
    named, known = (_joined(names) for names in (labels, [features[n] for n in order]))
    np.savez_compressed(path, labels=named, features=known, state=state[order], step=step)


def _joined(names: list[str]) -> np.ndarray:
    return np.frombuffer("\0".join(names).encode(), np.uint8)


class Chain:
    """The weights of one tagger, and the last rows that were looked at."""

    def __init__(self, path: Path) -> None:
        with np.load(path, allow_pickle=False) as data:
            self.labels, features = (data[name].tobytes().decode().split("\0") for name in ("labels", "features"))
            self._weights = Weights(features, data["state"].astype(float))
            self._steps = data["step"].astype(float)
        self._scores = np.zeros((0, len(self.labels)))
        self._odds: np.ndarray | None = None

    def look(self, seen: Seen) -> None:
        """Sum the weights of each row's features."""
        self._scores = self._weights.sums(seen)
        self._odds = None

    def odds(self) -> np.ndarray:
        """The odds of each label at each row looked at (rows x labels), by the forward-backward algorithm."""
        if self._odds is None:
            own = np.exp(self._scores - self._scores.max(1, keepdims=True, initial=-np.inf))
            own = np.maximum(own, LEAST)
            steps = np.exp(self._steps)
            ahead = _products(own, steps)
            behind = _products(own[::-1], steps.T.copy())[::-1]
            both = ahead * behind / own  # both count the row's own weights
            self._odds = both / both.sum(1, keepdims=True)
        return self._odds


def _products(own: np.ndarray, steps: np.ndarray) -> np.ndarray:
    """For each row the summed weights of all ways that lead to each of its labels, but for a factor."""
    weights = list(own)
    out = weights[:1]
    for n, weight in enumerate(weights[1:], 1):
        now = out[-1].dot(steps) * weight
        out.append(now if n % SCALED else now / now.sum())
    return np.array(out).reshape(own.shape)
