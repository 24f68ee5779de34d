"""One transcript in every format: equal sheets but for times, times and source lines kept."""

from __future__ import annotations

import random
import re
import sys
from pathlib import Path

import pytest

from notes2sheet import draft_sheet
from notes2sheet.drafting import draft_file
from notes2sheet.outputs.text import render, where
from notes2sheet.readers import parse, parse_all, read_bytes

sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parent.parent / "accuracy")]
from marked import read  # noqa: E402
from shapes import SHAPES, stamp  # noqa: E402

DEV = Path(__file__).parent.parent / "accuracy" / "dev"
FILES = ("a02", "a10", "b05", "c01", "d05", "e05", "f01", "f13")


def rows_of(name: str, judges: tuple[str, ...] = ()) -> list[tuple[float, str | None, str]]:
    doc = read(DEV / f"{name}.marked.txt")
    words = [" ".join(doc.text[s.start : s.end].split()) for s in doc.sentences]
    return [(4.5 * k, judges[k // 5 % len(judges)] if judges else None, w) for k, w in enumerate(words)]


def sheet_of(notes) -> dict:
    sheet = draft_sheet(notes.text, line_times=notes.line_times).model_dump()
    times = [s.pop("time") for s in sheet["sentences"]]
    return sheet, times


@pytest.mark.parametrize("name", FILES)
def test_equal_sheets_but_for_times(name: str) -> None:
    rows = rows_of(name)
    wanted, _ = sheet_of(read_bytes(SHAPES["plain"](rows).encode(), name)[0])
    assert sum(part["score"] is not None for part in wanted["categories"].values()) >= 4
    for shape in SHAPES:
        (notes,) = read_bytes(SHAPES[shape](rows).encode(), name)
        sheet, times = sheet_of(notes)
        assert sheet == wanted, shape
        assert (set(times) == {None}) is (shape == "plain"), shape


@pytest.mark.parametrize("shape", SHAPES)
def test_equal_sheets_for_each_judge(shape: str) -> None:
    rows = rows_of("f01", ("Ada", "Bo Lund"))
    notes = read_bytes(SHAPES[shape](rows).encode(), shape)
    assert [n.speaker for n in notes] == ["Ada", "Bo Lund"]
    for one in notes:
        assert one.text == "".join(f"{words}\n" for _, name, words in rows if name == one.speaker)


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("judges", [(), ("Ada", "Bo")])
def test_words_lead_back_to_line_and_time(shape: str, judges: tuple[str, ...]) -> None:
    rows = rows_of("c01", judges)
    source = SHAPES[shape](rows)
    lines = source.split("\n")
    for notes in parse_all(source):
        mine = [row for row in rows if not judges or row[1] == notes.speaker]
        offset = 0
        for (seconds, _, words), line in zip(mine, notes.text.splitlines(), strict=True):
            place = notes.source_line(offset + len(line) - 1)
            block = "\n".join(lines[place - 1 : place + (6 if shape == "segments" else 0)])
            assert re.findall(r"\w+", words)[-1] in block
            held = notes.time(offset + len(line) - 1)
            assert held is None if shape == "plain" else held == pytest.approx(seconds, abs=0.51)
            offset += len(line) + 1


def test_sentences_cut_by_full_rows_become_whole() -> None:
    doc = read(DEV / "a02.marked.txt")
    words, cues, rng = doc.text.split(), ["WEBVTT\n"], random.Random(7)
    while words:
        size = rng.randint(5, 12)
        cues.append(f"{stamp(len(cues))} --> {stamp(len(cues) + 0.9)}\n{' '.join(words[:size])}\n")
        words = words[size:]
    wrapped, whole = parse("\n".join(cues)), draft_sheet(doc.text)
    sheet = draft_sheet(wrapped.text, line_times=wrapped.line_times)
    assert [c.score for c in sheet.categories.values()] == [c.score for c in whole.categories.values()]
    assert {(f.code, f.category) for f in sheet.flags} == {(f.code, f.category) for f in whole.flags}
    assert len(sheet.sentences) == len(whole.sentences)


@pytest.mark.parametrize(
    ("encoding", "mark"),
    [
        ("utf-8", ""),
        ("utf-8", "\ufeff"),
        ("utf-16-le", "\ufeff"),
        ("utf-16-be", "\ufeff"),
        ("utf-16-le", ""),
        ("utf-16-be", ""),
    ],
)
@pytest.mark.parametrize("newline", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("shape", SHAPES)
def test_encodings_and_line_ends(encoding: str, mark: str, newline: str, shape: str) -> None:
    rows = [(1.0, None, "Kölsch, 7½ of 12"), (6.0, None, "head: wattle-white")]
    data = (mark + SHAPES[shape](rows).replace("\n", newline)).encode(encoding)
    (notes,) = read_bytes(data, "notes")
    assert notes.text == "Kölsch, 7½ of 12\nhead: wattle-white\n"


WORDS = (
    '[{"word": " Twelve", "start": 1, "end": 1.2, "probability": 0.4}, {"word": " point", "start": 1.2, "end": 1.5}, '
    '{"word": "s.", "start": 1.5, "end": 1.6}, {"word": " Head", "start": 2, "end": 2.2}, '
    '{"word": " is 1", "start": 2.2, "end": 2.3}, {"word": ".5", "start": 2.3, "end": 2.4, "probability": 0.3}]'
)


@pytest.mark.parametrize(
    ("source", "text", "times"),
    [
        (WORDS, "Twelve points.\nHead is 1.5\n", [1.0, 2.0]),
        (f'{{"words": {WORDS}}}', "Twelve points.\nHead is 1.5\n", [1.0, 2.0]),
        (
            '{"segments": [{"startTime": "0:01:02.5", "endTime": 64, "body": "tan\\nhead", "speaker": "Ada"}]}',
            "tan head\n",
            [62.5],
        ),
        (
            '[{"text": "no time"}, {"start": "7s", "text": "\\ud83c\\udf7a and \\ud83c"}]',
            "no time\n\U0001f37a and \ufffd\n",
            [7.0],
        ),
        (
            "[0:05](https://x.example/?t=5) amber\n**[0:09]** tan\n- 0:12 clear\n[0:15 - 0:18] dry",
            "amber\ntan\nclear\ndry\n",
            [5, 9, 12, 15],
        ),
        ("5:20 is no time here\nplain notes go on", "5:20 is no time here\nplain notes go on\n", []),
        (
            '1\n0:00:01,5 --> 0:00:02,0\n{\\an8}<font color="red">12</font>\n\n'
            "2\n0:00:03,000 --> 0:00:04,000\nIBU <20 & >5\n",
            "12\nIBU <20 & >5\n",
            [1.5, 3],
        ),
    ],
)
def test_forms_of_formats(source: str, text: str, times: list[float]) -> None:
    notes = parse(source)
    assert notes.text == text
    assert [t for _, t in notes.line_times] == times


def test_probabilities_follow_the_words() -> None:
    notes = parse(WORDS)
    assert [(notes.text[a:b], p) for a, b, p in notes.hearing] == [("Twelve", 0.4), (".5", 0.3)]


def test_evidence_leads_to_line_and_time_of_the_file(tmp_path) -> None:
    """Captions and the turns of several judges stand on other lines in the file than in the sheet's text."""
    captions = "WEBVTT\n\n1\n00:01.000 --> 00:02.000\n21A. gold\n\n2\n01:05.000 --> 01:07.000\nappearance 4 of 3\n"
    turns = "Ada: gold\nBo: amber\nAda: aroma 8 of 12\nBo: appearance 4 of 3\n"
    for name, text, wanted in (
        ("a.vtt", captions, "1:05, line 9"), ("a.txt", turns, "line 4"),
        ("b.txt", "21A\n\nlooks gold. appearance 4 of 3", "line 3"),
    ):  # fmt: skip
        (tmp_path / name).write_text(text)
        sheet = draft_file(str(tmp_path / name))[-1][1]
        flag = next(flag for flag in sheet.flags if flag.code == "over-cap")
        assert where(sheet, flag.spans[0]) == wanted
        assert name != "a.vtt" or f"{wanted}: " in render(sheet)
    assert sheet.source_lines == ()  # as in the file
