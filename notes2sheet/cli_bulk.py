"""The commands for many notes and many judges: `panel`, `batch`, `watch`. Thin; they load what they need when run."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from notes2sheet.cli_common import DraftOptions, errors_told, stop, takes_draft_options, tell
from notes2sheet.outputs import EXTENSION

FolderArg = Annotated[Path, typer.Argument(metavar="FOLDER", help="The folder with the notes.")]
FormatOpt = Annotated[str, typer.Option("--format", help=f"One of: {', '.join(EXTENSION)}.")]
PanelFormatOpt = Annotated[str, typer.Option("--format", help="text, json or md.")]


def _settings(folder: Path, format: str, options: DraftOptions):
    """The settings of a run, every one of them checked before the first file."""
    from notes2sheet.batch import Settings
    from notes2sheet.house import NONE, find_house
    from notes2sheet.lexicon import load_lexicon, load_sheet
    from notes2sheet.outputs import renderer
    from notes2sheet.style_data import resolve_style

    renderer(format)
    load_sheet(options.sheet)
    load_lexicon(options.lexicon)
    if options.style:
        resolve_style(options.style)
    find_house(folder, options.house)
    house = options.house if options.house in (None, NONE) else str(Path(options.house).resolve())
    absolute = [str(Path(path).resolve()) if path else None for path in (options.lexicon, options.model)]
    return Settings(format, options.style, options.sheet, *absolute, house)


def _engine(name: str, scheduler: str | None, workers: int):
    from notes2sheet.errors import UnknownName

    if name == "dask":
        from notes2sheet.dask_engine import dask_engine

        if not scheduler:
            raise UnknownName("the engine dask needs a scheduler", "--scheduler", "give its address, tcp://HOST:8786")
        return dask_engine(scheduler)
    if name != "local":
        raise UnknownName(f"unknown engine {name!r}", "--engine", "one of: local, dask")
    from notes2sheet.batch import local_engine

    return local_engine(workers)


@takes_draft_options
def batch(
    folder: FolderArg,
    out: Annotated[Path, typer.Option("--out", metavar="FOLDER", help="Where the sheets go.")],
    workers: Annotated[int, typer.Option("--workers", min=0, help="Processes; 0 is one a core.")] = 0,
    engine: Annotated[str, typer.Option("--engine", help="local, or dask for a cluster.")] = "local",
    scheduler: Annotated[
        str | None, typer.Option("--scheduler", metavar="ADDRESS", help="The cluster's scheduler.")
    ] = None,
    format: FormatOpt = "json",
    *,
    options: DraftOptions,
) -> None:
    """Draft the sheets of all notes in a folder; run again, it goes on where it stopped."""
    import os

    from notes2sheet.batch import run

    if not folder.is_dir():
        raise stop(f"{folder}: no such folder (give the folder that holds the notes)")
    try:
        with errors_told():
            drafts = _engine(engine, scheduler, workers or os.cpu_count() or 1)  # first, since workers load meanwhile
            settings = _settings(folder, format, options)
            with _Report() as report:
                failed = run(folder, out, settings, drafts, report.seen)
    except OSError as error:
        raise stop(f"{error.filename or out}: {error.strerror} (check --out and its rights)") from None
    except KeyboardInterrupt:
        typer.echo("notes2sheet: interrupted; the same command goes on where it stopped", err=True)
        raise typer.Exit(130) from None
    report.summary(failed)
    if failed:
        raise typer.Exit(2)


class _Report:
    """The progress bar on stderr, and the summary at the end."""

    def __init__(self) -> None:
        from rich.console import Console
        from rich.progress import (
            BarColumn,
            MofNCompleteColumn,
            Progress,
            TextColumn,
            TimeElapsedColumn,
            TimeRemainingColumn,
        )

        columns = (
            TextColumn("Drafting"),
            BarColumn(),
            MofNCompleteColumn(),
            TimeElapsedColumn(),
            TimeRemainingColumn(),
        )
        console = Console(stderr=True)
        self.bar = Progress(*columns, console=console, disable=not console.is_terminal)
        self.line = self.bar.add_task("", total=None)
        self.drafted = self.before = self.blocked = 0
        self.totals: list[float] = []

    def __enter__(self) -> _Report:
        self.bar.start()
        return self

    def __exit__(self, *_) -> None:
        self.bar.stop()

    def seen(self, done, of: int) -> None:
        if done is None:
            self.before += 1
        elif not done.error:
            self.drafted += 1
            self.blocked += bool(done.blockers)
            self.totals += [] if done.total is None else [done.total]
        self.bar.update(self.line, total=of, advance=1)

    def summary(self, failed: list) -> None:
        """The errors, then a table of counts, on stdout."""
        from rich.console import Console
        from rich.table import Table

        for done in failed:
            tell(done.error)
        table = Table("", "Files", title="Batch", title_justify="left")
        table.add_row("drafted now", str(self.drafted))
        table.add_row("drafted before", str(self.before))
        table.add_row("with a blocker (of those now)", str(self.blocked))
        table.add_row("with a total (of those now)", str(len(self.totals)))
        table.add_row("failed", str(len(failed)))
        Console(file=sys.stdout).print(table)
        if self.totals:
            mean = sum(self.totals) / len(self.totals)
            typer.echo(f"Totals from {min(self.totals):g} to {max(self.totals):g}, mean {mean:.1f}.")


@takes_draft_options
def watch(
    folder: FolderArg,
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FOLDER", help="Where the sheets go; FOLDER/sheets.")
    ] = None,
    format: FormatOpt = "json",
    *,
    options: DraftOptions,
) -> None:
    """Draft each new or changed note of a folder until you press Ctrl-C."""
    from notes2sheet.errors import one_line
    from notes2sheet.watch import watch_folder

    if not folder.is_dir():
        raise stop(f"{folder}: no such folder (give the folder that the recorder writes to)")

    def seen(done) -> None:
        if done.error:
            tell(done.error)
        else:
            typer.echo(one_line(f"{done.source}: {', '.join(name for name, _ in done.results)}"))

    try:
        with errors_told():
            watch_folder(folder, out or folder / "sheets", _settings(folder, format, options), seen)
    except OSError as error:
        raise stop(f"{error.filename or folder}: {error.strerror} (check the folders' rights)") from None
    except KeyboardInterrupt:
        return


def panel(
    sheets: Annotated[list[str], typer.Argument(metavar="SHEETS...", help="JSON sheets of one beer, one a judge.")],
    format: PanelFormatOpt = "text",
) -> None:
    """Put the sheets of a panel side by side. Exit 1 when totals are too far apart."""
    from notes2sheet.panel import judge_names, make_panel, read_sheet, render_json, render_md, render_text

    renders = {"text": render_text, "json": render_json, "md": render_md}
    if format not in renders:
        raise stop(f"unknown format {format!r} (one of: {', '.join(renders)})")
    with errors_told():
        made = make_panel(dict(zip(judge_names(sheets), map(read_sheet, sheets), strict=True)))
    typer.echo(renders[format](made), nl=False)
    if made.apart:
        raise typer.Exit(1)
