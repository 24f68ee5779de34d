"""Several beers in one recording: where one ends and the next begins, and what the commands make of it."""

import csv
import io
import json
import random
from pathlib import Path

import pytest
from accuracy.marked import read
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
