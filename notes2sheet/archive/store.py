"""The archive as an object: adds sheets, keeps their history, gives them back, exports and imports them."""

from __future__ import annotations

import sqlite3
import uuid
import zlib
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime, timezone
from pathlib import Path
from typing import Any

from notes2sheet.archive import codec, index
from notes2sheet.archive.errors import DAMAGED, ArchiveError, explained
from notes2sheet.archive.fold import key
from notes2sheet.archive.migrate import open_file, open_readonly
from notes2sheet.archive.record import Record, parse_moment
from notes2sheet.errors import Notes2SheetError


def default_path() -> Path:
    """archive.sqlite in the user's data folder."""
    from platformdirs import user_data_path

    return user_data_path("notes2sheet", appauthor=False) / "archive.sqlite"


def now() -> str:
    """The time as UTC, to the second, in ISO 8601."""
    return datetime.now(timezone.utc).isoformat(timespec="seconds")


@dataclass(frozen=True)
class Added:
    """What became of a record: `outcome` is new, same (nothing to do), corrected (now current) or filed (history
    only)."""

    sheet: int
    outcome: str


class Archive:
    """An open archive file; use it as a context manager. `create` makes the file when there is none.

    Raises ArchiveError for a file that is damaged, newer than this program, no archive, or may not be written.
    """

    def __init__(self, path: Path, create: bool = False) -> None:
        self.path = path
        self.db = open_file(path, create)
        try:
            self.primer: bytes = self.rows("SELECT value FROM meta WHERE name = 'primer'")[0][0]
        except BaseException:
            self.db.close()
            raise
        self._index: index.Index | None = None

    def __enter__(self) -> Archive:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Close the file; whatever is not committed is undone."""
        with explained(self.path):
            self.db.close()

    @contextmanager
    def change(self) -> Iterator[None]:
        """One transaction: all of what is done inside stays, or nothing of it."""
        with explained(self.path):
            self.db.execute("BEGIN IMMEDIATE")
            try:
                if self._index is None:
                    self._index = index.Index(self.db)
                self._index.begin()
                yield
                self._index.end()
                self.db.execute("COMMIT")
            except BaseException:
                self._index = None  # it may know names that are undone now
                if self.db.in_transaction:
                    self.db.execute("ROLLBACK")
                raise

    def rows(self, sql: str, values: Iterable[Any] = ()) -> list[tuple]:
        """The rows of a query."""
        with explained(self.path):
            return self.db.execute(sql, tuple(values)).fetchall()

    def stream(self, sql: str, values: Iterable[Any] = ()) -> Iterator[tuple]:
        """The rows of a query, one after another."""
        with explained(self.path):
            yield from self.db.execute(sql, tuple(values))

    def add(self, records: Iterable[Record], replaces: int | None = None) -> list[Added]:
        """Store the records in one transaction. `replaces` names the sheet that a single record corrects."""
        packed = [(record, codec.pack(record.data, self.primer)) for record in records]
        with self.change():
            return [self._add_one(record, body, replaces) for record, body in packed]

    def _add_one(self, record: Record, body: bytes, replaces: int | None) -> Added:
        sheet = self._same_tasting(record) if replaces is None else self._existing(replaces)
        if sheet is None:
            return Added(self._insert(record, uuid.uuid4().hex, now(), body), "new")
        current = self.db.execute(
            "SELECT v.status, v.judge, v.tasted, v.finished FROM sheet s JOIN version v ON v.id = s.version "
            "WHERE s.id = ?",
            (sheet,),
        ).fetchone()
        if self._holds(sheet, record):
            return Added(sheet, "same")
        status, judge, tasted, finished = current
        merged = {"judge": record.data["judge"] or judge, "tasted": record.data["tasted"] or tasted}
        if merged != {name: record.data[name] for name in merged}:
            record = Record({**record.data, **merged})
            body = codec.pack(record.data, self.primer)
        version = self._insert_version(sheet, record, now(), body)
        if _older(record, status, finished) and replaces is None:
            return Added(sheet, "filed")
        self._make_current(sheet, version, record)
        return Added(sheet, "corrected")

    def _existing(self, sheet: int) -> int:
        if not self.rows("SELECT 1 FROM sheet WHERE id = ?", (sheet,)):
            raise ArchiveError(
                f"has no sheet {sheet}", str(self.path), "see the numbers with `notes2sheet archive find`"
            )
        return sheet

    def _same_tasting(self, record: Record) -> int | None:
        """The sheet from the same notes by the same judge, where a judge who isn't named may be anyone."""
        mine = key(record.data["judge"])
        found = self.db.execute(
            "SELECT id, judge_key FROM sheet WHERE notes = ? ORDER BY id", (record.notes_hash,)
        ).fetchall()
        near = [sheet for sheet, judge in found if not mine or judge in (mine, "")]
        exact = (
            [sheet for sheet, judge in found if judge == mine] or [s for s in near if self._holds(s, record)] or near
        )
        if len(exact) > 1:
            numbers = ", ".join(map(str, exact))
            raise Notes2SheetError(
                f"these notes belong to several judges' sheets ({numbers})", str(self.path), "say --judge"
            )
        return exact[0] if exact else None

    def _holds(self, sheet: int, record: Record) -> bool:
        """Whether a version says all that the record says."""
        data = record.data
        return (
            self.db.execute(
                "SELECT 1 FROM version WHERE sheet = ? AND hash = ? AND status = ? AND ifnull(judge = ?, ?) AND "
                "ifnull(tasted = ?, ?) AND ifnull(finished = ?, ?)",
                (sheet, record.hash, record.status, data["judge"], data["judge"] is None, data["tasted"],
                 data["tasted"] is None, record.finished, record.finished is None),
            ).fetchone() is not None
        )  # fmt: skip

    def _insert(self, record: Record, uid: str, added: str, body: bytes) -> int:
        sheet = self.db.execute(
            "INSERT INTO sheet (uid, notes, status, entry_key, maker_key, judge_key, added) "
            "VALUES (?, ?, 'draft', '', '', '', ?)",
            (uid, record.notes_hash, added),
        ).lastrowid
        self._make_current(sheet, self._insert_version(sheet, record, added, body), record, fresh=True)
        return sheet

    def _insert_version(self, sheet: int, record: Record, added: str, body: bytes) -> int:
        return self.db.execute(
            "INSERT INTO version (sheet, hash, added, status, judge, tasted, finished, body) "
            "VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
            (
                sheet,
                record.hash,
                added,
                record.status,
                record.data["judge"],
                record.data["tasted"],
                record.finished,
                body,
            ),
        ).lastrowid

    def _make_current(self, sheet: int, version: int, record: Record, fresh: bool = False) -> None:
        if not fresh:
            before = self.db.execute(
                "SELECT body FROM version WHERE id = (SELECT version FROM sheet WHERE id = ?)", (sheet,)
            )
            self._index.remove(sheet, self._unpack(before.fetchone()[0])["sheet"])
        self.db.execute("UPDATE sheet SET version = ?, notes = ? WHERE id = ?", (version, record.notes_hash, sheet))
        self._index.put(sheet, record)

    def _unpack(self, body: bytes, spans: bool = True) -> dict[str, Any]:
        try:
            return codec.unpack(body, self.primer, spans)
        except (zlib.error, ValueError):
            raise ArchiveError("is damaged: a sheet cannot be read", str(self.path), DAMAGED) from None

    def read(self, sheet: int) -> dict[str, Any]:
        """The current version: {"sheet": …, "judge", "status", "tasted", …}. ArchiveError when there is no such one."""
        return self.read_many([sheet])[sheet] if self._existing(sheet) else {}

    def read_many(self, sheets: list[int], spans: bool = True) -> dict[int, dict[str, Any]]:
        """The current versions of `sheets`, by number; without `spans`, faster, and no span in them is to be used."""
        marks = ",".join("?" * len(sheets))
        sql = f"SELECT s.id, v.body FROM sheet s JOIN version v ON v.id = s.version WHERE s.id IN ({marks})"
        return {sheet: self._unpack(body, spans) for sheet, body in self.rows(sql, sheets)}

    def history(self, sheet: int) -> list[dict[str, Any]]:
        """All versions, oldest first: {"added", "current", "data"}."""
        rows = self.rows(
            "SELECT v.added, v.id = s.version, v.body FROM version v JOIN sheet s ON s.id = v.sheet "
            "WHERE s.id = ? ORDER BY v.id",
            (self._existing(sheet),),
        )
        return [{"added": added, "current": bool(current), "data": self._unpack(body)} for added, current, body in rows]

    def export(self) -> Iterator[dict[str, Any]]:
        """Every sheet with its history, one JSON object each, all from one moment."""
        with explained(self.path):
            self.db.execute("BEGIN")
            try:
                for sheet, uid, added in self.db.execute("SELECT id, uid, added FROM sheet ORDER BY id").fetchall():
                    yield {"uid": uid, "added": added, "versions": self.history(sheet)}
            finally:
                if self.db.in_transaction:
                    self.db.execute("ROLLBACK")

    def bring_in(self, lines: Iterable[dict[str, Any]]) -> dict[str, int]:
        """Import exported sheets, all or none; {"new", "merged", "same"} counts. What is known already stays once."""
        counts = {"new": 0, "merged": 0, "same": 0}
        with self.change():
            for line in lines:
                known = self.db.execute("SELECT id FROM sheet WHERE uid = ?", (line["uid"],)).fetchone()
                if known is None:
                    last = next(v for v in line["versions"] if v["current"])
                    sheet = self._same_tasting(Record(last["data"]))
                else:
                    sheet = known[0]
                counts[self._bring_one(line, sheet)] += 1
        return counts

    def _bring_one(self, line: dict[str, Any], sheet: int | None) -> str:
        if sheet is not None:
            outcomes = [self._merge(sheet, v) for v in line["versions"]]
            return "merged" if any(outcomes) else "same"
        made = None
        for version in line["versions"]:
            record, body = Record(version["data"]), codec.pack(version["data"], self.primer)
            if made is None:
                made = self._insert(record, line["uid"], line["added"], body)
                number = self.db.execute("SELECT version FROM sheet WHERE id = ?", (made,)).fetchone()[0]
                self.db.execute("UPDATE version SET added = ? WHERE id = ?", (version["added"], number))
            else:
                number = self._insert_version(made, record, version["added"], body)
                if version["current"]:
                    self._make_current(made, number, record)
        return "new"

    def _merge(self, sheet: int, version: dict[str, Any]) -> bool:
        """Add one version to a sheet that is here already; False when it was known."""
        record = Record(version["data"])
        if self._holds(sheet, record):
            return False
        status, finished = self.db.execute(
            "SELECT v.status, v.finished FROM sheet s JOIN version v ON v.id = s.version WHERE s.id = ?", (sheet,)
        ).fetchone()
        number = self._insert_version(sheet, record, version["added"], codec.pack(record.data, self.primer))
        if version["current"] and not _older(record, status, finished):
            self._make_current(sheet, number, record)
        return True


def _older(record: Record, status: str, finished: str | None) -> bool:
    """Whether a record must not take the place of a version: a draft never replaces a finished sheet, nor an older a
    newer."""
    if record.status != status:
        return record.status == "draft"
    if record.finished and finished:
        return parse_moment(record.finished, "finished_at") < parse_moment(finished, "finished_at")
    return False


def connect(path: Path | str | None = None) -> sqlite3.Connection:
    """A read-only connection for one's own SQL or `pandas.read_sql`, with one more view than the file has:
    `notes` (sheet, text), the words of each sheet's notes. Raises ArchiveError."""
    path = Path(path) if path is not None else default_path()
    db = open_readonly(path)
    primed = db.execute("SELECT value FROM meta WHERE name = 'primer'").fetchone()[0]
    db.create_function(
        "notes_of", 1, lambda body: codec.unpack(body, primed, spans=False)["sheet"]["text"], deterministic=True
    )
    db.execute(
        "CREATE TEMP VIEW notes AS SELECT s.id AS sheet, notes_of(v.body) AS text "
        "FROM sheet s JOIN version v ON v.id = s.version"
    )
    return db
