"""The checks run again on a sheet that a judge has edited, with the wording of the first run."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

from notes2sheet import checks
from notes2sheet.cues import ROLE_FILE
from notes2sheet.lexicon import SheetDefinition, load_sheet
from notes2sheet.model import CategoryOut, Flag, Sheet, Span

# Flags that follow from the scores, comments and prompts alone, so that they can be told from the edited sheet.
AGAIN = {
    "no-score": checks.no_score, "unsure": checks.unsure, "over-cap": checks.over_cap, "fraction": checks.fraction,
    "sum-differs": checks.sum_differs, "band-differs": checks.band_differs,
    "required-prompt": checks.required_prompt, "missing-prompts": checks.missing_prompts,
}  # fmt: skip


def recheck(draft: Sheet, edited: Sheet) -> tuple[Flag, ...]:
    """The flags of `edited`, worst first: those of `draft` that an edit does not touch, and the rest run again."""
    draft = draft.model_copy(update={"flags": (*draft.flags, *draft.silenced)})
    reading = _as_reading(draft, edited)
    covered = {
        name: {a: (*part.covered.get(a, ()),) for a in _aspects(part)} for name, part in edited.categories.items()
    }
    flags = [flag for check in AGAIN.values() for flag in check(reading, covered)]
    flags += [flag for flag in checks.unexplained(reading, covered) if _unexplained(draft, edited, flag.category)]
    flags += [flag for flag in checks.no_comment(reading, covered) if _uncommented(draft, edited, flag.category)]
    flags += [flag for flag in checks.losses_differ(reading, covered) if not _same_points(draft, edited, flag.category)]
    touched = _touched(draft, edited)
    redone = (*AGAIN, "unexplained", "no-comment")
    flags += [flag for flag in draft.flags if flag.code not in redone and _stands(draft, edited, flag, touched)]
    flags = _as_before(draft, flags)
    order = {name: n for n, name in enumerate(edited.categories)}
    return tuple(sorted(flags, key=lambda f: (checks.SEVERITY[f.severity], order.get(f.category or "", 9))))


def _aspects(part: CategoryOut) -> tuple[str, ...]:
    return tuple(dict.fromkeys([*part.covered, *part.missing]))


def _as_reading(draft: Sheet, edited: Sheet) -> Any:
    """What the checks of scores ask a Reading for, taken from the sheet; no fault or word is known in it."""
    definition = load_sheet(edited.sheet)
    parts = {
        name: SimpleNamespace(
            value=p.score,
            basis="unsure" if p.basis == "unsure" and p.score is None else "said",
            spans=p.spans,
            sentences=[],
            said_in=-1,
            taken=[(lost.points, -1, span) for lost in p.lost for span in lost.spans[:1]],
            lost=sum(lost.points for lost in p.lost),
        )
        for name, p in edited.categories.items()
    }
    said = said_band(draft, definition)
    categories = [SimpleNamespace(id=name, aspects=_aspects(part)) for name, part in edited.categories.items()]
    return SimpleNamespace(
        text=edited.text, words=[], sentences=[], mentions=[], cues={ROLE_FILE: []}, style=SimpleNamespace(style=None),
        house=edited.house, running=False, written_sums={},
        sheet=SimpleNamespace(
            cap=lambda name: edited.categories[name].cap, band=definition.band, categories=categories,
            drink=definition.drink,
        ),
        scores=SimpleNamespace(
            parts=parts, total=edited.total.said, total_spans=edited.total.spans, bands=[said] if said else []
        ),
    )  # fmt: skip


def said_band(draft: Sheet, definition: SheetDefinition) -> tuple[str, Span] | None:
    """The taster's own word for the total: told by the draft's flag, else by a band's name right after the total."""
    for flag in draft.flags:
        if flag.code == "band-differs":
            word = flag.message.partition(" is called ")[2].partition(";")[0]
            return word, flag.spans[0]
    if not draft.total.spans or draft.total.band is None:
        return None
    begin = next((s.span[0] for s in draft.sentences if s.span[0] <= draft.total.spans[0][0] < s.span[1]), None)
    if begin is None or draft.total.band == "good":  # an everyday word that need not name the band
        return None
    at = draft.text.lower().find(draft.total.band, begin, draft.total.spans[-1][1] + 120)
    return (draft.total.band, (at, at + len(draft.total.band))) if at >= 0 else None


def _has(draft: Sheet, code: str, part: str | None) -> bool:
    return any(f.code == code and f.category == part for f in draft.flags)


def _unexplained(draft: Sheet, edited: Sheet, part: str) -> bool:
    """Whether points withheld in a part are still without a reason: none in the draft, none written by the judge."""
    before, after = draft.categories[part], edited.categories[part]
    if before.comment != after.comment and after.comment.strip():
        return False
    if before.score is not None and before.score <= before.cap and (before.cap - before.score) * 3 >= before.cap:
        return _has(draft, "unexplained", part)
    reasons = any(d.category == part and d.state == "present" and d.flaw for d in edited.descriptors)
    return not (reasons or after.lost or _has(draft, "off-style", part))


def _same_points(draft: Sheet, edited: Sheet, part: str | None) -> bool:
    """Whether a part has the score and the losses of the draft."""
    before, after = draft.categories[part], edited.categories[part]
    return (before.score, before.lost) == (after.score, after.lost)


def _uncommented(draft: Sheet, edited: Sheet, part: str) -> bool:
    before, after = draft.categories[part].comment, edited.categories[part].comment
    return _has(draft, "no-comment", part) if before == after else not after.strip()


def _stands(draft: Sheet, edited: Sheet, flag: Flag, touched: set[Span]) -> bool:
    """Whether a flag of the draft outlives the edits."""
    part = flag.category
    if flag.code == "no-tasting":
        return all(p.score is None for p in edited.categories.values())
    if flag.code == "unpunished":
        return edited.categories[part].score == draft.categories[part].score and touched.isdisjoint(flag.spans)
    if flag.code == "heard-as" and part in draft.categories and flag.spans == draft.categories[part].spans:
        return edited.categories[part].score == draft.categories[part].score
    if flag.code == "losses-differ":
        return _same_points(draft, edited, part)
    if flag.code in ("heard-as", "off-style"):
        return touched.isdisjoint(flag.spans)
    return True


def _touched(draft: Sheet, edited: Sheet) -> set[Span]:
    """Where the descriptors are that are no longer as the draft has them."""
    now = {d.span: (d.term, d.state, d.level) for d in edited.descriptors}
    return {d.span for d in draft.descriptors if now.get(d.span) != (d.term, d.state, d.level)}


def _as_before(draft: Sheet, flags: list[Flag]) -> list[Flag]:
    """A flag that says what one of the draft says is that one, with all that the draft knows of it."""
    known = {(f.code, f.category, f.message): f for f in draft.flags}
    kept = set(draft.flags)
    return [f if f in kept else known.get((f.code, f.category, f.message), f) for f in flags]
