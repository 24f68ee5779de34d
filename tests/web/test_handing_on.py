"""The forms in which a sheet is handed on, read back by other programs' readers."""

from __future__ import annotations

import csv
import io
import json
import re
import sys
import unicodedata

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from typer import Typer
from typer.testing import CliRunner
from web_help import HOSTILE, SPOKEN, TYPED, draft

from notes2sheet.errors import Notes2SheetError
from notes2sheet.model import Sheet
from notes2sheet.outputs import csv as csv_form
from notes2sheet.outputs import html
from notes2sheet.outputs import json as json_form
from notes2sheet.outputs import md as md_form


def squeezed(text: str) -> str:
    return "".join(unicodedata.normalize("NFKC", text).split())


def told(sheet: Sheet) -> list[str]:
    """All that a printed form has to say."""
    out = [sheet.entry.name, sheet.entry.maker, sheet.style.name, sheet.total.band]
    for name, part in sheet.categories.items():
        out += [name.capitalize(), f"{part.score:g} / {part.cap}" if part.score is not None else "–", part.comment]
        out += [lost.reason for lost in part.lost]
    return [text for text in [*out, *(flag.message for flag in sheet.flags), *html.CAUTIONS] if text]


@pytest.mark.parametrize("notes", [SPOKEN, TYPED, SPOKEN.replace("hollow gate", "žluťoučký kůň")])
def test_pdf_says_what_the_sheet_says(notes):
    pypdf = pytest.importorskip("pypdf", reason="pypdf is not installed")
    pdf = pytest.importorskip("notes2sheet.outputs.pdf")
    pytest.importorskip("fpdf", reason="fpdf2 is not installed")
    sheet = draft(notes)
    read = pypdf.PdfReader(io.BytesIO(pdf.render(sheet, judge="Ada Probe")))
    text = squeezed(" ".join(page.extract_text() for page in read.pages))
    assert len(read.pages) <= 2
    assert [said for said in [*told(sheet), "Signed by Ada Probe."] if squeezed(said) not in text] == []


def test_pdf_takes_hostile_notes():
    pypdf = pytest.importorskip("pypdf", reason="pypdf is not installed")
    pytest.importorskip("fpdf", reason="fpdf2 is not installed")
    from notes2sheet.outputs.pdf import render

    sheet = draft(HOSTILE)
    entry = sheet.entry.model_copy(update={"name": "<b>שלום</b> \u202eevil 🍺"})
    read = pypdf.PdfReader(io.BytesIO(render(sheet.model_copy(update={"entry": entry}))))
    text = squeezed(" ".join(page.extract_text() for page in read.pages))
    assert "<b>[U+05E9]" in text and "\u2039U+202E\u203aevil[U+1F37A]" in text


def test_pdf_without_its_extra_says_what_to_install(monkeypatch):
    from notes2sheet.outputs.pdf import render

    monkeypatch.setitem(sys.modules, "fpdf", None)
    with pytest.raises(Notes2SheetError, match=r"pip install 'notes2sheet\[pdf\]'"):
        render(draft(TYPED))


@pytest.mark.parametrize("notes", [SPOKEN, TYPED, HOSTILE])
def test_csv_is_one_row(notes):
    sheet = draft(notes)
    rows = list(csv.DictReader(io.StringIO(csv_form.render(sheet))))
    assert len(rows) == 1
    for name, part in sheet.categories.items():
        assert rows[0][name] == ("" if part.score is None else str(part.score))
        assert rows[0][f"{name}_comment"].lstrip("'") == " ".join(part.comment.split())
    assert rows[0]["caution"].startswith("A draft is no official result")
    assert csv_form.render(sheet).endswith(csv_form.render(sheet, header=False))


@given(st.text(max_size=80))
def test_no_cell_is_a_formula(text):
    sheet = SHEET.model_copy(update={"entry": SHEET.entry.model_copy(update={"name": text})})
    row = next(csv.DictReader(io.StringIO(csv_form.render(sheet))))
    assert row["entry"][:1] not in ("=", "+", "-", "@", "\t", "\r")


@given(st.text(max_size=200))
@settings(deadline=None)
def test_any_text_is_shown_as_text(text):
    from html.parser import HTMLParser

    class Reader(HTMLParser):
        def __init__(self):
            super().__init__()
            self.tags, self.heading, self.inside = [], "", False

        def handle_starttag(self, tag, attrs):
            self.tags.append(tag)
            self.inside = tag == "h1"

        def handle_endtag(self, tag):
            self.inside = self.inside and tag != "h1"

        def handle_data(self, data):
            self.heading += data if self.inside else ""

    entry = SHEET.entry.model_copy(update={"name": text or "x"})
    made, plain = Reader(), Reader()
    made.feed(html.render(SHEET.model_copy(update={"entry": entry})))
    plain.feed(html.render(SHEET))
    assert made.tags == plain.tags
    assert made.heading == html.visible(text or "x")
    assert html.STEERING.search(made.heading) is None


SHEET = draft(SPOKEN)


@pytest.mark.parametrize("notes", [SPOKEN, TYPED, HOSTILE])
def test_json_read_back_is_the_same_sheet_and_fits_the_schema(notes):
    jsonschema = pytest.importorskip("jsonschema", reason="jsonschema is not installed")
    from notes2sheet.cli_review import schema

    app = Typer()
    app.command()(schema)
    published = json.loads(CliRunner().invoke(app).stdout)
    sheet = draft(notes)
    data = json.loads(json_form.render(sheet))
    jsonschema.Draft202012Validator.check_schema(published)
    jsonschema.validate(data, published, cls=jsonschema.Draft202012Validator)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(data | {"flags": [{"code": 1}]}, published, cls=jsonschema.Draft202012Validator)
    assert Sheet.model_validate(data) == sheet


def test_markdown_holds_what_a_video_s_description_needs():
    """Chapters as players read them: from 0:00, rising, one a line."""
    made = md_form.render(SHEET)
    assert md_form.chapters(SHEET) == [
        "0:00 The beer", "0:08 Appearance", "0:40 Aroma", "1:00 Flavor", "1:16 Mouthfeel", "1:24 Overall impression",
    ]  # fmt: skip
    assert all(f"\n{line}  \n" in made for line in md_form.chapters(SHEET))
    assert "Tags: Best Bitter, deep copper, clear, " in made and "| Aroma | 6 | 12 |" in made
    assert html.CAUTIONS[0] in made


def test_markdown_without_times_has_no_chapters():
    assert md_form.chapters(draft(TYPED)) == [] and "## Chapters" not in md_form.render(draft(TYPED))


@pytest.mark.parametrize("hostile", ["[a](http://b.test)", "<b>x</b>", "a | b", "# top", "`x`", "\x1b[31mred"])
def test_markdown_takes_notes_as_text(hostile):
    entry = SHEET.entry.model_copy(update={"name": hostile})
    first = md_form.render(SHEET.model_copy(update={"entry": entry})).split("\n")[0]
    assert "\x1b" not in first
    bare = re.sub(r"\\.", "", first.removeprefix("# "))
    assert not set("[]()<>|#`") & set(bare)
