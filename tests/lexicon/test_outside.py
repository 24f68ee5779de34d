"""The lexicon against published tables: tick list, flavor terminology, thresholds, colors; sources beside them."""

from __future__ import annotations

import pytest

from notes2sheet.lexicon import load_lexicon

LEXICON = load_lexicon()

# The 17 boxes of the BJCP Beer Scoresheet, undated; the last ones seen in a third-party reproduction only.
TICKS = (
    "acetaldehyde", "alcoholic", "astringent", "diacetyl", "dms", "estery", "grassy", "light-struck", "metallic",
    "musty", "oxidized", "phenolic", "solvent", "sour", "sulfur", "vegetal", "yeasty",
)  # fmt: skip

# Meilgaard, Dalgliesh, Clapperton, JIB 85:38, 1979; classes 1 to 3 were checked against a transcript of the wheel.
CHECKED = {
    "alcoholic": "0110", "solvent": "0120", "estery": "0130", "fruit": "0140", "acetaldehyde": "0150",
    "floral": "0160", "hops": "0170", "resin": "0210", "nutty": "0220", "grain": "0310", "malt": "0320",
    "worty": "0330",
}  # fmt: skip

# (lowest, highest figure, unit, sources that the lexicon must name). Ranges span the sources; None means "below".
MOLECULES, FOOD_QUALITY = "Molecules 24:1568, 2019", "J. Food Quality 8780725, 2018"
SHEETS = "flavor-standard sheets, 2013"
CARDS, SCAN = "study cards after Mosher, Tasting Beer, second-hand", "training-card scan"
THRESHOLDS = {
    "acetaldehyde": (1.1, 25, "mg/L", (MOLECULES, SCAN, FOOD_QUALITY)),
    "alcoholic": (50, 70, "mg/L", (MOLECULES,)),
    "diacetyl": (10, 200, "µg/L", (SHEETS, MOLECULES, FOOD_QUALITY)),
    "dms": (30, 50, "µg/L", (SHEETS,)),
    "isoamyl acetate": (0.03, 2.5, "mg/L", (MOLECULES,)),
    "solvent": (5, 50, "mg/L", (MOLECULES, FOOD_QUALITY)),
    "grassy": (0.35, 0.35, "mg/L", (FOOD_QUALITY,)),
    "light-struck": (1, 50, "ng/L", ("Goldstein, JASBC 51:70, 1993", CARDS)),
    "metallic": (0.05, 1.5, "mg/L", ("Van Mieghem, JASBC, 2022", "trade article")),
    "oxidized": (0.05, 0.25, "µg/L", ("Wang & Siebert, 1974", CARDS)),
    "clove phenol": (200, 1000, "µg/L", ("Oxford Companion to Beer", CARDS)),
    "chlorophenol": (None, 0.5, "µg/L", (CARDS,)),
    "brett phenol": (420, 420, "µg/L", (CARDS,)),
    "acetic": (90, 130, "mg/L", (SHEETS, SCAN)),
    "lactic sourness": (170, 400, "mg/L", ("trade article", "from memory")),
    "hydrogen sulfide": (None, 1, "µg/L", (CARDS,)),
    "mercaptan": (1, 1, "µg/L", ("from memory",)),
    "vegetal": (0.1, 0.1, "µg/L", ("Gijs, JAFC 48:6196, 2000",)),
    "isovaleric": (0.07, 1.5, "mg/L", (CARDS, "wiki review")),
    "butyric": (2, 3, "mg/L", ("from memory",)),
    "caprylic": (4.5, 4.5, "mg/L", ("JIB 1978",)),
    "catty": (15, 15, "ng/L", ("trade article",)),
    "worty": (0.6, 0.6, "mg/L", (FOOD_QUALITY,)),
}
NOTED = {
    "alcoholic": "isobutyl alcohol 100–175",
    "isoamyl acetate": "1–2.5",
    "grassy": "hexanal",
    "worty": "3-methylbutanal",
}

# SRM by color word: BJCP Guidelines 2015, Introduction to Beer Styles ("30+" and up to "40+" for black).
COLORS = {
    "straw": (2, 3), "yellow": (3, 4), "gold": (5, 6), "amber": (6, 9), "deep amber": (10, 14),
    "light copper": (10, 14), "copper": (14, 17), "deep copper": (17, 18), "light brown": (17, 18), "brown": (19, 22),
    "dark brown": (22, 30), "very dark brown": (30, 35), "black": (30, 40),
}  # fmt: skip


@pytest.mark.parametrize("tick", TICKS)
def test_every_ticked_flaw_is_there(tick: str) -> None:
    assert tick in {flaw.flaw for flaw in LEXICON.flaws.values()}
    assert LEXICON.flaws[tick].data["said"]


def test_all_flaws_of_the_table_are_there() -> None:
    assert THRESHOLDS.keys() | set(TICKS) | {"medicinal", "autolysed"} <= LEXICON.flaws.keys()


@pytest.mark.parametrize("name", CHECKED)
def test_checked_wheel_numbers(name: str) -> None:
    data = (LEXICON.flaws.get(name) or LEXICON.terms[name]).data
    assert data["wheel"] == CHECKED[name] and "wheel_source" not in data


def test_wheel_numbers_beyond_the_checked_classes_say_so() -> None:
    numbered = [t for t in (*LEXICON.terms.values(), *LEXICON.flaws.values()) if "wheel" in t.data]
    unsure = {t.name for t in numbered if int(t.data["wheel"][:2]) > 3 and t.data.get("wheel_source") != "from memory"}
    assert len(numbered) > 80 and unsure == set()


@pytest.mark.parametrize("name", THRESHOLDS)
def test_threshold_is_the_published_one(name: str) -> None:
    low, high, unit, sources = THRESHOLDS[name]
    threshold = LEXICON.flaws[name].data["threshold"]
    assert (threshold.get("low"), threshold["high"], threshold["unit"]) == (low, high, unit)
    assert all(source in threshold["source"] for source in sources), threshold["source"]
    assert NOTED.get(name, "") in threshold.get("note", "")


@pytest.mark.parametrize("name", sorted(LEXICON.flaws.keys() - THRESHOLDS.keys()))
def test_no_figure_without_a_source(name: str) -> None:
    """What no table gives a figure for has none here, and says why."""
    data = LEXICON.flaws[name].data
    assert "threshold" not in data and len(data["no_threshold"]) > 10


@pytest.mark.parametrize("name", COLORS)
def test_color_words_have_the_published_srm(name: str) -> None:
    term = LEXICON.terms[name]
    assert term.kind == "color" and tuple(term.data["srm"]) == COLORS[name]


def test_named_colors_darken_with_srm() -> None:
    """On a screen each step of the scale is darker than the one before."""

    def light(term) -> float:
        red, green, blue = (int(term.data["srgb"][k : k + 2], 16) for k in (1, 3, 5))
        return 0.2126 * red + 0.7152 * green + 0.0722 * blue

    scale = [LEXICON.terms[name] for name in ("straw", "gold", "amber", "copper", "brown", "dark brown", "black")]
    lights = [light(term) for term in scale]
    assert lights == sorted(lights, reverse=True) and lights[0] > 180 and lights[-1] < 40
