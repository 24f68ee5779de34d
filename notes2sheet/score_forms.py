"""Forms that give a score by themselves, whatever the sentence was taken for; and scores at the edge of two parts."""

from __future__ import annotations

from dataclasses import replace

from notes2sheet.score_conclusions import concludes
from notes2sheet.score_view import Expression, SentenceView, score_words
from notes2sheet.totals import band_index

COSTS = ("costs", "cost", "loses")  # before 'it' and the points that are lost
SINCE = 4  # sentences between a score and the change of it, at most
LED = 3  # words before the verb of such a change: "so I'll pull"
FOLLOWED = (["and"], ["for"], ["because"])  # behind 'five overall'
GIVES = ("value", "off", "share", "unsure")  # expressions that say what a part gets


def plainly_meant(view: SentenceView, expression: Expression) -> bool:
    """Whether an expression in a sentence that seems to give no score gives one all the same.

    That is: a value with the cap of the part that is talked about or named ('five over five', 'OI = 7/10'), a value
    tied to a named part ('eleven on the smell'), one that is settled on or given ('make it eight', 'I'll give it
    three'), or nothing but a share of the cap ('nothing off').
    """
    own = view.sentence.category
    if expression.instead is not None or expression.kind == "back" or concludes(view, expression):
        return True
    if expression.kind == "share":
        return own in view.own_caps and expression.end - expression.start >= view.sentence.end - view.sentence.start - 1
    if expression.kind == "off":
        return _plainly_off(view, expression)
    settled = view.changes_to(expression.start)
    made = settled is not None and view.words[settled] in score_words("changes")
    if (
        (made or _given(view, expression) or _takes_it_back(view, expression))
        and expression.kind == "value"
        and expression.part in (None, own)
    ):
        return own in view.own_caps and view.own_caps[own] / 4 <= expression.value <= view.own_caps[own]
    if expression.kind not in ("value", "unsure") or expression.part is None:
        return False
    if expression.over is not None:
        told = expression.named or view.reading.running
        return expression.part == own or (told and expression.part in view.own_caps)
    cap = view.own_caps.get(expression.part)
    if not expression.named or cap is None or not cap / 4 <= expression.value < cap:
        return False  # the cap itself is rather announced than given
    return _tied(view, expression)


def _given(view: SentenceView, expression: Expression) -> bool:
    """Whether a clause ends with the judge giving this figure ('..., and I'll give it three.')."""
    if expression.start == view.sentence.start + 1 and view.words[view.sentence.start] == "fine":
        return True  # 'fine, seven, the soup wins'
    if view.sentence.role == "prefer" or view.ends_at("gives_it", expression.start) is None:
        return False
    return view.score_ends(expression.end)


def _takes_it_back(view: SentenceView, expression: Expression) -> bool:
    """'No, it goes sour, fourteen.': what takes the score back and ends in another one."""
    begins, behind = view.starts_at("takes_back", view.sentence.start), expression.end
    return begins is not None and view.breaks(expression.start) and behind == view.sentence.end


def _plainly_off(view: SentenceView, expression: Expression) -> bool:
    """Whether points are taken off a named part, a cap or with a sign ('-2'), or, in running text whose bounds are
    unsure, said to be 'off'."""
    cap = view.own_caps.get(expression.part or view.sentence.category)
    if cap is None or expression.value * 2 > cap:
        return False
    if expression.named or expression.over is not None or view.signed(expression.start):
        return True
    if expression.imperative and view.words[expression.end - 1] == "off":
        return True  # 'so I'll knock half a point off'
    if view.words[expression.start] in COSTS and view.words[expression.start + 1] in ("it", "them"):
        return True  # 'which costs it two more'
    return view.reading.running and "off" in view.words[expression.end - 1 : expression.end + 1]


def _tied(view: SentenceView, expression: Expression) -> bool:
    """Whether only small words stand between the figure and the part's name, and no noun follows the figure."""
    words, sentence = view.words, view.sentence
    for start, end, _ in view.part_hits:
        if end <= expression.start:
            leads = score_words("joins").issuperset(words[end : expression.start])
            if leads and start <= sentence.start + 2 and view.score_ends(expression.end):
                return True
        elif start >= expression.end:
            between = words[expression.end : start]
            if not between and expression.start == sentence.start and words[end : end + 1] in FOLLOWED:
                return True  # 'five overall, and that's kind'
            leads = expression.start <= sentence.start + 2 or view.breaks(expression.start) or view.reading.running
            if leads and between and between[0] in ("on", "for") and score_words("joins").issuperset(between):
                return True
    return False


def names_band_of_figure(view: SentenceView, expressions: list[Expression]) -> bool:
    """Whether a sentence says a figure and the band that it lies in ('forty-eight, and this is outstanding')."""
    sheet = view.reading.sheet
    said = {band for _, _, band in band_index().find(view.words[view.sentence.start : view.sentence.end])}
    plain = [e for e in expressions if e.kind == "value" and e.over in (None, sheet.total)]
    return len(plain) == 1 and plain[0].value <= sheet.total and sheet.band(float(plain[0].value)) in said


def keep_with_part(views: list[SentenceView], read: dict[int, list[Expression]]) -> None:
    """Give a score to the part that it closes where its sentence was taken for the beginning of the next.

    'Eight. No, make it nine.': what takes a score back is of the same part. And a bare score at the very start of a
    part that gets another one later belongs to the part before, where that one has none; and so does a closing
    sentence that is nothing but a figure within that part's cap.
    """
    scored = {n for n, found in read.items() if any(e.kind in GIVES for e in found)}
    runs = _runs(views)
    first_scored, last_scored = _scored_runs(views, runs, scored)
    for n, (before, run) in enumerate(zip(runs, runs[1:], strict=False), 1):
        view = views[run[0]]
        if run[0] not in scored or _names_part(view, read[run[0]]) or any(e.part for e in read[run[0]]):
            continue
        own, previous = view.sentence.category, views[before[-1]].sentence.category
        if own not in view.own_caps and not scored.isdisjoint(before[-SINCE:]) and _pulls(view, read[run[0]], previous):
            read[run[0]][0] = replace(read[run[0]][0], part=previous, named=True)
        elif (before[-1] in scored and _takes_back(view, read[run[0]])) or _settles(view, read[run[0]], previous):
            view.sentence.category = previous
        elif {own, previous} <= set(view.own_caps) and first_scored.get(previous, n) >= n:
            view.sentence.category = previous if last_scored.get(own, -1) > run[0] else own
        elif own not in view.own_caps and first_scored.get(previous, n) >= n and _fits(view, read[run[0]], previous):
            view.sentence.category = previous


def _pulls(view: SentenceView, found: list[Expression], part: str) -> bool:
    """Whether closing words begin with a change of the last part's score: 'I'll pull that back to seven'."""
    first, cap = found[0], view.own_caps.get(part, 0)
    changed = view.changes_to(first.start)
    led = changed is not None and changed <= view.sentence.start + LED
    return led and first.kind == "value" and first.plain and first.value <= cap


def _names_part(view: SentenceView, found: list[Expression]) -> bool:
    """Whether a part is announced, and named before the last figure: not 'three, and the nose follows'."""
    announces = not set(view.own_caps).isdisjoint(view.parts)
    return announces and any(start < found[-1].end for start, _, _ in view.part_hits)


def _fits(view: SentenceView, found: list[Expression], part: str) -> bool:
    """Whether a sentence is nothing but a value that the part can have."""
    alone = len(found) == 1 and found[0].end - found[0].start == view.sentence.end - view.sentence.start
    return alone and found[0].kind == "value" and found[0].value <= view.own_caps.get(part, 0)


def _settles(view: SentenceView, found: list[Expression], part: str) -> bool:
    """Whether a sentence behind the parts only settles on a value that the last one can have: 'Leave it at seven.'"""
    value = found[0]
    given = view.ends_at("gives_it", value.start) == view.sentence.start and value.end == view.sentence.end
    closing = view.sentence.category not in view.own_caps
    return given and closing and value.kind == "value" and value.value <= view.own_caps.get(part, 0)


def _takes_back(view: SentenceView, found: list[Expression]) -> bool:
    values = [e for e in found if e.kind == "value"]
    if view.starts_at("takes_back", view.sentence.start) is not None:
        return True
    return len(values) == 1 and view.changes_to(values[0].start) is not None


def _scored_runs(views, runs: list[list[int]], scored: set[int]) -> tuple[dict[str, int], dict[str, int]]:
    """(the first run with a score, the last sentence with one) of each part."""
    first: dict[str, int] = {}
    last: dict[str, int] = {}
    for n, run in enumerate(runs):
        for k in run:
            if k in scored:
                first.setdefault(views[k].sentence.category, n)
                last[views[k].sentence.category] = k
    return first, last


def _runs(views: list[SentenceView]) -> list[list[int]]:
    """The numbers of the sentences, in runs of the same part."""
    out: list[list[int]] = []
    for n, view in enumerate(views):
        if out and views[out[-1][-1]].sentence.category == view.sentence.category:
            out[-1].append(n)
        else:
            out.append([n])
    return out
