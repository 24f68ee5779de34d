"""A short run of each target; `python -m tests.fuzz.run` runs them at length."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.fuzz.run import run  # noqa: E402
from tests.fuzz.targets import TARGETS, attempt  # noqa: E402

INPUTS = {"read": 400, "number": 300, "draft": 40, "lexicon": 25, "query": 60}
CRASHES: list[tuple[str, object]] = [  # inputs that once broke a target
    ("draft", "[" * 20_000),
    ("draft", "aroma " + "9" * 400 + "/12"),
    ("lexicon", {"mystery": {"kind": ["hop"], "said": "mango"}}),
    ("lexicon", {"mystery": {"kind": "hop", "aspects": 5}}),
    ("lexicon", b'[mystery]\nkind = "hop"\nsince = 2020-01-01\n'),
    ("query", ("", "\ud83c")),
    ("lexicon", b"a = " + b"[" * 50_000),
]


@pytest.mark.parametrize("name", TARGETS)
def test_short_run(name: str) -> None:
    run(name, INPUTS[name])


@pytest.mark.parametrize(("name", "given"), CRASHES, ids=range(len(CRASHES)))
def test_what_once_broke(name: str, given: object) -> None:
    attempt(name, given)
