"""What the package never does, read from its own source, and what bandit says of it."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
FILES = sorted((ROOT / "notes2sheet").rglob("*.py"))
MODULES = {"pickle", "cPickle", "dill", "marshal", "shelve", "yaml", "subprocess", "ctypes", "joblib"}
CALLS = {"eval", "exec", "compile", "__import__"}
METHODS = {("os", "system"), ("os", "popen"), ("yaml", "load"), ("tempfile", "mktemp")}


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(ROOT)))
def test_nothing_runs_what_it_reads(path: Path) -> None:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            assert MODULES.isdisjoint(alias.name.partition(".")[0] for alias in node.names), node.lineno
        elif isinstance(node, ast.ImportFrom):
            assert (node.module or "").partition(".")[0] not in MODULES, node.lineno
        elif isinstance(node, ast.Call):
            called = node.func
            assert not (isinstance(called, ast.Name) and called.id in CALLS), node.lineno
            if isinstance(called, ast.Attribute) and isinstance(called.value, ast.Name):
                assert (called.value.id, called.attr) not in METHODS, node.lineno
            assert not any(word.arg == "shell" for word in node.keywords), node.lineno


def test_bandit_finds_nothing() -> None:
    pytest.importorskip("bandit")
    made = subprocess.run(
        [sys.executable, "-m", "bandit", "-q", "-c", "pyproject.toml", "-r", "notes2sheet"],
        cwd=ROOT, capture_output=True, text=True, timeout=120,
    )  # fmt: skip
    assert made.returncode == 0, made.stdout
