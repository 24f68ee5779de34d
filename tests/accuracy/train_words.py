"""Train the network over words (notes2sheet/network.py) on what the marked transcripts say of each word.

The layers are those of Strubell and others 2017 (arXiv:1702.02098), narrow and with few of them, as befits some hundred
transcripts; much of each text is left out at random while training, words and features alike, so that no phrase is
learned by heart. Written and running text are learned together: what is known of one helps with the other.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any, NamedTuple, Protocol

import numpy as np
import torch
from torch import Tensor, nn
from torch.nn import functional

from notes2sheet.network import WIDEST

WIDTH = 96  # numbers for each word
REACH = (1, 2, 4, 8, 16, 32, 64, 1)  # how far each layer looks to either side
MEAN_REACH = 300  # how far to either side the mean reaches that one layer sees: most of a talk
LEAST_SEEN = 8  # times that a feature must stand in the transcripts
EPOCHS, BATCH, RATE, DECAY = 24, 8, 3e-3, 0.05
FURTHER_RATE = 8e-4  # of a network that is taught further
DROPPED, FEATURE_DROPPED = 0.3, 0.15
WORD_DROPPED = 0.2, 0.6  # of the spelling of words, and of sensory words: what they are called says nothing of the role
SMOOTHING = 0.05  # of the answers: the marks err too
SHARES = {"role": 1.0, "state": 1.0, "begin": 0.5, "part": 0.5}  # of each question in the loss; the last two only guide
KEPT = ("role", "state", "part")  # the questions that the file answers
SPELLING, SENSORY = ("w:", "e:", "p:"), "kind:"  # features that go when a word is left out, and that tell sensory words
STEPS = 31  # into which the largest number of a row is cut: as good as 127, and an eighth smaller when packed
LAYER_STEPS = 63  # the same of what a layer adds up to one number: off by 1.4% of its size
NONE = -100  # no answer is known
SEED = 1


class Lesson(NamedTuple):
    """The features of each word of one text, and for each question the answer of each word ('' for none known)."""

    features: list[list[str]]
    answers: dict[str, list[str]]


class Layers(nn.Module):
    """What `notes2sheet.network.Network` works out, with what is only needed to train it."""

    def __init__(self, features: int, answers: int, width: int = WIDTH, reach: Sequence[int] = REACH) -> None:
        super().__init__()
        self.width, self.reach = width, reach
        self.embedding = nn.EmbeddingBag(features, width, mode="sum")
        nn.init.normal_(self.embedding.weight, 0, 0.3)
        self.around = nn.ModuleList(nn.Conv1d(width, width, 3, padding=far, dilation=far) for far in reach)
        self.mix = nn.ModuleList(nn.Linear(width, width) for _ in reach)
        self.mean = nn.Linear(width, width)
        self.norms = nn.ModuleList(nn.LayerNorm(width) for _ in range(len(reach) + 1))
        self.out = nn.Linear(width, answers)
        self.dropped = nn.Dropout(DROPPED)

    def forward(self, features: Tensor, begins: Tensor, kept: Tensor, there: Tensor) -> Tensor:
        """Texts x words x answers, from the numbers of all words' features, where each word's begin, which of them are
        `kept` and which words are `there` (texts x words x 1)."""
        rows = self.embedding(features, begins, per_sample_weights=kept)
        rows = self.dropped(self.norms[0](rows).view(*there.shape[:2], self.width)) * there
        for n, (around, mix, norm) in enumerate(zip(self.around, self.mix, self.norms[1:], strict=True)):
            told = functional.relu(around(rows.transpose(1, 2)).transpose(1, 2))
            if n == len(self.reach) + WIDEST:
                told = told + functional.relu(self.mean(mean_around(rows, there)))
            rows = norm(rows + self.dropped(mix(told))) * there
        return self.out(rows)


def mean_around(rows: Tensor, there: Tensor) -> Tensor:
    """The mean of the rows of the words up to MEAN_REACH to either side of each that are `there`."""
    sums = functional.pad(torch.cat([rows, there], 2).cumsum(1), (0, 0, 1, 0))
    at = torch.arange(rows.shape[1])
    low, high = (at - MEAN_REACH).clamp(min=0), (at + MEAN_REACH + 1).clamp(max=len(at))
    around = sums[:, high] - sums[:, low]
    return around[..., :-1] / around[..., -1:].clamp(min=1)


class Counted(Protocol):
    """What has a number of features for each word."""

    @property
    def counts(self) -> np.ndarray: ...


class Numbered(NamedTuple):
    """A lesson in numbers: all features in a row, how many each word has, how often they are left out, the answers."""

    features: np.ndarray
    counts: np.ndarray
    dropped: np.ndarray
    answers: np.ndarray


def fit(lessons: Sequence[Lesson], path: Path, epochs: int = EPOCHS) -> None:
    """Train a network on the lessons, each seen `epochs` times, and write its file."""
    torch.manual_seed(SEED)
    counts = Counter(feature for lesson in lessons for row in lesson.features for feature in row)
    features = sorted(feature for feature, count in counts.items() if count >= LEAST_SEEN)
    known = {q: sorted({a for x in lessons for a in x.answers[q]} - {""}) for q in SHARES}
    layers = Layers(len(features), sum(map(len, known.values())))
    _teach(layers, lessons, features, known, epochs, RATE)
    write(path, layers, features, _names(known), KEPT)


def go_on(lessons: Sequence[Lesson], path: Path, epochs: int) -> None:
    """Teach the network in a file further, gently, on the lessons, and write its file anew."""
    torch.manual_seed(SEED)
    with np.load(path) as data:
        arrays = {name: data[name] for name in data.files}
    features, names = (arrays[name].tobytes().decode().split("\0") for name in ("features", "answers"))
    known = {q: [name.partition(":")[2] for name in names if name.startswith(f"{q}:")] for q in KEPT}
    layers = Layers(len(features), len(names))
    layers.load_state_dict(_read(arrays))
    _teach(layers, lessons, features, known, epochs, FURTHER_RATE)
    write(path, layers, features, _names(known), KEPT)


def _names(known: dict[str, list[str]]) -> list[str]:
    return [f"{q}:{a}" for q in known for a in known[q]]


def _teach(
    layers: Layers,
    lessons: Sequence[Lesson],
    features: list[str],
    known: dict[str, list[str]],
    epochs: int,
    rate: float,
) -> None:
    rng = np.random.default_rng(SEED)
    numbers = {feature: n for n, feature in enumerate(features)}
    texts = [numbered(lesson, numbers, known) for lesson in lessons]
    every = (batch for _ in range(epochs) for batch in batches(texts, rng))
    losses = (lost(layers(*tensors(batch, rng)), answers(batch, known), known) for batch in every)
    learn(layers, losses, epochs * math.ceil(len(texts) / BATCH), rate)


def _read(arrays: dict[str, np.ndarray]) -> dict[str, Tensor]:
    """The tables of `Layers` in what `write` wrote."""
    real = {name: torch.from_numpy(a.astype(np.float32)) for name, a in arrays.items() if a.dtype.kind in "fi"}
    state = {"embedding.weight": real["embedding"] * real["scale"][:, None]}
    around, mix = real["around"] * real["around_scale"], real["mix"] * real["mix_scale"]
    for n in range(len(around)):
        state |= {f"around.{n}.weight": around[n].permute(2, 1, 0), f"around.{n}.bias": real["around_bias"][n]}
        state |= {f"mix.{n}.weight": mix[n].T, f"mix.{n}.bias": real["mix_bias"][n]}
    for n, (weight, bias) in enumerate(real["norms"]):
        state |= {f"norms.{n}.weight": weight, f"norms.{n}.bias": bias}
    state |= {"mean.weight": (real["mean"] * real["mean_scale"]).T, "mean.bias": real["mean_bias"]}
    return state | {"out.weight": real["out"][:-1].T, "out.bias": real["out"][-1]}


def learn(layers: Layers, losses: Iterable[Tensor], steps: int, rate: float = RATE) -> None:
    """Make the losses smaller, each found when the step before it is taken, in so many steps: fast, then slowly."""
    optimizer = torch.optim.AdamW(layers.parameters(), lr=rate, weight_decay=DECAY)
    pace = torch.optim.lr_scheduler.OneCycleLR(optimizer, rate, total_steps=steps, pct_start=0.15)
    for loss in losses:
        optimizer.zero_grad()
        loss.backward()
        nn.utils.clip_grad_norm_(layers.parameters(), 1.0)
        optimizer.step()
        pace.step()


def numbered(lesson: Lesson, numbers: dict[str, int], known: dict[str, list[str]]) -> Numbered:
    rows = [[f for f in row if f in numbers] for row in lesson.features]
    told = [[known[q].index(answer) if answer in known[q] else NONE for answer in lesson.answers[q]] for q in known]
    sensory = [any(f.startswith(SENSORY) for f in row) for row in rows]
    return Numbered(
        np.array([numbers[f] for row in rows for f in row], dtype=np.int64),
        np.array([len(row) for row in rows], dtype=np.int64),
        np.array([WORD_DROPPED[s] * f.startswith(SPELLING) for row, s in zip(rows, sensory, strict=True) for f in row]),
        np.array(told, dtype=np.int64),
    )


def batches(texts: Sequence[Counted], rng: np.random.Generator, size: int = BATCH) -> list[list[Any]]:
    """All texts once, `size` of about the same length together, in an order that changes."""
    order = sorted(rng.permutation(len(texts)), key=lambda i: len(texts[i].counts) + rng.integers(0, 100))
    cut = [[texts[i] for i in order[at : at + size]] for at in range(0, len(order), size)]
    return [cut[i] for i in rng.permutation(len(cut))]


def tensors(batch: list[Numbered], rng: np.random.Generator) -> tuple[Tensor, Tensor, Tensor, Tensor]:
    """What `Layers` takes, with words and features left out at random."""
    longest = max(len(text.counts) for text in batch)
    counts = np.zeros((len(batch), longest), dtype=np.int64)
    there = np.zeros((len(batch), longest, 1), dtype=np.float32)
    kept = []
    for n, text in enumerate(batch):
        counts[n, : len(text.counts)], there[n, : len(text.counts)] = text.counts, 1
        out = np.repeat(rng.random(len(text.counts)), text.counts) < text.dropped
        kept.append((rng.random(len(out)) > FEATURE_DROPPED) & ~out)
    begins = np.concatenate([[0], counts.ravel().cumsum()[:-1]])
    features = np.concatenate([text.features for text in batch])
    weights = np.concatenate(kept).astype(np.float32)
    return torch.from_numpy(features), torch.from_numpy(begins), torch.from_numpy(weights), torch.from_numpy(there)


def answers(batch: list[Numbered], known: dict[str, list[str]]) -> Tensor:
    """Questions x texts x words."""
    out = np.full((len(known), len(batch), max(len(text.counts) for text in batch)), NONE)
    for n, text in enumerate(batch):
        out[:, n, : len(text.counts)] = text.answers
    return torch.from_numpy(out)


def lost(scores: Tensor, told: Tensor, known: dict[str, list[str]]) -> Tensor:
    """The loss over all questions."""
    total, first = torch.zeros(()), 0
    for n, question in enumerate(known):
        last = first + len(known[question])
        ours = scores[..., first:last].reshape(-1, last - first)
        total = total + SHARES[question] * functional.cross_entropy(
            ours, told[n].reshape(-1), ignore_index=NONE, label_smoothing=SMOOTHING
        )
        first = last
    return total


def whole(table: np.ndarray, axis: int, steps: int) -> tuple[np.ndarray, np.ndarray]:
    """(the numbers of a table in whole numbers of up to `steps`, the size of one step along the axis)."""
    numbers = table.astype(np.float32)
    scale = (np.abs(numbers).max(axis, keepdims=True) / steps).clip(1e-4).astype(np.float16)
    return np.rint(numbers / scale.astype(np.float32)).clip(-steps, steps).astype(np.int8), scale


def write(path: Path, layers: Layers, features: list[str], names: list[str], questions: Sequence[str]) -> None:
    """Write what `notes2sheet.network.Network` reads, for some of the questions: the rows of the features and the
    layers' tables in whole numbers, a part (1/STEPS, 1/LAYER_STEPS) of the largest of each row apart; all else in half
    precision."""
    kept = [n for n, name in enumerate(names) if name.startswith(tuple(f"{q}:" for q in questions))]

    def stack(tables: Sequence[Tensor]) -> np.ndarray:
        return np.stack([table.detach().numpy() for table in tables]).astype(np.float16)

    embedding, scale = whole(layers.embedding.weight.detach().numpy(), 1, STEPS)
    around, around_scale = whole(stack([layer.weight.permute(2, 1, 0) for layer in layers.around]), 2, LAYER_STEPS)
    mix, mix_scale = whole(stack([layer.weight.T for layer in layers.mix]), 1, LAYER_STEPS)
    mean, mean_scale = whole(stack([layers.mean.weight.T]), 1, LAYER_STEPS)
    arrays = {
        "embedding": embedding,
        "scale": scale[:, 0],
        "norms": np.stack([stack([norm.weight, norm.bias]) for norm in layers.norms]),
        "reach": np.array(layers.reach),
        "around": around,
        "around_scale": around_scale,
        "around_bias": stack([layer.bias for layer in layers.around]),
        "mix": mix,
        "mix_scale": mix_scale,
        "mix_bias": stack([layer.bias for layer in layers.mix]),
        "mean_reach": np.array(MEAN_REACH),
        "mean": mean[0],
        "mean_scale": mean_scale[0],
        "mean_bias": stack([layers.mean.bias])[0],
        "out": np.vstack([stack(list(layers.out.weight.T)), stack([layers.out.bias])])[:, kept],
        "features": np.frombuffer("\0".join(features).encode(), dtype=np.uint8),
        "answers": np.frombuffer("\0".join(names[n] for n in kept).encode(), dtype=np.uint8),
    }
    np.savez_compressed(path, **arrays)
