"""Bad input: one clear line that names the place, quickly, and never a traceback."""

from __future__ import annotations

import os
import time

import pytest

from notes2sheet.errors import NotesError
from notes2sheet.readers import read_all, read_bytes

VTT = "WEBVTT\n\n00:01.000 --> 00:02.000\ngold\n\n"
BAD = {
    "truncated times": (VTT + "00:03.000 --> 00:0", "line 6 has broken cue times"),
    "truncated cue": (VTT + "00:03.000 --> 00:05.000\n", "line 6 ends within a cue"),
    "truncated SubRip": (
        "1\n00:00:01,000 --> 00:00:02,000\ngold\n\n2\n00:00:03,000 -->",
        "line 6 has broken cue times",
    ),
    "SubRip cut after the number": ("1\n00:00:01,000 --> 00:00:02,000\ngold\n\n2\n", "line 5 has broken cue times"),
    "backwards": (VTT + "00:00.100 --> 00:00.200\ntan\n", r"line 6 has a time that runs backwards \(0:00 after 0:01\)"),
    "ends before it begins": (
        VTT + "00:09.000 --> 00:04.000\ntan\n",
        r"line 6 has a time that runs backwards \(0:04 after 0:09\)",
    ),
    "lines backwards": ("[0:50] gold\n[0:20] tan", r"line 2 has a time that runs backwards \(0:20 after 0:50\)"),
    "JSON backwards": (
        '[{"start": 9, "text": "gold"},\n{"start": 2, "text": "tan"}]',
        "line 2 has a time that runs backwards",
    ),
    "JSON deep": ('{"a":' * 200_000 + "1", "nested too deep"),
    "JSON deep lists": ('[{"a":' + "[" * 200_000, "nested too deep"),
    "JSON cut": ('{"segments": [\n{"start": 1, "text": "gol', "line 2 is broken JSON"),
    "JSON else": ('{"score": 12}', "without a transcript"),
    "JSON empty": ('{"segments": []}', "without a transcript"),
    "JSON infinity": ('[{"start": Infinity, "text": "gold"}]', "line 1 has a time that is none"),
    "JSON negative": ('[{"start": -3, "text": "gold"}]', "line 1 has a time that is none"),
    "JSON digits": ('[{"start": ' + "9" * 5000 + ', "text": "gold"}]', "JSON"),
    "NUL": ("gold\ntan\0", "line 2 holds a NUL byte"),
    "empty": (" \n\n", "is empty"),
    "only music": (VTT.replace("gold", "[Music]"), "has no words"),
    "latin-1": ("gold\nKölsch".encode("latin-1"), "line 2 is not UTF-8 text"),
    "odd UTF-16": (b"\xff\xfeg\x00o", "is not UTF-16-LE text"),
    "a picture": (b"\x89PNG\r\n\x1a\n" + bytes(range(256)), "not UTF-8 text"),
}


@pytest.mark.parametrize("name", BAD)
def test_bad_content(name: str) -> None:
    data, wanted = BAD[name]
    began = time.perf_counter()
    with pytest.raises(NotesError, match=wanted) as error:
        read_bytes(data if isinstance(data, bytes) else data.encode(), "notes.x")
    assert "\n" not in str(error.value) and str(error.value).startswith("notes.x: ") and error.value.hint
    assert time.perf_counter() - began < 3


@pytest.mark.parametrize("size", [2, 100])
def test_a_line_of_megabytes(tmp_path, size: int) -> None:
    path = tmp_path / "long.txt"
    with path.open("wb") as file:
        for _ in range(size):
            file.write(b"hoppy " * (1024 * 1024 // 6))
    with pytest.raises(NotesError, match="is over"):
        read_all(str(path))


def test_paths_that_are_no_notes(tmp_path) -> None:
    loop = tmp_path / "loop.txt"
    os.symlink(loop, loop)
    for path, wanted in (
        (loop, "cannot be read"),
        (tmp_path, "is a folder"),
        (tmp_path / "none", "no such file"),
        ("a\0b", "cannot be read"),
    ):
        with pytest.raises(NotesError, match=wanted):
            read_all(str(path))


def test_an_endless_file_is_refused() -> None:
    if not os.path.exists("/dev/zero"):
        pytest.skip("no /dev/zero here")
    with pytest.raises(NotesError, match="is over"):
        read_all("/dev/zero")
