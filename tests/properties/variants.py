"""Notes of known judges, changed in ways that change no score."""

from __future__ import annotations

import re
import sys
import textwrap
from pathlib import Path

ACCURACY = Path(__file__).parent.parent / "accuracy"
sys.path.insert(0, str(ACCURACY))

from marked import read  # noqa: E402

from notes2sheet.model import Sheet  # noqa: E402
from notes2sheet.pipeline import draft_sheet  # noqa: E402

TEXTS = {
    path.name.removesuffix(".marked.txt"): read(path).text
    for folder in ("dev", "own") for path in sorted((ACCURACY / folder).glob("*.marked.txt"))
}  # fmt: skip
BEFORE = "Let me move this chair a little. The weather was lovely on the way here. Anyway, let us begin.\n\n"
AFTER = "\n\nI think lunch is served in the other room. See you all there in a while.\n"


def figures(sheet: Sheet) -> tuple:
    """The scores and totals of a sheet."""
    return (*((name, part.score) for name, part in sheet.categories.items()), sheet.total.sum, sheet.total.said)


def without_places(sheet: Sheet) -> tuple:
    """What a sheet says, without the offsets at which it was said."""
    said = [(d.term, d.state, d.level, d.category, sheet.quote(d.span)) for d in sheet.descriptors]
    parts = [(n, p.score, p.basis, p.missing) for n, p in sheet.categories.items()]
    return sheet.entry, sheet.style.code, parts, said, sheet.total.sum, sheet.total.said, [f.code for f in sheet.flags]


def wrapped(text: str, every: int = 9) -> str:
    """The text with a line break for every ninth space between two words of a sentence."""
    count = iter(range(10**9))
    return re.sub(r"(?<=[a-z]) (?=[a-z])", lambda _: " " if next(count) % every else "\n", text)


def in_rows(text: str, width: int = 72) -> str:
    """The text as an editor writes it that breaks rows where they are full."""
    lines = (textwrap.fill(line, width, break_long_words=False, break_on_hyphens=False) for line in text.split("\n"))
    return "\n".join(lines)


CHANGES = {
    "trailing space": lambda text: re.sub(r"$", "  ", text, flags=re.MULTILINE),
    "breaks at the end": lambda text: text + "\n\n \n",
    "doubled spaces": lambda text: text.replace(" ", "  "),
    "breaks in sentences": wrapped,
}
TALK = {"talk before": lambda text: BEFORE + text, "talk after": lambda text: text.rstrip() + AFTER}


def changed(names: list[str], change, told) -> list[str]:
    """The transcripts whose sheet tells something else after `change`."""
    return [name for name in names if told(draft_sheet(TEXTS[name])) != told(draft_sheet(change(TEXTS[name])))]
