"""The commands, thin: options in, files out. Imports typer and pathlib only; the rest when a command runs."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

app = typer.Typer(
    add_completion=False, no_args_is_help=True, rich_markup_mode=None, pretty_exceptions_enable=False,
    help="Turn a beer judge's notes into the draft scoresheet, every value tied to the words it came from.",
)  # fmt: skip
EXTENSION = {"text": "txt", "json": "json", "md": "md"}

NotesArg = Annotated[list[str], typer.Argument(metavar="NOTES...", help="Notes files; - is standard input.")]
StyleOpt = Annotated[
    str | None,
    typer.Option("--style", metavar="CODE", help="The style judged to, when the notes don't say it: 21C, or a name."),
]
SheetOpt = Annotated[str, typer.Option("--sheet", help="The scoresheet to fill.")]
LexiconOpt = Annotated[Path | None, typer.Option("--lexicon", help="A folder with your own additions to the lexicon.")]


def _fail(error: Exception) -> None:
    typer.echo(f"notes2sheet: {error}", err=True)


def _drafts(notes: list[str], style: str | None, sheet: str, lexicon: Path | None):
    """(name, Sheet or None) of each input; what cannot be read is said on stderr and gives None."""
    from notes2sheet.errors import Notes2SheetError
    from notes2sheet.pipeline import draft_sheet
    from notes2sheet.readers import read_file

    for name in notes:
        try:
            read = read_file(name)
            yield name, draft_sheet(read.text, style, sheet, lexicon, read.line_times)
        except Notes2SheetError as error:
            _fail(error)
            yield name, None


@app.command()
def draft(
    notes: NotesArg,
    format: Annotated[str, typer.Option("--format", help="text, json or md.")] = "text",
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FOLDER", help="Write one file for each input there.")
    ] = None,
    style: StyleOpt = None,
    sheet: SheetOpt = "beer-50",
    lexicon: LexiconOpt = None,
) -> None:
    """Draft the sheet for each of the notes."""
    from importlib import import_module

    if format not in EXTENSION:
        _fail(ValueError(f"unknown format {format!r} (one of: {', '.join(EXTENSION)})"))
        raise typer.Exit(2)
    render = import_module(f"notes2sheet.outputs.{format}").render
    failed, first = False, True
    for name, made in _drafts(notes, style, sheet, lexicon):
        if made is None:
            failed = True
        elif out is not None:
            failed |= not _write(out, name, EXTENSION[format], render(made))
        else:
            if not first and format != "json":
                typer.echo()
            typer.echo(render(made, color=sys.stdout.isatty()), nl=False)
            first = False
    if failed:
        raise typer.Exit(2)


def _write(folder: Path, name: str, extension: str, text: str) -> bool:
    stem = "notes" if name == "-" else Path(name).stem
    try:
        folder.mkdir(parents=True, exist_ok=True)
        (folder / f"{stem}.{extension}").write_text(text, encoding="utf-8")
    except OSError as error:
        _fail(ValueError(f"{folder}: cannot be written: {error.strerror} (choose another --out folder)"))
        return False
    return True


@app.command()
def check(notes: NotesArg, style: StyleOpt = None, sheet: SheetOpt = "beer-50", lexicon: LexiconOpt = None) -> None:
    """Print only the flags; exit 1 while a blocker stands, 0 when none does, 2 for an error."""
    from notes2sheet.outputs.text import clean, flag_lines

    worst = 0
    for name, made in _drafts(notes, style, sheet, lexicon):
        if made is None:
            worst = 2
            continue
        if len(notes) > 1:
            typer.echo(f"{clean(name)}:")
        typer.echo("\n".join(flag_lines(made)))
        if any(flag.severity == "blocker" for flag in made.flags):
            worst = max(worst, 1)
    if worst:
        raise typer.Exit(worst)


def main() -> None:
    """Entry point: a closed pipe ends quietly."""
    try:
        app()
    except BrokenPipeError:
        sys.stderr.close()
        sys.exit(0)
