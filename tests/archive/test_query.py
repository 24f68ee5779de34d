"""Searches against a brute-force reading of the same sheets, and questions that must never be errors."""

from __future__ import annotations

import random
import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from notes2sheet.archive.fold import tokens
from notes2sheet.archive.query import Query, find
from notes2sheet.archive.record import make_record
from notes2sheet.archive.snippets import contexts, places
from notes2sheet.archive.store import Archive
from notes2sheet.lexicon import load_lexicon
from notes2sheet.style_data import load_style, style_names

QUERIES = 200
TERMS = load_lexicon().terms


@dataclass(frozen=True)
class Line:
    """What brute force reads of one sheet as it was added: words, tags with all broader terms, and its facts."""

    text: str
    fields: tuple[str, ...]
    tags: tuple[tuple, ...]  # state, part, levels, names of the term and the flaw and all that is broader
    terms: tuple[str, ...]
    flags: frozenset[str]
    style: str
    judge: str
    maker: str
    tasted: str
    status: str
    total: float


@pytest.fixture(scope="module")
def everything(bulk_path):
    """Every sheet by number. The brute-force side reads these and nothing else of the archive."""
    with Archive(bulk_path) as archive:
        return {n: _line(line["versions"][-1]["data"]) for n, line in enumerate(archive.export(), 1)}


def _line(data: dict) -> Line:
    sheet = data["sheet"]
    texts = [sheet["text"], *(part["comment"] for part in sheet["categories"].values())]
    tags = tuple(
        (d["state"], d["category"], (d["level"], d["scale"]), _above(d["term"]) | _above(d["flaw"]))
        for d in sheet["descriptors"]
    )
    return Line(
        sheet["text"], tuple(map(_plain, texts)), tags, tuple(d["term"] for d in sheet["descriptors"]),
        frozenset(f[name] for f in sheet["flags"] for name in ("code", "severity")), sheet["style"]["code"], data["judge"],
        sheet["entry"]["maker"], data["tasted"], data["status"], sheet["total"]["sum"],
    )  # fmt: skip


def _plain(text: str) -> str:
    """Own reading of the words: no accents, no case, American, singular, between single spaces."""
    text = "".join(c for c in unicodedata.normalize("NFKD", text.lower()) if not unicodedata.combining(c))
    text = re.sub(r"[^a-z0-9]+", " ", text).replace("ß", "ss")
    return f" {' '.join(_word(word) for word in text.split())} "


def _word(word: str) -> str:
    word = word.replace("colour", "color").replace("flavour", "flavor")
    if len(word) > 4 and re.search(r"ies?$", word):
        return re.sub(r"ies?$", "y", word)
    if len(word) > 3 and re.search(r"([xz]|[cs]h|o|ss)es$", word):
        return word[:-2]
    if len(word) > 3 and word.endswith("s") and not re.search(r"(ss|us|is)$", word):
        return word[:-1]
    return word


@cache
def _above(term: str | None) -> frozenset[str]:
    out = set()
    while term and term not in out:
        out.add(term)
        term = getattr(TERMS.get(term), "broader", None)
    return frozenset(out)


def _has(line: Line, term: str, state: str, part: str | None = None, level: str | None = None) -> bool:
    return any(
        term in names and said == state and part in (None, where) and (level is None or level in levels)
        for said, where, levels, names in line.tags
    )


def _brute(lines: dict[int, Line], query: Query) -> set[int]:
    words = [_plain(w) for w in re.findall(r'"([^"]+)"', query.words) + re.sub(r'"[^"]+"', " ", query.words).split()]
    return {number for number, line in lines.items() if all(_answers(line, query, words))}


def _answers(line: Line, query: Query, words: list[str]) -> Iterator[bool]:
    group = style_names()[line.style]["group"]
    yield (
        query.style is None
        or query.style in (line.style, group)
        or f"{query.style.lower()}-family" in load_style(line.style).tags
    )
    yield query.judge in (None, line.judge)
    yield query.maker is None or f" {query.maker} " in f" {line.maker} "
    yield query.status in (None, line.status)
    yield query.low is None or line.total >= query.low
    yield query.high is None or line.total <= query.high
    yield query.since is None or line.tasted >= query.since
    yield query.until is None or line.tasted <= query.until
    yield all(flag in line.flags for flag in query.flags)
    yield all(_has(line, *_split(tag)) for tag in query.tags)
    yield all(_has(line, tag, "absent") for tag in query.absent)
    yield not any(_has(line, tag, "present") for tag in query.without)
    yield all(any(word in field for field in line.fields) for word in words)


def _split(tag: str) -> tuple:
    term, *narrow = tag.split(":")
    levels = [n for n in narrow if n in ("low", "high", "very high", "medium")]
    parts = [n for n in narrow if n not in levels]
    return term, "present", parts[0] if parts else None, levels[0] if levels else None


def _random_query(rng: random.Random, lines: dict[int, Line]) -> Query:
    """A question about a sheet that exists, so that most of them have answers."""
    line = lines[rng.randint(1, len(lines))]
    broader = [TERMS[t].broader for t in line.terms if t in TERMS and TERMS[t].broader]
    text = re.sub(r"[^A-Za-zéèüï' -]", " ", line.text).split()
    at = rng.randrange(len(text) - 3)

    def some(*values, often=0.25):
        return tuple(v for v in values if rng.random() < often)

    def maybe(value, often=0.15):
        return value if rng.random() < often else None

    narrow = rng.choice(("", "", f":{rng.choice(('aroma', 'flavor'))}", ":high", ":aroma:low"))
    odd = rng.choice(("colours", "flavor", "café", "Naive", "tasting-room"))
    words = some(rng.choice(text), f'"{" ".join(text[at : at + 2])}"', odd)
    return Query(
        words=" ".join(w for w in words if re.search("[A-Za-z]", w)),
        tags=some(rng.choice(line.terms) + narrow, rng.choice(broader), rng.choice(("citrus", "fruit", "malt")), often=0.4),
        without=some("diacetyl", rng.choice(line.terms)),
        absent=some(rng.choice(("diacetyl", "dms", rng.choice(line.terms))), often=0.15),
        style=maybe(rng.choice((line.style, style_names()[line.style]["group"]))),
        judge=maybe(line.judge), maker=maybe(line.maker), low=maybe(rng.randint(20, 35)), high=maybe(rng.randint(30, 45)),
        since=maybe("2023-05-01"), until=maybe("2025-01-31"), status=maybe(rng.choice(("draft", "finished"))),
        flags=some(rng.choice(("off-style", "warning", "missing-prompts")), often=0.15),
    )  # fmt: skip


def test_two_hundred_random_queries_find_exactly_what_reading_every_sheet_finds(bulk_path, everything):
    rng, answered = random.Random(88), 0
    with Archive(bulk_path) as archive:
        for _ in range(QUERIES):
            query = _random_query(rng, everything)
            found, expected = find(archive, query, limit=None), _brute(everything, query)
            assert set(found.sheets) == expected, query
            assert found.count == len(expected) == len(found.sheets)
            answered += bool(expected)
    assert answered > QUERIES / 2  # else the questions would test little


@pytest.mark.parametrize("order", ["date", "score", "added", "maker"])
def test_a_page_is_the_beginning_of_the_whole_answer(bulk, order):
    for query in (Query(), Query(tags=("citrus",)), Query(tags=("citrus",), low=30), Query(without=("citrus",))):
        whole, page = find(bulk, query, order, None), find(bulk, query, order, 7)
        assert page.sheets == whole.sheets[:7]
        assert page.count == whole.count == len(whole.sheets) > 7


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(text=st.one_of(st.text(max_size=30), st.text("\"'*-^:(){}+, ANDORNTEaé%_\\", max_size=20)))
def test_no_text_is_an_error(bulk, text):
    found = find(
        bulk,
        Query(
            words=text,
            tags=(text,),
            style=text,
            maker=text,
            judge=text,
            entry=text,
            flags=(text,),
            without=(text,),
            absent=(text,),
        ),
    )
    assert found.count >= 0
    assert find(bulk, Query(words=text), limit=2).count <= 100_000


def _sheet(text: str, tags: list[tuple]) -> dict:
    """A sheet with no more than it must have."""
    descriptors = [
        {"span": [0, 4], "term": term, "category": "appearance" if term == "hazy" else "aroma", "state": state, "level": level,
         "flaw": term if term == "diacetyl" else None}
        for term, state, level in tags
    ]  # fmt: skip
    return {
        "text": text, "sheet": "beer-50", "entry": {"name": text[:6], "maker": "Müller & Søn"}, "style": {"code": "21C"},
        "sentences": [], "categories": {"aroma": {"cap": 12, "score": 9}}, "total": {"said": 30}, "descriptors": descriptors, "flags": [],
    }  # fmt: skip


@pytest.fixture
def four(path):
    """Four beers in few words: has diacetyl, has it noted as absent, says nothing of it, speaks of butter elsewhere."""
    with Archive(path, create=True) as archive:
        for text, *tags in (
            ("Kölsch with diacetyl in the nose, off-white head.", ("diacetyl", "present", "high")),
            ("No diacetyl at all. Grey haze, odd colour.", ("diacetyl", "absent", "none")),
            ("Zesty grapefruits; cookies and berries.", ("grapefruit", "present", "high")),
            ("Diacetyl is what lagers fear. Hazy.", ("hazy", "present", None), ("lime", "present", "high")),
        ):
            archive.add([make_record(_sheet(text, tags), "test")])
        yield archive


@pytest.mark.parametrize(
    ("query", "numbers"),
    [
        (Query(tags=("diacetyl",)), {1}),
        (Query(absent=("diacetyl",)), {2}),
        (Query(without=("diacetyl",)), {2, 3, 4}),
        (Query("diacetyl"), {1, 2, 4}),
        (Query(tags=("citrus",)), {3, 4}),
        (Query(tags=("Grapefruits!",)), {3}),
        (Query(tags=("citrus:aroma:high",)), {3, 4}),
        (Query(tags=("citrus:flavor",)), set()),
        (Query(tags=("citrus",), parts=("aroma",), levels=("high",)), {3, 4}),
        (Query(tags=("citrus",), parts=("flavor",)), set()),
        (Query(tags=("hazy",), parts=("aroma",)), set()),
        (Query("gray color"), {2}),
        (Query("kolsch"), {1}),
        (Query("KÖLSCH OFF WHITE"), {1}),
        (Query("off-white"), {1}),
        (Query('"white off"'), set()),
        (Query("cookie berry"), {3}),
        (Query("grapef*"), {3}),
        (Query("head AND diacetyl"), set()),
        (Query(maker="muller"), {1, 2, 3, 4}),
        (Query(maker="Son"), {1, 2, 3, 4}),
        (Query(maker="mull"), set()),
        (Query(style="ipa"), {1, 2, 3, 4}),
        (Query(style="21"), {1, 2, 3, 4}),
        (Query(style="NEIPA"), {1, 2, 3, 4}),
        (Query(style="stout"), set()),
        (Query(low=30, high=30), {1, 2, 3, 4}),
        (Query(since="2020-01-01"), set()),
    ],
)  # fmt: skip
def test_what_is_found(four, query, numbers):
    assert set(find(four, query).sheets) == numbers


def test_a_tag_that_cannot_stand_in_the_part_is_looked_for_everywhere(four):
    assert find(four, Query(tags=("citrus", "hazy"), parts=("aroma",), levels=("high",))).sheets == [4]


def test_hits_are_shown_in_their_context(four):
    hits = contexts(four.read(1)["sheet"], "KOLSCH white")
    assert [(hit["hit"], hit["where"]) for hit in hits] == [("Kölsch", "notes"), ("white", "notes")]
    assert hits[0]["after"].startswith(" with diacetyl")


WORD_FORMS = st.sampled_from(
    [
        "Sour",
        "sours",
        "ſour",
        "SOURS",
        "naïve",
        "́nose",
        "nose",
        "noſe",
        "Köln",
        "koln",
        "жук",
        "aжук",
        "colour",
        "color",
        "Colours",
        "grey",
        "gray",
        "off",
        "white",
        "x_nose",
        "ﬁg",
        "figs",
    ]
)


@given(st.lists(WORD_FORMS, min_size=1, max_size=12), st.integers(0, 11), st.integers(1, 3), st.booleans())
def test_hits_are_all_places_where_the_folded_words_stand(forms, first, size, goes_on):
    text = " ".join(forms)
    words = list(tokens(text))
    asked = [word for _, _, word in words[first % len(words) :][:size]]
    if goes_on:
        asked[-1] = asked[-1][:2]
    stand = [
        (row[0][0], row[-1][1])
        for row in (words[at : at + len(asked)] for at in range(len(words) - len(asked) + 1))
        if [word for _, _, word in row[:-1]] == asked[:-1]
        and (row[-1][2].startswith(asked[-1]) if goes_on else row[-1][2] == asked[-1])
    ]
    assert stand and places(text, [(asked, goes_on)]) == stand


@pytest.mark.parametrize("query", [Query("***"), Query(tags=("zzyzx",)), Query(style="no such style at all")])
def test_what_means_nothing_finds_nothing_with_a_remark(four, query):
    found = find(four, query)
    assert (found.count, len(found.remarks)) == (0, 1)
