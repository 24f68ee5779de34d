"""The thresholds for near names hold what THRESHOLDS.md says of them."""

from __future__ import annotations

import sys
from pathlib import Path

from rapidfuzz import fuzz

from notes2sheet.errors import UnknownName
from notes2sheet.style_data import resolve_style

sys.path.insert(0, str(Path(__file__).parent))
from thresholds import detection_hits, said_names, suggestion_rates, typos, window_scores  # noqa: E402


def test_suggestions_at_80_hit_and_stay_quiet():
    garbled, slips, others = suggestion_rates(said_names(), fuzz.ratio, 80, step=10)
    assert garbled >= 0.7 and slips >= 0.95 and others <= 0.04


def test_a_near_name_in_notes_at_90_raises_no_false_alarm():
    assert detection_hits(90) >= 0.35
    assert [window for window in window_scores(notes=12) if window[0] >= 90] == []


def _suggested(said: str) -> str:
    try:
        return f"{resolve_style(said)} "  # the slip is itself a name of a style
    except UnknownName as refused:
        return refused.hint


def test_slips_are_refused_with_the_right_suggestion():
    right = sum(f"{code} " in _suggested(said) for said, code in typos())
    assert right >= 0.95 * len(typos())
