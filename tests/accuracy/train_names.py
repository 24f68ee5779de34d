"""Train the network that tells where the opening names the beer and its maker (notes2sheet/name_odds.py).

The layers are those of `train_words.py`, narrower. What is learned is the choice among all candidates at once: a name
speaks by its first word, its last and those inside; that nothing is named, by all words.
"""

from __future__ import annotations

import math
import sys
from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import torch
from torch import Tensor

sys.path.insert(0, str(Path(__file__).parent))
from train_words import SEED, SPELLING, Layers, Numbered, batches, learn, tensors, write  # noqa: E402

from notes2sheet.name_odds import KINDS, PLACES, name_features  # noqa: E402

WIDTH, REACH = 48, (1, 2, 4, 8, 16)
LEAST_SEEN = 20  # times that a feature must stand in the openings
EPOCHS, BATCH = 16, 16
WORD_DROPPED = 0.15  # of the spelling of words


class Asked(NamedTuple):
    """One opening in numbers, its candidates (first words, behind the last ones), and which of them are right for the
    name and the maker, the last being that nothing is named."""

    numbered: Numbered
    starts: Tensor
    ends: Tensor
    right: Sequence[list[int]]

    @property
    def counts(self) -> np.ndarray:
        return self.numbered.counts


def fit(texts: Sequence[Any], path: Path, epochs: int = EPOCHS) -> None:
    """Train on the texts of `train_entry.py`, each seen `epochs` times, and write the network's file."""
    torch.manual_seed(SEED)
    rng = np.random.default_rng(SEED)
    rows = [name_features(text.opening).strings() for text in texts]
    counts = Counter(feature for text in rows for row in text for feature in row)
    features = sorted(feature for feature, count in counts.items() if count >= LEAST_SEEN)
    numbers = {feature: n for n, feature in enumerate(features)}
    asked = [_asked(text, told, numbers) for text, told in zip(texts, rows, strict=True) if text.opening.count]
    names = [f"{kind}:{place}" for kind in KINDS for place in PLACES]
    layers = Layers(len(features), len(names), WIDTH, REACH)
    every = (batch for _ in range(epochs) for batch in batches(asked, rng, BATCH))
    losses = (_lost(layers(*tensors([one.numbered for one in batch], rng)), batch) for batch in every)
    learn(layers, losses, epochs * math.ceil(len(asked) / BATCH))
    write(path, layers, features, names, KINDS)


def _asked(text: Any, told: list[list[str]], numbers: dict[str, int]) -> Asked:
    rows = [[f for f in row if f in numbers] for row in told]
    numbered = Numbered(
        np.array([numbers[f] for row in rows for f in row], dtype=np.int64),
        np.array([len(row) for row in rows], dtype=np.int64),
        np.array([WORD_DROPPED * f.startswith(SPELLING) for row in rows for f in row]),
        np.zeros((0, len(rows)), dtype=np.int64),
    )
    spans = np.array(text.runs[:-1], dtype=np.int64).reshape(-1, 2)
    return Asked(numbered, torch.from_numpy(spans[:, 0].copy()), torch.from_numpy(spans[:, 1].copy()), text.right)


def _lost(scores: Tensor, batch: list[Asked]) -> Tensor:
    """The mean loss over the choices of a batch that have a right answer."""
    losses = []
    for one, rows in zip(batch, scores, strict=True):
        for kind, right in enumerate(one.right):
            if right:
                chances = _candidates(rows[: len(one.counts), kind * len(PLACES) :], one)
                losses.append(torch.logsumexp(chances, 0) - torch.logsumexp(chances[right], 0))
    return torch.stack(losses).mean() if losses else scores.sum() * 0


def _candidates(rows: Tensor, one: Asked) -> Tensor:
    """What speaks for each candidate, and for none: rows hold the columns of one kind, in the order of PLACES."""
    first, last, inside, none = (rows[:, n] for n in range(len(PLACES)))
    upto = torch.cat([torch.zeros(1), inside.cumsum(0)])
    spans = first[one.starts] + last[one.ends - 1] + upto[one.ends] - upto[one.starts]
    return torch.cat([spans, none.mean()[None]])
