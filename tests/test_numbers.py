"""Number words and figures to exact decimals, keyed by value."""

from __future__ import annotations

from decimal import Decimal

import pytest
from frames import HERE
from hypothesis import given, settings
from hypothesis import strategies as st

from notes2sheet.lexicon import read_toml
from notes2sheet.numbers import Number, number_at
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
