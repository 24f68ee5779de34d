"""A term explained on the command line, and the tool's hedged advice for the flaws on a sheet."""

from __future__ import annotations

import pytest
import typer
from typer.testing import CliRunner

from notes2sheet.advice import MARK, advice
from notes2sheet.cli_lexicon import lexicon
from notes2sheet.errors import UnknownName
from notes2sheet.explain import explain
from notes2sheet.lexicon import load_lexicon
from notes2sheet.pipeline import draft_sheet
from notes2sheet.words import capitals, split_list

LEXICON = load_lexicon()


def flat(said: str) -> str:
    """The explanation on one line, line breaks and indents as single spaces."""
    return " ".join(explain(said, LEXICON).split())


def run(*args: str):
    app = typer.Typer()
    app.command()(lexicon)
    return CliRunner().invoke(app, list(args), catch_exceptions=False)


@pytest.mark.parametrize(
    "said, wanted",
    [
        ("grapefruit", ("grapefruit (descriptor, citrus)", "belongs to hops; in aroma, flavor", "broader citrus")),
        ("grapefruity", ("grapefruit (descriptor", "people say 'grapefruity'")),
        ("citrus", ("narrower", "grapefruit")),
        ("bone dry", ("level very high, by the word itself", "in flavor")),
        ("amber", ("SRM 6 to 9", "#")),
        ("diacetyl", ("2,3-butanedione", "10 to 200 µg/L", "Molecules 24:1568", "twenty times", "Perhaps", "0620")),
        ("wet newspaper", ("oxidized (off-flavor", "people say 'wet newspaper'")),
        ("chlorophenol", ("below 0.5 µg/L",)),
        ("musty", ("threshold published figures are a few ng/L",)),
        ("sherry", ("sherry (descriptor", "oxidized (off-flavor", "may be meant by", "which A welcome mark of age")),
        ("sour", ("sour (descriptor", "sour (off-flavor")),
        ("die acetal", ("diacetyl (off-flavor", "is misheard as 'die acetal'")),
        ("long", ("long finish (descriptor", "is meant, near its noun, by 'long'")),
        ("Cascade", ("cascade (ingredient, hop", "no descriptor", "grapefruit")),
    ],
)
def test_explanation(said: str, wanted: tuple[str, ...]) -> None:
    text = flat(said)
    assert [part for part in wanted if part not in text] == []


def test_every_term_can_be_explained() -> None:
    told = {term: explain(term, LEXICON) for term in (*LEXICON.terms, *LEXICON.flaws)}
    assert len(told) > 900
    assert [term for term, text in told.items() if f"{term} (" not in text or "belongs to" not in text] == []
    adjectives = [w for t in LEXICON.terms.values() for w in split_list(t.data.get("adjectives", ""))]
    assert adjectives and all("(descriptor" in explain(word, LEXICON) for word in adjectives)
    assert [term for term, text in told.items() if max(map(len, text.splitlines())) > 100] == []


@pytest.mark.parametrize(
    "said, near", [("diacytl", "diacetyl"), ("grapefriut", "grapefruit"), ("astringant", "astringent")]
)
def test_near_misses(said: str, near: str) -> None:
    with pytest.raises(UnknownName) as error:
        explain(said, LEXICON)
    assert near in error.value.hint
    result = run(said)
    assert result.exit_code == 2 and near in result.stderr and len(result.stderr.splitlines()) == 1


def test_words_of_a_term_need_no_quotes() -> None:
    assert run("wet", "newspaper").stdout == run("wet newspaper").stdout != ""


@pytest.mark.parametrize("args", [(), ("toffee", "--check", ".")])
def test_either_a_term_or_a_folder(args: tuple[str, ...]) -> None:
    assert run(*args).exit_code == 2


def test_advice_is_marked_hedged_and_for_what_is_present_only() -> None:
    sheet = draft_sheet(
        "Aroma: low rotten eggs, high nail varnish, no diacetyl. Flavor: medium nail varnish, medium caramel.", "1A"
    )
    lines = advice(sheet)
    assert [line.split(":")[0] for line in lines] == [f"{MARK} (hydrogen sulfide)", f"{MARK} (solvent)"]
    assert all("Perhaps" in line for line in lines)


@pytest.mark.parametrize("flaw", LEXICON.flaws.values(), ids=lambda flaw: flaw.name)
def test_every_flaw_has_hedged_advice(flaw) -> None:
    assert advice([flaw.name]) == [f"{MARK} ({capitals(flaw.name)}): {flaw.data['advice']}"]
    assert flaw.data["advice"].startswith("Perhaps ") and advice([flaw.flaw])


def test_advice_for_no_flaw() -> None:
    assert advice([]) == []
    with pytest.raises(UnknownName):
        advice(["grapefruit"])
