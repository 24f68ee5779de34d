"""What is handed to the archive, read: sheets as JSON, finished sheets in their wrapper, or notes, drafted here."""

from __future__ import annotations

import hashlib
import json
import sys
from dataclasses import dataclass
from datetime import date, datetime, timezone
from functools import cached_property
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from notes2sheet.errors import Notes2SheetError, NotesError
from notes2sheet.model import Sheet, why_refused

LIMIT = 100 * 1024 * 1024  # bytes
STATUSES = ("draft", "finished")


@dataclass(frozen=True)
class Record:
    """One version of one sheet. `data` is the wrapper: {"sheet": …}, judge, tasted, status, finished_at, journal."""

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

    @cached_property
    def hash(self) -> bytes:
        """Tells whether two versions hold the same sheet; those stored before schemas were numbered are no others."""
        held = {name: value for name, value in self.sheet.items() if name != "schema_version"}
        return _hash(json.dumps(held, sort_keys=True, separators=(",", ":")))

    @cached_property
    def notes_hash(self) -> bytes:
        """Tells whether two sheets come from the same words; a sheet without words is told by all that it holds."""
        words = self.sheet["text"]
        return _hash(f"{self.sheet['sheet']}\n{words}") if words.strip() else self.hash


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
        what, hint = why_refused(error)
        raise NotesError(f"is JSON, but no sheet: {what}", where, hint) from None
    except (ValueError, RecursionError):
        raise NotesError("holds characters or numbers that no JSON may hold", where, "write it anew") from None
    finished = wrapper.get("finished_at")
    day = tasted or wrapper.get("tasted")
    if finished is not None:
        day = day or parse_moment(finished, f"{where}: finished_at").date().isoformat()
    status = status or wrapper.get("status") or ("finished" if finished else "draft")
    if status not in STATUSES:
        raise Notes2SheetError(f"unknown status {status!r}", where, f"one of: {', '.join(STATUSES)}")
    judge = judge or wrapper.get("judge") or (wrapper["sheet"].get("house") or {}).get("author")
    if judge is not None and not isinstance(judge, str):
        raise Notes2SheetError("the judge is no name", where, "write it as a string")
    wrapper |= {"judge": " ".join(judge.split()) if judge else None, "status": status}
    wrapper["tasted"] = parse_date(day, f"{where}: date") if day else None
    return Record(wrapper)


def read_records(
    name: str, style: str | None = None, lexicon: Path | None = None, house: str | None = None, **given: str | None
) -> list[Record]:
    """The records in a file ('-': standard input): one for a sheet, one a speaker for notes. `given`: judge,
    tasted, status.

    Raises Notes2SheetError for a file that is neither.
    """
    from notes2sheet.drafting import draft_notes, house_of, speech_model, split_entries
    from notes2sheet.readers import read_all, read_bytes

    data = _json_bytes(name)
    if data is not None:
        if (sheet := _sheet_json(data, name)) is not None:
            return [make_record(sheet, name, **given)]
        rules, whole = house_of(name, house), read_bytes(data, "standard input" if name == "-" else name)
    else:
        rules = house_of(name, house)
        whole = read_all(name, speech_model(None, rules))
    out = []
    whole = split_entries(whole, None, lexicon)
    for notes, (_, made) in zip(whole, draft_notes(whole, style, None, lexicon, rules), strict=True):
        out.append(make_record({"sheet": json.loads(made.model_dump_json()), "judge": notes.speaker}, name, **given))
    return out


def _json_bytes(name: str) -> bytes | None:
    """The content of standard input, or of a file that begins like JSON; None for any other file."""
    if name == "-":
        return sys.stdin.buffer.read()
    try:
        with open(name, "rb") as file:
            head = file.read(64)
            return head + file.read(LIMIT) if _like_json(head) else None
    except (OSError, ValueError):
        return None  # the reader of notes says what is wrong with it


def _sheet_json(data: bytes, name: str) -> dict[str, Any] | None:
    """A sheet's JSON, bare or wrapped; None for what is something else. Broken JSON is refused, not read as notes."""
    if not _like_json(data):
        return None
    try:
        found = json.loads(data.decode("utf-8-sig"))
    except (ValueError, RecursionError) as error:
        raise NotesError(f"is broken JSON: {error}", name, "write it anew") from None
    is_sheet = isinstance(found.get("sheet"), dict) or {"text", "categories"} <= found.keys()
    return found if is_sheet else None


def _like_json(data: bytes) -> bool:
    return data.removeprefix(b"\xef\xbb\xbf").lstrip().startswith(b"{")
