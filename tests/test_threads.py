"""The products of a draft run in one thread, and those of whoever calls it are left as they were."""

from __future__ import annotations

import numpy as np
import pytest
from threadpoolctl import threadpool_info, threadpool_limits

from notes2sheet import pipeline, threads


def blas_threads() -> set[int]:
    np.ones((2, 2)) @ np.ones((2, 2))  # the library is loaded
    return {pool["num_threads"] for pool in threadpool_info() if pool["user_api"] == "blas"}


@pytest.fixture
def several(monkeypatch: pytest.MonkeyPatch):
    """Two threads outside, whatever the machine and the environment say."""
    monkeypatch.delenv(threads.SINGLE, raising=False)
    with threadpool_limits(2, user_api="blas"):
        if blas_threads() != {2}:
            pytest.skip("numpy's library here has no threads to limit")
        yield


def test_one_thread_inside_and_the_callers_own_behind(several) -> None:
    with threads.one_thread():
        assert blas_threads() == {1}
    assert blas_threads() == {2}


def test_a_draft_runs_in_one_thread(several, monkeypatch: pytest.MonkeyPatch) -> None:
    found = []
    monkeypatch.setitem(pipeline.STAGES, "faults", lambda reading: found.append(blas_threads()))
    pipeline.draft_sheet("Aroma: bready malt. 9/12")
    assert found == [{1}] and blas_threads() == {2}


def test_a_process_of_one_thread_is_left_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(threads.SINGLE, "1")
    with threads.one_thread() as context:
        assert context is None
