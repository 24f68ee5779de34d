"""notes2sheet: a beer judge's notes, spoken or typed, turned into the draft scoresheet.

All names in `__all__` are public and are loaded when first used; `notes2sheet.components` holds the stages for spaCy.
Spans are [start, end) in code points of the notes, points and percent are floats, times seconds.

>>> import notes2sheet
>>> sheet = notes2sheet.draft_sheet("21A American IPA\\nAroma: grapefruit and pine. 10/12")
>>> sheet.style.code, sheet.categories["aroma"].score, sheet.total.sum
('21A', 10.0, None)
>>> [sheet.quote(span) for span in sheet.categories["aroma"].spans]
['10/12']
>>> [flag.category for flag in sheet.flags if flag.code == "no-score"]
['appearance', 'flavor', 'mouthfeel', 'overall']
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from notes2sheet.drafting import draft_file
    from notes2sheet.errors import LexiconError, Notes2SheetError, NotesError, UnknownName
    from notes2sheet.lexicon import Lexicon, SheetDefinition, Term, load_lexicon, load_sheet
    from notes2sheet.model import (
        CategoryOut,
        DescriptorOut,
        Entry,
        Flag,
        Lost,
        SentenceOut,
        Sheet,
        Span,
        StyleRef,
        Total,
    )
    from notes2sheet.pipeline import draft_sheet
    from notes2sheet.readers import Notes, read_all

__version__ = "0.1.0"
__all__ = [
    "CategoryOut", "DescriptorOut", "Entry", "Flag", "Lexicon", "LexiconError", "Lost", "Notes", "Notes2SheetError",
    "NotesError", "SentenceOut", "Sheet", "SheetDefinition", "Span", "StyleRef", "Term", "Total", "UnknownName",
    "draft_file", "draft_sheet", "load_lexicon", "load_sheet", "read_all",
]  # fmt: skip

_HOME = {
    "CategoryOut": "model", "DescriptorOut": "model", "Entry": "model", "Flag": "model", "Lexicon": "lexicon",
    "LexiconError": "errors", "Lost": "model", "Notes": "readers", "Notes2SheetError": "errors", "NotesError":
    "errors", "SentenceOut": "model", "Sheet": "model", "SheetDefinition": "lexicon", "Span": "model", "StyleRef":
    "model", "Term": "lexicon", "Total": "model", "UnknownName": "errors", "draft_file": "drafting", "draft_sheet":
    "pipeline", "load_lexicon": "lexicon", "load_sheet": "lexicon", "read_all": "readers",
}  # fmt: skip


def __getattr__(name: str) -> Any:
    if name in _HOME:
        return getattr(import_module(f"notes2sheet.{_HOME[name]}"), name)
    raise AttributeError(f"module 'notes2sheet' has no attribute {name!r}")
