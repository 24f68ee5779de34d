"""Hedged suggestions to the brewer for the off-flavors on a sheet: the tool's words, never the judge's."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from notes2sheet.errors import UnknownName
from notes2sheet.lexicon import Lexicon, Term, load_lexicon
from notes2sheet.model import Sheet
from notes2sheet.words import capitals

MARK = "Suggested by notes2sheet, not by the judge"


def advice(found: Sheet | Iterable[str], lexicon: Lexicon | None = None) -> list[str]:
    """One line for each off-flavor that is present, in the order of the notes; each line begins with MARK.

    `found` is a sheet, or names of off-flavors (canonical, or as the sheet ticks them). UnknownName for a name that
    is no off-flavor. The recipe is not known, so every suggestion stays a perhaps.
    """
    lexicon = lexicon or load_lexicon()
    flaws = _on_sheet(found, lexicon) if isinstance(found, Sheet) else _named(found, lexicon)
    return [
        f"{MARK} ({capitals(flaw.name)}): {flaw.data['advice']}"
        for flaw in dict.fromkeys(flaws)
        if flaw.data.get("advice")
    ]


def _named(names: Iterable[str], lexicon: Lexicon) -> Iterator[Term]:
    for name in names:
        flaw = _ticked(name, lexicon)
        if flaw is None:
            raise UnknownName(f"unknown off-flavor {name!r}", "advice", "see `notes2sheet lexicon TERM`")
        yield flaw


def _ticked(name: str, lexicon: Lexicon) -> Term | None:
    """The off-flavor of this name; for a name that only the sheet uses, the first that is ticked so."""
    return lexicon.flaws.get(name) or next((flaw for flaw in lexicon.flaws.values() if flaw.flaw == name), None)


def _on_sheet(sheet: Sheet, lexicon: Lexicon) -> Iterator[Term]:
    for descriptor in sheet.descriptors:
        if descriptor.flaw is None or descriptor.state != "present":
            continue
        # The sheet's tick is coarse ("sulfur"); the words said often name a closer off-flavor ("rotten eggs").
        near = [lexicon.flaws.get(descriptor.term or "")]
        near += [hit.term for hit in lexicon.phrases.get(sheet.quote(descriptor.span))]
        close = next((term for term in near if term and term.flaw == descriptor.flaw), None)
        flaw = close or _ticked(descriptor.flaw, lexicon)
        if flaw is not None:
            yield flaw
