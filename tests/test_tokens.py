"""Tokens are spaCy's own: over the texts of spaCy's published tests and examples, and over nasty characters."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest
import spacy
from hypothesis import given, settings
from hypothesis import strategies as st
from spacy.lang.en.examples import sentences as EXAMPLES

from notes2sheet.long_runs import LONG
from notes2sheet.pipeline import read_notes
from notes2sheet.tokens import tokens_of

NLP = spacy.blank("en")
PUBLISHED = Path(spacy.__file__).parent / "tests"  # spaCy ships its own tests
NASTY = [
    "", " ", "\n", "\n\n \n", "a", "a  b", " a", "a ", "a\n\nb", "\u00a0a\u00a0b\u3000c", "a\tb",
    "\ufeffaroma 7/12", "\x1da\x1d", "can't won't I'd've they'll o'clock rock'n'roll", "it's 7.5, isn't it?",
    "7/12;8/10", "7,5 out of 12...", "…and?!", "-2 --2 —2", "(10/12)", "[10/12]", "\"ten\"", "“ten”'s", "6.8%",
    "$4.50", "€4", "#12", "a.b.c", "U.S.A.", "e.g. i.e. etc.", "http://a.b/c?d=e", "x@y.example",
    ":) :-) ;) :( xD <3 (-: :'( ^_^ o_O", "good :)", "(:", "a:)b", "8)", "8-)", ":/", "10/12 :/", "hop-forward",
    "wet/dry", "Kölsch’s", "½", "8½", "7 ½/12", "👍🏽 ten", "a\u200bb", "e\u0301", "ﬁne", "\u202etxt", "don’t",
    "DON'T", "gonna gotta lemme", "a" * LONG, "a." * (LONG // 2),
]  # fmt: skip


def words(pairs: list[tuple[str, int]]) -> list[tuple[str, int]]:
    """Without white space, which may be cut elsewhere."""
    return [(word, at) for word, at in pairs if not word.isspace()]


def theirs(text: str) -> list[tuple[str, int]]:
    return [(token.text, token.idx) for token in NLP.make_doc(text)]


def published() -> list[str]:
    """Every piece of text in spaCy's tests of the tokenizer and of English, the long one of its speed test included."""
    files = [*PUBLISHED.glob("tokenizer/*.py"), *PUBLISHED.glob("lang/en/*.py")]
    strings = {
        node.value for path in files for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    }  # fmt: skip
    long = [path.read_text(encoding="utf-8") for path in PUBLISHED.glob("tokenizer/*.txt")]
    return [*EXAMPLES, *sorted(strings), *long]


def test_published_texts() -> None:
    texts = [text for text in published() if max(map(len, text.split()), default=0) <= LONG]
    assert len(texts) > 300 and sum(map(len, texts)) > 15_000
    for text in texts:
        assert words(tokens_of(text)) == words(theirs(text))
    together = " ".join(text for text in texts if "\n" not in text)
    assert words(tokens_of(together)) == words(theirs(together))


@pytest.mark.parametrize("text", NASTY)
def test_nasty_texts(text: str) -> None:
    for whole in (text, f"so {text} then", f"{text}\n{text}"):
        assert words(tokens_of(whole)) == words(theirs(whole))


@settings(max_examples=300, deadline=None)
@given(st.lists(st.sampled_from(NASTY) | st.text(max_size=6), max_size=6).map("".join))
def test_any_mixture(text: str) -> None:
    made = tokens_of(text)
    assert all(text[at : at + len(word)] == word for word, at in made)
    assert "".join(word for word, _ in words(made)) == "".join(text.split())
    if max(map(len, text.split()), default=0) <= LONG:
        assert words(made) == words(theirs(text))


def test_line_breaks_stay() -> None:
    """Later stages part typed notes at them."""
    assert "".join(word for word, _ in tokens_of("gold\n\nclear\r\n3") if "\n" in word).count("\n") == 3


def test_longer_runs_lose_nothing() -> None:
    for text in ("a." * LONG, "gold," * LONG, "7/12;" * LONG, ":)" * LONG):
        made = tokens_of(f"aroma {text} ten")
        assert "".join(word for word, _ in words(made)) == f"aroma{text}ten" and len(made) > 3
        assert (made[0], made[-1][0]) == (("aroma", 0), "ten")


def test_a_text_longer_than_spacys_limit() -> None:
    """An emoticon makes spaCy cut the whole text, and past a million characters its models' limit would refuse it."""
    text = "gold :) " * 125_100
    made = tokens_of(text)
    assert len(text) > spacy.blank("en").max_length and [word for word, _ in made[:3]] == ["gold", ":)", "gold"]
    assert len(words(made)) == 2 * 125_100


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("A:2.5/3", ["a", "2.5/3"]), ("T=41", ["t", "=", "41"]), ("16→17", ["16", "→", "17"]), ("41pts", ["41", "pts"]),
        ("A:2.5,S:10", ["a", "2.5", "s", "10"]), ("12:30", ["12:30"]), ("7,5", ["7,5"]),
    ],
)  # fmt: skip
def test_labels_and_figures_glued_together_are_words_of_their_own(typed: str, words: list[str]) -> None:
    reading = read_notes(f"Ten {typed} nine.", until="numbers")
    assert reading.words == ["ten", *words, "nine"]
    assert [reading.text[a:b] for a, b in zip(reading.starts, reading.ends, strict=True)] == reading.raw


def test_a_clipped_ending_is_written_out() -> None:
    """'standin'' is 'standing' (common practice in writing speech down), whether the tokenizer keeps the apostrophe or
    not; a quoted word ends as it is written."""
    text = "it's still standin’ and holdin', nothin' else, the 'robin' of 'cabin' days in' goin'"
    assert read_notes("he calls it 'a bit thin', and 'soft tannin'", until="numbers").words[-1] == "tannin"
    reading = read_notes(text, until="numbers")
    assert [w for w in reading.words if w.endswith(("in", "ing"))] == [
        *("standing", "holding", "nothing", "robin", "cabin", "in", "going")
    ]
    assert [text[slice(*reading.span(k, k + 1))] for k in (3, 5)] == ["standin’", "holdin'"]
