"""README is true: its example is what the program prints, and its two commands are the ones that CI runs."""

from __future__ import annotations

from pathlib import Path

from notes2sheet.outputs.text import render
from notes2sheet.pipeline import draft_sheet

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")


def test_the_example_is_real():
    notes = (ROOT / "demo_notes" / "typed_notes.txt").read_text(encoding="utf-8")
    assert notes.rstrip() in README
    assert render(draft_sheet(notes), width=88).rstrip() in README


def test_every_command_is_named():
    from notes2sheet.cli import app

    commands = {c.name or c.callback.__name__ for c in app.registered_commands}
    commands |= {group.name for group in app.registered_groups}
    assert len(commands) >= 10 and all(f"`{name}" in README for name in commands)
