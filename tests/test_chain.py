"""The taggers as applied here against CRFsuite itself (python-crfsuite), which trained them."""

from __future__ import annotations

from pathlib import Path

import pycrfsuite
import pytest

from notes2sheet.bounds import bound_features
from notes2sheet.chain import Chain
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
    [("bounds", True), *((name, running) for name in ("segments", "roles", "stance") for running in (False, True))],
)
def test_labels_and_odds_are_those_of_the_library(name: str, running: bool) -> None:
    path = MODELS / file_name(name, running)
    seen = seen_by(name)
    rows = seen.strings()
    library = pycrfsuite.Tagger()
    library.open(str(path))
    chain = Chain(path)
    chain.look(seen)
    assert len(rows) > 40
    assert chain.best() == library.tag(rows)
    odds = chain.odds()
    for n, label in enumerate(chain.labels):
        assert odds[:, n] == pytest.approx([library.marginal(label, k) for k in range(len(rows))], abs=1e-6)


def test_no_rows_have_no_labels() -> None:
    chain = Chain(MODELS / file_name("roles", False))
    chain.look(Seen(0))
    assert chain.best() == [] and len(chain.odds()) == 0
