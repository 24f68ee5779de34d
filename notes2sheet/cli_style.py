"""The command `style`: a style's crib, or the styles that answer a search."""

from __future__ import annotations

from typing import Annotated

import typer

NameArg = Annotated[
    str | None, typer.Argument(metavar="CODE_OR_NAME", help="21C, or a name; all styles are listed when left out.")
]
SearchOpt = Annotated[
    str | None,
    typer.Option("--search", metavar="WORDS", help='Find styles by terms and levels: "hazy low bitterness".'),
]
FormatOpt = Annotated[str, typer.Option("--format", help="text, md or json.")]
SheetOpt = Annotated[str, typer.Option("--sheet", help="The scoresheet whose prompts the crib follows.")]


def style(
    name: NameArg = None, search: SearchOpt = None, format: FormatOpt = "text", sheet: SheetOpt = "beer-50"
) -> None:
    """Print what a style calls for, as a crib to read before you record."""
    from notes2sheet.errors import Notes2SheetError

    if format not in ("text", "md", "json"):
        typer.echo(f"notes2sheet: unknown format {format!r} (one of: text, md, json)", err=True)
        raise typer.Exit(2)
    try:
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
    except Notes2SheetError as error:
        typer.echo(f"notes2sheet: {error}", err=True)
        raise typer.Exit(2) from None


def _search(text: str, form: str) -> None:
    from notes2sheet.errors import one_line
    from notes2sheet.style_search import read_search, render_found, search

    asked = read_search(text)
    if asked.unknown:
        typer.echo(one_line(f"notes2sheet: not understood and left out: {', '.join(asked.unknown)}"), err=True)
    found = search(asked)
    if not found:
        typer.echo("notes2sheet: no style answers all of that (leave a word out, or ask for another level)", err=True)
        raise typer.Exit(1)
    typer.echo(render_found(found, form), nl=False)
