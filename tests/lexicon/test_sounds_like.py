"""Repairs by sound, tried on voices that their limits were not set on; source: synthetic voices through recognizers.

`heard_as.tsv` holds what recognizer set-ups (moonshine, whisper) wrote for trade words said by nine synthetic voices.
The limits in unlisted.py were set by looking at HALF_SEEN only.
"""

import csv
from pathlib import Path

import pytest

from notes2sheet.pipeline import read_notes
from notes2sheet.unlisted import _keys, sounds_like

HALF_SEEN = {"awb", "espgb", "espus", "joe", "joefast"}
ROWS = list(csv.DictReader(Path(__file__).with_name("heard_as.tsv").open(encoding="utf-8"), delimiter="\t"))


def _near_in_letters(row) -> bool:
    """Recognized as something that a reader could still take for the word: half of its letters in order."""
    from rapidfuzz import fuzz

    return fuzz.ratio(row["term"].replace(" ", ""), row["heard_as"].replace(" ", "")) >= 70


def test_repairs_hold_on_unseen_voices():
    unseen = [r for r in ROWS if not set(r["voices"].split(",")) & HALF_SEEN and _near_in_letters(r)]
    repaired = [r for r in unseen if sounds_like(r["heard_as"]) in _forms(r["term"])]
    assert len(unseen) >= 40
    assert len(repaired) / len(unseen) >= 0.6


def test_repairs_are_seldom_wrong_on_unseen_voices():
    unseen = [r for r in ROWS if not set(r["voices"].split(",")) & HALF_SEEN]
    wrong = [r for r in unseen if (meant := sounds_like(r["heard_as"])) and meant not in _forms(r["term"])]
    assert len(wrong) / len(unseen) <= 0.05


def _forms(term: str) -> set[str]:
    """The trade words that differ from `term` only in their ending."""
    stem = term.replace("-", " ")[:5]
    return {word for word in _keys() if word.replace("-", " ")[:5] == stem}


@pytest.mark.parametrize(
    "text, heard, meant",
    [
        ("Aroma: medium bread, low hops, no diassetyle, no sulfur.", "diassetyle", "diacetyl"),
        ("Nose: strong grapefruit, a bit of resinnus pine.", "resinnus", "resin"),
    ],
)
def test_repaired_where_a_sensory_word_is_expected(text, heard, meant):
    reading = read_notes(text, until="descriptors")
    found = {text[slice(*reading.span(m.start, m.end))]: m for m in reading.mentions}
    assert found[heard].hits[0].how == "heard"
    assert found[heard].term.name == meant


@pytest.mark.parametrize("text", ["I paid a diassetyle fee.", "Our club met in Resinnus."])
def test_not_repaired_elsewhere(text):
    assert not read_notes(text, until="descriptors").mentions
