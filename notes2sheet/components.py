"""The stages as spaCy components, for pipelines of your own: `nlp.add_pipe("notes2sheet_scores")`.

There is one factory a stage, `notes2sheet_<stage>`: numbers, sentences, cues, descriptors, entry, context, recut,
segments, roles, columns, stance, style, sheet, faults, scores. Each runs the stages before it that have not run yet, so
one alone is enough, and reads the text of the Doc with a tokenizer of its own, so that the results do not depend on the
pipeline around it.

A factory leaves its result under its own name:

- `doc._.notes2sheet_<stage>`: plain data; every span is [start, end) in code points of `doc.text`, points and percent
  are floats, times seconds.
- `doc.spans["notes2sheet_<stage>"]`: the same places as spans of the Doc's tokens, widened to whole tokens where the
  Doc cuts words otherwise, labeled with the number, cue, term, category, role, state, style code, flaw or part.

`doc._.notes2sheet` is the finished Sheet, `span._.notes2sheet_category` and `span._.notes2sheet_role` what the
sentence is in which a span of any origin begins. The Doc's own sentences and entities are left alone.

Stored Docs (`to_bytes`, `DocBin`, `nlp.pipe(n_process=2)`) keep the results; the working state is made anew from the
text when something asks for more.

>>> import spacy
>>> nlp = spacy.blank("en")
>>> _ = nlp.add_pipe("notes2sheet_scores")
>>> doc = nlp("21A American IPA\\nAroma: grapefruit and pine. 10/12")
>>> doc._.notes2sheet_scores["parts"]["aroma"]["score"], doc.spans["notes2sheet_scores"][0].text
(10.0, '10/12')
>>> doc._.notes2sheet.style.code
'21A'
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

import srsly
from spacy.language import Language
from spacy.tokens import Doc, Span

if TYPE_CHECKING:
    from notes2sheet.model import Sheet
    from notes2sheet.transcript import Reading

PREFIX = "notes2sheet"
SETTINGS: dict[str, str | None] = {"sheet": None, "style": None, "lexicon": None}


@dataclass
class Work:
    """The reading of one Doc and the stages that it has been through. Stored with the Doc as its settings only."""

    settings: dict[str, str | None]
    reading: Reading | None = None
    done: set[str] = field(default_factory=set)

    def __reduce__(self) -> tuple[type[Work], tuple[dict[str, str | None]]]:
        return Work, (self.settings,)

    def until(self, text: str, last: str | None) -> Reading:
        """The reading after the stage `last`, or after all; only stages that have not run are run."""
        from notes2sheet.pipeline import STAGES, begin
        from notes2sheet.style_data import resolve_style
        from notes2sheet.tokens import tokens_of

        if self.reading is None:
            sheet, style, lexicon = (self.settings[key] for key in SETTINGS)
            self.reading = begin(
                text,
                tokens_of(text),
                sheet,
                Path(lexicon) if lexicon else None,
                style_given=resolve_style(style) if style else None,
            )
        for name, stage in STAGES.items():
            if name not in self.done:
                stage(self.reading)
                self.done.add(name)
            if name == last:
                break
        return self.reading


@srsly.msgpack_encoders("notes2sheet_work")  # type: ignore[untyped-decorator]
def _encode(obj: Any, chain: Callable[[Any], Any] | None = None) -> Any:
    if isinstance(obj, Work):
        return obj.settings
    return obj if chain is None else chain(obj)


def _work(doc: Doc, settings: dict[str, str | None] | None = None) -> Work:
    """The Doc's work, begun or made anew where there is none. Raises Notes2SheetError where settings differ."""
    from notes2sheet.errors import Notes2SheetError

    kept = doc.user_data.get(PREFIX)
    work = kept if isinstance(kept, Work) else Work(kept or settings or dict(SETTINGS))
    if settings is not None and work.settings != settings:
        what = f"components with different settings: {work.settings} and {settings}"
        raise Notes2SheetError(what, "nlp.add_pipe", "give all notes2sheet components the same config")
    doc.user_data[PREFIX] = work
    return work


# What else a stage may change: the sentences of running text; the part of a line, whose figure scores another.
REVISED = {"recut": ("sentences",), "columns": ("segments", "roles"), "scores": ("segments",)}


class Stage:
    """One stage as a component. It holds names only: data and taggers belong to the package."""

    def __init__(self, stage: str, settings: dict[str, str | None]) -> None:
        self.stage, self.settings = stage, settings

    def __call__(self, doc: Doc) -> Doc:
        """The Doc with this stage's result. Raises Notes2SheetError for an unknown sheet, style or lexicon."""
        from notes2sheet.results import RESULTS

        reading = _work(doc, self.settings).until(doc.text, self.stage)
        again = [stage for stage in REVISED.get(self.stage, ()) if f"{PREFIX}_{stage}" in doc.spans]
        for stage in (self.stage, *again):
            name = f"{PREFIX}_{stage}"
            data, places = RESULTS[stage](reading)
            doc._.set(name, data)
            spans = (doc.char_span(start, end, label=label, alignment_mode="expand") for (start, end), label in places)
            doc.spans[name] = [span for span in spans if span is not None]
        return doc


def _sheet(doc: Doc) -> Sheet:
    from notes2sheet.draft import make_sheet

    return make_sheet(_work(doc).until(doc.text, None))


def _sentence(span: Span, last: str) -> Any:
    reading = _work(span.doc).until(span.doc.text, last)
    begun = [s for s in reading.sentences if reading.starts[s.start] <= max(span.start_char, reading.starts[0])]
    return begun[-1] if begun else None


def _category(span: Span) -> str | None:
    return getattr(_sentence(span, "segments"), "category", None)


def _role(span: Span) -> str | None:
    return getattr(_sentence(span, "roles"), "role", None)


def _extend(kind: type[Doc] | type[Span], name: str, **how: Any) -> None:
    if not kind.has_extension(name):
        kind.set_extension(name, **how)


def _factory(stage: str) -> Callable[..., Stage]:
    def make(nlp: Language, name: str, sheet: str | None, style: str | None, lexicon: str | None) -> Stage:
        return Stage(stage, {"sheet": sheet, "style": style, "lexicon": lexicon})

    name = f"{PREFIX}_{stage}"
    _extend(Doc, name, default=None)
    Language.factory(name, assigns=[f"doc._.{name}"], default_config=dict(SETTINGS), func=make)
    return make


_extend(Doc, PREFIX, getter=_sheet)
_extend(Span, f"{PREFIX}_category", getter=_category)
_extend(Span, f"{PREFIX}_role", getter=_role)

numbers = _factory("numbers")
sentences = _factory("sentences")
cues = _factory("cues")
descriptors = _factory("descriptors")
context = _factory("context")
recut = _factory("recut")
segments = _factory("segments")
roles = _factory("roles")
columns = _factory("columns")
stance = _factory("stance")
style = _factory("style")
sheet = _factory("sheet")
faults = _factory("faults")
scores = _factory("scores")
entry = _factory("entry")
