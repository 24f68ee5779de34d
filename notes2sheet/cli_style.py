"""The command `style`: a style's crib, or the styles that answer a search."""

from __future__ import annotations

from typing import Annotated

import typer

from notes2sheet.cli_common import errors_told, stop, tell

NameArg = Annotated[
    str | None, typer.Argument(metavar="CODE_OR_NAME", help="21C, or a name; all styles are listed when left out.")
]
SearchOpt = Annotated[
    str | None,
    typer.Option("--search", metavar="WORDS", help='Find styles by terms and levels: "hazy low bitterness".'),
]
FormatOpt = Annotated[str, typer.Option("--format", help="text, md or json.")]
SheetOpt = Annotated[str | None, typer.Option("--sheet", help="The scoresheet whose prompts the crib follows.")]


def style(name: NameArg = None, search: SearchOpt = None, format: FormatOpt = "text", sheet: SheetOpt = None) -> None:
    """Print what a style calls for, as a crib to read before you record."""
    if format not in ("text", "md", "json"):
        raise stop(f"unknown format {format!r} (one of: text, md, json)")
    with errors_told():
        if search is not None:
            _search(search, format)
        elif name is not None:
            from notes2sheet.crib import make_crib, render_crib
            from notes2sheet.style_data import load_style, resolve_style

            typer.echo(render_crib(make_crib(load_style(resolve_style(name)), sheet), format), nl=False)
        else:
            from notes2sheet.style_data import style_names
            from notes2sheet.style_search import Found, render_found

            every = [Found(code, entry["name"], 1.0, ()) for code, entry in style_names().items()]
            typer.echo(render_found(every, format), nl=False)


def _search(text: str, form: str) -> None:
    from notes2sheet.style_search import read_search, render_found, search

    asked = read_search(text)
    if asked.unknown:
        tell(f"not understood and left out: {', '.join(asked.unknown)}")
    found = search(asked)
    if not found:
        tell("no style answers all of that (leave a word out, or ask for another level)")
        raise typer.Exit(1)
    typer.echo(render_found(found, form), nl=False)
