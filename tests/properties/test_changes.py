"""Changes to the notes that must not change the scores. The taggers read the words around, so that talk at the ends
moves a score in a few transcripts: measured, with a floor."""

from __future__ import annotations

import itertools
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from frames import PARTS, SPOKEN  # noqa: E402
from variants import ACCURACY, TALK, TEXTS, changed, figures, in_rows, read, wrapped  # noqa: E402

from notes2sheet.pipeline import draft_sheet  # noqa: E402
from notes2sheet.readers import parse  # noqa: E402

FLOORS = {"talk before": 0.02, "talk after": 0.1, "rows": 0.02}  # share of transcripts; measured 1, 13 and 1 of 262


def paragraphs(order: tuple[str, ...]) -> str:
    parts = (" ".join(SPOKEN[part + kind] for kind in ("_begins", "", "_score")) for part in order)
    return "\n\n".join([SPOKEN["opening"], *parts, SPOKEN["closing"]])


@pytest.mark.parametrize("change", TALK)
def test_small_talk_at_the_ends(change: str) -> None:
    names = list(TEXTS)[::6]
    moved = changed(names, TALK[change], figures)
    assert len(moved) <= FLOORS[change] * len(names), moved


@pytest.mark.parametrize("pair", list(itertools.combinations(PARTS, 2)), ids="-".join)
def test_swapped_parts(pair: tuple[str, str]) -> None:
    first, second = pair
    swapped = tuple({first: second, second: first}.get(part, part) for part in PARTS)
    assert figures(draft_sheet(paragraphs(swapped))) == figures(draft_sheet(paragraphs(PARTS)))


@pytest.mark.parametrize("name", ["Copper Wren", "Two Oars", "Quiet Harbor"])
def test_another_name(name: str) -> None:
    text = paragraphs(PARTS)
    before, after = draft_sheet(text), draft_sheet(text.replace("Copper Gate", name))
    assert (before.entry.name, after.entry.name) == ("Copper Gate", name)
    assert figures(before) == figures(after) and before.style.code == after.style.code
    assert [(d.term, d.state) for d in before.descriptors] == [(d.term, d.state) for d in after.descriptors]


def test_another_name_in_the_transcripts() -> None:
    moved = []
    files = sorted((ACCURACY / "dev").glob("*.marked.txt"))
    for path in files:
        doc = read(path)
        named = doc.header["entry"]
        if named != "none" and named in doc.text:
            other = doc.text.replace(named, "Copper Wren")
            if figures(draft_sheet(doc.text)) != figures(draft_sheet(other)):
                moved.append(path.name)
    assert moved == []


def test_rows_of_an_editor() -> None:
    names = list(TEXTS)[::6]
    before = {n: figures(draft_sheet(parse(TEXTS[n]).text)) for n in names}
    moved = [n for n in names if figures(draft_sheet(parse(in_rows(TEXTS[n])).text)) != before[n]]
    assert len(moved) <= FLOORS["rows"] * len(names), moved


def test_lines_broken_where_they_are_full() -> None:
    """The readers join rows that break wherever they are full, so that a file so wrapped keeps its scores."""
    text = paragraphs(PARTS).replace("\n\n", " ")
    assert figures(draft_sheet(parse(wrapped(text)).text)) == figures(draft_sheet(text))
