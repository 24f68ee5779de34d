"""The forms in which a sheet is handed on, one file a format: `render(sheet) -> str`, of a PDF bytes."""

from __future__ import annotations

from collections.abc import Callable
from json import loads  # `json` is a form here

from notes2sheet.errors import Notes2SheetError, UnknownName
from notes2sheet.outputs.cautions import CAUTIONS

CREATOR = "notes2sheet"  # what a PDF says of its maker
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


def is_output(content: bytes) -> bool:
    """Whether a file's content is a sheet or a table of sheets in one of these forms, or nothing at all: writing over
    it loses no work. A sheet that its judge finished is work."""
    if content.startswith(b"%PDF-"):
        return f"/Creator ({CREATOR})".encode() in content
    text = content.decode("utf-8", "replace").strip()
    if text.startswith("{"):
        try:
            return bool({"sheet", "text", "categories"} <= loads(text).keys())
        except (ValueError, RecursionError):
            return False
    return not text or CAUTIONS[0] in " ".join(text.split())
