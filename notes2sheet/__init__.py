"""notes2sheet: a beer judge's notes, spoken or typed, turned into the draft scoresheet.

The public names are loaded when first used: `draft_sheet`, `load_lexicon`, `load_sheet`, `Sheet`, `Notes2SheetError`.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from notes2sheet.errors import Notes2SheetError
    from notes2sheet.lexicon import load_lexicon, load_sheet
    from notes2sheet.model import Sheet
    from notes2sheet.pipeline import draft_sheet

__version__ = "0.1.0"
__all__ = ["Notes2SheetError", "Sheet", "draft_sheet", "load_lexicon", "load_sheet"]

_HOME = {
    "Notes2SheetError": "errors",
    "Sheet": "model",
    "draft_sheet": "pipeline",
    "load_lexicon": "lexicon",
    "load_sheet": "lexicon",
}


def __getattr__(name: str) -> Any:
    if name in _HOME:
        return getattr(import_module(f"notes2sheet.{_HOME[name]}"), name)
    raise AttributeError(f"module 'notes2sheet' has no attribute {name!r}")
