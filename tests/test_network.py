"""The network over words as applied here against its definition, word by word (Strubell and others 2017,
arXiv:1702.02098, section 3: dilated convolutions; layer normalization as in Ba and others 2016, arXiv:1607.06450; the
mean of rows far around is our own)."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from notes2sheet import word_odds
from notes2sheet.network import LEAST, WIDEST, Network
from notes2sheet.pipeline import read_notes
from notes2sheet.seen import Names, Seen
from notes2sheet.tagger import MODELS
from notes2sheet.word_odds import ASKED, FILE, find_word_odds, word_features

NOTES = (Path(__file__).parent.parent / "demo_notes" / "spoken_review.txt").read_text(encoding="utf-8")


def normed(row: list[float], scale: list[float], moved: list[float]) -> list[float]:
    mean = sum(row) / len(row)
    spread = math.sqrt(sum((x - mean) ** 2 for x in row) / len(row) + LEAST)
    return [(x - mean) / spread * a + b for x, a, b in zip(row, scale, moved, strict=True)]


def times(row: list[float], table: np.ndarray) -> list[float]:
    return [sum(x * float(w) for x, w in zip(row, column, strict=True)) for column in table.T]


def by_definition(data: dict[str, np.ndarray], words: list[list[str]]) -> dict[str, list[float]]:
    """The odds of each answer at each word: sums, layers one after another, and a softmax for each question."""
    features, answers = (bytes(data[name]).decode().split("\0") for name in ("features", "answers"))
    width = data["embedding"].shape[1]
    around, mix, far = (
        data[name].astype(float) * data[f"{name}_scale"].astype(float) for name in ("around", "mix", "mean")
    )
    rows = []
    for word in words:
        own = [features.index(f) for f in word if f in features]
        known = [data["embedding"][n].astype(float) * float(data["scale"][n]) for n in own]
        rows.append(normed([sum(float(k[n]) for k in known) for n in range(width)], *data["norms"][0].tolist()))
    for n, reach in enumerate(data["reach"].tolist()):
        after = []
        for at, row in enumerate(rows):
            told = data["around_bias"][n].astype(float).tolist()
            for k, place in enumerate((at - reach, at, at + reach)):
                if 0 <= place < len(rows):
                    told = [a + b for a, b in zip(told, times(rows[place], around[n][k]), strict=True)]
            told = [max(x, 0.0) for x in told]
            if n == len(data["reach"]) + WIDEST:
                reached = rows[max(at - int(data["mean_reach"]), 0) : at + int(data["mean_reach"]) + 1]
                mean = times([sum(column) / len(reached) for column in zip(*reached, strict=True)], far)
                told = [a + max(x + float(b), 0.0) for a, x, b in zip(told, mean, data["mean_bias"], strict=True)]
            mixed = times(told, mix[n])
            added = [a + b + float(c) for a, b, c in zip(row, mixed, data["mix_bias"][n], strict=True)]
            after.append(normed(added, *data["norms"][n + 1].tolist()))
        rows = after
    out: dict[str, list[float]] = {answer: [] for answer in answers}
    for row in rows:
        raw = [math.exp(x + float(b)) for x, b in zip(times(row, data["out"][:-1]), data["out"][-1], strict=True)]
        for answer, weight in zip(answers, raw, strict=True):
            question = answer.partition(":")[0]
            alike = sum(w for a, w in zip(answers, raw, strict=True) if a.startswith(f"{question}:"))
            out[answer].append(weight / alike)
    return out


def random_file(path: Path, rng: np.random.Generator) -> dict[str, np.ndarray]:
    width, layers = 4, 3
    names = [f"w:{letter}" for letter in "abcdef"] + ["e:x", "e:y"]
    data = {
        "scale": rng.uniform(0.01, 0.05, size=len(names)),
        "norms": rng.normal(size=(layers + 1, 2, width)),
        "reach": np.array([1, 2, 5]),
        "mean_reach": np.array(3),
        "around_scale": rng.uniform(0.01, 0.05, size=(layers, 3, 1, width)),
        "around_bias": rng.normal(size=(layers, width)),
        "mix_scale": rng.uniform(0.01, 0.05, size=(layers, 1, width)),
        "mean_scale": rng.uniform(0.01, 0.05, size=(1, width)),
        "mix_bias": rng.normal(size=(layers, width)),
        "mean_bias": rng.normal(size=width),
        "out": rng.normal(size=(width + 1, 5)),
    }
    data = {name: table if name.endswith("reach") else table.astype(np.float16) for name, table in data.items()}
    whole = {"embedding": (len(names), width), "around": (layers, 3, width, width), "mix": (layers, width, width)}
    whole["mean"] = (width, width)
    data |= {name: rng.integers(-127, 128, size=size, dtype=np.int8) for name, size in whole.items()}
    data["features"] = np.frombuffer("\0".join(names).encode(), dtype=np.uint8)
    data["answers"] = np.frombuffer(b"role:talk\0role:score\0role:observe\0state:P\0state:O", dtype=np.uint8)
    np.savez(path, **data)
    return data


@pytest.mark.parametrize("count", [1, 2, 3, 12])
def test_odds_are_those_of_the_definition(count: int, tmp_path: Path) -> None:
    rng = np.random.default_rng(count)
    data = random_file(tmp_path / "words.npz", rng)
    letters, ends = rng.choice(list("abcdefgh"), count).tolist(), rng.choice(list("xyz"), count).tolist()
    seen, rows = Seen(count), np.arange(count)
    seen.add("w:{}", rows, Names(letters).at(rows))
    seen.add("e:{}", rows, Names(ends).at(rows))
    truth = by_definition(data, seen.strings())
    asked = {"role": ["observe", "talk", "score"], "state": ["O", "P"]}
    found = Network(tmp_path / "words.npz").odds(seen, asked)
    for question, answers in asked.items():
        for n, answer in enumerate(answers):
            assert found[question][:, n] == pytest.approx(truth[f"{question}:{answer}"], abs=1e-4)


def odds_of(notes: str) -> dict[str, np.ndarray]:
    reading = read_notes(notes, until="descriptors")
    find_word_odds(reading)
    return reading.word_odds


def test_shipped_network_is_applied_as_defined() -> None:
    notes = " ".join(NOTES.split()[:30])
    reading = read_notes(notes, until="descriptors")
    truth = by_definition(dict(np.load(MODELS / FILE)), word_features(reading, 0, len(reading.words)).strings())
    for question, odds in odds_of(notes).items():
        for n, answer in enumerate(ASKED[question]):
            assert odds[:, n] == pytest.approx(truth[f"{question}:{answer}"], abs=1e-3)


def test_long_text_in_blocks_gives_the_odds_of_the_whole(monkeypatch: pytest.MonkeyPatch) -> None:
    whole = odds_of(NOTES)
    monkeypatch.setattr(word_odds, "BLOCK", 50)
    for question, odds in odds_of(NOTES).items():
        assert odds == pytest.approx(whole[question], abs=1e-4)


def test_no_words_have_no_odds() -> None:
    for question, odds in odds_of("").items():
        assert odds.shape == (0, len(ASKED[question]))
