"""The commands, thin: options in, files out. Imports typer and pathlib only; the rest when a command runs."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from notes2sheet import cli_archive, cli_bulk, cli_lexicon, cli_review, cli_style, threads
from notes2sheet.cli_common import DraftOptions, errors_told, stop, takes_draft_options, tell
from notes2sheet.errors import one_line
from notes2sheet.outputs import EXTENSION, renderer

if TYPE_CHECKING:
    from notes2sheet.model import Sheet

app = typer.Typer(
    add_completion=False, no_args_is_help=True, rich_markup_mode=None, pretty_exceptions_enable=False,
    help="Turn a beer judge's notes into the draft scoresheet, every value tied to the words it came from.",
)  # fmt: skip

NotesArg = Annotated[list[str], typer.Argument(metavar="NOTES...", help="Notes files; - is standard input.")]
FormatOpt = Annotated[str, typer.Option("--format", help=f"One of: {', '.join(EXTENSION)}.")]
EntryOpt = Annotated[
    int | None, typer.Option("--entry", metavar="N", min=1, help="Of several beers in one recording, only the N-th.")
]
OutOpt = Annotated[Path | None, typer.Option("--out", metavar="FOLDER", help="Write one file for each sheet there.")]


def _drafts(notes: list[str], options: DraftOptions, entry: int | None = None):
    """(name, [(judge, Sheet)] or None) of each input; what cannot be read is said on stderr and gives None."""
    import gc

    gc.disable()  # loading libraries and lexicon makes objects that all stay: collecting then only costs time
    from notes2sheet.drafting import draft_file
    from notes2sheet.errors import Notes2SheetError
    from notes2sheet.lexicon import load_lexicon
    from notes2sheet.sound import sound_bar
    from notes2sheet.tokens import tokenizer

    try:
        tokenizer()
        load_lexicon(options.lexicon)
    except Notes2SheetError as error:
        tell(error)
        yield from ((name, None) for name in notes)
        return
    gc.freeze()
    gc.enable()
    for name in notes:
        try:
            with sound_bar(name) as heard:
                made = draft_file(
                    name, options.style, options.sheet, options.lexicon, options.model, options.house, entry, heard
                )
        except Notes2SheetError as error:
            tell(error)
            made = None
        yield name, made


@app.command()
@takes_draft_options
def draft(
    notes: NotesArg,
    format: FormatOpt = "text",
    out: OutOpt = None,
    entry: EntryOpt = None,
    *,
    options: DraftOptions,
) -> None:
    """Draft the sheet for each of the notes; of several beers or judges in one recording, one sheet each."""
    with errors_told():
        render = renderer(format)
    if format == "pdf" and out is None:
        raise stop("a PDF goes into a file (add --out FOLDER)")
    failed, first = False, True
    rows: list[Sheet] = []
    taken: set[str] = set()
    read = [Path(name) for name in notes if name != "-"]
    for name, made in _drafts(notes, options, entry):
        if made is None:
            failed = True
        elif out is not None:
            for judge, one in made:
                failed |= not _write(out, f"{_stem(name, judge, taken)}.{EXTENSION[format]}", render(one), read)
        elif format == "csv":
            rows += [one for _, one in made]
        else:
            _print(made, format, render, first)
            first = False
    if rows:
        from notes2sheet.outputs.csv import render_all

        typer.echo(render_all(rows), nl=False)
    if failed:
        raise typer.Exit(2)


def _print(made: list[tuple[str, Sheet]], format: str, render: Callable[..., Any], first: bool) -> None:
    """The sheets of one input; `first` when nothing was printed before them."""
    if format == "json" and len(made) > 1:
        typer.echo("[" + ",\n".join(render(one).rstrip() for _, one in made) + "]")
        return
    for judge, one in made:
        if format == "text" and not first:
            typer.echo()
        if judge and format in ("text", "md"):
            typer.echo(f"{one_line(judge)}:")
        typer.echo(render(one, color=sys.stdout.isatty()), nl=False)
        first = False


def _stem(name: str, judge: str, taken: set[str]) -> str:
    """The result's name without its ending; of two inputs with one name, the later gets its folder's name in front."""
    from notes2sheet.drafting import file_name
    from notes2sheet.placing import safe_name

    stem = safe_name("notes" if name == "-" else Path(name).stem) + (f".{file_name(judge)}" if judge else "")
    if stem in taken:
        stem = safe_name(f"{Path(name).resolve().parent.name}-{stem}")
    plain, number = stem, 2
    while stem in taken:
        stem, number = f"{plain}-{number}", number + 1
    taken.add(stem)
    return stem


def _write(folder: Path, name: str, made: str | bytes, read: list[Path]) -> bool:
    from notes2sheet.errors import OutputError
    from notes2sheet.placing import check_free, inside, write_whole

    try:
        folder.mkdir(parents=True, exist_ok=True)
        check_free(inside(folder, name), read)
        write_whole(folder, name, made.encode() if isinstance(made, str) else made)
    except OutputError as error:
        tell(error)
        return False
    except (OSError, ValueError) as error:
        tell(f"{folder}: cannot be written: {getattr(error, 'strerror', None) or error} (choose another --out folder)")
        return False
    return True


@app.command()
@takes_draft_options
def check(
    notes: NotesArg,
    *,
    options: DraftOptions,
) -> None:
    """Print only the flags; exit 1 while a blocker stands, 0 when none does, 2 for an error."""
    from notes2sheet.outputs.text import clean, flag_lines

    worst = 0
    for name, made in _drafts(notes, options):
        if made is None:
            worst = 2
            continue
        for judge, one in made:
            if len(notes) > 1 or judge:
                typer.echo(clean(f"{name}{f', {judge}' if judge else ''}:"))
            typer.echo("\n".join(flag_lines(one)))
            if any(flag.severity == "blocker" for flag in one.flags):
                worst = max(worst, 1)
    if worst:
        raise typer.Exit(worst)


app.command()(cli_style.style)
app.command()(cli_lexicon.lexicon)
app.command()(cli_review.review)
app.command()(cli_review.schema)
app.command()(cli_bulk.batch)
app.command()(cli_bulk.watch)
app.command()(cli_bulk.panel)
app.add_typer(cli_archive.app, name="archive")


def main() -> None:
    """Entry point: a closed pipe ends quietly."""
    os.environ.setdefault(threads.SINGLE, "1")
    try:
        app()
    except BrokenPipeError:
        sys.stderr.close()
        sys.exit(0)
