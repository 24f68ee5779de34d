"""How fast and how large: 1,500 sheets by default, 100,000 with NOTES2SHEET_BIG=1. Processor time, so load does not
count."""

from __future__ import annotations

import shutil
import statistics
from collections.abc import Callable
from time import process_time

import pytest
from bulk import Bulk

from notes2sheet.archive import listing
from notes2sheet.archive.query import Query, find
from notes2sheet.archive.record import make_record
from notes2sheet.archive.store import Archive

TAGS = [
    Query(tags=("citrus",)), Query(tags=("malt",)), Query(tags=("grapefruit:aroma:high",)), Query(absent=("diacetyl",)),
    Query(tags=("citrus", "hazy"), without=("diacetyl",), parts=("aroma",), levels=("high",)), Query(tags=("fruit",), style="IPA"),
]  # fmt: skip
WORDS = [
    Query("grapefruit"),
    Query("colour"),
    Query('"slow cellar"'),
    Query("table café"),
    Query("in all"),
    Query("grape*"),
]


def milliseconds(work: Callable[[], object], times: int = 5) -> float:
    """The median of several runs."""
    taken = []
    for _ in range(times):
        begin = process_time()
        work()
        taken.append((process_time() - begin) * 1000)
    return statistics.median(taken)


@pytest.mark.parametrize("query", TAGS, ids=str)
def test_a_tag_search_takes_under_50_ms(bulk, query, record_property):
    taken = milliseconds(lambda: listing.rows_of(bulk, find(bulk, query), ""))
    record_property("ms", taken)
    print(f"\nBAR tag search {query.tags or query.absent}: {taken:.1f} ms, {find(bulk, query).count} found")
    assert taken < 50


@pytest.mark.parametrize("query", WORDS, ids=str)
def test_full_text_takes_under_100_ms(bulk, query):
    found = milliseconds(lambda: find(bulk, query))
    shown = milliseconds(lambda: listing.rows_of(bulk, find(bulk, query), query.words))
    print(
        f"\nBAR full text {query.words}: {found:.1f} ms, {shown:.1f} ms with contexts, {find(bulk, query).count} found"
    )
    assert shown < 100


def test_adding_one_takes_under_20_ms(bulk_path, tmp_path):
    path = tmp_path / "copy.sqlite"
    shutil.copy(bulk_path, path)
    records = iter([make_record(w, "test") for w in Bulk(seed=77).wrapped(60)])
    with Archive(path) as archive:
        archive.add([next(records)])
        taken = milliseconds(lambda: archive.add([next(records)]), 50)
    print(f"\nBAR adding one: {taken:.1f} ms")
    assert taken < 20


def test_100_000_sheets_take_under_600_megabytes(bulk, bulk_path):
    (count,) = bulk.rows("SELECT count(*) FROM sheet")[0]
    size = bulk_path.stat().st_size / count
    print(f"\nBAR size: {size:.0f} bytes a sheet, {bulk_path.stat().st_size / 1e6:.0f} MB for {count}")
    assert bulk_path.stat().st_size < 2_000_000 + 5_980 * count  # 600 MB for 100,000, tables and names included


def test_the_report_takes_under_10_s(bulk):
    pytest.importorskip("matplotlib")
    from notes2sheet.archive.report import make_report

    taken = milliseconds(lambda: make_report(bulk), 1) / 1000
    print(f"\nBAR report: {taken:.1f} s")
    assert taken < 10
