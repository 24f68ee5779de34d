"""Running text cut anew where its words change their role, against the likeliest way found by trying all ways."""

from __future__ import annotations

from itertools import pairwise, product

import numpy as np
import pytest
from frames import notes
from hypothesis import given
from hypothesis import strategies as st

from notes2sheet.pipeline import read_notes
from notes2sheet.recut import CHANGE, LEAST, _changes, recut
from notes2sheet.word_odds import ROLES

RUNNING = " ".join("".join(c for c in notes().lower() if c.isalnum() or c in " '-\n").split())
SAID = "you want a tall white head on one of these and this one has gone before i could put the bottle down {} so on"


def reading_of(text: str, turns: dict[str, str]):
    """Running text whose words have a role that is sure, from each of the words `turns` on another one."""
    reading = read_notes(text, until="descriptors")
    reading.running, reading.flowing, role, rows = True, {(0, len(reading.words))}, "expect", []
    for word in reading.words:
        role = turns.get(word, role)
        rows.append([0.96 if one == role else 0.01 for one in ROLES])
    reading.word_odds = {"role": np.array(rows)}
    return reading


def cut(reading) -> list[str]:
    recut(reading)
    return [" ".join(reading.words[s.start : s.end]) for s in reading.sentences]


def test_a_sentence_begins_where_the_role_changes() -> None:
    found = cut(reading_of(SAID.format(""), {"and": "observe"}))
    assert any(one.startswith("and this one") for one in found) and any(one.endswith("of these") for one in found)


@pytest.mark.parametrize(
    "figure",
    [
        "two and a half",
        "ten out of twelve",
        "3 of 3",
        "take off two",
        "six percent",
        "i would have gone twelve",
        "another point and a half",
        "total thirty one",
    ],
)
def test_no_figure_is_cut(figure: str) -> None:
    inside = figure.split()[-1]
    found = cut(reading_of(SAID.format(figure), {"and": "observe", inside: "score"}))
    assert any(figure in one for one in found), found


def test_what_holds_stops_is_left_alone() -> None:
    reading = read_notes(notes(), until="context")
    before = [(s.start, s.end) for s in reading.sentences]
    recut(reading)
    assert not reading.running and [(s.start, s.end) for s in reading.sentences] == before


def test_every_word_and_every_descriptor_keeps_its_sentence() -> None:
    reading = read_notes(RUNNING, until="recut")
    bounds = [(s.start, s.end) for s in reading.sentences]
    assert reading.running and bounds[0][0] == 0 and bounds[-1][1] == len(reading.words)
    assert all(one[1] == other[0] for one, other in pairwise(bounds))
    assert reading.mentions and all(bounds[m.sentence][0] <= m.start < bounds[m.sentence][1] for m in reading.mentions)


def test_cutting_again_changes_nothing() -> None:
    reading = read_notes(RUNNING, until="recut")
    before = [(s.start, s.end) for s in reading.sentences]
    recut(reading)
    assert [(s.start, s.end) for s in reading.sentences] == before


@given(st.lists(st.lists(st.floats(0, 1), min_size=2, max_size=2), min_size=1, max_size=8))
def test_the_likeliest_way(rows: list[list[float]]) -> None:
    """Sums of logarithms less the cost of each change, as in Viterbi 1967 ('Error bounds for convolutional codes')."""
    odds = np.array(rows)

    def worth(way: tuple[int, ...]) -> float:
        own = sum(float(np.log(odds[at, role] + LEAST)) for at, role in enumerate(way))
        return own - CHANGE * sum(one != other for one, other in pairwise(way))

    best = max(worth(way) for way in product((0, 1), repeat=len(rows)))
    changes = _changes(odds, 0, len(rows))
    ways = [tuple((begin + sum(at >= change for change in changes)) % 2 for at in range(len(rows))) for begin in (0, 1)]
    assert max(worth(way) for way in ways) == pytest.approx(best)


@pytest.mark.parametrize(
    ("said", "levels"),
    [
        ("soft malty sweetness up front medium low bitterness", {"bitterness": "medium-low", "malty sweetness": None}),
        ("the hops are grassy i would say a little plum", {"plum": "low", "grassy": None}),
        ("caramel low bitterness is there", {"caramel": "low"}),
        ("the plum is medium low bitterness is there", {"plum": "medium-low"}),
    ],
)
def test_in_running_text_a_level_measures_what_it_stands_right_before(said: str, levels: dict[str, str | None]) -> None:
    reading = read_notes(RUNNING.replace("12", "") + f" tasting it now {said} so that goes on")
    last = [m for m in reading.mentions if reading.span(m.start, m.end)[0] >= len(RUNNING) - 20]
    told = {" ".join(reading.words[m.start : m.end]): m.level for m in last}
    assert {word: told[word] for word in levels} == levels
