"""Rolling captions are merged, sound tags dropped, and nothing that was said goes with them."""

from __future__ import annotations

import pytest
from shapes import stamp

from notes2sheet.readers import parse


def vtt(*cues: str, step: float = 2.0, length: float = 2.0) -> str:
    return (
        "WEBVTT\n\n"
        + "\n\n".join(f"{stamp(k * step)} --> {stamp(k * step + length)}\n{c}" for k, c in enumerate(cues))
        + "\n"
    )


@pytest.mark.parametrize(
    ("source", "text"),
    [
        (
            vtt("pours gold", "pours gold\nwith a tan head", "with a tan head\nand lacing"),
            "pours gold\nwith a tan head\nand lacing\n",
        ),
        (
            vtt(" \npours<00:01.000><c> gold</c>", "pours gold\n ", "pours gold\nwith<c> a head</c>", "with a head\n "),
            "pours gold\nwith a head\n",
        ),
        (vtt("pours", "pours gold", "pours gold with", "a tan head"), "pours\ngold\nwith\na tan head\n"),
        (vtt("gold", "gold", "tan", "tan", "dry", "dry"), "gold\ntan\ndry\n"),
        (
            vtt("Twelve.", "Twelve.", "Yes, twelve of twenty.", "On to the feel.", "Four."),
            "Twelve.\nTwelve.\nYes, twelve of twenty.\nOn to the feel.\nFour.\n",
        ),
        (vtt("no", "no", step=9), "no\nno\n"),
        ("no\nno\nno\nno\n", "no\nno\nno\nno\n"),
    ],
    ids=["rows roll", "word by word", "rows grow", "each twice", "said twice", "far apart", "plain"],
)
def test_rolling_captions(source: str, text: str) -> None:
    assert parse(source).text == text


@pytest.mark.parametrize(
    ("said", "kept"),
    [
        ("[Music] hello", "hello"),
        ("pours gold [Applause]", "pours gold"),
        ("♪ upbeat tune ♪ gold", "gold"),
        ("(laughs) gold", "gold"),
        ("[upbeat music playing] gold", "gold"),
        (">> gold", "gold"),
        ("[BLANK_AUDIO] gold", "gold"),
        ("*applause* gold", "gold"),
        ("(low, ok) gold", "(low, ok) gold"),
        ("[12] gold", "[12] gold"),
        ("the music of hops", "the music of hops"),
        ("gold (clean)", "gold (clean)"),
    ],
)
@pytest.mark.parametrize("shape", ["plain", "vtt"])
def test_sound_tags(said: str, kept: str, shape: str) -> None:
    assert parse(f"{said}\ntan" if shape == "plain" else vtt(said.replace(">", "&gt;"), "tan")).text == f"{kept}\ntan\n"
