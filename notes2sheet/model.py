"""The sheet as data: frozen pydantic types whose JSON is the published contract."""

from __future__ import annotations

from bisect import bisect_right
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError, model_validator

Span = tuple[int, int]
Severity = Literal["blocker", "warning", "note"]
NAME_MARKS = " -_'.,/()&"  # beside letters and digits: names of parts, prompts, bands and flags
SCHEMA = 1  # of the sheet's JSON: raised when a field changes its name or meaning, not when one is added
LARGEST = 1e9  # no figure of a sheet, nor a second of a recording, comes near it


class _Frozen(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


class Entry(_Frozen):
    """What the beer is called and who made it; None when the notes don't say."""

    name: str | None = None
    maker: str | None = None
    abv: float | None = None


class StyleRef(_Frozen):
    """The style judged to. `basis`: said in the notes, by another judge at the table, given by the caller, or none."""

    code: str | None = None
    name: str | None = None
    basis: Literal["said", "table", "given", "none"] = "none"
    spans: tuple[Span, ...] = ()

    @property
    def known(self) -> str:
        """How the style is known, as a sheet says it."""
        return "said by another judge at the table" if self.basis == "table" else self.basis


class SentenceOut(_Frozen):
    """One sentence: code-point span, part of the sheet, role, seconds from the start where known."""

    span: Span
    category: str
    role: Literal["expect", "observe", "score", "prefer", "talk"]
    time: float | None = None


class Lost(_Frozen):
    """Points taken off, with the words that say why; those given back are less than nothing."""

    points: float
    reason: str
    spans: tuple[Span, ...]


class CategoryOut(_Frozen):
    """One part of the sheet. `spans` is where the score comes from; `covered` maps prompts to their words; `reasons`
    are the sentences that tell why points are off which `lost` does not account for."""

    cap: int
    score: float | None = None
    basis: Literal["said", "taken-off", "revised", "unsure", "none"] = "none"
    spans: tuple[Span, ...] = ()
    covered: dict[str, tuple[Span, ...]] = {}
    missing: tuple[str, ...] = ()
    comment: str = ""
    lost: tuple[Lost, ...] = ()
    reasons: tuple[Span, ...] = ()

    @property
    def rest(self) -> float:
        """The points off that no deduction in `lost` accounts for; 0 without a score."""
        score = self.cap if self.score is None else self.score
        return max(0.0, round(self.cap - score - sum(lost.points for lost in self.lost), 6))


class Total(_Frozen):
    """`sum` only when every part has a score; `said` is the taster's own total; `band` the published one, `house_band`
    that of the house rules."""

    sum: float | None = None
    said: float | None = None
    band: str | None = None
    house_band: str | None = None
    spans: tuple[Span, ...] = ()


class DescriptorOut(_Frozen):
    """One sensory word of the notes. `term` is the lexicon's canonical name, `flaw` the off-flavor that it names."""

    span: Span
    term: str | None
    category: str
    state: Literal["present", "absent", "mentioned"]
    level: Literal["none", "low", "medium", "high"] | None = None
    scale: str | None = None
    flaw: str | None = None


class Flag(_Frozen):
    """What a careful reader would send back, with the words it comes from."""

    code: str
    category: str | None = None
    severity: Severity
    message: str
    spans: tuple[Span, ...] = ()


class House(_Frozen):
    """The house rules that a sheet was drafted under.

    `points` is the smallest step of a score, `bands` pairs (lowest total, name) upwards, `prompts` the severity of
    each prompt 'part.aspect' that the notes must answer. `severities` and `off` go by flag, 'code' or 'code:part':
    the severity that it has here, the reason why it is not raised here. `author` is the judge: whom the notes
    name on a line of theirs, else whom the house file names.
    """

    points: Literal["whole", "half", "quarter"] | None = None
    bands: tuple[tuple[float, str], ...] = ()
    prompts: dict[str, Severity] = {}
    severities: dict[str, Severity] = {}
    off: dict[str, str] = {}
    author: str | None = None

    def band(self, total: float) -> str | None:
        """The own band that `total` has reached."""
        return next((name for low, name in reversed(self.bands) if total >= low), None)


class Sheet(_Frozen):
    """A draft scoresheet; `model_dump_json()` is the contract's JSON. All spans are [start, end) in `text`.

    `source_lines` are (offset in `text`, line of the notes' file from 1) where a line begins to hold; none where the
    lines of `text` are those of the file.
    `suggestions` to the brewer are the tool's, hedged, and marked so; they are never the judge's words. `silenced` are
    the flags that the house rules switch off.
    `schema_version` is that of the JSON, SCHEMA here; sheets stored before there was one are of the first.
    Pydantic's ValidationError is raised for JSON that is no sheet, for one of a newer schema, and for one with fields
    that this version doesn't know; `why_refused` puts it in words.

    >>> from notes2sheet import draft_sheet
    >>> sheet = draft_sheet("Aroma: pine. 9/12")
    >>> Sheet.model_validate_json(sheet.model_dump_json()) == sheet
    True
    """

    text: str
    sheet: str
    entry: Entry
    style: StyleRef
    sentences: tuple[SentenceOut, ...]
    categories: dict[str, CategoryOut]
    total: Total
    descriptors: tuple[DescriptorOut, ...]
    flags: tuple[Flag, ...]
    suggestions: tuple[str, ...] = ()
    house: House | None = None
    silenced: tuple[Flag, ...] = ()
    source_lines: tuple[tuple[int, int], ...] = ()
    schema_version: int = Field(default=SCHEMA, ge=1, strict=True)

    @model_validator(mode="before")
    @classmethod
    def _no_newer_schema(cls, data: Any) -> Any:
        """Refused before anything else: what the other fields of a newer schema mean is not known here."""
        version = data.get("schema_version") if isinstance(data, dict) else None
        if isinstance(version, int) and version > SCHEMA:
            raise ValueError(f"its JSON has schema {version}, this notes2sheet reads up to {SCHEMA}")
        return data

    @model_validator(mode="after")
    def _hangs_together(self) -> Sheet:
        """A sheet from outside is read as one only when its spans lie in its text and its figures can be printed."""
        parts, total = self.categories, self.total
        figures = [self.entry.abv, total.sum, total.said, *(s.time for s in self.sentences)]
        figures += [f for p in parts.values() for f in (p.cap, p.score, *(lost.points for lost in p.lost))]
        if any(abs(f) > LARGEST for f in figures if f is not None):
            raise ValueError("a figure is too large")
        spans = [*self.style.spans, *total.spans, *(s.span for s in self.sentences)]
        spans += [d.span for d in self.descriptors]
        spans += [s for p in parts.values() for s in (*p.spans, *p.reasons)]
        spans += [s for p in parts.values() for lost in p.lost for s in lost.spans]
        spans += [s for p in parts.values() for covered in p.covered.values() for s in covered]
        spans += [s for flag in self.flags for s in flag.spans]
        if any(not 0 <= start <= end <= len(self.text) for start, end in spans):
            raise ValueError("a span lies outside of the text")
        if not {flag.category for flag in self.flags} <= {None, *parts}:
            raise ValueError("a flag is of a part that the sheet does not have")
        names = [n for name, p in parts.items() for n in (name, *p.missing, *p.covered)] + [total.band or ""]
        if not all(c.isalnum() or c in NAME_MARKS for name in (*names, *(f.code for f in self.flags)) for c in name):
            raise ValueError("a part, prompt, band or flag has a name that is none")
        return self

    def quote(self, span: Span) -> str:
        """The words of the notes at `span` (code points), runs of white space as one space."""
        return " ".join(self.text[span[0] : span[1]].split())

    def source_line(self, offset: int) -> int:
        """The line of the notes' file, from 1, that holds the words at `offset` of `text`."""
        at = bisect_right(self.source_lines, offset, key=lambda pair: pair[0])
        return self.source_lines[at - 1][1] if at else self.text.count("\n", 0, offset) + 1


def why_refused(error: ValidationError) -> tuple[str, str]:
    """(what is wrong, what to do) on one line each, of JSON that is not taken for a Sheet."""
    first = error.errors()[0]
    place, message = ".".join(str(step) for step in first["loc"]), first["msg"].removeprefix("Value error, ")
    what = (f"{place}: {message}" if place else message).split("\n")[0]
    if first["type"] == "extra_forbidden" or "has schema" in what:
        return what, "update notes2sheet: the sheet was written by a newer version"
    return what, "give what `notes2sheet draft --format json` writes"
