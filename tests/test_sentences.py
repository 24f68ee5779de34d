"""Sentence bounds, with punctuation, by line, and without either."""

from __future__ import annotations

import pytest
from frames import cases, notes

from notes2sheet.pipeline import draft_sheet, read_notes


def cut(text: str) -> list[str]:
    reading = read_notes(text, until="sentences")
    return [text[slice(*reading.span(s.start, s.end))] for s in reading.sentences]


@pytest.mark.parametrize("case", cases("sentences"))
def test_sentences(case) -> None:
    assert [s.rstrip(".…") for s in cut(case["said"])] == case["sentences"]


@pytest.mark.parametrize("case", cases("sentences", "whole"))
def test_never_cut_inside(case) -> None:
    sentences = cut(case["said"])
    for words in case["together"]:
        assert any(words in sentence for sentence in sentences), sentences


def test_running_text_is_cut_into_short_pieces() -> None:
    """Captions without stops or lines still fall into pieces of a clause, and no word is lost."""
    text = " ".join(notes().replace(".", "").replace(",", "").replace(":", "").lower().split())
    sentences = cut(text)
    assert max(len(s.split()) for s in sentences) <= 28
    assert " ".join(sentences) == text


def test_a_talk_with_hardly_any_stops_is_cut_like_one_without() -> None:
    """Some recognizers write commas where a speaker goes on (common practice); the scores stay the same."""
    stops = " ".join(notes().split())
    text = stops.replace(". ", ", ")
    flowing = read_notes(text, until="sentences")
    assert flowing.running and flowing.flowing and len(flowing.sentences) > text.count(".")
    scores = [{name: part.score for name, part in draft_sheet(one).categories.items()} for one in (stops, text)]
    assert scores[0] == scores[1] and None not in scores[0].values()


def test_one_long_sentence_among_others_stays_whole() -> None:
    long = "It is gold and clear, and " + "then there is bread, " * 20 + "so nine"
    text = " ".join(["The head is white and it lasts."] * 40)
    assert long in cut(f"{text} {long}") and not read_notes(f"{text} {long}", until="sentences").running


def test_a_long_line_without_a_stop_is_running_text() -> None:
    """A phone's dictation writes a part to a line (common practice); shorter lines stay whole, as captions do."""
    line = "the nose is bread and honey and i give it nine okay so now the flavor it is sweet"
    assert len(cut(f"gold and clear\n{line}")) > 2 and cut("gold and clear\nwhite head") == [
        "gold and clear",
        "white head",
    ]
    assert len(cut(f"Gold, clear.\n{line.capitalize()}.")) == 2


def test_every_word_is_in_one_sentence() -> None:
    reading = read_notes(notes(), until="sentences")
    bounds = [(s.start, s.end) for s in reading.sentences]
    assert bounds[0][0] == 0 and bounds[-1][1] == len(reading.words)
    assert all(a[1] == b[0] for a, b in zip(bounds, bounds[1:], strict=False))


def test_times_come_from_the_line_before() -> None:
    text = "gold\nclear\nwhite head"
    reading = read_notes(text, until="sentences", line_times=[(0, 1.0), (5, 4.5), (11, 9.0)])
    assert [s.time for s in reading.sentences] == [1.0, 4.5, 9.0]
    assert [s.time for s in read_notes(text, until="sentences").sentences] == [None, None, None]


def test_a_sentence_holds_its_marks() -> None:
    """No mark lies outside: stops and closing marks go with the words before, bullets and opening ones with those
    behind."""
    text = '- Gold, clear.\n* "Tall head!" (It stays.)\n\nAroma: corn?? ... Nine.'
    reading = read_notes(text, until="sentences")
    whole = [text[slice(*reading.whole(s))] for s in reading.sentences]
    assert whole[0] == "- Gold, clear." and whole[1].startswith('* "Tall head!"') and whole[-1].endswith("Nine.")
    assert "".join("".join(whole).split()) == "".join(text.split())
