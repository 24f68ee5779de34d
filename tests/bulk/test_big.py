"""The bars of the bulk commands; minutes long, so only with NOTES2SHEET_BIG=1. Figures of the last run: README."""

from __future__ import annotations

import os
import time
from pathlib import Path

import pytest
from faker import Faker
from folder import content, fill

from notes2sheet.batch import Done, Settings, local_engine, run

pytestmark = pytest.mark.skipif(os.environ.get("NOTES2SHEET_BIG") != "1", reason="big: set NOTES2SHEET_BIG=1")


def timed(out: Path, folder: Path, workers: int) -> float:
    began = time.perf_counter()
    assert run(folder, out, Settings(), local_engine(workers), lambda done, of: None) == []
    return time.perf_counter() - began


def test_two_workers_are_1_7_times_one(tmp_path: Path) -> None:
    """On 500 notes, the start of the processes included; the outputs are the same bytes."""
    folder = fill(tmp_path / "notes", 500)
    one, two = (timed(tmp_path / str(workers), folder, workers) for workers in (1, 2))
    print(f"\n500 notes: one worker {one:.1f} s, two {two:.1f} s: {one / two:.2f} times")
    assert content(tmp_path / "1") == content(tmp_path / "2")
    assert one / two >= 1.7


def resident() -> float:
    """Memory of this process in MB."""
    return int(Path("/proc/self/statm").read_text().split()[1]) * os.sysconf("SC_PAGE_SIZE") / 1e6


def test_memory_is_flat_over_5000_notes(tmp_path: Path) -> None:
    """Within 50 MB after the first 500, each note with names of its own; worker and booking in one process."""
    folder, fake, sizes = fill(tmp_path / "notes", 5000), Faker(), []
    for path in folder.rglob("*.txt"):
        path.write_text(f"{fake.name()} of {fake.city()} brought {fake.company()}.\n" + path.read_text()[:1500])

    def seen(done: Done | None, of: int) -> None:
        sizes.append(resident())

    assert run(folder, tmp_path / "out", Settings(), local_engine(1), seen) == []
    print(f"\n5000 notes: {sizes[499]:.0f} MB after 500, {max(sizes[500:]):.0f} MB at most after that")
    assert len(sizes) == 5000 and max(sizes[500:]) - sizes[499] < 50
