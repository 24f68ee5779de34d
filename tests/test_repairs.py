"""Words that take a descriptor back, and the descriptor that comes instead."""

from __future__ import annotations

import pytest

from notes2sheet.pipeline import read_notes
from notes2sheet.repairs import find_repairs


@pytest.mark.parametrize(
    ("said", "taken_back", "instead"),
    [
        ("The head is off white, no, she's tan.", "off white", "tan"),
        ("straw, well no, it's deep yellow", "straw", "deep yellow"),
        ("There's pear, scratch that, it's green apple.", "pear", "green apple"),
    ],
)
def test_what_is_taken_back_and_what_comes_instead(said: str, taken_back: str, instead: str) -> None:
    reading = read_notes(said, until="descriptors")
    told = {
        " ".join(reading.words[m.start : m.end]): repairs
        for m, repairs in zip(reading.mentions, find_repairs(reading), strict=True)
    }
    assert "repair:behind:False:True" in told[taken_back]
    assert any(repair.startswith("repair:before") for repair in told[instead])


def test_nothing_is_taken_back_in_plain_words() -> None:
    reading = read_notes("It's straw, clear, with a tan head.", until="descriptors")
    assert find_repairs(reading) == [[] for _ in reading.mentions]
