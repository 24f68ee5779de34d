"""spaCy factories for the stages: registration only. Stages and data are imported when a component first runs,
since every `spacy.blank()` in the environment loads this module by its entry points."""

from __future__ import annotations

from spacy.language import Language
from spacy.tokens import Doc

if not Doc.has_extension("reading"):
    Doc.set_extension("reading", default=None)


class Stage:
    """One stage as a component; the first of them starts the reading that the later ones extend."""

    def __init__(self, stage: str, sheet: str | None) -> None:
        self.stage, self.sheet = stage, sheet

    def __call__(self, doc: Doc) -> Doc:
        from notes2sheet.pipeline import STAGES, begin

        if doc._.reading is None:
            doc._.reading = begin(doc, self.sheet)
        if self.stage in STAGES and doc._.reading.words:
            STAGES[self.stage](doc._.reading)
        return doc

    def to_disk(self, path, exclude=()) -> None:
        """Nothing to store: the lexicon belongs to the package."""

    def from_disk(self, path, exclude=()) -> Stage:
        return self


def _factory(stage: str):
    def make(nlp: Language, name: str, sheet: str | None) -> Stage:
        return Stage(stage, sheet)

    return Language.factory(f"notes2sheet_{stage}", default_config={"sheet": None}, func=make)


sentences = _factory("sentences")
numbers = _factory("numbers")
cues = _factory("cues")
descriptors = _factory("descriptors")
segments = _factory("segments")
roles = _factory("roles")
style = _factory("style")
stance = _factory("stance")
sheet = _factory("sheet")
scores = _factory("scores")
