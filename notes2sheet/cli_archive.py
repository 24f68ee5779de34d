"""The archive's commands: add, find, tags, like, report, export, import. Thin; they load what they need when run."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated, Any

import typer

from notes2sheet.cli_common import HouseOpt, LexiconOpt, errors_told, stop, tell
from notes2sheet.cli_common import StyleOpt as CodeOpt
from notes2sheet.errors import Notes2SheetError, NotesError, UnknownName

app = typer.Typer(
    no_args_is_help=True, rich_markup_mode=None, pretty_exceptions_enable=False,
    help="Everything tasted, kept in one file and found again.",
)  # fmt: skip

ArchiveOpt = Annotated[
    Path | None, typer.Option("--archive", metavar="FILE", help="The archive file; by default in your data folder.")
]
StyleOpt = Annotated[
    str | None, typer.Option("--style", metavar="STYLE", help="A code (21C), a name, a group (21) or a family (IPA).")
]
FORMATS = ("text", "json", "csv")
FormatOpt = Annotated[str, typer.Option("--format", help="text, json or csv.")]
LimitOpt = Annotated[int, typer.Option("--limit", min=0, help="How many to show; 0: all.")]
StatusOpt = Annotated[str | None, typer.Option("--status", help="Only draft or finished sheets.")]
JudgeOpt = Annotated[str | None, typer.Option("--judge", metavar="NAME", help="Who judged.")]
# of add
AddedArg = Annotated[
    list[str],
    typer.Argument(metavar="SHEETS_OR_NOTES...", help="Sheets as JSON, or notes, drafted here; - is standard input."),
]
DayOpt = Annotated[str | None, typer.Option("--date", metavar="YYYY-MM-DD", help="The day of the tasting.")]
AsStatusOpt = Annotated[str | None, typer.Option("--status", help="draft or finished, where the file doesn't say it.")]
ReplacesOpt = Annotated[
    int | None,
    typer.Option("--replaces", metavar="NUMBER", help="The sheet that this one corrects, when its notes changed."),
]
# of find
WORDS = 'All of these in notes or comments; "in quotes" as a phrase, grape* as a beginning.'
WordsArg = Annotated[list[str] | None, typer.Argument(metavar="[WORDS...]", help=WORDS)]
TAG = "Has this, or anything narrower; also TERM:PART:LEVEL. May be repeated."
TagOpt = Annotated[list[str] | None, typer.Option("--tag", metavar="TERM", help=TAG)]
WithoutOpt = Annotated[list[str] | None, typer.Option("--without", metavar="TERM", help="Does not have this.")]
AbsentOpt = Annotated[list[str] | None, typer.Option("--absent", metavar="TERM", help="Its absence was noted.")]
PARTS = "Only tags in this part of the sheet: aroma, flavor ..."
PartsOpt = Annotated[list[str] | None, typer.Option("--in", metavar="PART", help=PARTS)]
LEVEL = "Only tags of this level: none, low, medium, high, or finer: very low ..."
LevelOpt = Annotated[list[str] | None, typer.Option("--level", metavar="LEVEL", help=LEVEL)]
MakerOpt = Annotated[str | None, typer.Option("--maker", metavar="NAME", help="Who made it.")]
EntryOpt = Annotated[str | None, typer.Option("--entry", metavar="NAME", help="What the beer is called.")]
LowOpt = Annotated[float | None, typer.Option("--min", metavar="TOTAL", help="The lowest total.")]
HighOpt = Annotated[float | None, typer.Option("--max", metavar="TOTAL", help="The highest total.")]
SinceOpt = Annotated[str | None, typer.Option("--since", metavar="YYYY-MM-DD", help="The first day.")]
UntilOpt = Annotated[str | None, typer.Option("--until", metavar="YYYY-MM-DD", help="The last day.")]
FLAG = "Has this flag: off-style ..., or one of this severity: blocker ..."
FlagOpt = Annotated[list[str] | None, typer.Option("--flag", metavar="CODE", help=FLAG)]
SortOpt = Annotated[str, typer.Option("--sort", help="date, score, added or maker.")]


def _remark(remarks: list[str]) -> None:
    for remark in dict.fromkeys(remarks):
        tell(remark)


@contextmanager
def _opened(path: Path | None, create: bool = False) -> Iterator[Any]:
    """The archive for a command; what goes wrong with it is one line on stderr and exit 2."""
    from notes2sheet.archive.store import Archive, default_path

    with errors_told(), Archive(path or default_path(), create) as archive:
        yield archive


def _one_of(value: str | None, known: tuple[str, ...], option: str) -> None:
    if value is not None and value not in known:
        raise stop(UnknownName(f"unknown value {value!r}", option, f"one of: {', '.join(known)}"))


def _day(text: str | None, option: str) -> str | None:
    from notes2sheet.archive.record import parse_date

    with errors_told():
        return parse_date(text, option) if text else None


@app.command()
def add(
    sheets_or_notes: AddedArg,
    archive: ArchiveOpt = None,
    judge: JudgeOpt = None,
    tasted: DayOpt = None,
    status: AsStatusOpt = None,
    style: CodeOpt = None,
    lexicon: LexiconOpt = None,
    house: HouseOpt = None,
    replaces: ReplacesOpt = None,
) -> None:
    """Add sheets: the same twice is one, a finished sheet takes its draft's place, earlier versions are kept."""
    from notes2sheet.archive.record import STATUSES, read_records

    _one_of(status, STATUSES, "--status")
    tasted = _day(tasted, "--date")
    if replaces is not None and len(sheets_or_notes) != 1:
        raise stop("--replaces: goes with one sheet only (add them one by one)")
    records, names, failed = [], [], False
    for name in sheets_or_notes:
        try:
            found = read_records(name, style, lexicon, house, judge=judge, tasted=tasted, status=status)
            kept = [record for record in found if not _untasted(name, record)]
            failed |= len(kept) < len(found)
            records += kept
            names += [name] * len(kept)
        except Notes2SheetError as error:
            tell(error)
            failed = True
    if records:
        with _opened(archive, create=True) as opened:
            _say_added(names, records, opened.add(records, replaces))
    if failed:
        raise typer.Exit(2)


def _untasted(name: str, record: Any) -> bool:
    """Whether no tasting is found in a draft, which is told: its figures would stand among those of beers."""
    found = not record.finished and any(flag["code"] == "no-tasting" for flag in record.sheet["flags"])
    if found:
        whose = f"{name}, {record.data['judge']}" if record.data.get("judge") else name
        tell(
            NotesError("no tasting is found in it, and it is not added", whose, "give what describes or scores a beer")
        )
    return found


def _say_added(names: list[str], records: list[Any], added: list[Any]) -> None:
    from notes2sheet.errors import one_line

    said = {
        "new": "added", "same": "is there already", "corrected": "takes the place of the version before, which is kept",
        "filed": "filed as history: a finished or newer version stays current",
    }  # fmt: skip
    for name, record, one in zip(names, records, added, strict=True):
        typer.echo(one_line(f"#{one.sheet} {name}: {said[one.outcome]} ({record.status})"))


@app.command()
def find(
    words: WordsArg = None,
    archive: ArchiveOpt = None,
    tag: TagOpt = None,
    without: WithoutOpt = None,
    absent: AbsentOpt = None,
    part: PartsOpt = None,
    level: LevelOpt = None,
    style: StyleOpt = None,
    maker: MakerOpt = None,
    entry: EntryOpt = None,
    judge: JudgeOpt = None,
    low: LowOpt = None,
    high: HighOpt = None,
    since: SinceOpt = None,
    until: UntilOpt = None,
    flag: FlagOpt = None,
    status: StatusOpt = None,
    sort: SortOpt = "date",
    limit: LimitOpt = 20,
    format: FormatOpt = "text",
) -> None:
    """Find sheets; everything asked for must hold."""
    from notes2sheet.archive import query as asked
    from notes2sheet.archive.record import STATUSES

    _one_of(sort, tuple(asked.ORDERS), "--sort")
    _one_of(format, FORMATS, "--format")
    _one_of(status, STATUSES, "--status")
    many = (tuple(given or ()) for given in (tag, without, absent, part, level))
    days = _day(since, "--since"), _day(until, "--until")
    query = asked.Query(
        " ".join(words or ()), *many, style, maker, entry, judge, low, high, *days, tuple(flag or ()), status
    )
    _show_found(archive, query, sort, limit, format)


def _show_found(archive: Path | None, query: Any, sort: str, limit: int, format: str) -> None:
    from notes2sheet.archive import listing
    from notes2sheet.archive.query import find as found_by

    with _opened(archive) as opened:
        found = found_by(opened, query, sort, limit or None)
        rows = listing.rows_of(opened, found, query.words)
        _remark(found.remarks)
    if format == "json":
        typer.echo(listing.as_json(rows, found), nl=False)
    elif format == "csv":
        typer.echo(listing.as_csv(rows), nl=False)
    else:
        typer.echo(listing.as_text(rows, found, sys.stdout.isatty()), nl=False)


@app.command()
def tags(
    term: Annotated[
        str | None, typer.Argument(metavar="[TERM]", help="One tag: its styles and what goes along with it.")
    ] = None,
    archive: ArchiveOpt = None,
    style: StyleOpt = None,
    part: Annotated[str | None, typer.Option("--in", metavar="PART", help="Only this part of the sheet.")] = None,
    limit: LimitOpt = 25,
    format: FormatOpt = "text",
) -> None:
    """Count tags by part (of a style with --style), or show one tag's parts, styles and companions."""
    from notes2sheet.archive import taglist

    _one_of(format, FORMATS, "--format")
    with _opened(archive) as opened:
        shown = (
            taglist.one_tag(opened, term, limit or None)
            if term
            else taglist.all_tags(opened, style, part, limit or None)
        )
        _remark(shown.remarks)
    typer.echo(shown.render(format), nl=False)


@app.command()
def like(
    sheet: Annotated[
        str, typer.Argument(metavar="SHEET", help="A sheet's number in the archive, or a file with a sheet or notes.")
    ],
    archive: ArchiveOpt = None,
    limit: LimitOpt = 10,
    format: FormatOpt = "text",
) -> None:
    """Find the sheets nearest to one by their tags, each with the tags that both have, the rarest first."""
    from notes2sheet.archive import taglist
    from notes2sheet.archive.record import read_records

    _one_of(format, FORMATS, "--format")
    with _opened(archive) as opened:
        number = int(sheet.lstrip("#")) if sheet.lstrip("#").isdecimal() and not Path(sheet).exists() else None
        data = opened.read(number) if number is not None else read_records(sheet)[0].data
        shown = taglist.near_list(opened, data["sheet"], number, limit or None)
        _remark(shown.remarks)
    typer.echo(shown.render(format), nl=False)


@app.command()
def report(
    out: Annotated[Path, typer.Option("--out", metavar="FILE", help="The page to write.")] = Path(
        "archive-report.html"
    ),
    archive: ArchiveOpt = None,
    style: StyleOpt = None,
    status: StatusOpt = None,
) -> None:
    """Write one HTML page with plots: scores over time, spread, losses, flaws, styles, the judges' calibration."""
    from notes2sheet.archive.record import STATUSES

    _one_of(status, STATUSES, "--status")
    try:
        from notes2sheet.archive.report import make_report, report_scope
    except ImportError:
        raise stop("the report needs matplotlib (install it with: pip install 'notes2sheet[report]')") from None
    with _opened(archive) as opened:
        codes, about, remarks = report_scope(opened, style, status)
        page = make_report(opened, status, codes, about)
        _remark(remarks)
    _write(out, page)
    typer.echo(f"written to {out}")


def _write(path: Path, text: str) -> None:
    try:
        path.write_text(text, encoding="utf-8")
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise stop(f"{path}: cannot be written: {reason} (choose another --out)") from None


@app.command("export")
def export_(
    out: Annotated[
        str, typer.Argument(metavar="FILE", help="JSON Lines, one sheet with its history a line; - is standard output.")
    ] = "-",
    archive: ArchiveOpt = None,
) -> None:
    """Write everything as JSON Lines; `import` reads it back without loss."""
    from notes2sheet.archive.exchange import write_lines

    with _opened(archive) as opened:
        count = write_lines(opened, out)
    typer.echo(f"{count:,} sheets exported", err=True)


@app.command("import")
def import_(
    files: Annotated[list[str], typer.Argument(metavar="FILES...", help="What export wrote; - is standard input.")],
    archive: ArchiveOpt = None,
) -> None:
    """Bring exported sheets in, all of them or none; what is here already stays once."""
    from notes2sheet.archive.exchange import read_lines

    with _opened(archive, create=True) as opened:
        counts = opened.bring_in(line for name in files for line in read_lines(name))
    typer.echo(f"{counts['new']:,} new, {counts['merged']:,} with a further version, {counts['same']:,} there already")
