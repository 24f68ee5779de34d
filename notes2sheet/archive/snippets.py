"""The words that a search found, shown where they stand."""

from __future__ import annotations

from typing import Any

from notes2sheet.archive.fold import TOKEN, normal
from notes2sheet.archive.query import phrases

REACH = 45  # characters shown on either side of a hit, cut at a space


def _places(text: str, asked: list[tuple[list[str], bool]]) -> list[tuple[int, int]]:
    """[start, end) of everything in `text` that the phrases `asked` name, in order."""
    folded = list(map(normal, TOKEN.findall(text)))
    found = set()
    for row, goes_on in asked:
        size, last = len(row), row[-1]
        ends = (
            [at for at, word in enumerate(folded) if word.startswith(last)]
            if goes_on
            else [at for at, word in enumerate(folded) if word == last]
        )
        found |= {(end - size + 1, end) for end in ends if folded[max(0, end - size + 1) : end] == row[:-1]}
    if not found:
        return []
    spans = [match.span() for match in TOKEN.finditer(text)]
    return [(spans[first][0], spans[last][1]) for first, last in sorted(found)]


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
        for start, end in _places(text, asked):
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
