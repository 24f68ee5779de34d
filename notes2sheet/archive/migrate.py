"""Opens archive files: looks at them before touching them, makes new ones in one step, brings old ones up to date."""

from __future__ import annotations

import os
import sqlite3
from contextlib import suppress
from datetime import datetime, timezone
from functools import cache
from importlib import resources
from pathlib import Path

from notes2sheet.archive.codec import primer
from notes2sheet.archive.errors import DAMAGED, ArchiveError, explained

APPLICATION = 0x6E327361  # 'n2sa', in the file's header
MAGIC = b"SQLite format 3\x00"
PAGE = 16384  # bytes; several packed sheets fit on one
WAIT = 60.0  # seconds that one writer waits for another


@cache
def migrations() -> tuple[str, ...]:
    """The numbered SQL scripts, oldest first; their count is the newest version of the file."""
    folder = resources.files("notes2sheet.archive") / "schema"
    return tuple(
        f.read_text(encoding="utf-8") for f in sorted(folder.iterdir(), key=lambda f: f.name) if f.name.endswith(".sql")
    )


def look(path: Path) -> int:
    """The version of the archive at `path`, from its first bytes alone; ArchiveError when it must not be opened."""
    with explained(path):
        if path.is_dir():
            raise ArchiveError("is a folder", str(path), "give a file name to --archive")
        with path.open("rb") as file:
            head = file.read(100)
        # In this order: a checkpoint by another process writes the header first and removes the log last.
        logged = Path(f"{path}-wal").exists()
        size = path.stat().st_size
    if not head:
        raise ArchiveError(
            "is empty, and an archive never is", str(path), "put back a backup, or delete it to begin anew"
        )
    if len(head) < 100 or head[:16] != MAGIC or int.from_bytes(head[68:72], "big") != APPLICATION:
        raise ArchiveError("is no archive", str(path), f"choose another --archive; if it was one, {DAMAGED}")
    version = int.from_bytes(head[60:64], "big")
    if version > len(migrations()):
        raise _newer(path, version)
    page = int.from_bytes(head[16:18], "big")
    page = 65536 if page == 1 else page
    if not logged and size < page * int.from_bytes(head[28:32], "big"):
        raise ArchiveError("is cut short", str(path), DAMAGED)
    return version


def _newer(path: Path, version: int) -> ArchiveError:
    return ArchiveError(
        f"was written by a newer notes2sheet (file version {version}, this one knows {len(migrations())})",
        str(path), "update notes2sheet, or choose another --archive",
    )  # fmt: skip


def open_file(path: Path, create: bool) -> sqlite3.Connection:
    """A connection to the archive, made or brought up to date if need be; transactions are the caller's."""
    if create and not path.exists():
        _make(path)
    elif not path.exists():
        raise ArchiveError("no such archive", str(path), "add sheets first, or name another with --archive")
    look(path)
    with explained(path):
        db = sqlite3.connect(path, timeout=WAIT, isolation_level=None)
        try:
            db.execute("PRAGMA foreign_keys = ON")
            db.execute("PRAGMA synchronous = FULL")  # what is said to be added outlives a power cut
            db.execute("PRAGMA trusted_schema = OFF")
            _bring_up_to_date(db, path)
        except BaseException:
            db.close()
            raise
    return db


def open_readonly(path: Path) -> sqlite3.Connection:
    """A connection that cannot change the archive. Older versions are refused: they want a migration first."""
    if not path.exists():
        raise ArchiveError("no such archive", str(path), "check the name")
    if look(path) < len(migrations()):
        raise ArchiveError(
            "is of an older version", str(path), "run `notes2sheet archive find` on it once to bring it up to date"
        )
    with explained(path):
        return sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro", uri=True, timeout=WAIT)


def _make(path: Path) -> None:
    """A new archive, built aside and put in place whole, so that a killed run leaves none or a complete one."""
    aside = path.with_name(f".{path.name}.new-{os.getpid()}")
    with explained(path):
        path.parent.mkdir(parents=True, exist_ok=True)
        try:
            _build(aside)
            with suppress(FileExistsError):  # another process was quicker: use its archive
                _place(aside, path)
        finally:
            for leftover in (aside, Path(f"{aside}-wal"), Path(f"{aside}-shm")):
                leftover.unlink(missing_ok=True)


def _build(path: Path) -> None:
    """A new, empty archive, in the current version."""
    db = sqlite3.connect(path, isolation_level=None)
    try:
        db.execute(f"PRAGMA page_size = {PAGE}")
        db.execute("PRAGMA journal_mode = WAL")
        db.execute("BEGIN IMMEDIATE")
        db.execute(f"PRAGMA application_id = {APPLICATION}")
        _run(db, 0)
        db.execute("INSERT INTO meta VALUES ('primer', ?)", (primer(),))
        db.execute("COMMIT")
    finally:
        db.close()


def _place(aside: Path, path: Path) -> None:
    try:
        os.link(aside, path)
    except FileExistsError:
        raise
    except OSError:  # a file system without hard links
        if not path.exists():
            aside.rename(path)


def _run(db: sqlite3.Connection, version: int) -> None:
    """Run the migrations after `version` inside the open transaction."""
    for script in migrations()[version:]:
        statement = ""
        for line in script.splitlines(keepends=True):
            statement += line
            if sqlite3.complete_statement(statement):
                db.execute(statement)
                statement = ""
    db.execute(f"PRAGMA user_version = {len(migrations())}")


def _bring_up_to_date(db: sqlite3.Connection, path: Path) -> None:
    newest = len(migrations())
    version = db.execute("PRAGMA user_version").fetchone()[0]
    if version > newest:  # the header on disk may be older than what stands in the log
        raise _newer(path, version)
    if version == newest:
        return
    db.execute("BEGIN IMMEDIATE")
    try:
        version = db.execute("PRAGMA user_version").fetchone()[0]
        if version < newest:
            _back_up(path, version)
            _run(db, version)
        db.execute("COMMIT")
    except BaseException:
        if db.in_transaction:
            db.execute("ROLLBACK")
        raise


def _back_up(path: Path, version: int) -> None:
    """A whole copy beside the archive before a migration; a copy that cannot be finished stops the migration."""
    stamp = datetime.now(timezone.utc).strftime("%Y%m%dT%H%M%S")
    copy = path.with_name(f"{path.name}.v{version}-{stamp}.bak")
    source, target = sqlite3.connect(path), sqlite3.connect(copy)
    try:
        source.backup(target)
        target.close()
    except BaseException:
        target.close()
        copy.unlink(missing_ok=True)
        raise
    finally:
        source.close()
