"""Tag counts, near sheets, the judges' calibration and the report's page."""

from __future__ import annotations

import re
import statistics
from collections import Counter
from datetime import date, timedelta
from html.parser import HTMLParser

import pytest

from notes2sheet.archive.calibration import Scored, calibrate, drift, t_value
from notes2sheet.archive.postings import FEW, _pack, _unpack, _with_one, has, members, to_bits, to_bytes
from notes2sheet.archive.record import make_record
from notes2sheet.archive.store import Archive
from notes2sheet.archive.tagging import companions, nearest, tag_counts
from notes2sheet.lexicon import load_lexicon
from notes2sheet.style_data import kin

DAY = date(2024, 1, 1)


@pytest.fixture
def small(path, wrappers):
    with Archive(path, create=True) as archive:
        archive.add([make_record(w, "test") for w in wrappers])
        yield archive


def test_tag_counts_are_those_of_the_sheets(small, wrappers):
    counted: Counter = Counter()
    for wrapper in wrappers:
        counted.update({(d["term"], d["category"], d["state"]) for d in wrapper["sheet"]["descriptors"]})
    counts, _ = tag_counts(small)
    for one in counts:
        assert one.present == counted[one.term, one.category, "present"]
        assert one.absent == counted[one.term, one.category, "absent"]
    assert [c.present for c in counts] == sorted((c.present for c in counts), reverse=True)


def test_companions_are_counted_and_leave_out_kin(small, wrappers):
    terms = load_lexicon().terms

    def names(wrapper: dict) -> set[str]:
        present = {d["term"] for d in wrapper["sheet"]["descriptors"] if d["state"] == "present"}
        return {name for term in present for name in kin(terms[term], load_lexicon())}

    sheets, found, _ = companions(small, "citrus", 500)
    mine = [names(wrapper) for wrapper in wrappers if "citrus" in names(wrapper)]
    assert sheets.bit_count() == len(mine) > 8
    assert {c.term: c.both for c in found}.items() <= Counter(name for each in mine for name in each).items()
    assert len(found) > 10
    assert not {"citrus", "grapefruit", "lemon"} & {c.term for c in found}


def test_the_nearest_sheet_is_the_same_sheet_and_shared_tags_explain_it(small, wrappers):
    near = nearest(small, wrappers[3]["sheet"])
    assert (near[0].sheet, near[0].nearness) == (4, pytest.approx(1.0))
    assert [n.nearness for n in near] == sorted((n.nearness for n in near), reverse=True)
    theirs = {d["term"] for d in wrappers[near[1].sheet - 1]["sheet"]["descriptors"]}
    assert near[1].shared and theirs & set(near[1].shared)
    assert nearest(small, wrappers[3]["sheet"], but=4)[0].sheet == near[1].sheet


def scored(judge: str, total: float, days: int = 0, beer: str = "") -> Scored:
    day = DAY + timedelta(days=days)
    return Scored(1, total, judge, day, "21A", "IPA", (beer, "maker", day) if beer else None)


def test_calibration_is_the_textbook_figure():
    totals = [30, 31, 35, 36, 28, 40, 33, 34, 29]
    (judge,) = calibrate([scored("Ada", t, n * 40) for n, t in enumerate(totals)])
    assert (judge.mean.value, judge.spread.value) == (
        pytest.approx(statistics.fmean(totals)),
        pytest.approx(statistics.stdev(totals)),
    )
    slope = statistics.linear_regression([n * 40 / 365.25 for n in range(9)], totals).slope
    assert (judge.drift.value, judge.drift.count) == (pytest.approx(slope), 9)
    assert judge.panel == judge.distance
    assert (judge.panel.value, judge.panel.count) == (None, 0)


def test_distance_from_the_panel_is_from_the_others_on_the_same_beer():
    sheets = [
        s
        for n in range(8)
        for s in (scored("Ada", 36, n, f"b{n}"), scored("Bo", 30, n, f"b{n}"), scored("Cy", 33, n, f"b{n}"))
    ]
    by_name = {c.judge: c for c in calibrate(sheets)}
    assert (by_name["Ada"].panel.value, by_name["Bo"].panel.value, by_name["Cy"].panel.value) == (4.5, -4.5, 0)
    assert by_name["Bo"].distance.value == 4.5


def test_no_claim_from_fewer_than_eight():
    (judge,) = calibrate([scored("Ada", 30 + n, n * 30) for n in range(7)])
    assert {f.value for f in (judge.mean, judge.spread, judge.drift, judge.panel)} == {None}
    assert judge.mean.count == 7
    assert drift([(DAY, 30.0)] * 9).value is None  # all on one day


@pytest.mark.parametrize(("freedom", "published"), [(6, 2.447), (10, 2.228), (30, 2.042), (120, 1.980)])
def test_t_value_against_the_published_table(freedom, published):
    """NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2, two-sided 95%."""
    assert t_value(freedom) == pytest.approx(published, abs=0.01)


@pytest.mark.parametrize("sheets", [[], [0], [7, 8, 9], list(range(0, 20_000, 3)), [123_456]])
def test_bits_hold_exactly_their_sheets(sheets):
    bits = to_bits(sheets)
    assert list(members(bits)) == sheets
    assert all(has(to_bytes(bits), n) for n in sheets)
    assert not has(to_bytes(bits), 123_457)


def test_a_block_is_the_same_however_it_was_filled():
    block, bits = _pack(1 << 9), 1 << 9
    for number in [*range(0, 8192, 20), 9, 0, 8191]:
        block, bits = _with_one(block, number), bits | 1 << number
        assert _unpack(block) == bits
    assert bits.bit_count() > FEW and _pack(bits) == block


class Page(HTMLParser):
    """Collects what a page loads, and checks that its tags are closed."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.open, self.loads, self.words = [], [], []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.loads += [v for k, v in attrs if k in ("src", "href", "xlink:href") and not (v or "").startswith("#")]
        if tag not in ("meta", "br"):
            self.open.append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_startendtag(self, tag, attrs):
        self.loads += [v for k, v in attrs if k in ("src", "href", "xlink:href") and not (v or "").startswith("#")]

    def handle_data(self, data):
        self.words.append(data)


def report(archive: Archive, **given) -> str:
    pytest.importorskip("matplotlib")
    from notes2sheet.archive.report import make_report

    return make_report(archive, **given)


def test_the_page_is_whole_and_loads_nothing(bulk):
    text = report(bulk)
    page = Page(text)
    assert (page.open, page.loads) == ([], [])
    assert text.count("<svg ") >= 7
    assert "<script" not in text
    ids = re.findall(r'\bid="([^"]+)"', text)
    assert len(ids) == len(set(ids))
    used = set(re.findall(r'(?:url\(#|href="#)([^")]+)', text))
    assert used <= set(ids)


def test_a_page_of_few_sheets_claims_nothing(path, wrappers):
    with Archive(path, create=True) as archive:
        assert "<svg" not in report(archive)
        archive.add([make_record({**w, "judge": "Ada"}, "test") for w in wrappers[:7]])
        text = " ".join(Page(report(archive)).words)
    assert "mean total 3" not in text
    assert "n=7" in text and "mild" not in text and "strict" not in text


def test_names_cannot_become_markup(path, wrappers):
    hostile = 'Ann <script>alert("1")</script> & $x^2$ \x07'
    with Archive(path, create=True) as archive:
        archive.add([make_record({**w, "judge": hostile}, "test") for w in wrappers])
        text = report(archive, about=hostile)
    Page(text)
    assert "<script" not in text.lower() and "\x07" not in text
    assert "$x^2$" in text


def test_parts_are_shares_of_their_own_sheets_cap(path, wrappers):
    """Drinks of several sheets share a part's name and not its cap: full marks are full marks on each."""
    pytest.importorskip("matplotlib")
    from notes2sheet.archive.figures import read_figures

    def capped(wrapper: dict, cap: int) -> dict:
        sheet = wrapper["sheet"]
        aroma = {**sheet["categories"]["aroma"], "cap": cap, "score": float(cap)}
        return {**wrapper, "sheet": {**sheet, "categories": {**sheet["categories"], "aroma": aroma}}}

    with Archive(path, create=True) as archive:
        archive.add([make_record(capped(w, (12, 10)[at % 2]), "test") for at, w in enumerate(wrappers)])
        assert read_figures(archive).parts["aroma"] == ({10, 12}, Counter({1.0: len(wrappers)}))
        assert "Aroma /10 or 12" in report(archive)
