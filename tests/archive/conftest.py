"""Archives for the tests: one in bulk for the whole run, and a way to small ones."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from bulk import Bulk  # noqa: E402

from notes2sheet.archive.record import make_record  # noqa: E402
from notes2sheet.archive.store import Archive  # noqa: E402

BIG = os.environ.get("NOTES2SHEET_BIG") == "1"
COUNT = 100_000 if BIG else 1_500


@pytest.fixture(scope="session")
def bulk_path(tmp_path_factory) -> Path:
    """An archive with 1,500 sheets; 100,000 with NOTES2SHEET_BIG=1, kept in NOTES2SHEET_BIG_FILE when that is set."""
    named = os.environ.get("NOTES2SHEET_BIG_FILE") if BIG else None
    path = Path(named) if named else tmp_path_factory.mktemp("bulk") / "archive.sqlite"
    if not path.exists():
        with Archive(path, create=True) as archive:
            batch = []
            for wrapper in Bulk().wrapped(COUNT):
                batch.append(make_record(wrapper, "bulk"))
                if len(batch) == 1000:
                    archive.add(batch)
                    batch = []
    return path


@pytest.fixture
def bulk(bulk_path):
    with Archive(bulk_path) as archive:
        yield archive


@pytest.fixture(scope="session")
def wrappers() -> list[dict]:
    """Forty sheets in their wrappers."""
    return list(Bulk(seed=3).wrapped(40))


@pytest.fixture
def path(tmp_path) -> Path:
    return tmp_path / "archive.sqlite"
