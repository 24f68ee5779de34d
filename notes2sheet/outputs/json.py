"""The contract's JSON."""

from __future__ import annotations

from notes2sheet.model import Sheet


def render(sheet: Sheet, **_) -> str:
    return sheet.model_dump_json(indent=1) + "\n"
