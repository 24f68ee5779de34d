"""Lines of a recipe among typed notes, which are neither findings nor scores nor names."""

from __future__ import annotations

import pytest

from notes2sheet.pipeline import draft_sheet, read_notes
from notes2sheet.recipe import recipe_words

TASTED = "Appearance: copper, hazy, a low white head.\nAroma: toffee and orange.\nFlavor: caramel, a dry finish. 14/20"


def words_of(text: str) -> list[str]:
    reading = read_notes(text, until="numbers")
    return [reading.words[k] for k in sorted(recipe_words(reading))]


@pytest.mark.parametrize(
    "lines",
    [
        "6lb (92%) Maris Otter\n0.25 lb crystal malt",
        "- 92.3% - 8.0 lbs. pale malt\n- 0.75 lbs. smoked malt",
        "OG: 1.048\nFG - 1.011",
        "Original Gravity: 1.048\n\nMalt bill:\n4 lbs 8.0 oz Munich malt 45.0 %",
        "1 oz Saaz @ 60 min\nWyeast 1469",
        "IBU: 24\nMash: 152 F\nEfficiency: 70%",
        "Color: 32 SRM\nBitterness: 24.2 IBUs",
        "150°F, mash 60 min\nVery soft tap water\n2 g gypsum in the mash",
    ],
)
def test_a_recipe_gives_no_finding_no_score_and_no_name(lines: str) -> None:
    assert len(words_of(f"{lines}\n\n{TASTED}")) >= len(lines.split()) - 4
    for text in (f"{lines}\n\n{TASTED}", f"{TASTED}\n\n{lines}"):
        sheet = draft_sheet(text)
        found = {name: part.score for name, part in sheet.categories.items()}
        assert found == {"appearance": None, "aroma": None, "flavor": 14, "mouthfeel": None, "overall": None}
        assert all(not part.lost for part in sheet.categories.values()) and sheet.entry.name is None
        start = text.index(lines)
        inside = [d for d in sheet.descriptors if start <= d.span[0] < start + len(lines)]
        assert all(d.state == "mentioned" for d in inside)


@pytest.mark.parametrize(
    "lines",
    [
        "12 oz bottle, poured cold\n12 oz can, poured cold",  # how it is served
        "Malt: 6/10\nHops: 3/10\nYeast: 2/10",  # how much there is
        "Color: 3\nBitterness: 6\nMalt: 5",
        "ABV: 5%",  # one line alone
        "2 oz of it foamed over.",
        "Appearance: 2/3\nAroma: 9/12",
        "Head: 2 fingers, white\nCarbonation: medium",
        "100% toffee here\n50% of it is caramel",
    ],
)
def test_other_lines_with_figures_are_no_recipe(lines: str) -> None:
    assert words_of(f"{lines}\n\n{TASTED}") == []
    assert words_of(TASTED) == []
