"""What each module pulls in, asserted on the modules that a fresh interpreter holds, not on milliseconds."""

from __future__ import annotations

import json
import subprocess
import sys
from functools import cache

import pytest

# The import rule: none of these reads the notes themselves, so none may import spaCy. With --help, which goes through
# cli alone, neither spaCy nor pydantic is there.
LIGHT = [
    "notes2sheet", "notes2sheet.cli", "notes2sheet.errors", "notes2sheet.words", "notes2sheet.lexicon",
    "notes2sheet.numbers", "notes2sheet.readers", "notes2sheet.style_data",
]  # fmt: skip
REST = [
    "notes2sheet.model",
    "notes2sheet.checks",
    "notes2sheet.outputs.text",
    "notes2sheet.outputs.md",
    "notes2sheet.outputs.json",
]


def held(code: str) -> set[str]:
    """The top-level modules that a fresh interpreter holds after `code`."""
    ask = f"{code}\nimport json, sys\nprint('\\n' + json.dumps(sorted({{m.partition('.')[0] for m in sys.modules}})))"
    made = subprocess.run([sys.executable, "-c", ask], capture_output=True, text=True, timeout=60)
    assert made.returncode == 0, made.stderr
    return set(json.loads(made.stdout.splitlines()[-1]))


@cache
def held_after_each() -> dict[str, set[str]]:
    """{module: top-level modules held} as one fresh interpreter imports the modules in turn, the light ones first."""
    code = (
        "import importlib, json, sys\nout = {}\n"
        f"for name in {[*LIGHT, *REST]!r}:\n"
        "    importlib.import_module(name)\n"
        "    out[name] = sorted({m.partition('.')[0] for m in sys.modules} & {'notes2sheet', 'spacy', 'pydantic'})\n"
        "print(json.dumps(out))"
    )
    made = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60)
    assert made.returncode == 0, made.stderr
    return {name: set(modules) for name, modules in json.loads(made.stdout).items()}


@pytest.mark.parametrize("module", [*LIGHT, *REST])
def test_never_imports_spacy(module: str) -> None:
    modules = held_after_each()[module]
    assert "notes2sheet" in modules and "spacy" not in modules
    assert module not in LIGHT or "pydantic" not in modules


@pytest.mark.parametrize(
    "args",
    [
        ["--help"],
        pytest.param(
            ["draft", "--help"],
            marks=pytest.mark.xfail(
                strict=True, reason="typer itself imports pydantic for a path option, where it is installed"
            ),
        ),
    ],
)
def test_help_imports_neither_spacy_nor_pydantic(args: list[str]) -> None:
    modules = held(f"from notes2sheet.cli import app\ntry: app({args!r})\nexcept SystemExit: pass")
    assert "typer" in modules and modules.isdisjoint({"spacy", "pydantic", "rapidfuzz", "pycrfsuite"})


def test_reading_numbers_lexicon_and_styles_needs_no_spacy() -> None:
    """Not at import, and not in use either."""
    modules = held(
        "from notes2sheet.lexicon import load_lexicon, load_sheet\nfrom notes2sheet.numbers import find_numbers\n"
        "from notes2sheet.style_data import load_style, resolve_style\n"
        "load_lexicon(); load_sheet('beer-50'); load_style('21A'); resolve_style('american ipa')\n"
        "assert len(find_numbers('two and a half of three'.split())) == 2"
    )
    assert modules.isdisjoint({"spacy", "pydantic"})


def test_the_public_names_load_when_first_used() -> None:
    import notes2sheet

    assert all(getattr(notes2sheet, name) is not None for name in notes2sheet.__all__)
    with pytest.raises(AttributeError, match="nonsense"):
        _ = notes2sheet.nonsense
