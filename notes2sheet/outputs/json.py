"""The contract's JSON."""

from __future__ import annotations

from typing import Any

from notes2sheet.model import Sheet


def render(sheet: Sheet, **_: Any) -> str:
    return sheet.model_dump_json(indent=1) + "\n"
