"""Several beers in one recording: where one ends and the next begins, and what the commands make of it."""

import csv
import io
import json
import random
from pathlib import Path

import pytest
from accuracy.marked import read
from accuracy.score import bare
from typer.testing import CliRunner

from notes2sheet.cli import app
from notes2sheet.drafting import draft_file, draft_notes, split_entries
from notes2sheet.errors import Notes2SheetError
from notes2sheet.readers import Notes
from notes2sheet.review.desk import open_desk

FOLDER = Path(__file__).parent / "accuracy"
TALKS = [read(path) for folder in ("dev", "own") for path in sorted(FOLDER.glob(f"{folder}/*.marked.txt"))]
GOING_ON = ("Right, next beer.", "Okay, on to the second one.", "Moving on to entry two.", "Now the next one.")
TWO = """This is Copper Gate from Slow Mill, a Munich Helles, 4A.
Looks first. It's gold and clear with a white head. Three out of three.
On the nose I get bread, low floral hops, no diacetyl. Ten out of twelve.
Taste, medium bread, low bitterness, clean. Sixteen out of twenty.
Mouthfeel, medium body, medium carbonation. Four out of five.
Overall a good one. Eight out of ten. That makes forty-one.
Right, next beer. This one is Brass Owl from Thin Lane, it's an American IPA, 21A.
Appearance: hazy amber, off-white head. Two out of three.
Aroma: strong grapefruit and pine. Eleven out of twelve.
Flavor: strong bitterness, grapefruit, caramel. Seventeen out of twenty.
Mouthfeel: medium body, a bit of warmth. Four out of five.
Overall nine out of ten. Forty-three in all.
"""

FIRST = (
    "{} Appearance amber, clear, white head, three. Aroma caramel low, earthy hops low, ten. Flavor toffee, bitterness "
    "medium, dry finish, sixteen. Mouthfeel medium body, medium carbonation, four. Overall good, seven."
)
SECOND = (
    "{} Appearance straw, hazy, white head, two. Aroma banana high, nine. Flavor bready, low bitterness, fifteen. "
    "Mouthfeel fluffy, three. Overall ok, six."
)
ANNOUNCED = [
    ("First beer, a best bitter, 11B.", "And the last one, a weissbier, 10A."),
    ("First beer, entry 301, a best bitter, 11B.", "Next beer, entry 302, a weissbier, 10A."),
    ("Beer one, best bitter 11B.", "Beer two, weissbier 10A."),
    ("Beer number one: Tin Lantern, best bitter 11B.", "Beer number two: Loud Duck, weissbier 10A."),
    ("Entry 301, best bitter 11B.", "Entry 302, weissbier 10A."),
    ("Entry 301\nBest bitter 11B\n", "Entry 302\nWeissbier 10A\n"),
    ("Sample 1: best bitter 11B.", "Sample 2: weissbier 10A."),
    ("Glass one, best bitter 11B.", "Glass two, weissbier 10A."),
    ("#1 best bitter 11B.", "#2 weissbier 10A."),
    ("1. Best bitter 11B.", "2. Weissbier 10A."),
    ("Best bitter, 11B, Tin Lantern.", "---\n10A Weissbier, Loud Duck."),
    ("# Tin Lantern, best bitter 11B\n", "# Loud Duck, weissbier 10A\n"),
    ("This is Tin Lantern, a best bitter, 11B.", "This is Loud Duck, a weissbier, 10A."),
    ("Okay, best bitter, 11B.", "Okay, moving on. Weissbier, 10A."),
    ("Best bitter 11B.", "Next up, weissbier 10A."),
    ("Best bitter 11B.", "On to the second, a weissbier 10A."),
]
TYPED = """Beer: Tin Lantern
Style: 11B
Appearance: amber, clear, white head. 3/3
Aroma: medium caramel, low hops, low esters. 10/12
Flavor: toffee, low hops, medium bitterness, even balance, dry finish. 16/20
Mouthfeel: medium body, medium carbonation, no warmth. 4/5
Overall: good pub beer. 7/10
Total: 40/50
"""
TYPED_TWO = TYPED.replace("Tin Lantern", "Loud Duck").replace("11B", "10A")
ALONE = FIRST.format("Best bitter, 11B.")
ONE_BEER = [
    "1. Appearance amber, clear, white head. 3\n2. Aroma caramel low, earthy hops low. 10\n3. Flavor toffee, dry. 16\n"
    "4. Mouthfeel medium body. 4\n5. Overall good. 7\n",
    f"Table 3, entry 14, second bottle. {ALONE}",
    f"Entry 301. Poured from bottle 1, then bottle 2, because bottle 1 was flat. {ALONE}",
    f"{ALONE} So reading it back: appearance three, aroma ten, flavor sixteen, mouthfeel four, overall seven. Forty.",
    f"{ALONE} Okay, on to the scores once more. Number one, appearance, three. Number two, aroma, ten. Number three, "
    "flavor, sixteen. Number four, mouthfeel, four. Number five, overall, seven.",
    f"{ALONE} The next one in the flight was a weissbier with banana and clove, pale and hazy, sweet and fluffy, I'd "
    "have given that nine for aroma. This one stays where it is.",
    "Best bitter, 11B. First look: amber, clear, white head. First sniff: caramel, earthy hops. First sip: toffee, "
    "medium bitterness, dry finish. Medium body. Second pass. Appearance still amber, three. Aroma more caramel, ten. "
    "Flavor toffee, sixteen. Mouthfeel medium body, four. Overall good, seven.",
    "# Tin Lantern\n## Notes\nAppearance amber, clear.\nAroma caramel, earthy hops.\nFlavor toffee, dry finish.\n"
    "## Scores\nAppearance 3\nAroma 10\nFlavor 16\nMouthfeel 4\nOverall 7\n",
    f"{TYPED}---\nSummary\nStyle: good example of 11B\nAppearance 3, aroma 10, flavor 16, mouthfeel 4, overall 7\n",
    f"{ALONE} And the last one, well, that was the whole flight. Thanks.",
]


def flight_of(text: str):
    return [sheet for _, sheet in draft_notes(split_entries([Notes(text)], None, None), None, None, None)]


@pytest.mark.parametrize("between", [" ", "\n\n"])
@pytest.mark.parametrize(("first", "second"), ANNOUNCED)
def test_beers_are_told_apart_however_the_next_is_announced(first, second, between):
    sheets = flight_of(f"{FIRST.format(first)}{between}{SECOND.format(second)}\n")
    assert [(s.style.code, s.total.sum) for s in sheets] == [("11B", 40), ("10A", 35)]


@pytest.mark.parametrize(("first", "second"), ANNOUNCED)
def test_beers_are_told_apart_without_punctuation(first, second):
    sheets = flight_of(bare(f"{FIRST.format(first)} {SECOND.format(second)}"))
    assert [s.total.sum for s in sheets] == [40, 35]


@pytest.mark.parametrize(
    "text",
    [
        TYPED + "\n" + TYPED_TWO,
        TYPED + TYPED_TWO,
        (TYPED + "\n" + TYPED_TWO).replace("Beer:", "**Beer:**"),
        (TYPED + "\n" + TYPED_TWO).replace("Beer: ", ""),
        (TYPED + "\n" + TYPED_TWO).replace("Beer: ", "").replace("Style: ", ""),
    ],
)
def test_typed_sheets_in_a_row_are_told_apart(text):
    assert [(s.entry.name, s.style.code, s.total.said) for s in flight_of(text)] == [
        ("Tin Lantern", "11B", 40), ("Loud Duck", "10A", 40),
    ]  # fmt: skip


@pytest.mark.parametrize("text", ONE_BEER)
@pytest.mark.parametrize("as_said", [str, bare])
def test_one_beer_stays_whole(text, as_said):
    (sheet,) = flight_of(as_said(text))
    assert "several-beers" not in [flag.code for flag in sheet.flags]


def test_each_of_three_beers_has_its_sheet():
    third = TYPED.replace("Tin Lantern", "Grey Mole").replace("11B", "1A")
    assert [s.entry.name for s in flight_of(f"{TYPED}\n{TYPED_TWO}\n{third}")] == [
        "Tin Lantern",
        "Loud Duck",
        "Grey Mole",
    ]


@pytest.fixture
def flight(tmp_path):
    path = tmp_path / "flight.txt"
    path.write_text(TWO, encoding="utf-8")
    return str(path)


def test_no_talk_about_one_beer_is_broken():
    broken = [talk.header["id"] for talk in TALKS if len(split_entries([Notes(talk.text)], None, None)) != 1]
    assert len(TALKS) > 200
    assert broken == []


def test_an_aside_on_the_next_one_breaks_no_tasting():
    text = (
        "The fizz hit me first: light body, prickly, no warmth. There's cracker at the front of the sip and a medium "
        "bitterness. It's pale gold and bright. It smells papery, with a touch of herbal hops. And it wasn't the "
        "glass, the second one tastes of newspaper as well. The hop flavor is low. The head was white and creamy. "
        "It smells a bit of honey too. The body is thin. Appearance, two and a half. Aroma, six out of twelve. "
        "Flavor, ten. Mouthfeel, four. Overall, five."
    )
    assert len(split_entries([Notes(text)], None, None)) == 1


def test_most_pairs_of_talks_are_told_apart_at_the_right_place():
    """Two whole talks put together with a going-on between them; at least four of five breaks are found."""
    chance, whole = random.Random(5), [t for t in TALKS if not t.header["id"].startswith("r")]
    right = 0
    for _ in range(30):
        one, two = chance.sample(whole, 2)
        first = one.text.rstrip() + "\n"
        found = split_entries([Notes(f"{first}{chance.choice(GOING_ON)}\n{two.text}")], None, None)
        right += len(found) == 2 and abs(len(found[0].text) - len(first)) < 60
    assert right >= 24


def test_each_beer_has_its_own_sheet_with_its_times():
    times = [(TWO.index(line), 10.0 * k) for k, line in enumerate(TWO.splitlines(keepends=True))]
    drafted = draft_notes(split_entries([Notes(TWO, times)], None, None), None, None, None)
    assert [whose for whose, _ in drafted] == ["entry 1", "entry 2"]
    assert [(s.entry.name, s.style.code, s.total.sum) for _, s in drafted] == [
        ("Copper Gate", "4A", 41), ("Brass Owl", "21A", 43),
    ]  # fmt: skip
    assert drafted[1][1].sentences[0].time == 60


def test_json_is_a_list_and_entry_picks_one(flight):
    run = CliRunner()
    both = json.loads(run.invoke(app, ["draft", flight, "--format", "json"]).stdout)
    assert [sheet["entry"]["name"] for sheet in both] == ["Copper Gate", "Brass Owl"]
    second = json.loads(run.invoke(app, ["draft", flight, "--format", "json", "--entry", "2"]).stdout)
    assert second == both[1]


def test_an_entry_that_is_not_there_is_refused(flight):
    refused = CliRunner().invoke(app, ["draft", flight, "--entry", "3"])
    assert refused.exit_code == 2
    assert "no entry 3 (the notes hold 2)" in refused.output


def test_of_several_beers_one_is_reviewed(flight):
    file = Path(flight)
    for judge in (None, "Cy", "entry 1"):
        with pytest.raises(Notes2SheetError, match=r"several beers \(give --entry, a number from 1 to 2\)"):
            open_desk(file, judge)
    with pytest.raises(Notes2SheetError, match="no entry 3"):
        open_desk(file, "Cy", entry=3)
    review = open_desk(file, "Cy", entry=2)
    assert (review.judge, review.draft.entry.name) == ("Cy", "Brass Owl")
    review.edit("score:aroma", "8")
    assert open_desk(file, "Cy", entry=1).corrected.sheet.categories["aroma"].score != 8
    assert [made.categories["aroma"].score == 8 for _, made in draft_file(str(file))] == [False, True]
    assert sorted(p.name for p in file.parent.iterdir()) == ["flight.entry-2.journal.jsonl", "flight.txt"]


def test_of_several_beers_of_several_judges_one_is_reviewed(tmp_path, monkeypatch):
    file = tmp_path / "talk.txt"
    file.write_text("x", encoding="utf-8")
    said = [Notes(f"Aroma: {n} of 12, floral.", source_lines=[(0, n)], speaker=who, entry=beer)
            for n, (who, beer) in enumerate([("Ada", 1), ("Bo", 1), ("Ada", 2), ("Bo", 2)], 5)]  # fmt: skip
    monkeypatch.setattr("notes2sheet.drafting.split_entries", lambda *_: said)
    with pytest.raises(Notes2SheetError, match="one of: Ada, Bo"):
        open_desk(file, entry=2)
    assert open_desk(file, "bo", entry=2).draft.categories["aroma"].score == 8


def test_csv_is_one_table_with_its_columns_once(flight, tmp_path):
    """Also of sheets with other parts: a cider's has no mouthfeel."""
    cider = tmp_path / "cider.txt"
    cider.write_text(
        "Judging cider. This cider is clear and gold. Appearance: 5 of 6. Aroma: apple, 8 of 10.\n", encoding="utf-8"
    )
    printed = CliRunner().invoke(app, ["draft", flight, str(cider), "--format", "csv"]).stdout
    rows = list(csv.DictReader(io.StringIO(printed, newline="")))
    assert printed.count("entry,maker") == 1 and len(rows) == 3
    assert [(row["sheet"], row["appearance"], row["mouthfeel"]) for row in rows] == [
        ("beer-50", "3.0", "4.0"), ("beer-50", "2.0", "4.0"), ("cider-50", "5.0", ""),
    ]  # fmt: skip
    CliRunner().invoke(app, ["draft", flight, "--format", "csv", "--out", str(tmp_path / "made")])
    made = [path.read_text(encoding="utf-8") for path in (tmp_path / "made").iterdir()]
    assert [text.count("entry,maker") for text in made] == [1, 1]
