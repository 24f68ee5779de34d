"""Errors that stop the work on one input: one line that says what is wrong, where, and what to do."""

from __future__ import annotations

import unicodedata

STEERING = ("Cc", "Cf", "Cs", "Zl", "Zp")  # kinds of characters that steer a terminal or that it cannot show


def one_line(text: object) -> str:
    """A message as one line that shows names and quotes from outside, and obeys nothing in them."""
    return "".join(" " if unicodedata.category(c) in STEERING else c for c in str(text))


class Notes2SheetError(Exception):
    """The program cannot go on with this input.

    `where` names the file, key or option; `hint` says what to do about it.

    >>> str(Notes2SheetError("no such file", "tasting.txt", "check the name"))
    'tasting.txt: no such file (check the name)'
    """

    def __init__(self, what: str, where: str = "", hint: str = "") -> None:
        self.what, self.where, self.hint = what, where, hint
        place = f"{where}: " if where else ""
        super().__init__(one_line(f"{place}{what}" + (f" ({hint})" if hint else "")))


class NotesError(Notes2SheetError):
    """The notes cannot be read."""


class LexiconError(Notes2SheetError):
    """A lexicon file is broken or contradicts another."""


class UnknownName(Notes2SheetError):
    """A style, sheet or option value that does not exist."""


class InstallError(Notes2SheetError):
    """A file that belongs to the program is missing or broken."""


class OutputError(Notes2SheetError):
    """A sheet would take the place of notes, or of a file that this program did not write."""


class HouseError(Notes2SheetError):
    """The house rules are broken, or name what does not exist."""
