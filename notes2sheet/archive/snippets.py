"""The words that a search found, shown where they stand."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from notes2sheet.archive.fold import tokens
from notes2sheet.archive.query import phrases

REACH = 45  # characters shown on either side of a hit, cut at a space


def _places(text: str, words: str) -> Iterator[tuple[int, int]]:
    """[start, end) of everything in `text` that `words` ask for."""
    found = list(tokens(text))
    folded = [word for _, _, word in found]
    for row, goes_on in phrases(words):
        size, last = len(row), row[-1]
        for at in range(len(found) - size + 1):
            end = at + size - 1
            if folded[end] != last and not (goes_on and folded[end].startswith(last)):
                continue
            if size == 1 or folded[at:end] == row[:-1]:
                yield found[at][0], found[end][1]


def contexts(sheet: dict[str, Any], words: str, limit: int = 3) -> list[dict[str, Any]]:
    """At most `limit` hits: {"where": notes or a part's comment, "before", "hit", "after"}; each word asked first."""
    fields = [("notes", sheet["text"])]
    fields += [(f"{name} comment", part.get("comment", "")) for name, part in sheet["categories"].items()]
    out: list[dict[str, Any]] = []
    seen: set[str] = set()
    late = []
    for where, text in fields:
        if len(out) >= limit:
            break
        for start, end in sorted(set(_places(text, words))):
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
