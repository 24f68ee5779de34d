"""The sheet as Markdown."""

from __future__ import annotations

import re
from typing import Any

from notes2sheet.house import silenced_lines
from notes2sheet.model import CategoryOut, Sheet
from notes2sheet.outputs.cautions import CAUTIONS
from notes2sheet.outputs.text import bands, clean, clock, excerpt, figure, rest_told, tag, taken, where

TITLES = {"opening": "The beer", "overall": "Overall impression"}


def escape(text: str) -> str:
    """Notes as Markdown text: nothing in them becomes markup, a link or a table cell."""
    return re.sub(r"([\\`*_{}\[\]<>()#+\-.!|~])", r"\\\1", clean(text).replace("\n", " "))


def chapters(sheet: Sheet) -> list[str]:
    """'m:ss Title' for each part of the sheet when it is first spoken of, for a video's description; none without
    times. The first chapter begins at 0:00, where players want it."""
    begins: dict[str, float] = {}
    for sentence in sheet.sentences:
        if sentence.time is not None and sentence.category != "closing":
            begins.setdefault(sentence.category, sentence.time)
    if begins:
        begins[min(begins, key=begins.__getitem__)] = 0
    return [f"{clock(time)} {TITLES.get(part, part.capitalize())}" for part, time in begins.items()]


def tags(sheet: Sheet) -> list[str]:
    """The style and what the beer shows, each once, in the order of the notes."""
    shown = (d.term for d in sheet.descriptors if d.state == "present" and d.category in sheet.categories)
    return list(dict.fromkeys(filter(None, (sheet.style.name, *shown))))


def render(sheet: Sheet, **_: Any) -> str:
    """Header, score table, chapters and tags, a section a part, flags, caution."""
    out = [*_header(sheet), *_scores(sheet)]
    if lines := chapters(sheet):
        out += ["## Chapters", "", *(f"{line}  " for line in lines), ""]  # two blanks keep the lines apart
    if words := tags(sheet):
        out += [f"Tags: {', '.join(map(escape, words))}", ""]
    for name, part in sheet.categories.items():
        out += _section(sheet, name, part)
    if sheet.suggestions:
        out += ["## For the brewer", "", *(f"- {escape(line)}" for line in sheet.suggestions), ""]
    out += _flags(sheet)
    return "\n".join([*out, "", f"*{' '.join(CAUTIONS)}*", ""])


def _header(sheet: Sheet) -> list[str]:
    entry, style = sheet.entry, sheet.style
    facts = [f"Made by {escape(entry.maker)}."] if entry.maker else []
    if sheet.house and sheet.house.author:
        facts.append(f"Judge: {escape(sheet.house.author)}.")
    named = f"{style.code} {escape(style.name or '')}"
    facts.append(f"Judged as {named} ({style.known})." if style.code else "The style is not said.")
    if entry.abv is not None:
        facts.append(f"{entry.abv:g}% ABV as said.")
    return [f"# {escape(entry.name or 'Unnamed entry')}", "", " ".join(facts), ""]


def _scores(sheet: Sheet) -> list[str]:
    total = sheet.total
    out = ["| Part | Score | Cap |", "| --- | --- | --- |"]
    out += [f"| {name.capitalize()} | {figure(part.score)} | {part.cap} |" for name, part in sheet.categories.items()]
    cap = sum(part.cap for part in sheet.categories.values())
    out += [f"| **Total** | {figure(total.sum)} | {cap} |", ""]
    if total.said is not None:
        out += [f"Total as said: {figure(total.said)}.", ""]
    if bands(sheet):
        out += [f"Band: {escape(bands(sheet))}.", ""]
    return out


def _section(sheet: Sheet, name: str, part: CategoryOut) -> list[str]:
    out = [f"## {name.capitalize()} {figure(part.score)}/{part.cap}", "", escape(part.comment) or "No comment.", ""]
    out += [f"- {taken(lost.points)}: “{escape(lost.reason)}”" for lost in part.lost]
    if part.rest:
        told = rest_told(sheet, part, lambda sheet, span: escape(excerpt(sheet, span)))
        out.append(f"- −{figure(part.rest)}: {told}")
    if part.missing:
        out += ["", f"Not covered: {', '.join(part.missing)}."]
    return [*out, ""]


def _flags(sheet: Sheet) -> list[str]:
    out = ["## Flags", ""]
    for flag in sheet.flags:
        quotes = "; ".join(f"{where(sheet, s)}: “{escape(sheet.quote(s))}”" for s in flag.spans[:3])
        out.append(f"- **{flag.severity}** {escape(flag.message)} ({tag(flag)}){': ' + quotes if quotes else ''}")
    if not sheet.flags:
        out.append("Nothing to send back.")
    if silenced := silenced_lines(sheet):
        out += ["", *(f"- {escape(line)}" for line in silenced)]
    return out
