"""No input takes more than linear time: every regular expression of the package, and whole drafts, on hostile text."""

from __future__ import annotations

import gc
import importlib
import pkgutil
import re
import time
from pathlib import Path

import pytest

import notes2sheet
from notes2sheet.long_runs import make_doc
from notes2sheet.pipeline import draft_sheet
from notes2sheet.tokens import tokenizer

MOST = 2.8  # times longer for twice the text; noise of a busy machine included
CHARACTERS = " \n09aAzZ.,:;-–[](){}<>\"'“”*_/\\#%&=♪>"


def patterns() -> dict[str, re.Pattern[str]]:
    """Every compiled pattern that a module of the package holds, alone or in a list, tuple or dict."""
    found: dict[str, re.Pattern[str]] = {}

    def take(value: object, name: str, depth: int = 0) -> None:
        if isinstance(value, re.Pattern) and isinstance(value.pattern, str):
            found[f"{name} {value.pattern[:30]}"] = value
        elif depth < 3 and isinstance(value, (list, tuple, set, frozenset)):
            for item in value:
                take(item, name, depth + 1)
        elif depth < 3 and isinstance(value, dict):
            for item in value.values():
                take(item, name, depth + 1)

    for module in pkgutil.walk_packages(notes2sheet.__path__, "notes2sheet."):
        if module.name.endswith("__main__"):
            continue
        for name, value in vars(importlib.import_module(module.name)).items():
            take(value, f"{module.name.removeprefix('notes2sheet.')}.{name}")
    return found


PATTERNS = patterns()
SOURCE = "\n".join(path.read_text(encoding="utf-8") for path in Path(notes2sheet.__file__).parent.rglob("*.py"))


def _ways(name: str) -> list:
    """How the package uses the pattern: at the start of a text only, or anywhere in it."""
    pattern, named = PATTERNS[name], name.split()[0].rpartition(".")[2]
    used = set(re.findall(rf"\b{named}\.(\w+)\(", SOURCE))
    anywhere = used & {"search", "finditer", "findall", "sub", "split"} or not used & {"match", "fullmatch"}
    from_start = not used or used & {"match", "fullmatch"}
    ways = [lambda made: sum(1 for _ in pattern.finditer(made))] if anywhere and named not in PASSED_ON else []
    return ways + ([pattern.match] if from_start or named in PASSED_ON else [])


PASSED_ON = {"LABEL", "BRACKET", "FORMS"}  # only matched at the start of a line, by those that they are given to


def _attacks(pattern: str) -> list[str]:
    """What to repeat: single characters, and pieces of the pattern's own words, which nearly match."""
    words = re.findall(r"[A-Za-z]{2,}", pattern)[:4]
    marks = [c for c in dict.fromkeys(pattern) if not c.isalnum() and c not in CHARACTERS]
    return [
        *CHARACTERS,
        *marks,
        *words,
        *(f"{w} " for w in words),
        "a ",
        "1:",
        "A ",
        "<a",
        "[a",
        ". ",
        '."',
        "00:00",
        " \n",
    ]


def _seconds(call, *given) -> float:
    gc.disable()
    try:
        began = time.process_time()
        call(*given)
        return time.process_time() - began
    finally:
        gc.enable()


def _ratio(call, text: str, size: int) -> float:
    """How much longer twice the text takes; the best of three, and 1 below what a clock can tell."""
    made = text * (2 * size // len(text))
    long = _seconds(call, made[: 2 * size])
    if long < 0.02:
        return 1.0
    return min(_seconds(call, made[: 2 * size]) / max(_seconds(call, made[:size]), 1e-4) for _ in range(3))


def test_there_are_patterns() -> None:
    assert len(PATTERNS) > 50


@pytest.mark.parametrize("name", PATTERNS)
def test_a_pattern_is_linear(name: str) -> None:
    pattern = PATTERNS[name]
    slow = {}
    for text in _attacks(pattern.pattern):
        for way in _ways(name):
            if (ratio := _ratio(way, text, 20_000)) > MOST:
                slow[text] = round(ratio, 1)
    assert slow == {}


@pytest.mark.parametrize(
    "text", ["[", "]", "(", '"', "'", ":", "…", "$", "'s", "n't", "(a", "a.", "1-", "http://", "-", "🍺"]
)
def test_tokens_are_linear_and_exact(text: str) -> None:
    made = text * (40_000 // len(text))
    assert make_doc(tokenizer(), made).text == made
    assert _ratio(lambda t: make_doc(tokenizer(), t), text, 20_000) < MOST


@pytest.mark.parametrize(
    "text",
    [
        *'.[("-:', "7", "a", "\n", "seven ", "out of ", "7 ", "minus ", "aroma ten\n", "no diacetyl ", "and a half ",
        "%",
        "=",
    ],
)  # fmt: skip
def test_a_draft_is_linear(text: str) -> None:
    assert _ratio(draft_sheet, text, 16_000) < MOST


def test_normal_text_is_cut_as_before() -> None:
    nlp, text = tokenizer(), "It's a 7.5/12 (so-so) - see https://example.org/a?b=c... \"Don't!\" ½ of it.\n" * 20
    assert [t.text for t in make_doc(nlp, text)] == [t.text for t in nlp.make_doc(text)]
    odd = "a " + "[" * 500 + "x" * 300 + " b  c"
    assert make_doc(nlp, odd).text == odd and "x" * 300 in [t.text for t in make_doc(nlp, odd)]
