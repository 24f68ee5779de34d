"""What a comment, its flags and the tips to the brewer say of one line of notes."""

from __future__ import annotations

import pytest
from frames import cases
from test_certain import TYPED

from notes2sheet.pipeline import draft_sheet


def sheet(part: str, said: str):
    """Typed notes of a best bitter with one line exchanged."""
    lines = [f"{name}: {text}" for name, text in (TYPED | {part: said}).items()]
    return draft_sheet("\n".join(['Best Bitter 11B, "Tin Lantern"', *lines]))


@pytest.mark.parametrize("case", cases("comments"))
def test_comment_flags_and_tips(case) -> None:
    part = case["part"].lower()
    drafted = sheet(case["part"], case["said"])
    category = drafted.categories[part]
    assert category.comment == case.get("comment", category.comment)
    assert all(piece in category.comment for piece in case.get("has", ())), category.comment
    assert not any(piece in category.comment for piece in case.get("lacks", ())), category.comment
    messages = [flag.message for flag in drafted.flags if flag.category == part]
    assert not any(words in message for words in case.get("silent", ()) for message in messages), messages
    assert all(any(words in message for message in messages) for words in case.get("flags", ())), messages
    assert bool(drafted.suggestions) is case.get("tips", bool(drafted.suggestions))
    assert len(category.lost) == case.get("lost", len(category.lost))
    reasons = [drafted.quote(span) for span in category.reasons]
    assert reasons == case.get("reasons", reasons)


@pytest.mark.parametrize(
    ("notes", "name", "maker"),
    [
        ("Heute ein Helles. Farbe hellgelb, klar, feiner Schaum. 3. Geruch malzig, etwas Butter. 9.", None, None),
        ("Bière blonde, robe dorée, mousse blanche. 3. Nez malté, léger beurre. 9. Bouche sèche. 16.", None, None),
        ('Birra chiara "Luna Storta". Colore oro, schiuma bianca, 3. Aroma di malto e miele, 9.', "Luna Storta", None),
        (
            "Helles der Brauerei Steinbach. Farbe hellgelb, klar, feiner Schaum. 3. Geruch malzig, etwas Butter.",
            None,
            "Brauerei Steinbach",
        ),
    ],
)
def test_notes_in_another_language_name_only_what_is_plainly_a_name(notes: str, name, maker) -> None:
    drafted = draft_sheet(notes)
    assert "not-english" in {flag.code for flag in drafted.flags}
    assert (drafted.entry.name, drafted.entry.maker) == (name, maker)


def test_a_label_in_another_language_names_no_beer() -> None:
    assert draft_sheet("Weissbier 10A - Wolkenbank\nFarbe/Appearance: pale gold. 3").entry.name == "Wolkenbank"


def test_no_band_begins_at_the_total_of_the_sheet() -> None:
    drafted = draft_sheet("Best bitter 11B. Amber, clear, 3. thirty-seven is left from fifty very good they call it")
    assert "bands-differ" not in {flag.code for flag in drafted.flags}


def test_a_reason_that_the_next_line_tells_is_shown_with_its_deduction() -> None:
    lines = ["best bitter eleven b its amber", "three for appearance", "on the nose medium caramel", "no butter"]
    lines += ["nine on the aroma three off since", "the hops are shy and i wanted more", "taste is toffee sixteen"]
    (lost,) = draft_sheet("\n".join(lines)).categories["aroma"].lost
    assert lost.points == 3 and lost.reason.endswith("three off since the hops are shy and i wanted more")


def test_in_captions_each_loss_has_its_own_words() -> None:
    """The words of a loss end where the next one begins, or where what is left is told."""
    lines = [
        "sample four of the club night it's a helles and i'm judging it as munich helles four a",
        "what i've got here is pale gold and there's a slight haze to it the head was white and it fell in a minute",
        "so i'm going to take half a point for the haze and half for the head that's two out of three",
        "on the nose i get the grainy malt and a bit of bread crust so nine out of twelve for that",
    ]
    lost = draft_sheet("\n".join(lines)).categories["appearance"].lost
    assert [one.points for one in lost] == [0.5, 0.5]
    assert lost[1].reason == "half for the head"


@pytest.mark.parametrize(
    ("said", "told"),
    [
        (
            "That's four lost, three for the corn, one for the sulfur, so eight.",
            ["three for the corn", "one for the sulfur"],
        ),
        ("Four off. Three for the corn, one for the sulfur. Eight.", ["Three for the corn", "one for the sulfur"]),
        ("Minus 4 (3 for corn, 1 for sulfur). 8", ["3 for corn", "1 for sulfur"]),
        ("Four off: two for the corn, one for the sulfur. Eight.", ["Four off: two for the corn, one for the sulfur"]),
    ],
)
def test_a_loss_told_item_by_item_is_shown_so_where_the_items_add_up(said: str, told: list[str]) -> None:
    made = draft_sheet(
        f"Dunmore Helles.\nAroma: bready malt, cooked corn and some sulfur. {said}\nMouthfeel medium, 4."
    )
    assert made.categories["aroma"].score == 8
    assert [lost.reason for lost in made.categories["aroma"].lost] == told


LOOKED_AT = (
    "it's a schwarzbier eight b\nit's dark brown and clear\nthat is three\nthe nose is bread and cocoa\nnine there\n"
)
TASTED = "it tastes of bread and is dry\nfifteen for flavor\nbody is medium\nfour there\n"


@pytest.mark.parametrize(
    ("lines", "comment"),
    [
        ("overall i think this is a lovely\nschwarzbier with good malt\nseven", "this is a lovely schwarzbier with"),
        ("overall it's good but the brewer did not wash the\ntank well this time\nseven", "did not wash the tank well"),
        ("overall it is easy\nto drink and well made\nseven", "easy to drink and well made"),
        ("overall it is a decent dark lager\nthe smoke lets it down\nseven", "lager. The smoke lets it down."),
    ],
)
def test_lines_of_captions_that_go_on_are_one_sentence(lines: str, comment: str) -> None:
    assert comment in draft_sheet(LOOKED_AT + TASTED + lines).categories["overall"].comment


def test_words_that_only_lead_to_what_is_left_out_are_left_out_too() -> None:
    lines = "overall it's refreshing and clean\nbut as a judge\ni have to say\nseven"
    comment = draft_sheet(LOOKED_AT + TASTED + lines).categories["overall"].comment
    assert comment.startswith("It's refreshing") and "judge" not in comment and "to say" not in comment


def test_words_that_only_begin_a_clause_are_left_out_and_what_leads_on_is_joined() -> None:
    lines = "overall it's refreshing\nbut as a judge\ni have to say\nit's not really a schwarzbier it's\nfive of ten"
    comment = draft_sheet(LOOKED_AT + TASTED + lines).categories["overall"].comment
    assert comment.endswith("But as a judge i have to say it's not really a schwarzbier.")
