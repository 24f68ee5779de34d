"""What the commands share: the options of a draft, and errors as one line on stderr."""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, fields
from functools import wraps
from pathlib import Path
from typing import Annotated, get_type_hints

import typer

from notes2sheet.errors import Notes2SheetError, one_line

StyleOpt = Annotated[
    str | None,
    typer.Option("--style", metavar="CODE", help="The style judged to, when the notes don't say it: 21C, or a name."),
]
SheetOpt = Annotated[
    str | None, typer.Option("--sheet", help="The scoresheet to fill; else the one the style or the notes call for.")
]
LexiconOpt = Annotated[Path | None, typer.Option("--lexicon", help="A folder with your own additions to the lexicon.")]
ModelOpt = Annotated[str | None, typer.Option("--model", metavar="FOLDER", help="The speech model for sound files.")]
HouseOpt = Annotated[
    str | None,
    typer.Option("--house", metavar="FILE", help="House rules; else notes2sheet.toml beside the notes. none: without."),
]


def tell(error: object) -> None:
    """One line on stderr."""
    typer.echo(f"notes2sheet: {one_line(error)}", err=True)


def stop(error: object) -> typer.Exit:
    """The exit of a command that cannot go on, the reason told; to be raised."""
    tell(error)
    return typer.Exit(2)


@contextmanager
def errors_told() -> Iterator[None]:
    """What is wrong with the input ends the command: one line, exit 2."""
    try:
        yield
    except Notes2SheetError as error:
        raise stop(error) from None


@dataclass(frozen=True)
class DraftOptions:
    """What a draft is made with, beside the notes."""

    style: StyleOpt = None
    sheet: SheetOpt = None
    lexicon: LexiconOpt = None
    model: ModelOpt = None
    house: HouseOpt = None


def takes_draft_options(command: Callable[..., None]) -> Callable[..., None]:
    """The command with the options of a draft in the place of its parameter `options`, a DraftOptions."""
    signature = inspect.signature(command, eval_str=True)
    hints = get_type_hints(DraftOptions, include_extras=True)
    own = [p for p in signature.parameters.values() if p.name != "options"]
    options = [
        inspect.Parameter(f.name, inspect.Parameter.KEYWORD_ONLY, default=f.default, annotation=hints[f.name])
        for f in fields(DraftOptions)
    ]

    @wraps(command)
    def run(**given: object) -> None:
        made = DraftOptions(**{p.name: given.pop(p.name) for p in options})
        command(**given, options=made)

    run.__signature__ = signature.replace(parameters=[*own, *options])
    return run
