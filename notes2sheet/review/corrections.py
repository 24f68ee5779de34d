"""A judge's corrections applied to a draft, by the quoted words that they rest on.

The draft may be a later one than the corrections were made on: a correction stands where its words still do, and is
flagged `correction-lost` where they don't.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from notes2sheet.checks import SEVERITY
from notes2sheet.house import under_house
from notes2sheet.lexicon import CONTRACT_LEVEL, load_sheet
from notes2sheet.model import DescriptorOut, Flag, Sheet
from notes2sheet.review.journal import Change, Value
from notes2sheet.review.recheck import recheck

DROPPED = "dropped"  # the state of words that the judge takes for no descriptor
NEAR = 40  # characters around a descriptor that tell it from others with the same words
ALIKE = 60.0  # how like, in percent, the text around it must have stayed


@dataclass(frozen=True)
class Corrected:
    """The sheet after corrections. `values` are those in force, by `what` as this draft numbers it."""

    sheet: Sheet
    values: dict[str, Change] = field(default_factory=dict)
    settled: tuple[tuple[Flag, Change], ...] = ()
    lost: tuple[Change, ...] = ()

    @property
    def blockers(self) -> tuple[Flag, ...]:
        return tuple(flag for flag in self.sheet.flags if flag.severity == "blocker")


def rests_on(draft: Sheet, what: str) -> tuple[tuple[str, ...], str]:
    """The quoted words that a correction of `what` rests on, and its context."""
    kind, _, name = what.partition(":")
    if kind == "score":
        return tuple(draft.quote(span) for span in draft.categories[name].spans), ""
    if kind == "comment":
        said = (draft.quote(d.span) for d in draft.descriptors if d.category == name and d.state != "mentioned")
        return tuple(dict.fromkeys(said)), ""
    if kind == "total":
        return tuple(draft.quote(span) for span in draft.total.spans), ""
    if kind in ("state", "level", "term"):
        start, end = (int(n) for n in name.split("-"))
        return (draft.quote((start, end)),), _around(draft, (start, end))
    return (), ""


def value_in(draft: Sheet, what: str) -> Value:
    """The draft's own value of `what`. KeyError or StopIteration where there is no such value."""
    kind, _, name = what.partition(":")
    if kind in ("score", "comment"):
        return getattr(draft.categories[name], kind)
    if kind == "total":
        return draft.total.said
    if kind == "entry" and name in ("name", "maker"):
        return getattr(draft.entry, name)
    if kind in ("state", "level", "term"):
        found = next(d for d in draft.descriptors if _name(d) == name)
        return found.scale if kind == "level" else getattr(found, kind)
    raise KeyError(what)


def apply(draft: Sheet, changes: Iterable[Change]) -> Corrected:
    """The draft with all corrections that still stand, its checks run again. Pure."""
    standing = _Standing(draft, changes)
    edited = _edit(draft, {what: change.new for what, change in standing.values.items()})
    flags = [*recheck(draft, edited), *(_lost_flag(draft, change) for change in standing.lost)]
    flags.sort(key=lambda f: SEVERITY[f.severity])
    edited = under_house(edited.model_copy(update={"flags": tuple(dict.fromkeys(flags)), "silenced": ()}))
    settled, left = [], []
    for flag in edited.flags:
        change = standing.decided.get(flag_key(edited, flag))
        if change is None or change.new == "open":
            left.append(flag)
        else:
            settled.append((flag, change))
    return Corrected(edited.model_copy(update={"flags": tuple(left)}), standing.values, tuple(settled), standing.lost)


def flag_key(sheet: Sheet, flag: Flag) -> tuple[str, tuple[str, ...], str]:
    """What makes a flag the same one on another draft: its code and part, its words, its message."""
    what = ":".join(["flag", flag.code, *([flag.category] if flag.category else [])])
    return what, tuple(sheet.quote(span) for span in flag.spans), flag.message


class _Standing:
    """Which corrections stand on one draft; a later one replaces an earlier one of the same value."""

    def __init__(self, draft: Sheet, changes: Iterable[Change]) -> None:
        self.draft = draft
        self.values: dict[str, Change] = {}
        self.decided: dict[tuple[str, tuple[str, ...], str], Change] = {}
        self._lost: dict[tuple[str, str], Change] = {}
        self._words: dict[str, tuple[str, ...]] = {}
        self._named = {_name(d): d for d in draft.descriptors}
        for change in changes:
            kind = change.what.partition(":")[0]
            if kind == "flag":
                self.decided[(change.what, change.words, change.context)] = change
            elif kind != "finish":
                self._take(change)

    @property
    def lost(self) -> tuple[Change, ...]:
        return tuple(self._lost.values())

    def _take(self, change: Change) -> None:
        what = self._place(change)
        if what is None:
            self._lost[(change.what, change.context)] = change
            return
        self._lost.pop((change.what, change.context), None)
        self.values.pop(what, None)
        if change.new != value_in(self.draft, what):
            self.values[what] = change

    def _place(self, change: Change) -> str | None:
        """`what` as it is called in this draft; None where the words that the change rests on are gone."""
        kind, _, name = change.what.partition(":")
        if kind in ("state", "level", "term"):
            found = self._find_descriptor(name, change)
            return None if found is None else f"{kind}:{found}"
        if kind in ("score", "comment") and name not in self.draft.categories:
            return None
        if change.what not in self._words:
            self._words[change.what] = rests_on(self.draft, change.what)[0]
        words = self._words[change.what]
        stands = words == change.words if kind in ("score", "total") else set(change.words) <= set(words)
        return change.what if stands else None

    def _find_descriptor(self, name: str, change: Change) -> str | None:
        here, words = self._named.get(name), change.words[0]
        if here and self.draft.quote(here.span) == words and _around(self.draft, here.span) == change.context:
            return name
        from rapidfuzz.fuzz import ratio

        same = [d for d in self.draft.descriptors if self.draft.quote(d.span) == words]
        rated = [(ratio(_around(self.draft, d.span), change.context), _name(d)) for d in same]
        like, best = max(rated, default=(0.0, None))
        return best if like >= ALIKE else None


def _name(d: DescriptorOut) -> str:
    return f"{d.span[0]}-{d.span[1]}"


def _around(draft: Sheet, span: tuple[int, int]) -> str:
    return " ".join(draft.text[max(0, span[0] - NEAR) : span[1] + NEAR].split())


def _edit(draft: Sheet, new: dict[str, Value]) -> Sheet:
    """The draft with the values of `new` in place, its sum, band and prompts worked out again."""
    descriptors = tuple(d for d in overlaid(draft, new) if d.state != DROPPED)
    speaking = {d.span for d in descriptors if d.state != "mentioned"}
    silenced = {d.span for d in draft.descriptors if d.state != "mentioned"} - speaking
    categories = {}
    for name, part in draft.categories.items():
        update: dict[str, Any] = {}
        if f"score:{name}" in new:
            score = new[f"score:{name}"]
            update |= {"score": score, "basis": "none" if score is None else "revised"}
        if f"comment:{name}" in new:
            update["comment"] = new[f"comment:{name}"] or ""
        left = {a: tuple(s for s in spans if s not in silenced) for a, spans in part.covered.items()}
        gone = tuple(a for a, spans in left.items() if not spans)
        if gone:
            update |= {"covered": {a: s for a, s in left.items() if s}, "missing": (*part.missing, *gone)}
        categories[name] = part.model_copy(update=update)
    scores = [part.score for part in categories.values()]
    the_sum = None if None in scores else sum(scores)
    said = new.get("total:said", draft.total.said)
    judged = said if the_sum is None else the_sum
    band = load_sheet(draft.sheet).band(judged) if judged is not None and judged >= 0 else None
    house_band = draft.house.band(judged) if draft.house and judged is not None else None
    entry = {key: new[f"entry:{key}"] for key in ("name", "maker") if f"entry:{key}" in new}
    return draft.model_copy(update={
        "entry": draft.entry.model_copy(update=entry), "categories": categories, "descriptors": descriptors,
        "total": draft.total.model_copy(update={"sum": the_sum, "said": said, "band": band, "house_band": house_band}),
    })  # fmt: skip


def overlaid(draft: Sheet, new: dict[str, Value]) -> tuple[DescriptorOut, ...]:
    """The draft's descriptors, all of them and in its order, with the values of `new`."""
    return tuple(_descriptor(d, new) for d in draft.descriptors)


def _descriptor(d: DescriptorOut, new: dict[str, Value]) -> DescriptorOut:
    name = _name(d)
    update: dict[str, Any] = {key: new[f"{key}:{name}"] for key in ("state", "term") if f"{key}:{name}" in new}
    if f"level:{name}" in new:
        scale = new[f"level:{name}"]
        update |= {"scale": scale, "level": CONTRACT_LEVEL[scale] if scale else None}
    return d.model_copy(update=update) if update else d


def _lost_flag(draft: Sheet, change: Change) -> Flag:
    kind, _, name = change.what.partition(":")
    named = f"the {kind} of {name}" if kind in ("score", "comment", "entry") else f"the {kind}"
    new = "nothing" if change.new is None else f"{change.new:g}" if isinstance(change.new, float) else f"'{change.new}'"
    words = ", ".join(f"'{w}'" for w in change.words[:5]) or "no words, and now there are some"
    return Flag(
        code="correction-lost", severity="warning", category=name if name in draft.categories else None,
        message=f"{change.who} had set {named} to {new}; it rested on {words}, which no longer stands so in the notes.",
    )  # fmt: skip
