"""The public names: typed, documented with examples that run, all on the API page."""

from __future__ import annotations

import doctest
import importlib
import inspect
import json
import subprocess
import sys
from pathlib import Path

import pytest
from frames import HERE

import notes2sheet
from notes2sheet.archive.record import make_record
from notes2sheet.panel import read_sheet

ROOT = HERE.parent
OBJECTS = [name for name in notes2sheet.__all__ if name != "Span"]  # an alias has no docstring of its own


def run(*args: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, "-m", *args], cwd=ROOT, capture_output=True, text=True, timeout=600)


def test_types_hold_and_are_shipped() -> None:
    """mypy, strict, over the files that pyproject.toml lists; py.typed tells other checkers (PEP 561)."""
    pytest.importorskip("mypy")
    checked = run("mypy")
    assert checked.returncode == 0, checked.stdout + checked.stderr
    assert (ROOT / "notes2sheet" / "py.typed").exists()


@pytest.mark.parametrize("module", ["", ".components", ".errors", ".lexicon", ".model", ".pipeline"])
def test_examples_run(module: str) -> None:
    failed, tried = doctest.testmod(importlib.import_module(f"notes2sheet{module}"))
    assert tried > 0 and failed == 0


@pytest.mark.parametrize("name", OBJECTS)
def test_every_public_name_is_documented(name: str) -> None:
    assert inspect.getdoc(getattr(notes2sheet, name)), name


def test_the_api_page_has_every_public_name(tmp_path: Path) -> None:
    pytest.importorskip("pdoc")
    made = run("pdoc", "-o", str(tmp_path), "notes2sheet", "!notes2sheet[.].*", "notes2sheet.components")
    assert made.returncode == 0, made.stderr
    page = (tmp_path / "notes2sheet.html").read_text(encoding="utf-8")
    missing = [name for name in notes2sheet.__all__ if f'id="{name}"' not in page]
    assert not missing and (tmp_path / "notes2sheet" / "components.html").exists()


def test_a_sheet_of_a_newer_version_is_refused_in_one_line(tmp_path: Path) -> None:
    """The promise in CHANGELOG.md, for each place that takes stored sheets in."""
    newer = json.loads(notes2sheet.draft_sheet("Aroma: pine. 9/12").model_dump_json()) | {"from_the_future": 1}
    (tmp_path / "newer.json").write_text(json.dumps(newer), encoding="utf-8")
    for load in (
        lambda: read_sheet(str(tmp_path / "newer.json")),
        lambda: make_record(newer, "newer.json"),
    ):
        with pytest.raises(notes2sheet.NotesError, match="from_the_future") as refused:
            load()
        assert "\n" not in str(refused.value) and "newer.json" in str(refused.value)


def test_the_changes_tell_of_this_version() -> None:
    changes = (ROOT / "notes2sheet" / "CHANGELOG.md").read_text(encoding="utf-8")
    assert f"\n## {notes2sheet.__version__}\n" in changes
