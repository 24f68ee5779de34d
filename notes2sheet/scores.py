"""Stated scores: values, deductions, corrections, totals; whose they are and which part they belong to.

A sentence is read into expressions (`score_terms`), the expressions are booked on the parts in the order of the talk
(`book`), and the total is chosen among the figures that close the talk (`totals`).
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from operator import attrgetter

from notes2sheet.brewing import advice_in
from notes2sheet.cues import SCORE_FILE, SHEET_FILE, by_sentence
from notes2sheet.features import announced
from notes2sheet.other_scale import leave_other_scales
from notes2sheet.read_back import ReadBack, fill_from_read_back, fill_from_total, summed_list
from notes2sheet.recipe import recipe_words
from notes2sheet.score_booking import Scores, Standing, book
from notes2sheet.score_changes import given_to_changed
from notes2sheet.score_conclusions import concluded_at
from notes2sheet.score_few import let_total_choose, settle_few
from notes2sheet.score_forms import keep_with_part, names_band_of_figure, plainly_meant
from notes2sheet.score_others import tells_others, this_beer_gets
from notes2sheet.score_rest import (
    Spare,
    explain_from_spare,
    fill_from_caps,
    fill_from_first_closing,
    fill_from_line_ends,
    fill_from_odds,
    lower_from_spare,
    settle_doubts,
)
from notes2sheet.score_sums import add_up, counts_losses, keep_true_losses
from notes2sheet.score_terms import read_expressions
from notes2sheet.score_view import ABOVE_CAP, Expression, SentenceView, score_words
from notes2sheet.totals import choose_total, let_total_be, take_sum_said
from notes2sheet.transcript import Reading
from notes2sheet.written_sums import book_sum

SCORE_ODDS = 0.2  # a sentence this likely to give a score is read for plain figures
RECITAL_ODDS = 0.2  # a recital this unlikely to give one is not read at all
WORDS_ODDS = 0.4  # words this likely to give a score are read as one in a sentence that gives none
LISTED = 3  # parts that are named with a figure each in a list
ITEM = 3  # words of one of its items
LINES_NUMBERED = 3  # lines that count up from one are numbered
RECITAL = 5  # words that a recital has at least
ASKED = (["what"], ["how"], ["why"], ["who"], ["where"], ["when"])  # behind 'I don't know'
ASKING = 6  # words of such a question
TO_FIGURE = 1  # words between 'this one gets' and the figure: 'a', 'about'
OWN = {"i", "my", "me", "mine", "final"}  # words by which a score beside another's is the taster's


def find_scores(reading: Reading) -> None:
    """Fill `reading.scores`. Linear in the sentences."""
    views = _views(reading)
    spare: Spare = {}
    sums = reading.written_sums
    read = {view.index: found for view in views if view.index not in sums and (found := _read(view, spare))}
    keep_with_part(views, read)
    scores = Scores({c.id: Standing() for c in reading.sheet.categories})
    closing: list[tuple[SentenceView, list[Expression]]] = []
    read_back = summed_list(reading)
    for view in views:
        for found in sums.get(view.index, ()):
            book_sum(scores.parts[found.part], found, view.index)
        expressions = read.get(view.index, [])
        if not expressions and not (view.cue("open", "doubted") and _worth_reading(view)):
            continue
        expressions = given_to_changed(view, expressions, scores)
        mine, rest = _placed(view, _what_is_missing(view, expressions))
        if read_back:
            again = [e for _, e in mine if read_back.listed[0].start <= e.start <= read_back.total.start]
            mine = [(part, e) for part, e in mine if e not in again]
            rest += again
        if _counts_up(mine, scores):
            continue
        for part, expression in mine:
            if not _only_aside(view, expression, scores.parts[part]):
                book(scores.parts[part], expression, view, reading.sheet.cap(part))
        _leave_open(view, scores.parts.get(view.sentence.category), expressions)
        closing += [(view, rest)] * bool(rest)
    settle_doubts(scores, views)
    _settle(reading, scores)
    fill_from_caps(reading, scores, closing)
    fill_from_first_closing(reading, scores, views)
    fill_from_read_back(reading, scores, read_back, closing)
    _settle_total(reading, scores, views, closing, read_back)
    _fill(reading, scores, spare, views)
    keep_true_losses(reading, scores)
    leave_other_scales(reading, scores)
    reading.scores = scores
    reading.word_odds.clear()  # no later stage needs them


def _counts_up(mine: list[tuple[str, Expression]], scores: Scores) -> bool:
    """Whether the figures of a sentence are of one part, and only count up what was taken off it."""
    own = [(part, e.value) for part, e in mine if e.kind in ("value", "off")]
    alone = len({part for part, _ in own}) == 1
    return alone and counts_losses(scores.parts[own[0][0]], [value for _, value in own])


def _settle_total(
    reading: Reading,
    scores: Scores,
    views: list[SentenceView],
    closing: list[tuple[SentenceView, list[Expression]]],
    read_back: ReadBack | None,
) -> None:
    """Take the total that is said: called so, the sum of all parts, or that of a list that reads them back; and let it
    choose among doubtful figures."""
    if not choose_total(reading, scores, closing):
        take_sum_said(reading, scores, views)
    standing = [s.value for s in scores.parts.values() if s.value is not None]
    if read_back and (scores.total is None or sorted(standing) == sorted(n.value for n in read_back.listed)):
        let_total_be(reading, scores, read_back.total)
    let_total_choose(reading, scores)


def _fill(reading: Reading, scores: Scores, spare: Spare, views: list[SentenceView]) -> None:
    """Look among the figures left over for scores of the parts without one, and for what explains the others."""
    lower_from_spare(reading, scores, spare)
    fill_from_total(reading, scores, spare, views)
    fill_from_odds(reading, scores, spare)
    fill_from_line_ends(reading, scores, spare)
    explain_from_spare(reading, scores, spare)


def _views(reading: Reading) -> list[SentenceView]:
    score_hits, part_hits = by_sentence(reading, SCORE_FILE), by_sentence(reading, SHEET_FILE)
    caps: dict[Decimal, tuple[str, ...]] = {}
    for category in reading.sheet.categories:
        caps[Decimal(category.cap)] = (*caps.get(Decimal(category.cap), ()), category.id)
    caps[Decimal(reading.sheet.total)] = ("total",)
    own_caps = reading.caps
    numbered = _numbered(reading)
    named = [
        [reading.sheet.part(label) for label, _ in announced(reading, s, hits)]
        for s, hits in zip(reading.sentences, part_hits, strict=True)
    ]
    return [
        SentenceView(reading, i, s, score_hits[i], part_hits[i], named[i], caps, own_caps, numbered)
        for i, s in enumerate(reading.sentences)
    ]


def _numbered(reading: Reading) -> frozenset[int]:
    """The words that number lines ('1. APP', '2) AROMA'): figures at their beginnings that count up from one."""
    out: list[int] = []
    for number in reading.numbers:
        line = number.start == 0 or "\n" in reading.breaks[number.start]
        mark = reading.breaks[number.end].strip("-* ")[:1] if number.end < len(reading.words) else ""
        counts = not number.spelled and number.value == len(out) + 1 and mark in (".", ")", ":", "]")
        if line and counts and "\n" not in reading.breaks[number.end]:
            out.append(number.start)
    return frozenset(out) if len(out) >= LINES_NUMBERED else frozenset()


def _gives_score(view: SentenceView) -> bool:
    return view.sentence.role == "score" or view.sentence.role_odds["score"] >= SCORE_ODDS


def _worth_reading(view: SentenceView) -> bool:
    """Score sentences; and others for a score with its cap, unless they recite or speak of others' scores."""
    others, sentence = tells_others(view), view.sentence
    if sentence.start in recipe_words(view.reading):
        return False
    if others and this_beer_gets(view) is None:
        mine = not OWN.isdisjoint(view.words[sentence.start : sentence.end])
        return mine and _gives_score(view)
    if others or _gives_score(view):
        return True
    if concluded_at(view) < sentence.end:
        return True
    recites = sentence.role == "expect" and sentence.role_odds["score"] < RECITAL_ODDS
    brief = sentence.end - sentence.start < RECITAL
    return not recites or brief or (view.reading.running and ("total" in view.parts or view.capped()))


def _read(view: SentenceView, spare: Spare) -> list[Expression]:
    """The score expressions of a sentence that count; other figures of its part are put into `spare`."""
    if not _worth_reading(view):
        return []
    expressions = _of_column(view, _without_advice(view, read_expressions(view)))
    if _gives_score(view) or not expressions or _names_total(view, expressions) or _lists_parts(view, expressions):
        return expressions
    kept = [e for e in expressions if plainly_meant(view, e) or view.likely_score(e.start, e.end, WORDS_ODDS)]
    own = view.sentence.category
    if own in view.own_caps:
        left = [(view, e) for e in expressions if e not in kept and e.part in (None, own)]
        spare.setdefault(own, []).extend(left)
    return kept


def _without_advice(view: SentenceView, expressions: list[Expression]) -> list[Expression]:
    """Without what the brewer is told to take away or to add: 'drop the crystal malt by half'."""
    changes = any(e.kind in ("off", "up") and e.over is None for e in expressions)
    start, end = (changes and advice_in(view.reading, view.sentence)) or (0, 0)
    mine = next((k for k in range(start, end) if view.words[k] in ("i", "we")), end)  # 'and I take two off for it'
    return [e for e in expressions if e.kind not in ("off", "up") or e.over is not None or not start <= e.start < mine]


def _lists_parts(view: SentenceView, expressions: list[Expression]) -> bool:
    """Whether figures are given to several parts by name ('appearance three, aroma eight, …'), not just the caps; in
    running text such a list is cut into its items."""
    named = {e.part: e.value for e in expressions if e.named and e.kind == "value" and e.part in view.own_caps}
    alone = view.reading.running and view.sentence.end - view.sentence.start <= ITEM
    return len(named) >= (1 if alone else LISTED) and any(value != view.own_caps[p] for p, value in named.items())


def _of_column(view: SentenceView, expressions: list[Expression]) -> list[Expression]:
    """With a figure of a column: that figure and what is no plain one; beside it in its line, the latter alone."""
    if view.index in view.reading.beside_columns:
        return [e for e in expressions if e.kind in ("off", "share")]
    for at, (part, number) in view.reading.columns.items():
        if view.holds(at):
            own = Expression("value", number.value, at, number.end, part=part, over=number.over, named=True)
            kept = [e for e in expressions if e.kind in ("off", "share") and not e.start <= at < e.end]
            expressions = sorted([*kept, own], key=attrgetter("start"))
    return expressions


def _names_total(view: SentenceView, expressions: list[Expression]) -> bool:
    """Whether a closing sentence speaks of the total, or any gives more than a part can have, whatever its role was
    taken for."""
    if any(e.kind == "value" and view.beyond_all(e.value) and _gives_whole(view, e) for e in expressions):
        return True
    closes = view.sentence.category == "closing"
    return closes and ("total" in view.named_parts() or names_band_of_figure(view, expressions))


def _gives_whole(view: SentenceView, e: Expression) -> bool:
    """Whether a figure above all caps is given to the beer: 'this one gets 42', 'I have it at 42'."""
    behind = this_beer_gets(view)
    led = behind is not None and behind <= e.start <= behind + TO_FIGURE
    return led or view.ends_at("gives_it", e.start) is not None


def _placed(view: SentenceView, expressions: list[Expression]):
    """([(part, expression)] for the five parts, the expressions that belong to the total or a read-back)."""
    mine: list[tuple[str, Expression]] = []
    rest: list[Expression] = []
    own = view.sentence.category
    for expression in expressions:
        part = expression.part
        beyond = expression.over is None and view.beyond_all(expression.value)
        if _strays(view, expression) or (part is None and _other_cap(view, expression)):
            continue
        capped = expression.over is not None and own == "opening"  # '>> 3/3' before anything is described
        if capped and expression.value > expression.over:
            continue  # '13 out of 12' there is of another beer
        told = part is not None and (expression.named or capped or expression.kind != "value")
        if part != "total" and not beyond and (own in view.own_caps or told):
            mine.append((part or own, expression))
        else:
            rest.append(expression)
    return mine, rest


def _other_cap(view: SentenceView, expression: Expression) -> bool:
    """Whether a plain figure above the part's own cap is just the cap of another part ('next one, that's twenty')."""
    own = view.own_cap
    plain = expression.kind == "value" and expression.over is None
    return plain and own is not None and own < expression.value and expression.value in view.own_caps.values()


def _strays(view: SentenceView, expression: Expression) -> bool:
    """Whether a plain figure of running text is so far above the cap that a wrong cut must have brought it here, to its
    part or to the name of another: 'for the overall | three eight fourteen'."""
    named = expression.part is not None
    own = view.own_caps.get(expression.part or "") if named else view.own_cap
    plain = expression.kind == "value" and expression.over is None and not view.beyond_all(expression.value)
    return view.reading.running and plain and own is not None and expression.value > own + ABOVE_CAP + named


def _only_aside(view: SentenceView, expression: Expression, standing: Standing) -> bool:
    """Whether a plain figure of a sentence that hardly gives a score stands behind one that was given in another."""
    other = standing.value is not None and standing.said_in != view.index
    sure = view.sentence.role == "score" or not other or plainly_meant(view, expression)
    return not sure and expression.kind in ("value", "maybe") and not view.reading.running


def _leave_open(view: SentenceView, own: Standing | None, expressions: list[Expression]) -> None:
    """'Leave it open' unsettles the values said before it, 'I don't know' those that differ."""
    told = [e for e in expressions if e.kind != "half"]
    last = max((e.end for e in told), default=view.sentence.start)
    behind = {name for start, end, name in view.hits if start >= last and not _goes_on(view, end, name)}
    differ = len({e.value for e in told}) > 1 or (own is not None and own.basis == "revised")
    opened = "open" in behind or ("doubted" in behind and differ)
    if own is not None and own.value is not None and opened and (own.said_in == view.index or own.basis == "revised"):
        own.value, own.basis = None, "unsure"


def _what_is_missing(view: SentenceView, expressions: list[Expression]) -> list[Expression]:
    """Of two plain figures that make up the cap, the smaller, said first, is taken off ('four for the ash, 16')."""
    caps = {part: cap for cap, parts in view.caps.items() for part in parts}
    out = list(expressions)
    for n, (first, second) in enumerate(zip(expressions, expressions[1:], strict=False)):
        cap = caps.get(second.part or view.sentence.category)
        plain = first.kind == second.kind == "value" and (not first.named or first.over == cap)
        plain &= not view.taken_back(first.end, second.start)
        plain &= first.over in (None, cap) and second.over is None  # 'two from ten, so it has eight'
        if plain and cap and first.value < second.value and first.value + second.value == cap:
            out[n] = replace(first, kind="off")
    return out


def _goes_on(view: SentenceView, at: int, name: str) -> bool:
    """Whether words that may leave a score open, which end before word `at`, tell of something else: 'I can't call it
    creamy', 'I don't know what else'."""
    if name == "doubted":
        return _asks(view, at)
    return name == "open" and view.words[at - 2 : at] == ["call", "it"] and not view.closed(at)


def _asks(view: SentenceView, at: int) -> bool:
    """Whether 'I don't know', which ends before word `at`, asks about something else than a score: 'what else one does
    with it', not 'what to give it'."""
    behind = view.words[at : min(at + ASKING, view.sentence.end)]
    scoring = score_words("givers") | score_words("writes")
    return behind[:1] in ASKED and not view.breaks(at) and scoring.isdisjoint(behind)


def _settle(reading: Reading, scores: Scores) -> None:
    """Where only deductions were said, the score is the cap less what was taken off; where they make up what a value
    said before lacks, they only explain it."""
    add_up(reading, scores)
    for part, standing in scores.parts.items():
        if standing.lowered is not None and standing.lowered + standing.lost == reading.sheet.cap(part):
            standing.value, standing.basis = standing.lowered, "said"
        if standing.halves and not standing.figures:
            standing.taken, standing.heard = standing.halves, True  # 'half a point for the froth': no score, so lost
        if not standing.only_few():
            standing.take_off(reading.sheet.cap(part))
    settle_few(reading, scores)
