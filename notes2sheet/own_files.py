"""Files that belong to the program, without which it cannot work: what is wrong with one is one line, too."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from zipfile import BadZipFile
from zlib import error as BadData

from notes2sheet.errors import InstallError

BROKEN = (OSError, ValueError, LookupError, EOFError, BadZipFile, BadData)  # what reading a broken file can end in


@contextmanager
def own_file(path: Path) -> Iterator[None]:
    """What goes wrong while the file is read inside is an InstallError that names it."""
    try:
        yield
    except BROKEN as error:
        what = "is missing" if isinstance(error, FileNotFoundError) else "cannot be read"
        hint = "install notes2sheet again: pip install --force-reinstall notes2sheet"
        raise InstallError(f"this file of notes2sheet {what}", str(path), hint) from None
