"""Export and import as JSON Lines: one line a sheet, {"uid", "added", "versions": [{"added", "current", "data"}]}."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any, TextIO

from notes2sheet.archive.errors import ArchiveError, explained
from notes2sheet.archive.record import make_record
from notes2sheet.archive.store import Archive
from notes2sheet.errors import Notes2SheetError


def write_lines(archive: Archive, name: str) -> int:
    """Write every sheet to the file `name` ('-': standard output); the number written. A file appears whole or not at
    all."""
    if name == "-":
        return _write(archive, sys.stdout)
    path = Path(name)
    if not path.parent.is_dir():
        raise ArchiveError("no such folder", str(path.parent), "make it first, or choose another")
    aside = path.with_name(f".{path.name}.new-{os.getpid()}")
    with explained(path):
        try:
            with aside.open("w", encoding="utf-8") as file:
                count = _write(archive, file)
            aside.replace(path)
        finally:
            aside.unlink(missing_ok=True)
    return count


def _write(archive: Archive, file: TextIO) -> int:
    count = 0
    for line in archive.export():
        file.write(json.dumps(line, ensure_ascii=False, separators=(",", ":")) + "\n")
        count += 1
    return count


def read_lines(name: str) -> Iterator[dict[str, Any]]:
    """The sheets in an exported file, each checked; ArchiveError names the line that is wrong."""
    try:
        file = sys.stdin if name == "-" else open(name, encoding="utf-8")  # noqa: SIM115 (closed below, stdin is not)
    except OSError as error:
        raise ArchiveError(f"cannot be read: {error.strerror}", name, "check the name") from None
    try:
        for number, text in enumerate(file, 1):
            if text.strip():
                yield _checked(text, f"{name}, line {number}")
    except UnicodeDecodeError:
        raise ArchiveError("is no UTF-8 text", name, "give what `notes2sheet archive export` wrote") from None
    finally:
        if name != "-":
            file.close()


def _checked(text: str, where: str) -> dict[str, Any]:
    wrong = ArchiveError(
        "is no exported sheet; nothing was imported", where, "give what `notes2sheet archive export` wrote"
    )
    try:
        line = json.loads(text)
        uid, added, versions = line["uid"], line["added"], line["versions"]
        known = [{"added": v["added"], "current": v["current"], "data": v["data"]} for v in versions]
        strings = [uid, added, *(v["added"] for v in known)]
        if not all(isinstance(s, str) for s in strings) or sum(v["current"] is True for v in known) != 1:
            raise wrong
        for version in known:
            checked = make_record(version["data"], where).data
            if any(checked[name] != version["data"][name] for name in ("status", "judge", "tasted")):
                raise wrong
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        raise wrong from None
    except Notes2SheetError as error:
        raise ArchiveError(f"{error.what}; nothing was imported", where, error.hint) from None
    return {"uid": uid, "added": added, "versions": known}
