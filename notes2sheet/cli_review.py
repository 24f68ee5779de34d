"""The commands that put a draft right and publish its form: `review` and `schema`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer


def review(
    source: Annotated[Path, typer.Argument(metavar="NOTES_OR_DRAFT", help="A notes file, or a draft's JSON.")],
    judge: Annotated[str | None, typer.Option("--judge", help="Who corrects; your user name when left out.")] = None,
    style: Annotated[
        str | None, typer.Option("--style", metavar="CODE", help="The style judged to, when notes don't say it.")
    ] = None,
    sheet: Annotated[str, typer.Option("--sheet", help="The scoresheet to fill.")] = "beer-50",
    lexicon: Annotated[
        Path | None, typer.Option("--lexicon", help="A folder with your own additions to the lexicon.")
    ] = None,
    browser: Annotated[bool, typer.Option("--browser/--no-browser", help="Open the link in the browser.")] = True,
) -> None:
    """Correct a draft on a local page; what you enter is kept beside it, the draft stays as it is."""
    from notes2sheet.errors import Notes2SheetError

    try:
        from notes2sheet.review.desk import Desk, load
        from notes2sheet.review.server import serve
    except ImportError as error:
        typer.echo(f"notes2sheet: review needs the package {error.name} (pip install 'notes2sheet[review]')", err=True)
        raise typer.Exit(2) from None
    try:
        desk = Desk(source, load(source, style, sheet, lexicon), judge or _user())
        _ = desk.corrected  # what cannot be reviewed is told before the page opens
        serve(desk, lambda link: _opened(link, browser))
    except Notes2SheetError as error:
        typer.echo(f"notes2sheet: {error}", err=True)
        raise typer.Exit(2) from None


def _user() -> str:
    import getpass

    try:
        return getpass.getuser()
    except (OSError, KeyError):
        return "judge"


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
