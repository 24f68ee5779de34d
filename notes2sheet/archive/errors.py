"""What can go wrong with an archive file, each told with what to do; none of them leaves the file changed."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from notes2sheet.errors import Notes2SheetError


class ArchiveError(Notes2SheetError):
    """The archive cannot be opened, read or written."""


DAMAGED = "put back the newest backup beside it (*.bak), or save what is left with `sqlite3 FILE .recover`"
_MEANINGS = (
    ("disk is full", "the disk is full; nothing was added", "free some space and run it again"),
    ("disk i/o error", "the disk cannot be written or read; nothing was added", "check that it is not full or failing"),
    ("locked", "another program is writing to it", "wait for that to end and run it again"),
    ("busy", "another program is writing to it", "wait for that to end and run it again"),
    ("readonly", "may not be written", "check the rights of the file and its folder, or choose another --archive"),
    ("unable to open", "cannot be opened", "check the folder's name and rights, or choose another --archive"),
    ("malformed", "is damaged", DAMAGED),
    ("not a database", "is no archive", "choose another --archive"),
    ("corrupt", "is damaged", DAMAGED),
    ("no such table", "is damaged: a table is missing", DAMAGED),
    ("no such column", "is damaged: a column is missing", DAMAGED),
)


@contextmanager
def explained(path: Path) -> Iterator[None]:
    """Turn SQLite's and the system's errors about the archive at `path` into ArchiveError."""
    try:
        yield
    except sqlite3.Error as error:
        said = str(error).lower()
        for words, what, hint in _MEANINGS:
            if words in said:
                raise ArchiveError(what, str(path), hint) from error
        raise ArchiveError(f"SQLite says: {error}", str(path), DAMAGED) from error
    except OSError as error:
        raise ArchiveError(
            f"cannot be written: {error.strerror}", str(error.filename or path), "check space and rights there"
        ) from error
