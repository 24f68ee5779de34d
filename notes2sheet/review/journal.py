"""The journal of a judge's corrections: JSON Lines beside the draft, only ever added to."""

from __future__ import annotations

import os
from datetime import datetime, timezone
from pathlib import Path

from pydantic import BaseModel, ConfigDict, ValidationError

from notes2sheet.errors import Notes2SheetError

Value = float | str | None


class Change(BaseModel):
    """One correction: who made it, when (UTC), of what, from which value to which, and why.

    `what` is score:PART, comment:PART, total:said, entry:name, entry:maker, state:, level: or term:START-END of a
    descriptor, flag:CODE[:PART], or finish. `words` are the quoted words it rests on; `context` tells equal words
    apart (for a descriptor the text around it, for a flag its message).
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    who: str
    when: str
    what: str
    old: Value = None
    new: Value = None
    why: str = ""
    words: tuple[str, ...] = ()
    context: str = ""


def now() -> str:
    """The time as the journal writes it, UTC to the millisecond."""
    return datetime.now(timezone.utc).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def journal_path(beside: Path) -> Path:
    """Where the journal of a notes or draft file stands."""
    return beside.with_name(f"{beside.stem}.journal.jsonl")


class Journal:
    """The file, read again whenever another program has added to it."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self._size = -1
        self._changes: list[Change] = []

    def changes(self) -> list[Change]:
        """All entries in their order; a last line cut off by a crash is passed over."""
        size = self.path.stat().st_size if self.path.exists() else 0
        if size != self._size:
            lines = self.path.read_text(encoding="utf-8").split("\n") if size else []
            self._changes = [c for n, line in enumerate(lines) if (c := self._read(line, n, len(lines))) is not None]
            self._size = size
        return self._changes

    def _read(self, line: str, at: int, count: int) -> Change | None:
        if not line.strip():
            return None
        try:
            return Change.model_validate_json(line)
        except ValidationError:
            if at == count - 1 or not line.rstrip().endswith("}"):
                return None
            raise Notes2SheetError(
                "is no journal entry", f"{self.path}:{at + 1}", "mend or remove that line, or move the journal away"
            ) from None

    def add(self, change: Change) -> None:
        """Write the entry through to the disk before returning."""
        self.path.touch(exist_ok=True)
        with self.path.open("r+b") as file:
            torn = file.seek(0, os.SEEK_END) > 0 and (file.seek(-1, os.SEEK_END) or True) and file.read(1) != b"\n"
            file.seek(0, os.SEEK_END)
            file.write((b"\n" if torn else b"") + change.model_dump_json().encode() + b"\n")
            file.flush()
            os.fsync(file.fileno())


def merged(changes: list[Change]) -> list[Change]:
    """The journal with a run of changes to one value by one person as one change, for the finished sheet."""
    out: list[Change] = []
    for change in changes:
        last = out[-1] if out else None
        if last and (last.who, last.what, last.why) == (change.who, change.what, change.why) and last.new == change.old:
            change = change.model_copy(update={"old": last.old})
            out.pop()
            if change.old == change.new:
                continue
        out.append(change)
    return out
