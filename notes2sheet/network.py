"""A small convolutional network over words, read from its file and applied here with numpy alone.

Each word's features (`seen.py`) add up to a row of numbers; layers of convolutions, each looking farther than the one
before, add to it what stands around (Strubell and others 2017, 'Fast and accurate entity recognition with iterated
dilated convolutions', arXiv:1702.02098), one of them also the mean of hundreds of rows, what the talk is like; sums of
the last rows give the odds. tests/accuracy/train_words.py makes the file, an NPZ archive.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from notes2sheet.own_files import own_file
from notes2sheet.seen import Seen, Weights

Rows = np.ndarray[Any, np.dtype[np.float32]]
WIDEST = -2  # the layer, counted from the end, that also sees the mean of the rows far around
LEAST = 1e-5  # added to a variance, as where the network was trained


class Network:
    """The weights of one network, and the names of what it tells apart, question by question."""

    def __init__(self, path: Path) -> None:
        """Read a file with `features` and `answers` (UTF-8, parted by zero bytes; answers as 'question:answer'),
        `embedding` (features x width, whole numbers, each row in units of its `scale`), `norms` (layers and one more,
        2 x width), `reach` (layers), `around` (layers x 3 x width x width) and `mix` (layers x width x width), whole
        numbers in units of `around_scale` and `mix_scale` (the same with one number for a width), their `around_bias`
        and `mix_bias` (layers x width), `mean`, `mean_scale` and `mean_bias` likewise (one layer), `mean_reach` (a
        number), and `out` (width and one more x answers)."""
        with np.load(path, allow_pickle=False) as data:
            features, self.answers = (data[name].tobytes().decode().split("\0") for name in ("features", "answers"))
            embedding = data["embedding"].astype(np.float32) * data["scale"].astype(np.float32)[:, None]
            self._embedding = Weights(features, embedding)
            self._around, self._mix, self._mean = (
                data[name].astype(np.float32) * data[f"{name}_scale"].astype(np.float32)
                for name in ("around", "mix", "mean")
            )
            self._norms, self._around_bias, self._mix_bias, self._mean_bias, self._out = (
                data[name].astype(np.float32) for name in ("norms", "around_bias", "mix_bias", "mean_bias", "out")
            )
            self._reach: list[int] = data["reach"].tolist()
            self._mean_reach = int(data["mean_reach"])

    @property
    def view(self) -> int:
        """How many words to either side have a say in what is found for a word."""
        return sum(self._reach) + self._mean_reach

    def odds(self, seen: Seen, asked: Mapping[str, Sequence[str]]) -> dict[str, Rows]:
        """The odds of the answers to each question, in the order given, at each row (each rows x answers). Linear in
        the rows."""
        scores = self.scores(seen)
        return {
            question: _softmax(scores[:, [self.answers.index(f"{question}:{answer}") for answer in answers]])
            for question, answers in asked.items()
        }

    def scores(self, seen: Seen) -> Rows:
        """What each row speaks for each of `answers` (rows x answers). Linear in the rows."""
        rows = _normed(self._embedding.sums(seen), self._norms[0])
        for n, reach in enumerate(self._reach):
            told = np.maximum(_around(rows, self._around[n], reach) + self._around_bias[n], 0)
            if n == len(self._reach) + WIDEST:
                told += np.maximum(_mean_around(rows, self._mean_reach) @ self._mean + self._mean_bias, 0)
            rows = _normed(rows + told @ self._mix[n] + self._mix_bias[n], self._norms[n + 1])
        scores: Rows = rows @ self._out[:-1] + self._out[-1]
        return scores


@cache
def read_network(path: Path) -> Network:
    """The trained network in a file, read once. Raises InstallError where the file is missing or broken."""
    with own_file(path):
        return Network(path)


def _around(rows: Rows, weights: Rows, reach: int) -> Rows:
    """What each row, and the rows `reach` before and behind it, add up to."""
    out: Rows = rows @ weights[1]
    if len(rows) > reach:
        out[reach:] += rows[:-reach] @ weights[0]
        out[:-reach] += rows[reach:] @ weights[2]
    return out


def _mean_around(rows: Rows, reach: int) -> Rows:
    """The mean of each row and those up to `reach` before and behind it."""
    sums = np.vstack([np.zeros((1, rows.shape[1])), rows.cumsum(0, dtype=float)])
    at = np.arange(len(rows))
    low, high = np.maximum(at - reach, 0), np.minimum(at + reach + 1, len(rows))
    mean: Rows = ((sums[high] - sums[low]) / (high - low)[:, None]).astype(np.float32)
    return mean


def _normed(rows: Rows, norm: Rows) -> Rows:
    """Each row brought to mean 0 and variance 1, then scaled and moved as trained."""
    centered = rows - rows.mean(1, keepdims=True)
    scaled: Rows = centered / np.sqrt((centered**2).mean(1, keepdims=True) + LEAST) * norm[0] + norm[1]
    return scaled


def _softmax(scores: Rows) -> Rows:
    weights = np.exp(scores - scores.max(1, keepdims=True, initial=-np.inf))
    odds: Rows = weights / weights.sum(1, keepdims=True)
    return odds
