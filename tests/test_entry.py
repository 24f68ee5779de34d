"""The beer's name and its maker, as notes begin with them: tests/cases/entry.toml."""

import pytest
from frames import cases

from notes2sheet.pipeline import draft_sheet


@pytest.mark.parametrize("case", cases("entry"))
def test_entry(case) -> None:
    entry = draft_sheet(case["said"]).entry
    wanted = {key: case[key] for key in ("name", "maker") if key in case}
    assert {key: getattr(entry, key) for key in wanted} == wanted
