"""The same work over a Dask cluster of two workers, one of them killed in the middle."""

from __future__ import annotations

import os
import signal
from collections import Counter
from pathlib import Path

import pytest
from folder import app, content, fill
from typer.testing import CliRunner

from notes2sheet.batch import Settings, local_engine, run

distributed = pytest.importorskip("distributed", reason="the extra 'dask' is not installed")
NOTES = 24


@pytest.fixture
def cluster():
    with distributed.LocalCluster(n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None) as made:
        yield made


def test_one_worker_killed_every_note_drafted_once(tmp_path: Path, cluster) -> None:
    from notes2sheet.dask_engine import dask_engine

    folder, out, seen = fill(tmp_path / "notes", NOTES), tmp_path / "out", []
    victim = next(iter(cluster.workers.values())).pid

    def book(done, of: int) -> None:
        seen.append(done.source)
        if len(seen) == NOTES // 3:
            os.kill(victim, signal.SIGKILL)

    assert run(folder, out, Settings(), dask_engine(cluster.scheduler_address), book) == []
    assert len(seen) == NOTES and set(Counter(seen).values()) == {1}
    assert victim not in {worker.pid for worker in cluster.workers.values()}
    run(folder, tmp_path / "local", Settings(), local_engine(1), lambda done, of: None)
    assert content(out) == content(tmp_path / "local")


def test_no_scheduler(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("notes2sheet.dask_engine.CONNECT", "1s")
    fill(tmp_path / "notes", 1)
    options = ["--out", str(tmp_path / "out"), "--engine", "dask", "--scheduler", "tcp://127.0.0.1:9"]
    result = CliRunner().invoke(app, ["batch", str(tmp_path / "notes"), *options])
    assert result.exit_code == 2 and "no scheduler answers" in result.stderr
