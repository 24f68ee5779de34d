"""The sheet as Markdown."""

from __future__ import annotations

import re

from notes2sheet.model import Sheet
from notes2sheet.outputs.cautions import CAUTIONS
from notes2sheet.outputs.text import clean, figure, tag, where


def escape(text: str) -> str:
    """Notes as Markdown text: nothing in them becomes markup, a link or a table cell."""
    return re.sub(r"([\\`*_{}\[\]<>()#+\-.!|~])", r"\\\1", clean(text).replace("\n", " "))


def render(sheet: Sheet, **_) -> str:
    """Header, score table, a section a part, flags, caution."""
    entry, style, total = sheet.entry, sheet.style, sheet.total
    out = [f"# {escape(entry.name or 'Unnamed entry')}", ""]
    facts = [f"Made by {escape(entry.maker)}."] if entry.maker else []
    facts.append(
        f"Judged as {style.code} {escape(style.name)} ({style.basis})." if style.code else "The style is not said."
    )
    if entry.abv is not None:
        facts.append(f"{entry.abv:g}% ABV as said.")
    out += [" ".join(facts), "", "| Part | Score | Cap |", "| --- | --- | --- |"]
    out += [f"| {name.capitalize()} | {figure(part.score)} | {part.cap} |" for name, part in sheet.categories.items()]
    cap = sum(part.cap for part in sheet.categories.values())
    out += [f"| **Total** | {figure(total.sum)} | {cap} |", ""]
    if total.said is not None:
        out += [f"Total as said: {figure(total.said)}.", ""]
    if total.band:
        out += [f"Band: {total.band}.", ""]
    for name, part in sheet.categories.items():
        out += [
            f"## {name.capitalize()} {figure(part.score)}/{part.cap}",
            "",
            escape(part.comment) or "No comment.",
            "",
        ]
        out += [f"- −{figure(lost.points)}: “{escape(lost.reason)}”" for lost in part.lost]
        if part.missing:
            out += ["" if part.lost else "", f"Not covered: {', '.join(part.missing)}."]
        out.append("")
    if sheet.suggestions:
        out += ["## For the brewer", "", *(f"- {escape(line)}" for line in sheet.suggestions), ""]
    out += ["## Flags", ""]
    for flag in sheet.flags:
        quotes = "; ".join(f"{where(sheet, s)}: “{escape(sheet.quote(s))}”" for s in flag.spans[:3])
        out.append(f"- **{flag.severity}** {escape(flag.message)} ({tag(flag)}){': ' + quotes if quotes else ''}")
    if not sheet.flags:
        out.append("Nothing to send back.")
    out += ["", f"*{' '.join(CAUTIONS)}*", ""]
    return "\n".join(out)
