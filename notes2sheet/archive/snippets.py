"""The words that a search found, shown where they stand."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from typing import Any

from notes2sheet.archive.fold import CHARACTER, TOKEN, normal
from notes2sheet.archive.query import phrases

REACH = 45  # characters shown on either side of a hit, cut at a space


def places(text: str, asked: list[tuple[list[str], bool]]) -> list[tuple[int, int]]:
    """[start, end) of everything in `text` that the phrases `asked` name, in order."""
    return sorted({span for row, goes_on in asked for span in _hits(text, tuple(row), goes_on)})


def _hits(text: str, row: tuple[str, ...], goes_on: bool) -> Iterator[tuple[int, int]]:
    """Where a phrase stands. Only the words that begin as its first one does are folded: few, and folding is slow."""
    final = len(row) - 1
    for match in _beginning(row[0][0]).finditer(text):
        start = match.start()
        for at, asked in enumerate(row):
            word = normal(match[0])
            if word != asked and not (goes_on and at == final and word.startswith(asked)):
                break
            if at == final:
                yield start, match.end()
            elif (match := TOKEN.search(text, match.end())) is None:
                break


@cache
def _beginning(letter: str) -> re.Pattern[str]:
    """Tokens that may fold to a word with this first letter. Folding leaves an ASCII letter that begins a token in its
    place; beyond ASCII it may give any, and '_' stands for words that hold some other script anywhere."""
    first = CHARACTER if letter == "_" else f"[{letter}{letter.upper()}\u0080-\U0010ffff]"
    return re.compile(rf"(?={first})(?<!{CHARACTER}){TOKEN.pattern}")


def contexts(sheet: dict[str, Any], words: str, limit: int = 3) -> list[dict[str, Any]]:
    """At most `limit` hits: {"where": notes or a part's comment, "before", "hit", "after"}; each word asked first."""
    fields = [("notes", sheet["text"])]
    fields += [(f"{name} comment", part.get("comment", "")) for name, part in sheet["categories"].items()]
    asked = phrases(words)
    out: list[dict[str, Any]] = []
    seen: set[str] = set()
    late = []
    for where, text in fields:
        if len(out) >= limit:
            break
        for start, end in places(text, asked):
            hit = {"where": where, "before": _before(text, start), "hit": text[start:end], "after": _after(text, end)}
            (late if hit["hit"].casefold() in seen else out).append(hit)
            seen.add(hit["hit"].casefold())
            if len(out) >= limit:
                break
    return (out + late)[:limit]


def _before(text: str, start: int) -> str:
    cut = text[max(0, start - REACH) : start]
    if start > REACH:
        cut = "…" + (cut.partition(" ")[2] if " " in cut else cut)
    return " ".join(cut.split()) + (" " if cut[-1:].isspace() else "")


def _after(text: str, end: int) -> str:
    cut = text[end : end + REACH]
    if end + REACH < len(text):
        cut = (cut.rpartition(" ")[0] if " " in cut else cut) + "…"
    return (" " if cut[:1].isspace() else "") + " ".join(cut.split())
