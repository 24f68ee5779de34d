"""A term of the lexicon explained: names, place on the sheet, and for off-flavors what is known of them."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from functools import cache
from typing import Any

from notes2sheet.errors import UnknownName
from notes2sheet.lexicon import Lexicon, Term, read_toml, shipped
from notes2sheet.style_data import kin
from notes2sheet.words import PhraseIndex, phrase_words, split_list

WIDTH, LABEL = 100, 14
HOW = {"said": "people say", "maybe": "may be meant by", "heard": "is misheard as", "risky": "may be misheard as",
       "adjectives": "is meant, near its noun, by"}  # fmt: skip
FLAW_LINES = {"it may be": "maybe", "fault or not": "rule", "compound": "compound", "origin": "origin",
              "to the brewer": "advice", "acceptable": "acceptable"}  # fmt: skip
SPREAD = (
    "Tasters differ widely: the least sensitive tenth need about twenty times what the most sensitive tenth need "
    "(Meilgaard, JAFC 30:1009, 1982), so no concentration follows from words."
)


def explain(said: str, lexicon: Lexicon) -> str:
    """What the lexicon knows of a term, or of a phrase that people say for one, as lines of text.

    UnknownName, with the nearest terms as hint, when it knows nothing of it.
    """
    blocks = [_term_lines(term, how, said, lexicon) for term, how in _readings(said, lexicon)]
    blocks += [_ingredient_lines(name, kind) for name, kind in _whole(lexicon.ingredients, said)]
    if not blocks:
        near = ", ".join(nearest_terms(said, lexicon))
        hint = f"nearest: {near}" if near else "try a plainer word"
        raise UnknownName(f"the lexicon has no {said!r}", "lexicon", hint)
    if rule := _rule(said):
        blocks.append([_line("which", rule)])
    return "\n\n".join("\n".join(lines) for lines in blocks) + "\n"


def _readings(said: str, lexicon: Lexicon) -> list[tuple[Term, str]]:
    """The terms that `said` names or stands for, each once, with how it does."""
    name = " ".join(said.lower().split())
    named = [(table[name], "name") for table in (lexicon.terms, lexicon.flaws) if name in table]
    found: dict[tuple[str, str | None], tuple[Term, str]] = {}
    for term, how in (*named, *((hit.term, hit.how) for hit in _whole(lexicon.phrases, said))):
        found.setdefault((term.name, term.flaw), (term, how))
    return list(found.values())


def _whole(index: PhraseIndex, said: str) -> list[Any]:
    """Payloads of the phrases that `said` is, forms made by rule included."""
    words = list(phrase_words(said))
    return [payload for start, end, payload in index.find(words) if (start, end) == (0, len(words))]


def _line(label: str, text: str) -> str:
    indent = " " * (LABEL + 2)
    return textwrap.fill(text, WIDTH, initial_indent=f"  {label:<{LABEL}}", subsequent_indent=indent)


def _term_lines(term: Term, how: str, said: str, lexicon: Lexicon) -> list[str]:
    kind = f"off-flavor, ticked as {term.flaw}" if term.flaw else f"descriptor, {term.kind}"
    lines = [f"{term.name} ({kind})"]
    if how != "name" and said.lower() != term.name:
        lines.append(_line("", f"{HOW[how]} {said!r}"))
    lines.append(_line("belongs to", f"{', '.join(term.aspects)}; in {', '.join(term.categories)}"))
    if term.level:
        lines.append(_line("level", f"{term.level}, by the word itself"))
    if len(broader := kin(term, lexicon)) > 1:
        lines.append(_line("broader", " > ".join(broader[1:])))
    if narrower := sorted(other.name for other in lexicon.terms.values() if other.broader == term.name):
        lines.append(_line("narrower", ", ".join(narrower)))
    lines += [_line(label, text) for label, text in _details(term)]
    return lines


def _details(term: Term) -> Iterator[tuple[str, str]]:
    data = term.data
    if said := data.get("said"):
        yield "people say", f"{said}; with their plurals and forms in -y, -ish, -like, -ness"
    if term.flaw:
        yield from ((label, data[key]) for label, key in FLAW_LINES.items() if data.get(key))
        yield "threshold", threshold_words(data)
        yield "caution", " ".join(filter(None, (data.get("caution"), SPREAD)))
    if "srm" in data:
        yield "color", f"SRM {data['srm'][0]} to {data['srm'][1]}; on a screen about {data.get('srgb', 'unknown')}"
    if "wheel" in data:
        checked = f" ({data['wheel_source']})" if "wheel_source" in data else ""
        yield "number", f"{data['wheel']} in the flavor terminology of 1979{checked}"
    if data.get("source"):
        yield "sources", data["source"]


def threshold_words(data: dict[str, Any]) -> str:
    """The threshold range of an off-flavor with unit, note and sources, or why there is none."""
    threshold = data.get("threshold")
    if not threshold:
        return str(data.get("no_threshold", "none known here"))
    low, high = threshold.get("low"), threshold["high"]
    span = f"below {high:g}" if low is None else f"{low:g}" if low == high else f"{low:g} to {high:g}"
    note = f"; {threshold['note']}" if threshold.get("note") else ""
    return f"{span} {threshold.get('unit', '')}{note} (sources: {threshold.get('source', 'none named')})"


def _ingredient_lines(name: str, kind: str) -> list[str]:
    """An ingredient is a hint for reading, never a sensation."""
    lines = [f"{name} (ingredient, {kind}: named, it is no descriptor)"]
    for path in sorted((shipped() / "ingredients").glob("*.toml")):
        data = read_toml(path).get(name, {})
        for label, key in (("known for", "words"), ("sources", "source")):
            if key in data:
                lines.append(_line(label, data[key]))
    return lines


def _rule(said: str) -> str:
    """The rule of a phrase that stands under several terms, where one is written down."""
    words = phrase_words(said)
    listed = read_toml(shipped() / "ambiguous.toml")
    return next((entry["rule"] for phrase, entry in listed.items() if phrase_words(phrase) == words), "")


@cache
def _phrases(lexicon: Lexicon) -> dict[str, str]:
    """{name or phrase: canonical term}, gathered once a lexicon."""
    phrases = {name: name for name in lexicon.terms}
    for term in (*lexicon.terms.values(), *lexicon.flaws.values()):
        for phrase in split_list(term.data.get("said", "")):
            phrases.setdefault(phrase, term.name)
    return phrases


def nearest_terms(said: str, lexicon: Lexicon) -> list[str]:
    """The canonical terms, at most four, whose names or phrases are spelled most like `said`."""
    from rapidfuzz import fuzz, process

    phrases = _phrases(lexicon)
    near = process.extract(said.lower(), phrases.keys(), scorer=fuzz.ratio, limit=8, score_cutoff=65)
    return list(dict.fromkeys(phrases[phrase] for phrase, _, _ in near))[:4]
