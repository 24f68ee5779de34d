"""The sheet as one self-contained page: the sheet beside the notes, each value linked to its words and back.

The page asks for nothing from any network: style and script stand in it, and its own Content-Security-Policy allows
those two by their hash and nothing else.
"""

from __future__ import annotations

import hashlib
import re
from base64 import b64encode
from bisect import bisect_right
from collections import defaultdict
from functools import cache
from pathlib import Path
from typing import Any

from notes2sheet.house import silenced_lines
from notes2sheet.model import Flag, Sheet, Span
from notes2sheet.outputs.cautions import CAUTIONS
from notes2sheet.outputs.text import clock, excerpt, figure, rest_label, taken, where

TEMPLATES = Path(__file__).parent.parent / "templates"
BASIS = {
    "said": "as said", "taken-off": "by deduction", "revised": "after a correction", "unsure": "left open",
    "none": "not said",
}  # fmt: skip
# Characters that steer the page or the reading order and would hide what the notes hold.
STEERING = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff\ufffe\uffff\ud800-\udfff]"
)
WORD_SECONDS, GAP_SECONDS = 0.5, 6.0  # a word's share of slow speech; silence beyond that which counts as a gap


def visible(text: str) -> str:
    """The text with control and direction characters spelled out, so that none of them acts on the page."""
    return STEERING.sub(lambda m: f"\u2039U+{ord(m[0]):04X}\u203a", text)


def slug(*names: str) -> str:
    """A page id made of names."""
    return "-".join(re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-") or "x" for name in names)


def flag_id(flag: Flag) -> str:
    """The same for the same flag on the same words, on any page."""
    told = repr((flag.code, flag.category, flag.message, flag.spans))
    return "flag-" + hashlib.sha256(told.encode()).hexdigest()[:10]


def evidence(sheet: Sheet) -> dict[str, tuple[Span, ...]]:
    """The words that each value on the page rests on, by the value's id."""
    out: dict[str, tuple[Span, ...]] = {"style": sheet.style.spans, "total": sheet.total.spans}
    for name, part in sheet.categories.items():
        out[slug("score", name)] = part.spans
        out |= {slug("lost", name, str(n)): lost.spans for n, lost in enumerate(part.lost)}
        out |= {slug("lost", name, "rest", str(n)): (span,) for n, span in enumerate(part.reasons)}
        out |= {slug("prompt", name, aspect): spans for aspect, spans in part.covered.items()}
    out |= {f"d-{n}": (d.span,) for n, d in enumerate(sheet.descriptors)}
    return out | {flag_id(flag): flag.spans for flag in sheet.flags}


class _Marks:
    """Where each value's spans fall in the sentences; a span over a whole sentence marks the sentence itself."""

    def __init__(self, sheet: Sheet) -> None:
        self.sheet = sheet
        self.inside: dict[int, list[tuple[int, int, str]]] = defaultdict(list)
        self.whole: dict[int, list[str]] = defaultdict(list)
        self.places: dict[str, list[str]] = defaultdict(list)  # value id -> ids of its words
        starts = [s.span[0] for s in sheet.sentences]
        for key, spans in evidence(sheet).items():
            for start, end in spans:
                at = max(0, bisect_right(starts, start) - 1)
                while at < len(starts) and (starts[at] < end):
                    self._mark(at, start, end, key)
                    at += 1

    def _mark(self, at: int, start: int, end: int, key: str) -> None:
        first, last = self.sheet.sentences[at].span
        start, end = max(start, first), min(end, last)
        if start >= end:
            return
        if (start, end) == (first, last) and not key.startswith("d-"):
            self.whole[at].append(key)
        else:
            self.inside[at].append((start, end, key))

    def pieces(self, at: int) -> list[dict[str, Any]]:
        """The sentence cut where marks begin or end: {text, id, to, kind}; plain text has no id."""
        start, end = self.sheet.sentences[at].span
        marks, whole = self.inside.get(at, []), self.whole.get(at, [])
        for key in whole:
            self.places[key].append(f"s{at}")
        if whole and not marks:
            marks = [(start, end, key) for key in whole]
        cuts = sorted({start, end, *(a for a, _, _ in marks), *(b for _, b, _ in marks)})
        out = []
        for left, right in zip(cuts, cuts[1:], strict=False):
            keys = [key for a, b, key in marks if a <= left and right <= b]
            piece: dict[str, Any] = {"text": visible(self.sheet.text[left:right])}
            if keys:
                for key in keys:
                    self.places[key].append(f"w{left}")
                to = sorted(dict.fromkeys([*keys, *whole]), key=_rank)
                piece |= {"id": f"w{left}", "to": to, "kind": self._kind(keys)}
            out.append(piece)
        return out

    def _kind(self, keys: list[str]) -> str:
        """CSS classes of a run of words: its descriptor's stance, a score, points lost, or that a flag rests on it."""
        kinds: list[str] = [str(self.sheet.descriptors[int(k[2:])].state) for k in keys if k.startswith("d-")][-1:]
        kinds += ["scored"] if any(k.startswith("score-") or k == "total" for k in keys) else []
        kinds += ["reason"] if any(k.startswith("lost-") for k in keys) else []
        return " ".join(kinds) or "cited"


def _rank(key: str) -> int:
    order = ("score-", "total", "lost-", "d-", "prompt-", "style", "flag-")
    return next(n for n, head in enumerate(order) if key.startswith(head))


def _blocks(sheet: Sheet, marks: _Marks) -> list[dict[str, Any]]:
    """The notes as runs of sentences on one part of the sheet."""
    parts = list(sheet.categories)
    timed = any(s.time is not None for s in sheet.sentences)
    blocks: list[dict[str, Any]] = []
    for at, sentence in enumerate(sheet.sentences):
        if not blocks or blocks[-1]["category"] != sentence.category:
            blocks.append({
                "id": f"b{at}", "category": sentence.category, "sentences": [],
                "where": where(sheet, sentence.span),
                "lead": "" if at else visible(sheet.text[: sentence.span[0]]), "tint": _tint(parts, sentence.category),
            })  # fmt: skip
        upto = sheet.sentences[at + 1].span[0] if at + 1 < len(sheet.sentences) else len(sheet.text)
        gap = sheet.text[sentence.span[1] : upto]
        reason = any(key.startswith("lost") for key in marks.whole.get(at, []))
        blocks[-1]["sentences"].append({
            "id": f"s{at}", "role": sentence.role, "pieces": marks.pieces(at), "reason": reason,
            "gap": visible(gap.replace("\n", " ") if timed else gap),
        })  # fmt: skip
    return blocks


def _tint(parts: list[str], category: str | None) -> str:
    return f"p{parts.index(category) % 6}" if category in parts else "pn"


def _extents(sheet: Sheet) -> tuple[list[tuple[float, float]], float, float, bool]:
    """[(begin, end)] of each sentence in seconds (characters where no times are known), the bounds of all, if timed."""
    sentences = sheet.sentences
    if sum(s.time is not None for s in sentences) < 2:
        return [(float(s.span[0]), float(s.span[1])) for s in sentences], 0.0, float(len(sheet.text) or 1), False
    begins, known = [], 0.0
    for s in sentences:
        known = max(known, s.time if s.time is not None else known)
        begins.append(known)
    out = []
    for at, begin in enumerate(begins):
        later = next((b for b in begins[at + 1 : at + 40] if b > begin), None)
        spoken = begin + 1 + WORD_SECONDS * len(sheet.quote(sentences[at].span).split())
        out.append((begin, spoken if later is None else later if later - spoken < GAP_SECONDS else spoken))
    return out, begins[0], max(end for _, end in out), True


def timeline(sheet: Sheet) -> dict[str, Any]:
    """Lanes of bars in percent of the recording (of the text, when there are no times), with its gaps."""
    extents, begin, end, timed = _extents(sheet)
    length = max(end - begin, 1e-9)
    runs: list[dict[str, Any]] = []
    gaps, parts = [], list(sheet.categories)
    for at, (sentence, (left, right)) in enumerate(zip(sheet.sentences, extents, strict=True)):
        silent = timed and runs and left - runs[-1]["end"] >= GAP_SECONDS
        if silent:
            gaps.append((runs[-1]["end"], left))
        if silent or not runs or runs[-1]["category"] != sentence.category:
            runs.append({"category": sentence.category, "begin": left, "end": right, "to": f"s{at}"})
        runs[-1]["end"] = max(right, runs[-1]["end"])
    lanes = []
    for name in [*parts, None]:
        mine = [r for r in runs if r["category"] == name or (name is None and r["category"] not in parts)]
        if not mine and name is None:
            continue
        spent = sum(r["end"] - r["begin"] for r in mine)
        lanes.append({
            "name": name or "other", "tint": _tint(parts, name), "to": mine[0]["to"] if mine else None,
            "bars": [_percent(r["begin"], r["end"], begin, length) | {"to": r["to"]} for r in mine],
            "spent": clock(spent) if timed else f"{spent / length:.0%}",
        })  # fmt: skip
    return {
        "lanes": lanes, "timed": timed, "length": clock(end), "start": clock(begin),
        "gaps": [_percent(a, b, begin, length) | {"at": clock(a), "long": clock(b - a)} for a, b in gaps],
    }  # fmt: skip


def _percent(left: float, right: float, begin: float, length: float) -> dict[str, str]:
    at, wide = (left - begin) / length * 100, max((right - left) / length * 100, 0.4)
    return {"x": f"{min(at, 99.6):.2f}%", "width": f"{wide:.2f}%"}


def parts_of(sheet: Sheet) -> list[dict[str, Any]]:
    """Each part of the sheet with its title, colour class, bar and descriptors."""
    names = list(sheet.categories)
    out = []
    for name, part in sheet.categories.items():
        share = 0 if part.score is None else min(max(part.score / part.cap, 0), 1) if part.cap else 1
        out.append({
            "name": name, "title": name.capitalize(), "tint": _tint(names, name), "data": part, "share": f"{share:.1%}",
            "over": part.score is not None and part.score > part.cap, "basis": BASIS[part.basis],
            "words": [(n, d) for n, d in enumerate(sheet.descriptors) if d.category == name],
        })  # fmt: skip
    return out


def view(sheet: Sheet) -> dict[str, Any]:
    """All that the templates show of a sheet, its links worked out."""
    marks = _Marks(sheet)
    blocks = _blocks(sheet, marks)
    places = {key: list(dict.fromkeys(ids)) for key, ids in marks.places.items()}
    return {
        "sheet": sheet, "blocks": blocks, "places": places, "parts": parts_of(sheet), "timeline": timeline(sheet),
        "cap": sum(part.cap for part in sheet.categories.values()), "cautions": CAUTIONS,
        "elsewhere": [(n, d) for n, d in enumerate(sheet.descriptors) if d.category not in sheet.categories],
    }  # fmt: skip


def shown(sheet: Sheet, span: Span) -> str:
    """An excerpt with its control characters made visible."""
    return visible(excerpt(sheet, span))


@cache
def environment() -> Any:
    """The Jinja environment of all pages; every value is escaped."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    made = Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters |= {"visible": visible, "figure": figure, "taken": taken}
    made.globals |= {"slug": slug, "flag_id": flag_id, "where": where, "shown": shown, "BASIS": BASIS}
    made.globals |= {"silenced_lines": silenced_lines, "rest_label": rest_label}
    return made


@cache
def asset(name: str) -> str:
    """The text of a style or script file, indents and comments of the style dropped."""
    text = (TEMPLATES / name).read_text(encoding="utf-8")
    if name.endswith(".css"):
        text = re.sub(r"/\*.*?\*/\s*", "", text, flags=re.DOTALL)
        text = re.sub(r"\s*\n\s*", "\n", text)
    return text.strip()


def _hash(text: str) -> str:
    return "'sha256-" + b64encode(hashlib.sha256(text.encode()).digest()).decode() + "'"


def render(sheet: Sheet, judge: str | None = None, **_: Any) -> str:
    """The page as one HTML text; `judge` signs it."""
    from markupsafe import Markup

    style, script = asset("page.css"), asset("page.js")
    policy = (
        f"default-src 'none'; style-src {_hash(style)}; script-src {_hash(script)}; base-uri 'none'; form-action 'none'"
    )
    page: str = (
        environment()
        .get_template("page.html")
        .render(view(sheet), style=Markup(style), script=Markup(script), policy=policy, judge=judge)
    )
    return page
