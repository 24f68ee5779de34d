"""The styles' numbers against sources outside: bjcpy (2015 edition), and the published words for SRM."""

from __future__ import annotations

import re
import sys
import unicodedata
from pathlib import Path

import pytest

from notes2sheet.crib import make_crib
from notes2sheet.lexicon import load_lexicon
from notes2sheet.style_data import load_style, style_names

if sys.version_info >= (3, 11):
    import tomllib
else:
    import tomli as tomllib

CHANGED = tomllib.loads((Path(__file__).parent / "changed_2021.toml").read_text(encoding="utf-8"))
SLIPS = CHANGED.pop("slips")
RENAMED = {"english_barleywine": "17D", "trappist_single": "26A", "pale_kellerbier": "27-kellerbier"}
MERGED = {"amber_kellerbier"}  # one entry with the pale kind since 2021
# A gravity's upper end in the package is the end itself, one or two thousandths above it.
NEAR = {"og": 0.00101, "fg": 0.00101, "ibu": 0, "srm": 0, "abv": 0}
# SRM words of the 2021 guidelines' color table.
SRM_WORDS = {
    "straw": (2, 3), "yellow": (3, 4), "gold": (5, 6), "amber": (6, 9), "deep amber": (10, 14),
    "light copper": (10, 14),
    "copper": (14, 17), "deep copper": (17, 18), "light brown": (17, 18), "brown": (19, 22), "dark brown": (22, 30),
    "very dark brown": (30, 35),
}  # fmt: skip
# Styles whose published words reach beyond their published numbers (the words outrank them).
WORDS_REACH_FURTHER = {"17B", "20A", "21B-brown", "23B", "27-kentucky-common", "29D"}


def _slug(name: str) -> str:
    name = re.sub(r"^(Historical Beer|Specialty IPA): ", "", name)
    plain = "".join(c for c in unicodedata.normalize("NFKD", name) if not unicodedata.combining(c))
    return re.sub(r"[^a-z0-9]+", "_", plain.lower()).strip("_")


def _second_source() -> dict[str, dict[str, tuple[float, float]]]:
    """{code: {og, fg, ibu, srm, abv: (low, high)}} of the 2015 edition, out of the package's ranges of thousandths."""
    data = pytest.importorskip("bjcpy.style_data", reason="bjcpy, the second source, is not installed")
    codes = {_slug(entry["name"]): code for code, entry in style_names().items()} | RENAMED
    return {
        codes[name]: {key.lower(): (r.start / 1000, (r.stop - 1) / 1000) for key, r in numbers.items()}
        for name, numbers in data.dict_of_styles.items()
        if name not in MERGED
    }


def test_the_second_source_covers_its_hundred_styles():
    assert len(_second_source()) == 99


def test_numbers_equal_the_second_source_but_for_the_listed_changes():
    wrong = []
    for code, numbers in _second_source().items():
        listed = CHANGED.get(code, {}) | SLIPS.get(code, {})
        for key, old in numbers.items():
            ours = load_style(code).stats.get(key)
            same = ours and all(abs(a - b) <= NEAR[key] for a, b in zip(ours, old, strict=True))
            if same == (key in listed):
                wrong.append((code, key, ours, old, listed.get(key)))
            elif key in listed and tuple(listed[key]) != old:
                wrong.append((code, key, "the list has other old numbers", old, listed[key]))
    assert wrong == []


@pytest.mark.parametrize("word", SRM_WORDS)
def test_color_words_hold_their_published_srm(word):
    low, high = load_lexicon().terms[word].data["srm"]
    assert low <= SRM_WORDS[word][0] and SRM_WORDS[word][1] <= high
    assert high - low <= SRM_WORDS[word][1] - SRM_WORDS[word][0] + 3


@pytest.mark.parametrize("code", [c for c in style_names() if "srm" in load_style(c).stats])
def test_color_words_and_numbers_of_a_style_agree(code):
    style, terms = load_style(code), load_lexicon().terms
    wanted = style.expectation("appearance", "color").range
    if wanted is None:
        assert style.expectation("appearance", "color").more.get("varies")
        return
    (first, last), (low, high) = (terms[w].data["srm"] for w in wanted), style.stats["srm"]
    gaps = max(first[0] - low, low - first[1], 0), max(last[0] - high, high - last[1], 0)
    assert (gaps[0] <= 1.5 and gaps[1] <= 3) == (code not in WORDS_REACH_FURTHER), (wanted, style.stats["srm"])


@pytest.mark.parametrize(("code", "ebc"), [("5D", "4–8 EBC"), ("21A", "12–28 EBC"), ("20C", "59–79 EBC")])
def test_ebc_is_reckoned_from_srm(code, ebc):
    # EBC = 1.97 × SRM: 2–4, 6–14 and 30–40 SRM.
    assert ebc in make_crib(load_style(code)).stats
