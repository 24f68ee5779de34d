"""The commands that put a draft right and publish its form: `review` and `schema`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from notes2sheet.cli_common import HouseOpt, LexiconOpt, SheetOpt, StyleOpt, errors_told, stop


def review(
    source: Annotated[Path, typer.Argument(metavar="NOTES_OR_DRAFT", help="A notes file, or a draft's JSON.")],
    judge: Annotated[
        str | None,
        typer.Option("--judge", metavar="NAME", help="Who corrects (you); of several judges' notes, whose sheet."),
    ] = None,
    entry: Annotated[
        int | None, typer.Option("--entry", metavar="N", min=1, help="Of several beers' notes, which beer's sheet.")
    ] = None,
    style: StyleOpt = None,
    sheet: SheetOpt = None,
    lexicon: LexiconOpt = None,
    house: HouseOpt = None,
    browser: Annotated[bool, typer.Option("--browser/--no-browser", help="Open the link in the browser.")] = True,
) -> None:
    """Correct a draft on a local page; what you enter is kept beside it, the draft stays as it is."""
    try:
        from notes2sheet.review.desk import open_desk
        from notes2sheet.review.server import serve
    except ImportError as error:
        raise stop(f"review needs the package {error.name} (pip install 'notes2sheet[review]')") from None
    with errors_told():
        desk = open_desk(source, judge, style, sheet, lexicon, house, entry)
        _ = desk.corrected  # what cannot be reviewed is told before the page opens
        serve(desk, lambda link: _opened(link, browser))


def _opened(link: str, browser: bool) -> None:
    typer.echo(f"Open once, on this machine: {link}\nStop with Ctrl-C; nothing that you entered is lost.")
    if browser:
        import webbrowser

        webbrowser.open(link)


def schema() -> None:
    """Print the JSON Schema of a draft."""
    import json

    from notes2sheet.model import Sheet

    made = {"$schema": "https://json-schema.org/draft/2020-12/schema", **Sheet.model_json_schema(mode="serialization")}
    typer.echo(json.dumps(made, indent=1, ensure_ascii=False))
