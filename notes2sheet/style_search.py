"""The search for styles by what they call for: 'hazy low bitterness', 'belgian strong dark', 'roast no hops'."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass

from notes2sheet.lexicon import LEVELS, Term, load_lexicon, load_sheet
from notes2sheet.scales import measures, scales, steps_outside
from notes2sheet.style_data import Style, kin, load_style, style_names, verdict
from notes2sheet.transcript import Reading
from notes2sheet.words import base_forms, phrase_words

FILLER = set(phrase_words("a an the and or with of in on but not no beer style some any very without"))


@dataclass(frozen=True)
class Found:
    """A style that answers a search. `fit` is 0 to 1; `why` says what answers each part of the search."""

    code: str
    name: str
    fit: float
    why: tuple[str, ...]


@dataclass(frozen=True)
class Asked:
    """A search as read: terms with their level, and plain words for names and tags; `unknown` matches nothing."""

    terms: tuple[tuple[Term, str | None], ...]
    words: tuple[str, ...]
    unknown: tuple[str, ...]


def read_search(text: str) -> Asked:
    """The terms, levels and name words of a search."""
    from notes2sheet.pipeline import read_notes

    reading = read_notes(text, until="descriptors")
    denied = {"no", "without", "not"}
    terms: list[tuple[Term, str | None]] = []
    used: set[int] = set()
    for mention in reading.mentions:
        before = reading.words[mention.start - 1] if mention.start else ""
        terms.append((mention.term, "none" if before in denied else mention.level))
        used.update(range(mention.start, mention.end))
    known = set().union(*(_bag(load_style(code)) for code in style_names()))
    measuring = _measuring(reading)
    words, unknown = [], []
    for at, word in enumerate(reading.words):
        if at in used or word in FILLER or measuring.get(at):
            continue
        form = next((form for form in (word, *base_forms(word)) if form in known), None)
        if form:
            words.append(form)
        elif at not in measuring:
            unknown.append(word)
    return Asked(tuple(terms), tuple(words), tuple(unknown))


def _measuring(reading: Reading) -> dict[int, bool]:
    """{place of a level word: whether it measures a term beside it}; in 'belgian strong dark' it does not."""
    from notes2sheet.descriptors import level_index

    out: dict[int, bool] = {}
    measured = [m for m in reading.mentions if m.level and m.term.kind != "color"]
    for index in level_index():
        for start, end, _ in index.find(reading.words):
            beside = any(0 <= m.start - end <= 1 or 0 <= start - m.end <= 1 for m in measured)
            out |= {at: beside or out.get(at, False) for at in range(start, end)}
    return out


def search(asked: Asked, limit: int = 12) -> list[Found]:
    """The styles that answer everything asked, best first; empty when none does."""
    found = []
    for code in style_names() if asked.terms or asked.words else ():
        style = load_style(code)
        if not set(asked.words) <= _bag(style):
            continue
        answers = [_answer(style, term, level) for term, level in asked.terms]
        if all(fit > 0 for fit, _ in answers):
            fit = sum(fit for fit, _ in answers) / len(answers) if answers else 1.0
            found.append(Found(code, style.name, round(fit, 2), tuple(why for _, why in answers)))
    return sorted(found, key=lambda f: -f.fit)[:limit]


def _bag(style: Style) -> set[str]:
    aliases = style_names()[style.code].get("aliases", "").replace(",", " ")
    return {word for text in (style.name, style.group, aliases, *style.tags) for word in phrase_words(text)}


def _answer(style: Style, term: Term, level: str | None) -> tuple[float, str]:
    """How well a style answers one term (0 not at all, 1 wholly), and in which words."""
    if term.kind == "color" and "srm" in term.data:
        return _color(style, term)
    if term.kind in scales():
        return _on_scale(style, term)
    if measures(term):
        return _measured(style, term, level)
    return _named(style, term, level)


def _color(style: Style, term: Term) -> tuple[float, str]:
    low, high = term.data["srm"]
    bottom, top = style.stats.get("srm", (99, 99))
    share = (min(high, top) - max(low, bottom)) / max(0.5, min(high, top) - min(low, bottom))
    return (0.0, "") if share <= 0 else (0.5 + share / 2, f"{term.name}: {bottom:g}–{top:g} SRM")


def _on_scale(style: Style, term: Term) -> tuple[float, str]:
    aspect = load_sheet(style.sheet).aspect_of(term.kind)
    for aspects in style.aspects.values():
        wants = aspects.get(aspect)
        if wants and wants.range and steps_outside(term.kind, wants.range, term.name) == 0:
            steps = scales()[term.kind]
            width = steps.index(wants.range[1]) - steps.index(wants.range[0])
            return 1 - width / (2 * len(steps)), f"{term.kind}: {wants.range[0]} to {wants.range[1]}"
        if wants and any(w.term == term.name for w in (*wants.required, *wants.allowed)):
            return 0.6, f"{term.kind} with {term.name}"
    return 0.0, ""


def _measured(style: Style, term: Term, level: str | None) -> tuple[float, str]:
    at = LEVELS.index(level) if level else LEVELS.index("high")
    best = (0.0, "")
    for category, aspects in style.aspects.items():
        for aspect in load_sheet(style.sheet).aspects_of(term):
            wants = aspects.get(aspect)
            if wants is None or wants.level is None:
                continue
            low, high = (LEVELS.index(x) for x in wants.level)
            if low <= at <= high:
                fit = 1 - abs((low + high) / 2 - at) / len(LEVELS)
                best = max(best, (fit, f"{aspect} of the {category}: {wants.level[0]} to {wants.level[1]}"))
    return best


def _named(style: Style, term: Term, level: str | None) -> tuple[float, str]:
    for broader, name in enumerate(kin(term, load_lexicon())):
        answer = _one_name(style, name, level)
        if answer is not None:
            return answer[0] / (1 + broader), answer[1]
    return (0.3, f"{term.name} is not named") if level == "none" else (0.0, "")


def _one_name(style: Style, name: str, level: str | None) -> tuple[float, str] | None:
    """The answer under just this name; None when the style does not speak of it."""
    at = None if level == "none" else level
    said = {category: verdict(style, category, [name], at) for category in style.aspects}
    where = {kind: " and ".join(c for c, v in said.items() if v == kind) for kind in set(said.values()) if kind}
    if level == "none":
        kept_out = where.get("forbidden") or where.get("unwanted")
        return (1.0, f"no {name} in the {kept_out}") if kept_out else (0.0, "") if where else None
    for kind, fit in (("required", 1.0), ("allowed", 0.6)):
        if kind in where:
            return fit, f"{name} {kind} in the {where[kind]}"
    return (0.0, "") if where else None


def render_found(found: list[Found], form: str = "text") -> str:
    """The search's answer as text, md or json."""
    if form == "json":
        return json.dumps([asdict(f) for f in found], indent=1, ensure_ascii=False) + "\n"
    mark = "- **{} {}**" if form == "md" else "{:<8} {}"
    return "".join(f"{mark.format(f.code, f.name)}{': ' if f.why else ''}{'; '.join(f.why)}\n" for f in found)
