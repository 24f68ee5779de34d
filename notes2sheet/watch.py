"""Drafts each new or changed note of a folder, for a recorder that drops files into it (extra 'watch')."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

from notes2sheet.batch import Done, Journal, Settings, draft_task, find_files, make_task
from notes2sheet.errors import Notes2SheetError
from notes2sheet.placing import check_apart, stems

SETTLE = 1.0  # seconds without a change after which a file counts as written
UNFINISHED = (".part", ".tmp", ".crdownload", ".swp", "~")


def watch_folder(
    folder: Path,
    out: Path,
    settings: Settings,
    seen: Callable[[Done], None],
    stop: threading.Event | None = None,
    settle: float = SETTLE,
) -> None:
    """Draft what stands in `folder`, then each file that comes or changes, into `out`, until `stop` is set.

    `seen` is called with what became of each file. A file is drafted once for each content. Raises Notes2SheetError
    without the extra, when the folder cannot be watched, or when sheets would go to where notes are read.
    """  # fmt: skip
    try:
        from watchfiles import watch
    except ImportError:
        raise Notes2SheetError("watchfiles is not installed", "watch", "pip install 'notes2sheet[watch]'") from None
    check_apart(folder, out, stems(folder, find_files(folder, out)))
    out.mkdir(parents=True, exist_ok=True)
    known: dict[str, str] = {}
    journal, key = Journal(out), settings.key()
    wake = max(50, int(settle * 500))  # milliseconds
    try:
        changes = watch(
            folder, stop_event=stop, rust_timeout=wake, yield_on_timeout=True, debounce=100, raise_interrupt=False
        )
        for done in _drafts(folder, out, settings, key, journal, known, settle):
            seen(done)
        for _ in changes:
            for done in _drafts(folder, out, settings, key, journal, known, settle):
                seen(done)
    except OSError as error:
        raise Notes2SheetError(
            f"cannot be watched: {error.strerror or error}", str(folder), "check the folder"
        ) from None
    finally:
        journal.close()


def _drafts(
    folder: Path, out: Path, settings: Settings, key: str, journal: Journal, known: dict[str, str], settle: float
) -> Iterator[Done]:
    """What becomes of each settled file that is not yet drafted; errors are told once for each content."""
    files = [f for f in find_files(folder, out) if not f.name.endswith(UNFINISHED)]
    names = stems(folder, files)
    for file in files:
        try:
            state = file.lstat()
        except OSError:
            continue  # gone again
        stamp = f"{state.st_size} {state.st_mtime_ns}"
        source = file.relative_to(folder).as_posix()
        if time.time() - state.st_mtime < settle or known.get(source) == stamp:
            continue
        task = make_task(folder, file, names[file], settings, key)
        known[source] = stamp
        if isinstance(task, Done) or not journal.holds(task.source, task.key):
            done = task if isinstance(task, Done) else draft_task(task)
            yield journal.add(done)
