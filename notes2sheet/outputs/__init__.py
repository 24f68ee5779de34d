"""The forms in which a sheet is handed on, one file a format: `render(sheet) -> str`, of a PDF bytes."""

from __future__ import annotations

from collections.abc import Callable

from notes2sheet.errors import Notes2SheetError, UnknownName

EXTENSION = {"text": "txt", "json": "json", "md": "md", "html": "html", "csv": "csv", "pdf": "pdf"}


def renderer(form: str) -> Callable[..., str | bytes]:
    """`render` of a format. Raises UnknownName, or Notes2SheetError where the packages that it needs are missing."""
    from importlib import import_module

    if form not in EXTENSION:
        raise UnknownName(f"unknown format {form!r}", "--format", f"one of: {', '.join(EXTENSION)}")
    try:
        module = import_module(f"notes2sheet.outputs.{form}")
    except ImportError as error:
        hint = f"pip install 'notes2sheet[{form}]'"
        raise Notes2SheetError(f"{form} needs the package {error.name}", "--format", hint) from None
    if form == "pdf":
        module.faces()  # what is missing is said before the first sheet
    made: Callable[..., str | bytes] = module.render
    return made
