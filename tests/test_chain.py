"""The taggers as applied here against CRFsuite itself (python-crfsuite), which trains them."""

from __future__ import annotations

import sys
from pathlib import Path

import pycrfsuite
import pytest

sys.path.insert(0, str(Path(__file__).parent / "accuracy"))
from crfsuite_file import read_weights  # noqa: E402

from notes2sheet.bounds import bound_features
from notes2sheet.chain import Chain, write_chain
from notes2sheet.features import sentence_features
from notes2sheet.pipeline import read_notes
from notes2sheet.roles import role_features
from notes2sheet.seen import Seen
from notes2sheet.stance import stance_features
from notes2sheet.tagger import MODELS, file_name

NOTES = (Path(__file__).parent.parent / "demo_notes" / "spoken_review.txt").read_text(encoding="utf-8")


def seen_by(name: str) -> Seen:
    if name == "bounds":
        reading = read_notes(NOTES, until="numbers")
        return bound_features(reading, 0, len(reading.words))
    if name == "stance":
        return stance_features(read_notes(NOTES, until="roles"))
    reading = read_notes(NOTES, until="segments" if name == "roles" else "descriptors")
    return role_features(reading) if name == "roles" else sentence_features(reading)


@pytest.mark.parametrize(
    ("name", "running"),
    [
        ("bounds", True),
        *((name, running) for name in ("segments", "roles", "stance") for running in (False, True)),
    ],
)
def test_odds_are_those_of_the_library(name: str, running: bool, tmp_path: Path) -> None:
    seen = seen_by(name)
    rows = seen.strings()
    shipped = Chain(MODELS / file_name(name, running))
    shipped.look(seen)
    trainer = pycrfsuite.Trainer(verbose=False)
    trainer.set_params({"c2": 0.1, "max_iterations": 30, "feature.possible_transitions": True})
    likeliest = [shipped.labels[n] for n in shipped.odds().argmax(1)]
    trainer.append(rows[::2], likeliest[::2])  # half of the rows: the others bring features that are not known
    trainer.train(str(tmp_path / "tagger.crfsuite"))
    write_chain(tmp_path / "tagger.npz", *read_weights(tmp_path / "tagger.crfsuite"))
    library = pycrfsuite.Tagger()
    library.open(str(tmp_path / "tagger.crfsuite"))
    chain = Chain(tmp_path / "tagger.npz")
    chain.look(seen)
    assert len(rows) > 40 and len(chain.labels) > 1
    library.tag(rows)
    odds = chain.odds()
    for n, label in enumerate(chain.labels):
        assert odds[:, n] == pytest.approx(
            [library.marginal(label, k) for k in range(len(rows))], abs=1e-5
        )  # half precision


def test_no_rows_have_no_odds() -> None:
    chain = Chain(MODELS / file_name("roles", False))
    chain.look(Seen(0))
    assert len(chain.odds()) == 0
