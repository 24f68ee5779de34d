"""What is handed to the archive, read: sheets as JSON, finished sheets in their wrapper, or notes, drafted here."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from datetime import date, datetime, timezone
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from notes2sheet.errors import Notes2SheetError, NotesError
from notes2sheet.model import Sheet
from notes2sheet.readers import parse, read_file

STATUSES = ("draft", "finished")


@dataclass(frozen=True)
class Record:
    """One version of one sheet. `data` is the wrapper: {"sheet": …} with judge, tasted, status, finished_at, journal."""

    data: dict[str, Any]

    @property
    def sheet(self) -> dict[str, Any]:
        return self.data["sheet"]

    @property
    def status(self) -> str:
        return self.data["status"]

    @property
    def finished(self) -> str | None:
        return self.data.get("finished_at")

    def hash(self) -> bytes:
        """Tells whether two versions hold the same sheet."""
        return _hash(json.dumps(self.sheet, sort_keys=True, separators=(",", ":")))

    def notes_hash(self) -> bytes:
        """Tells whether two sheets come from the same words; a sheet without words is told by all that it holds."""
        words = self.sheet["text"]
        return _hash(f"{self.sheet['sheet']}\n{words}") if words.strip() else self.hash()


def _hash(text: str) -> bytes:
    return hashlib.sha256(text.encode("utf-8")).digest()[:16]


def parse_date(text: str, where: str) -> str:
    """An ISO date as YYYY-MM-DD; a Notes2SheetError names where it stood."""
    try:
        return date.fromisoformat(text).isoformat()
    except (ValueError, TypeError):
        raise Notes2SheetError(f"{text!r} is no date", where, "write it as YYYY-MM-DD") from None


def parse_moment(text: str, where: str) -> datetime:
    """An ISO date and time; without an offset it counts as UTC."""
    try:
        moment = datetime.fromisoformat(text.replace("Z", "+00:00"))
    except (ValueError, TypeError, AttributeError):
        raise Notes2SheetError(
            f"{text!r} is no date and time", where, "write it as YYYY-MM-DDTHH:MM:SS+00:00"
        ) from None
    return moment if moment.tzinfo else moment.replace(tzinfo=timezone.utc)


def make_record(
    data: dict[str, Any], where: str, judge: str | None = None, tasted: str | None = None, status: str | None = None
) -> Record:
    """A checked Record from a sheet's JSON, bare or wrapped; what the caller gives goes before what stands in it."""
    wrapper = dict(data) if isinstance(data.get("sheet"), dict) else {"sheet": data}
    try:
        Sheet.model_validate(wrapper["sheet"])
        json.dumps(wrapper, ensure_ascii=False, allow_nan=False).encode("utf-8")
    except ValidationError as error:
        first = error.errors()[0]
        place = ".".join(str(step) for step in first["loc"])
        raise NotesError(
            f"is JSON, but no sheet: {place}: {first['msg']}",
            where,
            "give what `notes2sheet draft --format json` writes",
        ) from None
    except (ValueError, RecursionError):
        raise NotesError("holds characters or numbers that no JSON may hold", where, "write it anew") from None
    finished = wrapper.get("finished_at")
    day = tasted or wrapper.get("tasted")
    if finished is not None:
        day = day or parse_moment(finished, f"{where}: finished_at").date().isoformat()
    status = status or wrapper.get("status") or ("finished" if finished else "draft")
    if status not in STATUSES:
        raise Notes2SheetError(f"unknown status {status!r}", where, f"one of: {', '.join(STATUSES)}")
    judge = judge or wrapper.get("judge")
    if judge is not None and not isinstance(judge, str):
        raise Notes2SheetError("the judge is no name", where, "write it as a string")
    wrapper |= {"judge": " ".join(judge.split()) if judge else None, "status": status}
    wrapper["tasted"] = parse_date(day, f"{where}: date") if day else None
    return Record(wrapper)


def read_record(name: str, style: str | None = None, lexicon: Path | None = None, **given: str | None) -> Record:
    """The record in a file ('-': standard input). `given`: judge, tasted, status. Raises Notes2SheetError."""
    if name.lower().endswith(".json") or name == "-":
        read = _read_plain(name)
        if read.lstrip("\ufeff").lstrip().startswith("{"):
            return make_record(_json(read, name), name, **given)
        if name != "-":
            raise NotesError("is no JSON object", name, "give a sheet, or notes under another file name")
        notes = parse(read)
    else:
        notes = read_file(name)
        if notes.text.lstrip().startswith('{"') or notes.text.lstrip().startswith('{\n "'):
            return make_record(_json(notes.text, name), name, **given)
    from notes2sheet.pipeline import draft_sheet

    drafted = draft_sheet(notes.text, style, lexicon=lexicon, line_times=notes.line_times)
    return make_record({"sheet": json.loads(drafted.model_dump_json())}, name, **given)


def _read_plain(name: str) -> str:
    """The file's text, through the notes reader for its checks but without its cutting of times."""
    if name == "-":
        import sys

        return sys.stdin.buffer.read().decode("utf-8", "replace")
    read_file(name)
    return Path(name).read_text(encoding="utf-8-sig")


def _json(text: str, name: str) -> dict[str, Any]:
    def refuse(constant: str) -> None:
        raise ValueError(f"{constant} is no JSON number")

    try:
        return json.loads(text.lstrip("\ufeff"), parse_constant=refuse)
    except (ValueError, RecursionError) as error:
        raise NotesError(f"is broken JSON: {error}", name, "write it anew") from None
