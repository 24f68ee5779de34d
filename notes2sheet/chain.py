"""A trained linear-chain CRF, read from its file and applied here: most features of a row are none of its own, and
writing all of them out for the library that trained it takes many times as long as looking them up (`seen.py`).

The file is that of CRFsuite 0.12 (its lib/crf/src/crf1d_model.c and lib/cqdb/src/cqdb.c): a header, the weights, and
two databases of names, of labels and of attributes.
"""

from __future__ import annotations

import struct
from pathlib import Path

import numpy as np

from notes2sheet.seen import Seen, Weights

HEADER = struct.Struct("<4sI4s7I")  # magic, size, type, version, features, labels, attributes, three offsets
WEIGHT = np.dtype([("type", "<u4"), ("source", "<u4"), ("target", "<u4"), ("weight", "<f8")])
STATE = 0  # the type of a weight from an attribute to a label; others are from a label to the next one
LEAST = 1e-200  # of a label's own odds, so that none is 0
SCALED = 8  # steps after which products are brought back to 1: no exponent of a weight comes near the limit till then


class Chain:
    """The weights of one tagger, and the last rows that were looked at."""

    def __init__(self, path: Path) -> None:
        data = path.read_bytes()
        _, _, _, _, _, labels, attributes, weights_at, labels_at, attributes_at = HEADER.unpack_from(data)
        self.labels = _names(data, labels_at, labels)
        count = struct.unpack_from("<I", data, weights_at + 8)[0]
        weights = np.frombuffer(data, WEIGHT, count, weights_at + 12)
        of_state = weights["type"] == STATE
        state, step = weights[of_state], weights[~of_state]
        known = np.zeros((attributes, labels))
        known[state["source"], state["target"]] = state["weight"]
        self._weights = Weights(_names(data, attributes_at, attributes), known)
        self._steps = np.zeros((labels, labels))
        self._steps[step["source"], step["target"]] = step["weight"]
        self._scores = np.zeros((0, labels))
        self._odds: np.ndarray | None = None

    def look(self, seen: Seen) -> None:
        """Sum the weights of each row's features."""
        self._scores = self._weights.sums(seen)
        self._odds = None

    def best(self) -> list[str]:
        """The likeliest labels of the rows looked at, as one sequence (Viterbi)."""
        if not len(self._scores):
            return []
        back, steps = [], self._steps.T.copy()
        score = self._scores[0]
        for own in self._scores[1:]:
            reached = steps + score
            came = reached.argmax(1)
            back.append(came)
            score = reached.max(1) + own
        at = int(score.argmax())
        out = [at]
        for came in reversed(back):
            at = int(came[at])
            out.append(at)
        return [self.labels[n] for n in reversed(out)]

    def odds(self) -> np.ndarray:
        """The odds of each label at each row looked at (rows x labels), by the forward-backward algorithm."""
        if self._odds is None:
            own = np.exp(self._scores - self._scores.max(1, keepdims=True, initial=-np.inf))
            own = np.maximum(own, LEAST)
            steps = np.exp(self._steps)
            ahead = _products(own, steps)
            behind = _products(own[::-1], steps.T)[::-1]
            both = ahead * behind / own  # both count the row's own weights
            self._odds = both / both.sum(1, keepdims=True)
        return self._odds


def _products(own: np.ndarray, steps: np.ndarray) -> np.ndarray:
    """For each row the summed weights of all ways that lead to each of its labels, but for a factor."""
    out = np.empty_like(own)
    through = steps * own[:, None, :]
    for n in range(len(own)):
        now = out[n - 1].dot(through[n]) if n else own[0]
        out[n] = now if n % SCALED else now / now.sum()
    return out


def _names(data: bytes, at: int, count: int) -> list[str]:
    """The names in the database at `at`, in the order of their numbers."""
    back_at = struct.unpack_from("<I", data, at + 20)[0]
    out = []
    for offset in struct.unpack_from(f"<{count}I", data, at + back_at):
        size = struct.unpack_from("<I", data, at + offset + 4)[0]
        begin = at + offset + 8
        out.append(data[begin : begin + size - 1].decode())
    return out
