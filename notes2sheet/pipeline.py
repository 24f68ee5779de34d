"""The stages in their order, and the way from a text to a sheet."""

from __future__ import annotations

import gc
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

from notes2sheet.columns import find_columns
from notes2sheet.cues import find_cues
from notes2sheet.descriptors import find_descriptors
from notes2sheet.entry import find_entry
from notes2sheet.faults import find_faults
from notes2sheet.leaders import read_leaders
from notes2sheet.levels import find_levels
from notes2sheet.lexicon import load_lexicon, load_sheet
from notes2sheet.lost_commas import join_lost_commas
from notes2sheet.numbers import find_numbers
from notes2sheet.recut import recut
from notes2sheet.roles import find_roles
from notes2sheet.scores import find_scores
from notes2sheet.segments import find_segments
from notes2sheet.sentences import find_sentences
from notes2sheet.sheet_choice import sheet_called_for
from notes2sheet.stance import find_stances
from notes2sheet.style import find_style
from notes2sheet.style_data import load_style
from notes2sheet.threads import one_thread
from notes2sheet.tokens import tokens_of
from notes2sheet.transcript import Reading, read_words
from notes2sheet.word_odds import find_word_odds

if TYPE_CHECKING:
    from notes2sheet.model import House, Sheet
    from notes2sheet.transcript import Talk


def read_numbers(reading: Reading) -> None:
    reading.numbers = find_numbers(reading.words)


def read_descriptors(reading: Reading) -> None:
    find_descriptors(reading)
    find_levels(reading)


def settle_sheet(reading: Reading) -> None:
    """Judge on the sheet that the notes call for; what was read with another in mind is read anew."""
    if reading.sheet_from != "open":
        return
    reading.sheet_from = "notes"
    chosen, style = sheet_called_for(reading), reading.style.style
    if chosen == reading.sheet.id and (style is None or style.sheet == chosen):
        return
    reading.sheet, reading.lexicon = load_sheet(chosen), load_lexicon(reading.lexicon.extra, chosen)
    reading.sentences, reading.labels, reading.mentions, reading.unmarked = [], None, [], []
    names = ("sentences", "descriptors", "context", "recut", "segments", "roles", "columns", "stance", "style")
    for name in names:
        STAGES[name](reading)


# One stage a line, in the order they run; each reads what the earlier ones left on the Reading.
STAGES = {
    "numbers": read_numbers,
    "sentences": find_sentences,
    "cues": find_cues,
    "descriptors": read_descriptors,
    "entry": find_entry,  # before mentions are settled and sentences cut anew: so it was taught
    "context": find_word_odds,
    "recut": recut,
    "segments": find_segments,
    "roles": find_roles,
    "columns": find_columns,
    "stance": find_stances,
    "style": find_style,
    "sheet": settle_sheet,
    "faults": find_faults,
    "scores": find_scores,
}


def begin(
    text: str, tokens: Iterable[tuple[str, int]], sheet: str | None = None, lexicon: Path | None = None, **known: Any
) -> Reading:
    """A fresh Reading of a text cut into (token, offset) pairs, its words filled in; the sheet is given, or that of a
    style given."""
    if sheet is None and known.get("style_given"):
        sheet = load_style(known["style_given"]).sheet
    basis = "given" if sheet else "open"
    reading = Reading(text, load_lexicon(lexicon, sheet), load_sheet(sheet), sheet_from=basis, **known)
    read_words(tokens, reading)
    join_lost_commas(reading)
    read_leaders(reading)
    return reading


def read_notes(
    text: str, sheet: str | None = None, lexicon: Path | None = None, until: str | None = None, **known: Any
) -> Reading:
    """Run the stages over `text` (all, or up to and including `until`) and return the Reading."""
    reading = begin(text, tokens_of(text), sheet, lexicon, **known)
    for name, stage in STAGES.items():
        stage(reading)
        if name == until:
            break
    return reading


def draft_sheet(
    text: str,
    style: str | None = None,
    sheet: str | None = None,
    lexicon: Path | None = None,
    line_times: Any = (),
    house: House | None = None,
    talk: Talk | None = None,
) -> Sheet:
    """The draft scoresheet of one tasting.

    `style` is a code or a name, for notes that don't say it; `sheet` the id of a sheet definition, for notes
    that do not call for theirs; `lexicon` a folder of additions; `line_times` (offset in code points, seconds) pairs;
    `house` the rules of a house file; `talk` what `dialog.table_of` finds where several judges speak. Raises
    Notes2SheetError children for a style, sheet or lexicon that does not exist or is broken.

    >>> sheet = draft_sheet("Mouthfeel: medium body. I take one off.", style="american ipa")
    >>> sheet.style.code, sheet.categories["mouthfeel"].score, sheet.categories["mouthfeel"].lost[0].points
    ('21A', 4.0, 1.0)
    """
    from notes2sheet.draft import make_sheet
    from notes2sheet.style_data import resolve_style

    given = resolve_style(style) if style else None
    with collector_paused(), one_thread():
        known: dict[str, Any] = {"style_given": given, "line_times": list(line_times), "house": house, "talk": talk}
        return make_sheet(read_notes(text, sheet, lexicon, **known))  # the reading is gone before the collector is back


@contextmanager
def collector_paused() -> Iterator[None]:
    """Keep Python's collector of cycles from running: a draft makes hardly any, and each of its runs looks through the
    whole lexicon. What it would have found, it finds afterwards."""
    running = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if running:
            gc.enable()
