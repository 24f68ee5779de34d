"""The shipped lexicon: sound, deep enough, and read back from a word as people say it."""

from __future__ import annotations

from collections import Counter

import pytest

from notes2sheet.lexicon import load_lexicon, read_toml, shipped
from notes2sheet.lexicon_check import check_lexicon
from notes2sheet.pipeline import read_notes
from notes2sheet.words import phrase_words, split_list

LEXICON = load_lexicon()
TERMS = [*LEXICON.terms.values(), *LEXICON.flaws.values()]


def test_shipped_lexicon_is_sound() -> None:
    assert check_lexicon() == []


def test_depth() -> None:
    """The depth that the lexicon promises; forms made by rule are not counted."""
    lists = [term.data.get(how, "") for term in TERMS for how in ("said", "maybe")]
    phrases = {phrase_words(phrase) for text in lists for phrase in split_list(text)}
    assert len(LEXICON.terms) >= 900 and len(phrases) >= 4500 and len(LEXICON.flaws) >= 30
    paths = (shipped() / "ingredients").glob("*.toml")
    ingredients = [entry for path in paths for entry in read_toml(path).values()]
    kinds = Counter(entry["kind"] for entry in ingredients)
    assert kinds["hop"] >= 60 and kinds["malt"] + kinds["adjunct"] >= 30 and kinds["yeast"] >= 12
    assert all(entry["words"] for entry in ingredients)


@pytest.mark.parametrize(
    "said, flaw",
    [
        ("tinned sweetcorn", "dms"), ("buttered popcorn", "diacetyl"), ("band-aid", "phenolic"),
        ("a Band Aid", "phenolic"), ("wet newspaper", "oxidized"), ("struck match", "sulfur"),
        ("baby sick", "butyric"), ("nail varnish", "solvent"), ("cat pee", "catty"),
        ("old pennies", "metallic"), ("soy sauce", "autolysed"), ("drains", "sulfur"),
    ],
)  # fmt: skip
def test_plain_names_of_flaws(said: str, flaw: str) -> None:
    reading = read_notes(f"I smell {said} in it.", until="descriptors")
    assert [mention.flaw for mention in reading.mentions] == [flaw]


@pytest.mark.parametrize(
    "said, term",
    [
        ("honeyed", "honey"), ("honey-like", "honey"), ("grapefruity", "grapefruit"), ("breads", "bread"),
        ("bready", "bread"), ("nuttier", "nutty"), ("sulphury", "sulfur"), ("mouldy", "musty"),
        ("flavour of caramel", "caramel"), ("berries", "berry"),
    ],
)  # fmt: skip
def test_spellings_and_forms_made_by_rule(said: str, term: str) -> None:
    reading = read_notes(f"I get {said} here.", until="descriptors")
    assert [mention.term.name for mention in reading.mentions] == [term]


@pytest.mark.parametrize(
    "said",
    [
        "He stands there and the rain falls until the end.", "My brother took the line home.",
        "It is a matter of time.", "The dust has settled and the drive was long.",
        "That bloody kettle went down the drain.", "Number four of six.",
        "There is a reason why we have a pair of them.", "He remains firm and holds on to his hat.",
        "I fell off the barrel.",
    ],
)  # fmt: skip
def test_ordinary_talk_has_no_descriptor(said: str) -> None:
    assert [mention.term.name for mention in read_notes(said, until="descriptors").mentions] == []


def test_broader_terms_lead_upward() -> None:
    from notes2sheet.style_data import kin

    assert kin(LEXICON.terms["grapefruit"], LEXICON)[:2] == ["grapefruit", "citrus"]
    assert kin(LEXICON.terms["pink grapefruit"], LEXICON)[:3] == ["pink grapefruit", "grapefruit", "citrus"]
