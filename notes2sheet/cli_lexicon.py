"""The command that explains the lexicon and checks additions to it: `lexicon`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from notes2sheet.cli_common import LexiconOpt, errors_told
from notes2sheet.errors import UnknownName

TermArg = Annotated[list[str] | None, typer.Argument(metavar="TERM", help="A term, or words that people say for one.")]
CheckOpt = Annotated[Path | None, typer.Option("--check", metavar="FOLDER", help="Check your own additions.")]


def lexicon(term: TermArg = None, check: CheckOpt = None, folder: LexiconOpt = None) -> None:
    """Explain a term, or check a folder of additions: exit 2 and one line a problem, 0 when it is sound."""
    with errors_told():
        if bool(term) == (check is not None):
            raise UnknownName("nothing to do", "lexicon", "give either a TERM or --check FOLDER")
        if check is not None:
            _check(check)
        else:
            _explain(" ".join(term or ()), folder)


def _explain(said: str, folder: Path | None) -> None:
    from notes2sheet.explain import explain
    from notes2sheet.lexicon import load_lexicon
    from notes2sheet.outputs.text import clean

    typer.echo(clean(explain(said, load_lexicon(folder))), nl=False)


def _check(folder: Path) -> None:
    from notes2sheet.lexicon_check import check_lexicon
    from notes2sheet.outputs.text import clean

    problems = check_lexicon(folder)
    for file, key, hint in problems:
        typer.echo(clean(": ".join(filter(None, (file, key, hint)))), err=True)
    if problems:
        raise typer.Exit(2)
    typer.echo(f"{clean(str(folder))}: no problem found")
