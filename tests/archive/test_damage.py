"""Damage and concurrency, for real: kill -9, two writers, cut and newer files, a full disk, migrations."""

from __future__ import annotations

import json
import os
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from pathlib import Path

import pytest

from notes2sheet.archive import Archive, ArchiveError, migrate
from notes2sheet.archive.record import make_record

HERE = Path(__file__).parent
ADD = """
import sys
sys.path.insert(0, sys.argv[4])
from pathlib import Path
from bulk import Bulk
from notes2sheet.archive import Archive
from notes2sheet.archive.record import make_record
path, seed, count = Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3])
records = [make_record(w, "bulk") for w in Bulk(seed=seed).wrapped(count)]
print("ready", flush=True)
sys.stdin.readline()
with Archive(path, create=True) as archive:
    if sys.argv[5] == "one by one":
        for record in records:
            archive.add([record])
    else:
        archive.add(records)
print("done", flush=True)
"""


def adder(path: Path, seed: int, count: int, how: str) -> subprocess.Popen:
    """A process with `count` sheets ready to add; it begins when told."""
    command = [sys.executable, "-c", ADD, str(path), str(seed), str(count), str(HERE), how]
    return subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)


def begin(process: subprocess.Popen) -> None:
    assert process.stdout.readline() == "ready\n", process.stderr.read()
    process.stdin.write("\n")
    process.stdin.flush()


def is_sound(path: Path) -> bool:
    with closing(sqlite3.connect(path)) as db:
        db.execute("INSERT INTO words (words) VALUES ('integrity-check')")
        return (
            db.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
            and not db.execute("PRAGMA foreign_key_check").fetchall()
        )


def counts(path: Path) -> list[tuple]:
    with Archive(path) as archive:
        return archive.rows(
            "SELECT (SELECT count(*) FROM sheet), (SELECT count(*) FROM version), (SELECT count(DISTINCT sheet) FROM tag)"
        )


def test_a_killed_add_leaves_all_or_nothing(path, wrappers):
    with Archive(path, create=True) as archive:
        archive.add([make_record(w, "test") for w in wrappers[:5]])
    log, killed, n = Path(f"{path}-wal"), 0, 0
    while killed < 3 and n < 8:
        before, n = counts(path), n + 1
        process = adder(path, 100 + n, 100, "at once")
        begin(process)
        # Kill it at different places: before, within and after the moment at which the log grows.
        until = time.monotonic() + 20
        while (
            time.monotonic() < until
            and process.poll() is None
            and not (log.exists() and log.stat().st_size > n * 15_000)
        ):
            time.sleep(0.001)
        os.kill(process.pid, signal.SIGKILL)
        process.communicate()
        killed += process.returncode == -signal.SIGKILL
        after = counts(path)
        assert after in (before, [tuple(c + 100 for c in before[0])])
        assert is_sound(path)
    assert killed == 3


def test_a_kill_while_the_archive_is_made_leaves_none_or_a_whole_one(path):
    for wait in (0.0, 0.005, 0.02):
        process = adder(path, 1, 1, "at once")
        begin(process)
        time.sleep(wait)
        os.kill(process.pid, signal.SIGKILL)
        process.communicate()
        if path.exists():
            assert is_sound(path)
    with Archive(path, create=True) as archive:
        assert archive.rows("SELECT count(*) FROM sheet")[0][0] in (0, 1)


@pytest.mark.parametrize("how", ["one by one", "at once"])
def test_two_processes_adding_lose_none(path, how):
    count = 500 if how == "at once" else 80
    if os.environ.get("NOTES2SHEET_BIG") == "1":
        count = 500
    both = [adder(path, seed, count, how) for seed in (1, 2)]
    for process in both:
        begin(process)
    for process in both:
        assert process.communicate(timeout=300)[0] == "done\n"
    assert counts(path) == [(2 * count,) * 3]
    assert is_sound(path)


@pytest.fixture
def small(path, wrappers):
    with Archive(path, create=True) as archive:
        archive.add([make_record(w, "test") for w in wrappers])
    assert not Path(f"{path}-wal").exists()
    return path


def cut(path: Path) -> None:
    os.truncate(path, path.stat().st_size // 2)


def cut_in_header(path: Path) -> None:
    os.truncate(path, 60)


def empty(path: Path) -> None:
    os.truncate(path, 0)


def make_newer(path: Path) -> None:
    with sqlite3.connect(path) as db:
        db.execute(f"PRAGMA user_version = {len(migrate.migrations()) + 1}")
    db.close()


def other_database(path: Path) -> None:
    path.unlink()
    with sqlite3.connect(path) as db:
        db.execute("CREATE TABLE sheet (id)")
    db.close()


def no_database(path: Path) -> None:
    path.write_text("Dear diary, " * 200)


@pytest.mark.parametrize(
    ("harm", "said", "hint"),
    [
        (cut, "is cut short", "backup"),
        (cut_in_header, "is no archive", "backup"),
        (empty, "is empty", "backup"),
        (make_newer, "newer notes2sheet", "update notes2sheet"),
        (other_database, "is no archive", "--archive"),
        (no_database, "is no archive", "--archive"),
    ],
)
def test_what_must_not_be_opened_is_refused_and_never_changed(small, wrappers, harm, said, hint):
    harm(small)
    before = small.read_bytes()
    for create in (False, True):
        with pytest.raises(ArchiveError, match=said) as error:
            Archive(small, create=create)
        assert hint in error.value.hint
    assert small.read_bytes() == before
    assert [p.name for p in small.parent.iterdir()] == [small.name]


def test_a_newer_version_still_in_the_log_is_refused(small):
    other = sqlite3.connect(small)
    other.execute(f"PRAGMA user_version = {len(migrate.migrations()) + 1}")
    other.commit()
    with pytest.raises(ArchiveError, match="newer notes2sheet"):
        Archive(small)
    other.close()


def test_damage_inside_is_told(small):
    data = bytearray(small.read_bytes())
    data[2 * migrate.PAGE :] = bytes(len(data) - 2 * migrate.PAGE)
    small.write_bytes(data)
    with pytest.raises(ArchiveError, match="damaged") as error, Archive(small) as archive:
        archive.read(1)
        list(archive.export())
    assert "backup" in error.value.hint


def test_an_old_file_is_backed_up_before_it_is_migrated(path, wrappers, monkeypatch):
    whole = migrate.migrations()
    monkeypatch.setattr(migrate, "migrations", lambda: whole[:1])
    with Archive(path, create=True) as archive:
        archive.add([make_record(w, "test") for w in wrappers])
    monkeypatch.setattr(migrate, "migrations", lambda: (whole[0], "CREATE TABLE half (a);\nCREATE TABLE half (a);\n"))
    with pytest.raises(ArchiveError):
        Archive(path)
    assert migrate.look(path) == 1  # undone, the backup stays
    for backup in path.parent.glob("*.bak"):
        backup.unlink()
    monkeypatch.setattr(migrate, "migrations", lambda: whole)
    with Archive(path) as archive:
        assert archive.rows("SELECT count(*) FROM sheets") == [(40,)]
    (backup,) = path.parent.glob("archive.sqlite.v1-*.bak")
    with sqlite3.connect(backup) as old:
        assert old.execute("SELECT count(*) FROM sheet").fetchone() == (40,)
        assert old.execute("PRAGMA user_version").fetchone() == (1,)


def test_a_folder_that_may_not_be_written(tmp_path, wrappers):
    (tmp_path / "file").write_text("")
    with pytest.raises(ArchiveError):
        Archive(tmp_path / "file" / "archive.sqlite", create=True)
    with pytest.raises(ArchiveError, match="folder"):
        Archive(tmp_path, create=True)


@pytest.fixture
def tmpfs(tmp_path):
    """A file system of two megabytes; skipped where mounting is not allowed."""
    folder = tmp_path / "small-disk"
    folder.mkdir()
    command = ["mount", "-t", "tmpfs", "-o", "size=2m", "tmpfs", str(folder)]
    if shutil.which("mount") is None or subprocess.run(command, capture_output=True, check=False).returncode:
        pytest.skip("mounting a tmpfs is not allowed here")
    yield folder
    subprocess.run(["umount", str(folder)], check=True)


def test_a_full_disk_is_told_and_the_old_state_stays(tmpfs, wrappers):
    path = tmpfs / "archive.sqlite"
    records = [make_record(w, "test") for w in wrappers]
    with Archive(path, create=True) as archive:
        archive.add(records[:10])
        before = list(archive.export())
    filler = tmpfs / "filler"
    with filler.open("wb", buffering=0) as file, pytest.raises(OSError):
        while True:
            file.write(bytes(4096))
    with pytest.raises(ArchiveError, match="disk") as error, Archive(path) as archive:
        archive.add(records[10:])
    assert "space" in error.value.hint or "full" in error.value.hint
    filler.unlink()
    with Archive(path) as archive:
        assert list(archive.export()) == before
        archive.add(records[10:])
    assert is_sound(path)


def test_a_full_disk_makes_no_half_archive(tmpfs):
    (tmpfs / "filler").write_bytes(bytes(2 * 1024 * 1024 - 3 * 4096))
    with pytest.raises(ArchiveError):
        Archive(tmpfs / "archive.sqlite", create=True)
    assert [p.name for p in tmpfs.iterdir()] == ["filler"]


def test_the_command_says_one_line_and_exits_2(small, wrappers, tmp_path):
    cut(small)
    sheet = tmp_path / "s.json"
    sheet.write_text(json.dumps(wrappers[0]))
    command = [sys.executable, "-m", "notes2sheet", "archive", "add", str(sheet), "--archive", str(small)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout, done.stderr.count("\n")) == (2, "", 1)
    assert "cut short" in done.stderr
