"""A short run of each target; `python -m tests.fuzz.run` runs them at length."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.fuzz import requests  # noqa: E402
from tests.fuzz.run import run  # noqa: E402
from tests.fuzz.targets import TARGETS, attempt  # noqa: E402

INPUTS = {"read": 400, "number": 300, "draft": 40, "lexicon": 25, "query": 60, "review": 60, "stranger": 60}
NINES = b"9" * 5000
CRASHES: list[tuple[str, object]] = [  # inputs that once broke a target
    ("draft", "[" * 20_000),
    ("draft", "aroma " + "9" * 400 + "/12"),
    ("lexicon", {"mystery": {"kind": ["hop"], "said": "mango"}}),
    ("lexicon", {"mystery": {"kind": "hop", "aspects": 5}}),
    ("lexicon", b'[mystery]\nkind = "hop"\nsince = 2020-01-01\n'),
    ("query", ("", "\ud83c")),
    ("lexicon", b"a = " + b"[" * 50_000),
    ("read", b"\x1d1\n00:00:01,000 --> 00:00:02,000\nhi\n\n2\n"),
    ("read", "²\n00:00:01,000 --> 00:00:02,000\nhi\n\n3\n".encode()),
    ("read", NINES + b"\n00:00:01,000 --> 00:00:02,000\nhi\n\n3\n"),
    ("read", b"1\n" + NINES + b":00:01,000 --> 00:00:02,000\nhi\n"),
    ("read", b"WEBVTT\n\n" + NINES[:400] + b":00:01.000 --> 00:02.000\nhi\n"),
    ("read", b'[{"start": ' + NINES[:400] + b', "text": "hi"}]'),
    ("read", b'[{"start": "' + NINES[:400] + b':00:01", "text": "hi"}]'),
    ("read", b'[{"start": 1e300, "end": 1e301, "text": "hi"}]'),
    ("number", "7 point ²"),
    ("draft", "aroma twelve out"),
    ("draft", "Aroma. Five of twelve, so it has seven, and that leaves seven."),
    ("draft", "mouthfeel won point off i don't know three or four leave it open"),
]


def test_the_reviewed_descriptor_stands_where_the_requests_say() -> None:
    assert requests.sheet().descriptors[0].span == (32, 42)


@pytest.mark.parametrize("name", TARGETS)
def test_short_run(name: str) -> None:
    run(name, INPUTS[name])


@pytest.mark.parametrize(("name", "given"), CRASHES, ids=range(len(CRASHES)))
def test_what_once_broke(name: str, given: object) -> None:
    attempt(name, given)
