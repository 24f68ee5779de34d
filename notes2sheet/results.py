"""What each stage leaves on a spaCy Doc: (plain data, [((start, end), label)]), spans in code points of the text."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from notes2sheet.transcript import Reading
from notes2sheet.word_odds import PARTS, ROLES

Field = Callable[[Any], Any]
Places = list[tuple[tuple[int, int], str]]
Result = tuple[Any, Places]


def _rows(reading: Reading, things: list[Any], label: Callable[[Any], str], **fields: Field) -> Result:
    """One dict a thing: the span of its words and `fields`."""
    return _with_spans([reading.span(thing.start, thing.end) for thing in things], things, label, fields)


def _sentence_rows(reading: Reading, label: Callable[[Any], str], **fields: Field) -> Result:
    """One dict a sentence: its span with its marks, as on the sheet, and `fields`."""
    return _with_spans([reading.whole(s) for s in reading.sentences], reading.sentences, label, fields)


def _with_spans(
    spans: list[tuple[int, int]], things: list[Any], label: Callable[[Any], str], fields: dict[str, Field]
) -> Result:
    rows = [
        {"span": list(span)} | {key: get(thing) for key, get in fields.items()}
        for span, thing in zip(spans, things, strict=True)
    ]
    return rows, [(span, label(thing)) for span, thing in zip(spans, things, strict=True)]


def _float(value: Any) -> float | None:
    return None if value is None else float(value)


def numbers(reading: Reading) -> Result:
    """[{span, value, over: the figure after a slash or None, spelled: in words}]"""
    return _rows(
        reading,
        reading.numbers,
        lambda n: f"{float(n.value):g}",
        value=lambda n: float(n.value),
        over=lambda n: _float(n.over),
        spelled=lambda n: n.spelled,
    )


def sentences(reading: Reading) -> Result:
    """[{span}]"""
    return _sentence_rows(reading, lambda s: "sentence")


def context(reading: Reading) -> Result:
    """[{span, category, role}]: word by word the part and the role that are likeliest from the words around it"""
    parts, roles = (reading.word_odds[question].argmax(1).tolist() for question in ("part", "role"))
    told = [(PARTS[part], ROLES[role]) for part, role in zip(parts, roles, strict=True)]
    spans = list(zip(reading.starts, reading.ends, strict=True))
    return _with_spans(spans, told, lambda t: t[1], {"category": lambda t: t[0], "role": lambda t: t[1]})


def segments(reading: Reading) -> Result:
    """[{span, category: the part of the sheet, or opening or closing}]"""
    return _sentence_rows(reading, lambda s: s.category, category=lambda s: s.category)


def roles(reading: Reading) -> Result:
    """[{span, role: expect, observe, score, prefer or talk}]"""
    return _sentence_rows(reading, lambda s: s.role, role=lambda s: s.role)


def columns(reading: Reading) -> Result:
    """[{span, part, score}]: the figures of a typed sheet that stand in one column, in points"""
    told = list(reading.columns.values())
    spans = [reading.span(number.start, number.end) for _, number in told]
    return _with_spans(spans, told, lambda t: t[0], {"part": lambda t: t[0], "score": lambda t: _float(t[1].value)})


def cues(reading: Reading) -> Result:
    """[{span, file, cue}]: every cue phrase, by the file in lexicon/cues/ and the table there"""
    rows: list[dict[str, Any]] = []
    places: Places = []
    for file, hits in reading.cues.items():
        for start, end, cue in hits:
            span = reading.span(start, end)
            rows.append({"span": list(span), "file": file, "cue": cue})
            places.append((span, f"{file}:{cue}"))
    return rows, places


def _term(mention: Any) -> str | None:
    return mention.term.name or None


def descriptors(reading: Reading) -> Result:
    """[{span, term: canonical name, level: one of the lexicon's eight or None}]: all words of the lexicon"""
    return _rows(reading, reading.mentions, lambda m: _term(m) or "", term=_term, level=lambda m: m.level)


def stance(reading: Reading) -> Result:
    """[{span, term, state: present, absent or mentioned, level}]: those of the descriptors that are one in context"""
    return _rows(
        reading, reading.mentions, lambda m: m.state, term=_term, state=lambda m: m.state, level=lambda m: m.level
    )


def faults(reading: Reading) -> Result:
    """[{span, term, flaw: the off-flavor}], of the descriptors that name a fault"""
    flawed = [m for m in reading.mentions if m.flaw]
    return _rows(reading, flawed, lambda m: m.flaw, term=_term, flaw=lambda m: m.flaw)


def style(reading: Reading) -> Result:
    """{code, name, basis: said, given or none, spans}"""
    found = reading.style
    code, name = (found.style.code, found.style.name) if found.style else (None, None)
    data = {"code": code, "name": name, "basis": found.basis, "spans": [list(span) for span in found.spans]}
    return data, [(span, code or "") for span in found.spans]


def sheet(reading: Reading) -> Result:
    """{id of the scoresheet, basis: given or notes}; no places"""
    return {"id": reading.sheet.id, "basis": reading.sheet_from}, []


def scores(reading: Reading) -> Result:
    """{parts: {part: {score, basis, spans, lost: [points]}}, total: {said, spans}}, in points"""
    found = reading.scores
    parts = {
        part: {
            "score": _float(standing.value),
            "basis": standing.basis,
            "spans": [list(span) for span in dict.fromkeys(standing.spans)],
            "lost": [float(points) for points, _, _ in standing.taken],
        }
        for part, standing in found.parts.items()
    }
    total = {"said": _float(found.total), "spans": [list(span) for span in found.total_spans]}
    places = [(span, part) for part, s in found.parts.items() for span in dict.fromkeys(s.spans)]
    return {"parts": parts, "total": total}, [*places, *((span, "total") for span in found.total_spans)]


def entry(reading: Reading) -> Result:
    """{name, maker, abv: percent}; no places"""
    found = reading.entry
    return {"name": found.name, "maker": found.maker, "abv": found.abv}, []


RESULTS: dict[str, Callable[[Reading], Result]] = {
    "numbers": numbers, "sentences": sentences, "cues": cues, "descriptors": descriptors, "entry": entry,
    "context": context, "recut": sentences, "segments": segments, "roles": roles, "columns": columns, "stance": stance,
    "style": style, "sheet": sheet, "faults": faults, "scores": scores,
}  # fmt: skip
