"""The stages in other people's spaCy pipelines: by entry point, around other tokenizers, stored, and over processes."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
import spacy
from frames import HERE, notes
from spacy.language import Language
from spacy.tokenizer import Tokenizer
from spacy.tokens import Doc, DocBin

from notes2sheet import components
from notes2sheet.errors import Notes2SheetError
from notes2sheet.lexicon import read_toml
from notes2sheet.pipeline import STAGES, draft_sheet

NAMES = [f"notes2sheet_{stage}" for stage in STAGES]
TEXTS = [notes(), notes(aroma_score="Two off for the haze.", mouthfeel_score="4/5"), "21A American IPA\nAroma: pine. 9"]


@Language.component("word_count")
def word_count(doc: Doc) -> Doc:
    doc.user_data["words"] = len(doc)
    return doc


def pipeline(*names: str, **config: str) -> Language:
    """Someone else's pipeline: tokens cut at spaces alone, a sentencizer, an entity ruler, a component of their own."""
    nlp = spacy.blank("en")
    nlp.tokenizer = Tokenizer(nlp.vocab)
    nlp.add_pipe("sentencizer")
    nlp.add_pipe("entity_ruler").add_patterns([{"label": "MAKER", "pattern": "Mill Lane Brewing,"}])
    for name in names:
        nlp.add_pipe(name, config=config)
    nlp.add_pipe("word_count")
    return nlp


def told(doc: Doc) -> dict[str, object]:
    """Everything that the components left on a Doc."""
    data = {name: json.dumps(getattr(doc._, name)) for name in NAMES}  # a DocBin gives tuples for lists
    return data | {
        "spans": {n: [(s.text, s.label_) for s in doc.spans[n]] for n in doc.spans},
        "sheet": doc._.notes2sheet,
    }


def test_one_entry_point_a_stage() -> None:
    """The table in pyproject.toml, which an installation hands to spaCy, names one factory for each stage."""
    table = read_toml(HERE.parent / "pyproject.toml")["project"]["entry-points"]["spacy_factories"]
    assert table == {f"notes2sheet_{stage}": f"notes2sheet.components:{stage}" for stage in STAGES}
    assert all(
        callable(getattr(components, stage)) and Language.has_factory(f"notes2sheet_{stage}") for stage in STAGES
    )


def test_entry_points_are_found_without_an_import() -> None:
    """spaCy's registry finds a factory by the installed entry points alone."""
    code = "import spacy; n = spacy.blank('en'); n.add_pipe('notes2sheet_scores'); print(n.pipe_names)"
    made = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=120)
    assert made.stdout.strip() == "['notes2sheet_scores']", made.stderr


@pytest.mark.parametrize("text", TEXTS, ids=["spoken", "taken off", "typed"])
def test_results_are_the_sheets(text: str) -> None:
    doc, sheet = pipeline(*NAMES)(text), draft_sheet(text)
    assert doc._.notes2sheet == sheet
    assert [(s["span"], s["category"]) for s in doc._.notes2sheet_segments] == [
        (list(s.span), s.category) for s in sheet.sentences
    ]
    assert [s["role"] for s in doc._.notes2sheet_roles] == [s.role for s in sheet.sentences]
    assert [(d["span"], d["term"], d["state"], d["level"]) for d in doc._.notes2sheet_stance] == [
        (list(d.span), d.term, d.state, d.scale) for d in sheet.descriptors
    ]
    assert {tuple(d["span"]) for d in doc._.notes2sheet_descriptors} >= {d.span for d in sheet.descriptors}
    assert [d["flaw"] for d in doc._.notes2sheet_faults] == [d.flaw for d in sheet.descriptors if d.flaw]
    parts = doc._.notes2sheet_scores["parts"]
    assert {p: (s["score"], s["basis"]) for p, s in parts.items()} == {
        p: (c.score, c.basis) for p, c in sheet.categories.items()
    }
    assert doc._.notes2sheet_scores["total"]["said"] == sheet.total.said
    assert doc._.notes2sheet_style["code"] == sheet.style.code == "21A"
    assert doc._.notes2sheet_entry == sheet.entry.model_dump()


def test_spans_lie_on_the_tokens_of_the_other_pipeline() -> None:
    doc = pipeline(*NAMES)(TEXTS[0])
    assert [(s.text, s.label_) for s in doc.spans["notes2sheet_scores"]][:2] == [
        ("Three out of three", "appearance"),
        ("Ten out of twelve", "aroma"),
    ]
    assert ("grapefruit,", "grapefruit") in [(s.text, s.label_) for s in doc.spans["notes2sheet_descriptors"]]
    assert {s.label_ for s in doc.spans["notes2sheet_roles"]} >= {"observe", "score"}
    maker = doc.ents[0]
    assert maker.label_ == "MAKER" and (maker._.notes2sheet_category, maker._.notes2sheet_role) == ("opening", "talk")
    assert len(list(doc.sents)) == 1, "the sentencizer finds no stops in these tokens, and its bounds are left alone"
    assert doc.user_data["words"] == len(doc)


def test_one_component_alone_is_enough() -> None:
    alone, whole = pipeline("notes2sheet_scores")(TEXTS[1]), pipeline(*NAMES)(TEXTS[1])
    assert alone._.notes2sheet_scores == whole._.notes2sheet_scores
    assert alone._.notes2sheet_cues is None and alone._.notes2sheet == whole._.notes2sheet


def test_settings_reach_the_reading_and_may_not_differ() -> None:
    doc = pipeline(*NAMES, style="18B")("Aroma: pine. 9")
    assert (doc._.notes2sheet_style["code"], doc._.notes2sheet_style["basis"]) == ("18B", "given")
    assert doc._.notes2sheet == draft_sheet("Aroma: pine. 9", style="18B")
    mixed = pipeline("notes2sheet_numbers", style="18B")
    mixed.add_pipe("notes2sheet_scores")
    with pytest.raises(Notes2SheetError, match="same config"):
        mixed("Aroma: pine. 9")
    with pytest.raises(Notes2SheetError, match="no-such-sheet"):
        pipeline("notes2sheet_scores", sheet="no-such-sheet")("Aroma: pine. 9")


@pytest.mark.parametrize("text", ["", " \n ", "?!"])
def test_nothing_said(text: str) -> None:
    doc = pipeline(*NAMES)(text)
    assert doc._.notes2sheet_sentences == [] and doc._.notes2sheet == draft_sheet(text)
    assert doc[:]._.notes2sheet_category is None


def test_a_stored_pipeline_gives_the_same(tmp_path: Path) -> None:
    nlp = pipeline(*NAMES, style="18B")
    nlp.to_disk(tmp_path / "nlp")
    wanted = [told(doc) for doc in nlp.pipe(TEXTS)]
    again = pipeline(*NAMES, style="18B").from_bytes(nlp.to_bytes())
    for other in (spacy.load(tmp_path / "nlp"), again):
        assert other.pipe_names == nlp.pipe_names
        assert [told(doc) for doc in other.pipe(TEXTS)] == wanted


def test_stored_docs_keep_their_results() -> None:
    nlp = pipeline(*NAMES, style="18B")
    docs = list(nlp.pipe(TEXTS))
    stored = DocBin(docs=docs, store_user_data=True).to_bytes()
    for doc, kept in zip(docs, DocBin().from_bytes(stored).get_docs(nlp.vocab), strict=True):
        assert told(kept) == told(doc) == told(Doc(nlp.vocab).from_bytes(doc.to_bytes()))


@pytest.mark.parametrize("start", ["fork", "spawn"])
def test_several_processes(start: str, tmp_path: Path) -> None:
    """In an interpreter of its own, since the way to start processes is set once for all."""
    if start == "fork" and sys.platform == "win32":
        pytest.skip("no fork here")
    script = tmp_path / "many.py"
    script.write_text(
        "import multiprocessing, sys\n"
        f"sys.path.insert(0, {str(HERE)!r}); sys.path.insert(0, {str(HERE / 'library')!r})\n"
        "from test_spacy_components import NAMES, TEXTS, pipeline, told\n"
        "if __name__ == '__main__':\n"
        f"    multiprocessing.set_start_method({start!r}, force=True)\n"
        "    nlp = pipeline(*NAMES)\n"
        "    one = [told(doc) for doc in nlp.pipe(TEXTS)]\n"
        "    two = [told(doc) for doc in nlp.pipe(TEXTS, n_process=2, batch_size=1)]\n"
        "    print(one == two, len(two))\n"
    )
    made = subprocess.run([sys.executable, str(script)], capture_output=True, text=True, timeout=300)
    assert made.stdout.strip() == "True 3", made.stderr[-2000:]
