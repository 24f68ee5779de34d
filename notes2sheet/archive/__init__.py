"""The archive: every sheet in one SQLite file, found again by words, tags, style, maker, score, date, judge and flag.

`Archive` stores, reads, exports and imports; `connect` opens a file read-only for anyone's own SQL or pandas.
Loaded when first used, like the names of the package above.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from notes2sheet.archive.errors import ArchiveError
    from notes2sheet.archive.query import Query, find
    from notes2sheet.archive.store import Archive, connect

__all__ = ["Archive", "ArchiveError", "Query", "connect", "find"]

_HOME = {"Archive": "store", "ArchiveError": "errors", "Query": "query", "connect": "store", "find": "query"}


def __getattr__(name: str) -> Any:
    if name in _HOME:
        return getattr(import_module(f"notes2sheet.archive.{_HOME[name]}"), name)
    raise AttributeError(f"module 'notes2sheet.archive' has no attribute {name!r}")
