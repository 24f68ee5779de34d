"""Drafts for a folder of notes: worker processes, a result per file, errors listed and never stopping the rest.

What is done stands in a journal in the output folder, so that an interrupted run goes on where it stopped.
"""

from __future__ import annotations

import csv
import hashlib
import io
import json
import multiprocessing
import os
import signal
import threading
from collections import deque
from collections.abc import Callable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from pathlib import Path

from notes2sheet.errors import HouseError, Notes2SheetError, NotesError, OutputError, one_line
from notes2sheet.house import FILE as HOUSE_FILE
from notes2sheet.house import HouseFile, find_house
from notes2sheet.outputs import EXTENSION, renderer
from notes2sheet.outputs.csv import safe
from notes2sheet.placing import GATHERED, check_apart, check_free, inside, same, stems, write_whole

JOURNAL = ".notes2sheet-journal.jsonl"
PRELOAD = ["notes2sheet.warm"]
WIDTH = 88  # columns of a text sheet: a terminal's would be another in each process
WINDOW = 4  # tasks waiting for each worker, so that memory does not grow with the folder


@dataclass(frozen=True)
class Settings:
    """What a draft depends on beside the notes: the options of the run."""

    format: str = "json"
    style: str | None = None
    sheet: str | None = None
    lexicon: str | None = None
    model: str | None = None
    house: str | None = None

    def key(self) -> str:
        """A hash of the options, the program's version and the user's own lexicon files."""
        from notes2sheet import __version__

        digest = hashlib.sha256(json.dumps([__version__, asdict(self)], sort_keys=True).encode())
        folder = self.lexicon or os.environ.get("NOTES2SHEET_LEXICON")
        for path in sorted(Path(folder).rglob("*.toml")) if folder else ():
            digest.update(path.read_bytes())
        return digest.hexdigest()[:16]


@dataclass(frozen=True)
class Task:
    """One file to draft: `source` is its path in the folder, `stem` that of its results without the ending. `data` is
    the content; None for a sound file, which the worker opens by `path`. `house` are the rules nearest to it."""

    source: str
    stem: str
    path: str
    key: str
    settings: Settings
    data: bytes | None = None
    house: HouseFile | None = None


@dataclass(frozen=True)
class Done:
    """What became of a file: (name, content) of each result, the figures of the first sheet, or the error."""

    source: str
    key: str
    results: tuple[tuple[str, str | bytes], ...] = ()
    total: float | None = None
    blockers: int = 0
    error: str | None = None


def draft_task(task: Task) -> Done:
    """Draft one file; every error becomes a line. Runs in a worker and depends on nothing but the task."""
    from notes2sheet.drafting import draft_notes, file_name, speech_model, split_entries
    from notes2sheet.readers import read_all, read_bytes

    options = task.settings
    lexicon = Path(options.lexicon) if options.lexicon else None
    try:
        render, ending = renderer(options.format), EXTENSION[options.format]
        if task.data is not None:
            whole = read_bytes(task.data, task.source)
        else:
            whole = read_all(task.path, speech_model(options.model, task.house))
        whole = split_entries(whole, options.sheet, lexicon)
        drafted = draft_notes(whole, options.style, options.sheet, lexicon, task.house)
        results = [
            (f"{task.stem}{f'.{file_name(judge)}' if judge else ''}.{ending}", render(sheet, width=WIDTH))
            for judge, sheet in drafted
        ]
    except Notes2SheetError as error:
        return Done(task.source, task.key, error=str(error))
    except Exception as error:  # a fault of ours on one file must not stop ten thousand others
        return Done(task.source, task.key, error=f"{task.source}: cannot be drafted: {type(error).__name__}: {error}")
    sheets = [sheet for _, sheet in drafted]
    total = sheets[0].total
    blockers = sum(flag.severity == "blocker" for sheet in sheets for flag in sheet.flags)
    return Done(task.source, task.key, tuple(results), total.said if total.sum is None else total.sum, blockers)


def find_files(folder: Path, out: Path) -> list[Path]:
    """The files below `folder`, sorted, without hidden ones, house rules, and the output folders, this one and those of
    earlier runs. Links to folders are not followed, so that no loop of links is walked."""
    found = []
    for root, folders, names in os.walk(folder):
        here = Path(root)
        folders[:] = sorted(f for f in folders if not f.startswith(".") and not _is_output(here / f, out))
        found += [here / name for name in names if not name.startswith(".") and name != HOUSE_FILE]
    return sorted(found)


def _is_output(folder: Path, out: Path) -> bool:
    return same(folder, out) or (folder / JOURNAL).is_file()


class Journal:
    """What has been done, one JSON line a file, in the output folder."""

    def __init__(self, out: Path) -> None:
        self.out, self.path = out, out / JOURNAL
        self.entries: dict[str, dict] = {}
        if self.path.is_file():
            for line in self.path.read_text(encoding="utf-8", errors="replace").splitlines():
                try:
                    entry = self._entry(json.loads(line))
                except (ValueError, KeyError, TypeError, RecursionError):
                    continue  # a line cut by the interruption, or no line of ours: that file is drafted again
                self.entries[entry["source"]] = entry
        self._file = None

    def _entry(self, line: dict) -> dict:
        """A line of the journal, checked: it may name results in the output folder only, since those are removed."""
        entry = {name: line[name] for name in ("source", "key", "results", "total", "blockers")}
        if not all(isinstance(text, str) for text in (entry["source"], entry["key"], *entry["results"])):
            raise TypeError("names are strings")
        for name in entry["results"]:
            inside(self.out, name)
        return entry

    def holds(self, source: str, key: str) -> bool:
        """Whether this very content was drafted with these settings and the results still stand."""
        entry = self.entries.get(source)
        return bool(entry) and entry["key"] == key and all((self.out / name).is_file() for name in entry["results"])

    def add(self, done: Done) -> Done:
        """Write a file's results, then its line, and return what became of it: an error and no line where another file
        stands in their place, so that the next run tries again."""
        before = self.entries.get(done.source, {}).get("results", ())
        try:
            for name in (*before, *(name for name, _ in done.results)):
                check_free(inside(self.out, name))
        except (OutputError, ValueError) as error:
            return Done(done.source, done.key, error=f"{done.source}: not written: {error}")
        self.entries.pop(done.source, None)
        for name in before:
            (self.out / name).unlink(missing_ok=True)
        for name, content in done.results:
            write_whole(self.out, name, content if isinstance(content, bytes) else content.encode())
        if not done.error:
            entry = {"source": done.source, "key": done.key, "results": [name for name, _ in done.results]}
            entry |= {"total": done.total, "blockers": done.blockers}
            self.entries[done.source] = entry
            self._file = self._file or inside(self.out, JOURNAL).open("a", encoding="utf-8")
            self._file.write(json.dumps(entry, ensure_ascii=False) + "\n")
            self._file.flush()
        return done

    def close(self) -> None:
        """Write the journal anew in the order of the files, so that it is the same whatever the order of the work."""
        if self._file:
            self._file.close()
        lines = (json.dumps(self.entries[source], ensure_ascii=False) + "\n" for source in sorted(self.entries))
        write_whole(self.out, JOURNAL, "".join(lines).encode())


def gather(journal: Journal, key: str) -> None:
    """Write the rows of all files drafted with the settings `key` as one table, the name of each row's file first."""
    entries = [entry for _, entry in sorted(journal.entries.items()) if entry["key"].startswith(f"{key}-")]
    names, columns = [name for entry in entries for name in entry["results"]], {"file": ""}
    for name in names:  # first all columns: kinds of sheets differ in their parts
        columns |= _row(journal.out / name)
    writer = csv.DictWriter(out := io.StringIO(), columns, lineterminator="\n")
    if names:
        writer.writeheader()
    writer.writerows({"file": safe(name), **_row(journal.out / name)} for name in names)
    check_free(journal.out / f"{GATHERED}.csv")
    write_whole(journal.out, f"{GATHERED}.csv", out.getvalue().encode())


def _row(path: Path) -> dict[str, str]:
    with path.open(encoding="utf-8", newline="") as file:
        return next(csv.DictReader(file))


def make_task(folder: Path, file: Path, stem: str, settings: Settings, settings_key: str) -> Task | Done:
    """The task of a file, or its error when it cannot be read."""
    from notes2sheet.readers import content, is_sound

    source = file.relative_to(folder).as_posix()
    if not _is_text(source):
        return Done(one_line(source), "", error=str(NotesError("has a name that is not UTF-8", source, "rename it")))
    try:
        house = find_house(file.parent, settings.house, folder)
        data: bytes | None = content(str(file))
        digest = hashlib.sha256(data)
        if is_sound(data):
            data = None
            with file.open("rb") as opened:
                digest = hashlib.file_digest(opened, "sha256") if hasattr(hashlib, "file_digest") else _digest(opened)
    except HouseError as error:
        return Done(source, "", error=f"{source}: {error}")
    except NotesError as error:
        return Done(source, "", error=str(NotesError(error.what, source, error.hint)))
    if house:
        digest.update(house.key().encode())
    return Task(source, stem, str(file), f"{settings_key}-{digest.hexdigest()}-{stem}", settings, data, house)


def _is_text(name: str) -> bool:
    try:
        return bool(name.encode())
    except UnicodeEncodeError:
        return False


def _digest(opened):
    digest = hashlib.sha256()
    while block := opened.read(1 << 20):
        digest.update(block)
    return digest


Engine = Callable[[Iterator[Task]], Iterator[Done]]


def run(
    folder: Path, out: Path, settings: Settings, engine: Engine, seen: Callable[[Done | None, int], None]
) -> list[Done]:
    """Draft every file below `folder` into `out` and return the files that failed, sorted.

    `seen(done, of)` is called once for each of the `of` files; with None for one that an earlier run had done. Raises
    OSError when the output folder cannot be written, OutputError when sheets would go to where notes are read.
    """
    files = find_files(folder, out)
    names = stems(folder, files)
    check_apart(folder, out, names)
    out.mkdir(parents=True, exist_ok=True)
    key, journal = settings.key(), Journal(out)
    failed: list[Done] = []

    def book(done: Done) -> None:
        done = journal.add(done)
        if done.error:
            failed.append(done)
        seen(done, len(files))

    def tasks() -> Iterator[Task]:
        for file in files:
            task = make_task(folder, file, names[file], settings, key)
            if isinstance(task, Done):
                book(task)
            elif journal.holds(task.source, task.key):
                seen(None, len(files))
            else:
                yield task

    try:
        for done in engine(tasks()):
            book(done)
    finally:
        journal.close()
    if settings.format == "csv":
        gather(journal, key)
    return sorted(failed, key=lambda done: done.source)


def local_engine(workers: int) -> Engine:
    """Drafts in `workers` processes of this machine; in this one when there is one only. A worker that dies costs the
    file that kills it and no other. What workers need begins to load at once. Raises Notes2SheetError where no
    process can be started."""
    if workers <= 1:
        return _alone
    context = _context()
    return lambda tasks: _pool(tasks, workers, context)


def _alone(tasks: Iterator[Task]) -> Iterator[Done]:
    from notes2sheet import warm  # noqa: F401

    return map(draft_task, tasks)


def _pool(tasks: Iterator[Task], workers: int, context: multiprocessing.context.BaseContext) -> Iterator[Done]:
    suspects: deque[Task] = deque()  # what was under way when a worker died; tried again one at a time
    while True:
        pool = ProcessPoolExecutor(workers, context, initializer=_ignore_interrupts)
        try:
            if suspects:
                _check_start(pool)
            while suspects:
                try:
                    done = pool.submit(draft_task, suspects[0]).result()
                except BrokenProcessPool:
                    task = suspects.popleft()
                    yield Done(task.source, task.key, error=f"{task.source}: the worker died on it (split the file?)")
                    break
                suspects.popleft()
                yield done
            else:
                yield from _window(pool, tasks, suspects, workers)
                if not suspects:
                    return
        finally:
            pool.shutdown(wait=False, cancel_futures=True)


def _context() -> multiprocessing.context.BaseContext:
    """Workers forked from a server that has everything loaded; where there are no such servers, started anew."""
    if "forkserver" not in multiprocessing.get_all_start_methods():
        return multiprocessing.get_context("spawn")
    from multiprocessing.forkserver import ensure_running

    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(PRELOAD)
    try:
        with _interrupts_ignored():
            ensure_running()
    except OSError:
        raise _no_start() from None
    return context


@contextmanager
def _interrupts_ignored() -> Iterator[None]:
    """What is started inside ignores Ctrl-C from its first moment on. Signals belong to the main thread: elsewhere
    nothing is done."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


def _check_start(pool: ProcessPoolExecutor) -> None:
    """Raise Notes2SheetError where worker processes cannot be started at all."""
    try:
        pool.submit(_ignore_interrupts).result()
    except BrokenProcessPool:
        raise _no_start() from None


def _no_start() -> Notes2SheetError:
    hint = "use --workers 1; from a script of your own, call it under if __name__ == '__main__'"
    return Notes2SheetError("worker processes do not start", "--workers", hint)


def _ignore_interrupts() -> None:
    """Ctrl-C is for the process that keeps the journal; workers end with it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def _window(pool: ProcessPoolExecutor, tasks: Iterator[Task], suspects: deque[Task], workers: int) -> Iterator[Done]:
    """The results as they come, with a bounded number of tasks under way; `suspects` is filled when a worker dies."""
    waiting: dict[Future, Task] = {}
    more = True
    try:
        while more or waiting:
            while more and len(waiting) < WINDOW * workers:
                task = next(tasks, None)
                more = task is not None
                if task is not None:
                    suspects.append(task)
                    waiting[pool.submit(draft_task, task)] = suspects.pop()
            for future in wait(waiting, return_when=FIRST_COMPLETED).done:
                done = future.result()
                del waiting[future]
                yield done
    except BrokenProcessPool:
        suspects.extend(waiting.values())
