"""Number words and figures to exact decimals, keyed by value."""

from __future__ import annotations

from decimal import Decimal

import pytest
from frames import HERE
from hypothesis import given, settings
from hypothesis import strategies as st

from notes2sheet.lexicon import read_toml
from notes2sheet.numbers import Number, misheard_unit, number_at, number_before
from notes2sheet.pipeline import read_notes

TABLE = read_toml(HERE / "cases" / "numbers.toml")


def param(said: str, *values: object):
    gap = TABLE["gaps"].get(said)
    marks = [pytest.mark.xfail(reason=gap, strict=True)] if gap else []
    return pytest.param(said, *values, id=said or "nothing", marks=marks)


def found(text: str):
    """(the words of the notes, Number) for every number in them."""
    reading = read_notes(text, until="numbers")
    return [(text[slice(*reading.span(n.start, n.end))], n) for n in reading.numbers]


@pytest.mark.parametrize(("said", "value"), [param(s, v) for v, all_said in TABLE["value"].items() for s in all_said])
def test_said_to_value(said: str, value: str) -> None:
    """Alone and inside a sentence, the words are one number of this value."""
    for text in (said, f"I think {said} here"):
        numbers = found(text)
        assert [n.value for _, n in numbers] == [Decimal(value)]
        words, number = numbers[0]
        assert words == said.removeprefix("a ") and number.over is None
        assert number.spelled is words[0].isalpha() and number.heard is False


@pytest.mark.parametrize(("said", "pair"), [param(s, p) for s, p in TABLE["ratio"].items()])
def test_a_slash_holds_value_and_cap(said: str, pair: list[str]) -> None:
    ((words, number),) = found(f"aroma {said}")
    assert (words, number.value, number.over) == (said, Decimal(pair[0]), Decimal(pair[1]))


@pytest.mark.parametrize("said", [param(s) for s in TABLE["never"]["said"]])
def test_no_number(said: str) -> None:
    assert found(said) == []


@pytest.mark.parametrize(("said", "values"), [param(s, v) for s, v in TABLE["several"].items()])
def test_several_in_order(said: str, values: list[str]) -> None:
    assert [n.value for _, n in found(said)] == [Decimal(v) for v in values]


@pytest.mark.parametrize(("said", "value"), TABLE["heard"].items())
def test_misheard_numbers_are_admitted_on_request_and_marked(said: str, value: str) -> None:
    words = said.split()
    number = number_at(words, 0, heard=True)
    assert number == Number(0, len(words), Decimal(value), spelled=True, heard=True)
    assert number_at(words, 0) is None


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 50), st.sampled_from(["", "½", "¼", ".5", ".25", ".0"]))
def test_written_figures_keep_their_value(whole: int, rest: str) -> None:
    value = whole + {"": 0, "½": 0.5, "¼": 0.25, ".5": 0.5, ".25": 0.25, ".0": 0}[rest]
    assert [float(n.value) for _, n in found(f"I say {whole}{rest} now")] == [value]


@pytest.mark.parametrize(
    ("said", "value", "count"),
    [
        ("seven in a half", "7.5", 4),
        ("seven and a calf", "7.5", 4),
        ("seven an a half", "7.5", 4),
        ("seven n half", "7.5", 3),
        ("seven and one half", "7.5", 4),
        ("seven and one quarter", "7.25", 4),
        ("seven and three quarter", "7.75", 4),
        ("seven and a third", "7.333", 4),
        ("seven & 1/2", "7.5", 3),
        ("7 1/2", "7.5", 2),
        ("7 ½", "7.5", 2),
        ("seven and a bit", "7", 1),
        ("seven in a row", "7", 1),
        ("one 0.5", "1", 1),
        ("one .5", "1", 1),
        ("seven and", "7", 1),
        ("seven 1", "7", 1),
        ("seven 3/2", "7", 1),
    ],
)
def test_what_is_added_to_a_whole_number(said: str, value: str, count: int) -> None:
    number = number_at([*said.split(), "here"], 0)
    assert (number.value, number.start, number.end) == (Decimal(value), 0, count)


@pytest.mark.parametrize(
    ("said", "value", "count"),
    [
        ("seven teen", "17", 2),
        ("nine steen", "19", 2),
        ("four teen", "14", 2),
        ("three teen", "3", 1),
        ("ten teen", "10", 1),
    ],
)
def test_a_teen_in_two_words(said: str, value: str, count: int) -> None:
    number = number_at(said.split(), 0)
    assert (number.value, number.end, number.spelled) == (Decimal(value), count, True)


@pytest.mark.parametrize(
    ("said", "value", "count", "heard"),
    [
        ("forty too and a half", "42.5", 5, True),
        ("forty ate out of fifty", "48", 2, True),
        ("forty too good", "40", 1, False),
        ("four too and a half", "4", 1, False),
        ("forty too out there", "40", 1, False),
        ("forty too", "40", 1, False),
    ],
)
def test_a_unit_that_was_misheard_behind_a_ten(said: str, value: str, count: int, heard: bool) -> None:
    number = number_at(said.split(), 0)
    assert (number.value, number.end, number.heard) == (Decimal(value), count, heard)


@pytest.mark.parametrize(
    ("word", "value"), [("ate", "8"), ("too", "2"), ("for", "4"), ("eight", None), ("bread", None)]
)
def test_the_unit_that_a_word_is_misheard_for(word: str, value: str | None) -> None:
    assert misheard_unit(word) == (None if value is None else Decimal(value))


def test_a_number_before_a_word() -> None:
    words = ["so", "twenty", "one", "and", "a", "half", "then", "ate"]
    assert number_before(words, 1, 7) == Number(1, 6, Decimal("21.5"), True)
    assert number_before(words, 1, 3) == Number(1, 3, Decimal(21), True)
    assert number_before(words, 1, 2) == Number(1, 2, Decimal(20), True)
    assert (
        number_before(words, 0, 7) is None and number_before(words, 3, 3) is None and number_before(words, 8, 3) is None
    )
    assert number_before(words, 7, 8) is None
    assert number_before(words, 7, 8, heard=True) == Number(7, 8, Decimal(8), True, None, True)
