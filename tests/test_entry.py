"""The beer's name and its maker, as notes begin with them: tests/cases/entry.toml."""

import pytest
from frames import cases

from notes2sheet.drafting import draft_notes
from notes2sheet.named_judge import named_judge
from notes2sheet.pipeline import draft_sheet
from notes2sheet.readers import Notes


@pytest.mark.parametrize("case", cases("entry"))
def test_entry(case) -> None:
    entry = draft_sheet(case["said"]).entry
    wanted = {key: case[key] for key in ("name", "maker") if key in case}
    assert {key: getattr(entry, key) for key in wanted} == wanted


BLIND = """Sample four, and nobody tells us anything, which is how I like it. Brown porter, 13C. Deep ruby brown against
the lamp, clear enough, a tan head that stands for a minute and settles to a ring. Three for the looks. Aroma
gives me cocoa powder, a crust of brown bread, a little dried fig behind it, no hops to speak of. I'd like the
malt a touch louder so ten. In the mouth it's chocolate again and toast, bitterness moderate, finish dry with
a faint char, which is a bit sharp, two off, sixteen. Medium-light body, moderate carbonation, smooth, four.
Overall a tidy porter that I'd send through to the next table, eight."""
IDLE = (
    "While the steward counts the cups I will say that the fig is the part I keep going back to, and I liked it well. "
)


@pytest.mark.parametrize("case", cases("entry", "late"))
@pytest.mark.parametrize("later", [0, 9])
def test_a_beer_that_was_tasted_blind_is_named_at_the_end(case, later) -> None:
    entry = draft_sheet(f"{BLIND} {IDLE * later}{case['said']}").entry
    assert (entry.name, entry.maker) == (case["name"], case.get("maker"))


@pytest.mark.parametrize(
    ("said", "abv"),
    [
        ("Helles 4A, CO2 2.5 vol", None),
        ("Helles 4A, 2.5 volume of CO2", None),
        ("Helles 4A, carbonation at 2.5 vol, 5.1% ABV", 5.1),
        ("Helles 4A, 5.1 vol, nice carbonation", 5.1),
        ("Helles 4A, nice carbonation, 5.1 vol", 5.1),
        ("Helles 4A, 4.4-4.6% abv", None),
        ("Helles 4A, 4.4 – 4.6 % abv", None),
        ("Helles 4A, five to six percent", None),
        ("Helles 4A, five or six percent, and the label says 5.4 percent", 5.4),
        ("Helles 4A - 5.2% abv", 5.2),
        ("Helles 4A, batch 12 - 5.2% abv", 5.2),
        ("Helles 4A\nIBU: 14\nAlcohol by volume: 4.8", 4.8),
        ("Helles 4A, bitterness 18 IBU, alcohol 4.8%", 4.8),
        ("Helles 4A\nTaste - 9/10\nABV - 4.8%", 4.8),
        ("Helles 4A, a volume of 5 gallons in all", None),
        ("Helles 4A, OG 1.046, alcohol: 4.8", 4.8),
    ],
)
def test_the_strength_is_one_figure_of_alcohol(said, abv) -> None:
    assert draft_sheet(said).entry.abv == abv


@pytest.mark.parametrize("line", ["Judge: Wim Karrel", "**Judge:** Wim Karrel", "Judged by: Wim Karrel, table 2"])
def test_a_line_names_the_judge_who_is_neither_maker_nor_beer(line) -> None:
    text = f"{line}\nBeer: Tin Lantern\nStyle: 11B\nAppearance: amber 3/3\nAroma: caramel 10/12\n"
    ((_, sheet),) = draft_notes([Notes(text)], None, None, None)
    assert (sheet.entry.name, sheet.entry.maker, sheet.house.author) == ("Tin Lantern", None, "Wim Karrel")


@pytest.mark.parametrize("line", ["Judge: 3 points", "Judge: liked it a lot", "Beer: Judge"])
def test_other_lines_name_no_judge(line) -> None:
    assert named_judge(f"{line}\nAppearance: amber 3/3\n") is None
