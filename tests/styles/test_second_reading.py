"""What twenty styles demand, against the table of a second reading of the published text."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from notes2sheet.style_data import load_style
from notes2sheet.words import split_list

if sys.version_info >= (3, 11):
    import tomllib
else:
    import tomli as tomllib

TABLE = tomllib.loads((Path(__file__).parent / "required_terms.toml").read_text(encoding="utf-8"))


def test_the_table_has_twenty_styles():
    assert len(TABLE) == 20


@pytest.mark.parametrize("code", TABLE)
def test_required_terms_are_those_of_the_second_reading(code):
    aspects = load_style(code).aspects
    required = {
        f"{category}.{aspect}": {wanted.term for wanted in wants.required}
        for category, entries in aspects.items()
        for aspect, wants in entries.items()
        if wants.required
    }
    assert required == {key: set(split_list(terms)) for key, terms in TABLE[code].items()}
