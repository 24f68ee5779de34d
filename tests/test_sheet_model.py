"""The sheet as data: frozen, closed, the same after JSON, and every value tied to words of the notes."""

from __future__ import annotations

import re
from decimal import Decimal
from functools import cache
from itertools import chain

import pytest
from frames import HERE, draft, notes
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pydantic import BaseModel, ValidationError

from notes2sheet import model
from notes2sheet.numbers import find_numbers
from notes2sheet.pipeline import draft_sheet, read_notes
from notes2sheet.words import is_or_are

TYPES = [t for t in vars(model).values() if isinstance(t, type) and issubclass(t, BaseModel) and t is not BaseModel]
ACCURACY = HERE / "accuracy"
DEMOS = HERE.parent / "demo_notes"
TRANSCRIPTS = sorted((ACCURACY / "dev").glob("*.marked.txt"))[::3] + sorted((ACCURACY / "own").glob("[gh]*.txt"))[::6]


@cache
def plain(path) -> str:
    """A marked transcript without its header and marks: what a program is given."""
    body = path.read_text(encoding="utf-8").partition("\n\n")[2]
    lines = [re.sub(r"^(?:@\d+:\d\d )?\[[a-z]+/[a-z]+\] ", "", line) for line in body.splitlines()]
    return re.sub(r"\{([^{}|]+)\|[^{}]*\}", r"\1", "\n".join(lines))


@cache
def drafted(path):
    return draft_sheet(plain(path))


@pytest.fixture(params=TRANSCRIPTS, ids=lambda path: path.name.partition(".")[0])
def sheet(request):
    return drafted(request.param)


def spans_of(value) -> list[tuple[int, int]]:
    """Every [start, end) anywhere in a dumped sheet."""
    if isinstance(value, dict):
        own = [value["span"]] if "span" in value else []
        covered = list(chain.from_iterable(value["covered"].values())) if "covered" in value else []
        rest = chain.from_iterable(spans_of(v) for k, v in value.items() if k not in ("span", "spans", "covered"))
        return [*own, *value.get("spans", ()), *covered, *rest]
    if isinstance(value, list | tuple):
        return list(chain.from_iterable(spans_of(v) for v in value))
    return []


def test_the_types_are_frozen_and_closed() -> None:
    assert len(TYPES) >= 9
    for kind in TYPES:
        assert kind.model_config["frozen"] and kind.model_config["extra"] == "forbid", kind


def test_a_sheet_cannot_be_changed_or_extended() -> None:
    sheet = draft()
    with pytest.raises(ValidationError):
        sheet.text = "other"
    with pytest.raises(ValidationError):
        sheet.total.said = 50
    with pytest.raises(ValidationError):
        model.Entry(name="Copper Gate", stars=5)
    with pytest.raises(ValidationError):
        model.Sheet.model_validate(sheet.model_dump() | {"stars": 5})


@pytest.mark.parametrize("field", ["category", "score", "state", "role", "severity"])
def test_values_outside_the_contract_are_refused(field: str) -> None:
    bad = {
        "category": lambda: model.CategoryOut(cap=12, basis="guessed"),
        "score": lambda: model.CategoryOut(cap=12, score="ten"),
        "state": lambda: model.DescriptorOut(span=(0, 1), term=None, category="aroma", state="maybe"),
        "role": lambda: model.SentenceOut(span=(0, 1), category="aroma", role="sing"),
        "severity": lambda: model.Flag(code="x", severity="fatal", message="x"),
    }[field]
    with pytest.raises(ValidationError):
        bad()


def test_json_round_trip(sheet) -> None:
    assert model.Sheet.model_validate_json(sheet.model_dump_json()) == sheet


def test_every_span_lies_in_the_text(sheet) -> None:
    spans = spans_of(sheet.model_dump())
    assert len(spans) > 20
    for start, end in spans:
        assert 0 <= start < end <= len(sheet.text) and sheet.text[start:end].strip() == sheet.text[start:end]


def test_sentences_are_in_order_and_apart(sheet) -> None:
    spans = [s.span for s in sheet.sentences]
    assert spans and all(a[1] <= b[0] for a, b in zip(spans, spans[1:], strict=False))


def test_said_scores_are_quoted_with_their_number(sheet) -> None:
    """The evidence of a said score holds the number, or a phrase for a share of the cap, or is flagged as misheard."""
    checked = 0
    for name, part in sheet.categories.items():
        if part.basis == "said":
            quotes = [sheet.quote(span) for span in part.spans]
            values = {n.value for quote in quotes for n in read_notes(quote, until="numbers").numbers}
            share = any(re.search(r"mark|point|max|top|full|lot|all", quote, re.I) for quote in quotes)
            heard = any(f.code == "heard-as" and f.category == name for f in sheet.flags)
            assert Decimal(str(part.score)) in values or share or heard, (part.score, quotes)
            checked += 1
    if sheet.total.said is not None:
        quote = " ".join(sheet.quote(span) for span in sheet.total.spans)
        words = quote.lower().replace("-", " ").replace("/", " ").split()
        assert Decimal(str(sheet.total.said)) in {n.value for n in find_numbers(words)}
        checked += 1
    assert checked or {p.basis for p in sheet.categories.values()} <= {"none", "unsure", "taken-off", "revised"}


def test_scores_and_evidence_stand_or_fall_together(sheet) -> None:
    for part in sheet.categories.values():
        assert (part.score is None) == (part.basis in ("none", "unsure"))
        assert bool(part.spans) == (part.basis != "none")
        assert part.basis != "taken-off" or part.score == part.cap - sum(lost.points for lost in part.lost)
        assert part.rest or not part.reasons
        if part.score is not None and part.cap - part.score >= (told := sum(lost.points for lost in part.lost)):
            assert part.score + told + part.rest == pytest.approx(part.cap)
    scores = [p.score for p in sheet.categories.values()]
    assert sheet.total.sum == (None if None in scores else sum(scores))
    assert (sheet.total.said is None) == (not sheet.total.spans)


def test_covered_and_missing_make_up_the_prompts(sheet) -> None:
    from notes2sheet.lexicon import load_sheet

    for category in load_sheet("beer-50").categories:
        part = sheet.categories[category.id]
        assert part.cap == category.cap
        assert sorted([*part.covered, *part.missing]) == sorted(category.aspects)
        assert all(part.covered.values())


def test_comments_hold_nothing_that_was_not_said(sheet) -> None:
    """Each word of a comment is said in the notes, names a prompt, a level or an off-flavor, or is the term heard."""
    from notes2sheet.lexicon import LEVELS, cue_file, load_sheet
    from notes2sheet.words import norm

    frame = {w for c in load_sheet("beer-50").categories for a in c.aspects for w in a.split()}
    frame |= {"also", "no", "not"} | {w for level in LEVELS for w in re.split("[ -]", level)}
    frame |= {entry["adverb"] for entry in cue_file("levels").values() if "adverb" in entry}
    frame |= {w for d in sheet.descriptors for w in f"{d.term or ''} {d.flaw or ''}".lower().replace("-", " ").split()}
    said = {norm(w) for w in re.findall(r"[\w'’½¼¾]+", sheet.text)}
    for part in sheet.categories.values():
        words = {norm(w) for w in re.findall(r"[\w'’½¼¾]+", part.comment)}
        assert words <= said | frame, words - said - frame


def test_quote_gives_the_words_on_one_line() -> None:
    sheet = draft_sheet("21A\nAroma: strong\ngrapefruit. 10/12")
    assert sheet.quote((4, len("21A\nAroma: strong\ngrapefruit"))) == "Aroma: strong grapefruit"


@pytest.mark.parametrize("text", ["", " \n", "…", "- - -", "😀"])
def test_a_text_without_words_makes_an_empty_sheet(text: str) -> None:
    sheet = draft_sheet(text)
    assert sheet.sentences == () and "no-tasting" in {f.code for f in sheet.flags}


WORDS = [*notes().split(), "\n", "½", "10/12", "-2", "…", "é", "😀", "“", "42", "or", "%", "{", "\x0b", "\u202e", "."]


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(st.sampled_from(WORDS), max_size=60))
def test_shuffled_notes_still_make_a_sound_sheet(words: list[str]) -> None:
    sheet = draft_sheet(" ".join(["Aroma", *words]))
    assert all(0 <= start < end <= len(sheet.text) for start, end in spans_of(sheet.model_dump()))
    assert model.Sheet.model_validate_json(sheet.model_dump_json()) == sheet


@settings(max_examples=40, deadline=None)
@given(st.text(max_size=80))
def test_any_text_makes_a_sheet(text: str) -> None:
    text = f"Aroma {text}"
    sheet = draft_sheet(text)
    assert sheet.text == text and set(sheet.categories) == {"appearance", "aroma", "flavor", "mouthfeel", "overall"}


def test_a_comment_lists_what_is_missing_behind_what_is_there() -> None:
    sheet = draft(aroma="I get no esters, a strong grapefruit and no diacetyl, and low bread from the malt.")
    hops, _, rest = sheet.categories["aroma"].comment.partition("Hops: ")[2].partition(".")
    assert "grapefruit" in hops and ";" not in hops and "no " not in hops
    assert rest.index("no esters") < rest.index("no diacetyl")
    both = draft(aroma="There is no lemon, and a strong grapefruit.").categories["aroma"].comment
    assert "high grapefruit; no lemon" in both


def test_words_outside_the_lexicon_stay_with_those_they_paint() -> None:
    said = "a bit like breakfast cereal soaked in warm milk"
    notes = (DEMOS / "alcohol_free.txt").read_text(encoding="utf-8")
    assert said in notes and "breakfast cereal soaked in warm milk" in draft_sheet(notes).categories["aroma"].comment


def test_the_comment_on_the_whole_begins_without_a_joining_word() -> None:
    sheet = draft(overall="And it is a fine example of the style, well made.")
    assert sheet.categories["overall"].comment.startswith("It is a fine example")


@pytest.mark.parametrize(
    ("part", "said", "wanted"),
    [
        ("appearance", "It's gold with brilliant clarity.", "Clarity: brilliant."),
        ("flavor", "The finish is dry.", "Finish: dry."),
        ("flavor", "A soft sweetness up front and the finish is dry.", "dry."),
        ("flavor", "Dry finish, clean.", "Finish: dry."),
        ("flavor", "The balance is malty.", "Balance: malty."),
        ("mouthfeel", "The body's medium.", "Body: medium."),
        ("mouthfeel", "Medium body, carbonation is high, no warmth.", "Body: medium. Carbonation: high. Warmth: no w"),
        ("mouthfeel", "Full body. High carbonation, low sparkle.", "Carbonation: high carbonation, low sparkle."),
        ("mouthfeel", "Body medium. A medium hop astringency.", "Astringency: medium hop astringency."),
        ("mouthfeel", "There is a low alcohol warmth, light body.", "Body: light. Warmth: low alcohol warmth."),
        ("aroma", "Low malt, a bit of cracker.", "Malt: low malt, low cracker."),
        ("aroma", "No hops, and no esters.", "Hops: no hops."),
    ],
)  # fmt: skip
def test_a_comment_does_not_say_a_prompt_twice(part: str, said: str, wanted: str) -> None:
    assert wanted in draft(**{part: said}).categories[part].comment


def test_a_quoted_clause_drops_only_the_name_that_it_stands_under() -> None:
    comment = (
        draft(flavor="The bitterness is high. The balance is right over on the far side.").categories["flavor"].comment
    )
    assert "Balance: “right over on the far side”." in comment


@pytest.mark.parametrize(
    ("pieces", "wanted"),
    [
        ({"aroma": "There is no hop, none at all."}, None),
        ({"opening": "A Doppelbock, 9A.", "aroma": "The hops are very high."}, "Hops are "),
        ({"opening": "A Doppelbock, 9A.", "flavor": "The bitterness is very high."}, "Bitterness is very high"),
        ({"flavor": "I get a medium caramel and a high bitterness."}, "Medium caramel is more than"),
        ({"opening": "A Munich Helles, 4A.", "aroma": "High esters."}, None),
    ],
)
def test_flags_are_sentences(pieces: dict[str, str], wanted: str | None) -> None:
    """A flag begins with a capital, a figure or a quote, and its verb goes with what it speaks of."""
    messages = [flag.message for flag in draft(**pieces).flags]
    assert messages and not any(message[0].islower() or "ops is" in message for message in messages)
    assert wanted is None or any(message.startswith(wanted) for message in messages), messages


@pytest.mark.parametrize(
    ("name", "verb"),
    [("hops", "are"), ("esters", "are"), ("canned peaches", "are"), ("bitterness", "is"), ("citrus", "is"),
     ("molasses", "is"), ("hibiscus", "is"), ("cannabis", "is"), ("caramel", "is"), ("rooibos", "is"), ("", "is")],
)  # fmt: skip
def test_the_verb_goes_with_the_name(name: str, verb: str) -> None:
    assert is_or_are(name) == verb
