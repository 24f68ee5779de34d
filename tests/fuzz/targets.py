"""What is fuzzed: each target takes one made-up input and lets nothing out but the errors that it documents."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

from hypothesis import strategies as st

from notes2sheet.errors import Notes2SheetError
from tests.fuzz.requests import REQUESTS, STRANGERS, judged, stranger

WORDS = [
    "WEBVTT\n\n", "00:01.000 --> 00:02.000\n", "1\n00:00:01,000 --> 00:00:02,000\n", "[0:01] ", "1:00:00 ", '{"segments":[',
    '{"start":1,"text":"', '"},', "]}", "<v Ann>", "[SPEAKER_01] ", "Ann: ", "[Music]", "♪", ">> ", "\n", "\n\n", "\r\n", " ",
    "aroma", "flavor ", "out of ", "ten ", "seven and a half ", "7/12 ", "½", "-", "minus two ", "no diacetyl", "diacetyl ",
    "as an american IPA ", "21A ", "total of ", "fifty", "%", "=", "[", "(", '"', "\0", "\ufeff", "\u202e", "\ud83c", "9" * 30,
]  # fmt: skip
PIECES = st.sampled_from(WORDS)
TEXT = st.lists(st.one_of(PIECES, st.text(max_size=8)), max_size=30).map("".join)
FIGURES = "one two three four five six seven eight nine ten twelve fifteen twenty thirty fifty half quarter zero minus and of 3 2.5 3/3 9½ 17/20"
BYTES = st.one_of(TEXT.map(lambda text: text.encode("utf-8", "surrogatepass")), st.binary(max_size=200))
TOML = st.recursive(
    st.one_of(st.text(max_size=9), st.integers(-(10**12), 10**12), st.floats(), st.booleans(), st.none()),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(["low", "high", "unit", "x"]), inner, max_size=3),
    max_leaves=4,
)  # fmt: skip
KEYS = st.sampled_from(
    ["kind", "said", "maybe", "aspects", "categories", "broader", "level", "tick", "threshold", "srm", "srgb", "bare", "wheel",
     "rule", "source", "advice", "words"]
)  # fmt: skip
GOOD = st.sampled_from(
    ["hop", "fruit", "aroma, flavor", "mango, ripe mango", "high", "citrus", "body", ",,", "mystery"]
)
ENTRY = st.dictionaries(KEYS, st.one_of(GOOD, TOML), max_size=6)
TABLES = st.one_of(st.dictionaries(st.sampled_from(["mystery", "zest", ""]), st.one_of(ENTRY, TOML), max_size=2), BYTES)


@cache
def _said() -> list[str]:
    """The words and phrases that the stages look for, and figures."""
    from notes2sheet.lexicon import cue_file
    from notes2sheet.words import split_list

    cues = [cue_file(name) for name in ("sheet", "scores", "roles", "discourse")]
    entries = (entry for cue in cues for entry in cue.values() if isinstance(entry, dict))
    return [*FIGURES.split(), *sorted({words for entry in entries for words in split_list(entry.get("said", ""))})]


TALK = st.deferred(
    lambda: st.lists(st.sampled_from([*_said(), *FIGURES.split() * 9, ".", "\n"]), max_size=40).map(" ".join)
)


def read(data: bytes) -> None:
    """Every reader: bytes of any file give notes, whose offsets fit, or a NotesError."""
    from notes2sheet.readers import read_bytes

    for notes in read_bytes(data, "fuzz"):
        assert all(0 <= at < len(notes.text) for at, _ in (*notes.line_times, *notes.source_lines))


def number(text: str) -> None:
    """Numbers are finite, exact, and lie in order inside the words."""
    from notes2sheet.numbers import find_numbers

    words, last = text.lower().split(), 0
    for found in find_numbers(words):
        assert last <= found.start < found.end <= len(words) and found.value.is_finite() and abs(found.value) < 10**7
        last = found.end


def drafted(text: str) -> None:
    """Any text gives a sheet that its own model takes back."""
    from notes2sheet.model import Sheet
    from notes2sheet.pipeline import draft_sheet

    made = draft_sheet(text.encode("utf-8", "replace").decode())
    assert Sheet.model_validate_json(made.model_dump_json()) == made


def lexicon(tables: dict[str, Any] | bytes) -> None:
    """A folder of additions is loaded and explained, or refused; the checker never fails."""
    from notes2sheet.explain import explain
    from notes2sheet.lexicon import _build, _term, default_sheet
    from notes2sheet.lexicon_check import check_lexicon

    with tempfile.TemporaryDirectory() as root:
        for part in ("descriptors", "flaws", "ingredients"):
            path = Path(root) / part / "own.toml"
            path.parent.mkdir()
            path.write_bytes(tables if isinstance(tables, bytes) else toml(tables).encode("utf-8", "replace"))
        check_lexicon(Path(root))
        built = _build(Path(root), default_sheet())
    from dataclasses import replace

    from notes2sheet.lexicon import load_lexicon

    shipped = load_lexicon()
    for flaw, table in ((False, "descriptors"), (True, "flaws")):
        added = {name: _term(name, e, "", flaw) for name, e in built[table].items() if name in ("mystery", "zest", "")}
        for name in added:
            explain(name, replace(shipped, terms={**shipped.terms, **added}))


def toml(value: Any, top: bool = True) -> str:
    """A value as TOML; what TOML has no form for becomes a string."""
    import json

    if isinstance(value, dict):
        inner = [f"{json.dumps(key)} = {toml(v, False)}" for key, v in value.items()]
        return "\n".join(inner) if top else "{" + ", ".join(inner) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(toml(v, False) for v in value) + "]"
    if isinstance(value, float):
        return repr(value)
    return json.dumps("" if value is None else value)


@cache
def _archive() -> Any:
    from notes2sheet.archive.record import make_record
    from notes2sheet.archive.store import Archive
    from notes2sheet.pipeline import draft_sheet

    made = draft_sheet("This is Lantern Fox, an American IPA. Aroma: high grapefruit, ten out of twelve.")
    archive = Archive(Path(tempfile.mkdtemp()) / "archive.sqlite", create=True)
    archive.add([make_record({"sheet": made.model_dump(mode="json")}, "fuzz")])
    return archive


def query(asked: tuple[str, str]) -> None:
    """Any text in any field of a query finds sheets or leaves a remark; nothing in it reaches SQL."""
    from notes2sheet.archive.query import Query, find

    words, other = asked
    for given in (
        Query(words), Query(tags=(other,)), Query(words, absent=(other,), parts=(words,), levels=(other,)),
        Query(style=other, maker=words, entry=other, judge=words), Query(flags=(words,), without=(other,), status=other),
    ):  # fmt: skip
        assert find(_archive(), given, "score", None).count in (0, 1)
    assert find(_archive(), Query()).count == 1


TARGETS: dict[str, tuple[Callable[[Any], None], st.SearchStrategy[Any]]] = {
    "read": (read, BYTES),
    "number": (number, TEXT),
    "draft": (drafted, TEXT | TALK),
    "lexicon": (lexicon, TABLES),
    "query": (query, st.tuples(TEXT, st.text(alphabet="'\";)(%_*:- aAeE0\0", max_size=20) | TEXT)),
    "review": (judged, REQUESTS),
    "stranger": (stranger, STRANGERS),
}


def attempt(name: str, given: Any) -> None:
    """One input to one target; the documented errors are one line with a hint."""
    try:
        TARGETS[name][0](given)
    except Notes2SheetError as error:
        assert "\n" not in str(error) and error.what
