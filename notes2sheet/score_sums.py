"""What the figures of one part make together: what was taken off, in all and one by one, and what that leaves."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator
from decimal import Decimal
from itertools import accumulate, combinations
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from notes2sheet.score_booking import Scores, Standing
    from notes2sheet.transcript import Reading

NEAR = 3  # sentences between figures that are added up, at most
RUN = 6  # figures that are added up, at most
MANY = 8  # losses of which some are chosen, at most
ADDS = ("off", "part", "value")  # kinds of figures that may be lost points
Lost = tuple[Decimal, int, tuple[int, int]]  # points, sentence, words


class Figure(NamedTuple):
    """A figure said of a part: its kind as an expression, whether with its cap, the sentence, the words, and whether a
    reason of its own stands beside it."""

    kind: str
    value: Decimal
    capped: bool
    sentence: int
    span: tuple[int, int]
    reasoned: bool = False


def add_up(reading: Reading, scores: Scores) -> None:
    """Drop losses that are said twice, in all and one by one; and let the one figure stand whose rest the others make
    up, where what stands is one of those others."""
    for part, standing in scores.parts.items():
        _drop_said_twice(standing)
        if standing.basis != "unsure":
            _let_explained_stand(standing, Decimal(reading.sheet.cap(part)))


def _runs(figures: list[Figure], at: int, step: int) -> Iterator[list[int]]:
    """The runs of lost points that begin beside figure `at` and go on to one side: ever longer lists of positions."""
    run: list[int] = []
    here = at + step
    while 0 <= here < len(figures) and len(run) < RUN and figures[here].kind in ADDS and not figures[here].capped:
        if abs(figures[here].sentence - figures[here - step].sentence) > NEAR:
            return
        run = [*run, here]
        yield run
        here += step


def _sum(figures: list[Figure], run: list[int]) -> Decimal:
    return sum((figures[k].value for k in run), Decimal(0))


def _drop_said_twice(standing: Standing) -> None:
    """Of '2.5 off: two for the pear, a half for the chocolate' over several sentences the parts are no further losses;
    of 'one for the thin body, a half for that, so a point and a half lost' the sum is none."""
    figures = standing.figures
    for at, figure in enumerate(figures):
        if figure.kind != "off" or figure.reasoned:
            continue
        parts, before = (_making(figures, at, step) for step in (1, -1))
        if parts and all(figures[k].kind != "value" for k in parts):
            _forget(standing, [figures[k].span for k in parts])
            return
        if before and all(figures[k].kind == "off" for k in before):
            _forget(standing, [figure.span])
            return


def _making(figures: list[Figure], at: int, step: int) -> list[int]:
    """The run of two and more to one side that makes the figure itself; empty without one."""
    several = (run for run in _runs(figures, at, step) if len(run) > 1)
    return next((run for run in several if _sum(figures, run) == figures[at].value), [])


def _forget(standing: Standing, spans: list[tuple[int, int]]) -> None:
    standing.taken = [lost for lost in standing.taken if lost[2] not in spans]


def _let_explained_stand(standing: Standing, cap: Decimal) -> None:
    figures = standing.figures
    if standing.value is not None and _explanation(figures, standing.value, cap) is not None:
        return
    plain = {f.value for f in figures if f.kind == "value" and f.value not in (standing.value, cap)}
    found = {value: run for value in plain if (run := _explanation(figures, value, cap))}
    lost = {figures[k].value for run in found.values() for k in run}
    if len(found) != 1 or standing.value not in (None, *lost):
        return  # what stands came later and changed the value
    (value, run), *_ = found.items()
    said = next(f for f in figures if f.kind == "value" and f.value == value)
    standing.value, standing.basis, standing.spans, standing.said_in = value, "said", [said.span], said.sentence
    standing.taken = [(figures[k].value, figures[k].sentence, figures[k].span) for k in sorted(run)]


def _explanation(figures: list[Figure], value: Decimal, cap: Decimal) -> list[int] | None:
    """The figures right before or behind the value that make up what it lacks: two at least, or one that is
    taken off or follows a value with its cap."""
    for at, figure in enumerate(figures):
        if figure.kind != "value" or figure.value != value:
            continue
        for step in (-1, 1):
            for run in _runs(figures, at, step):
                first = figures[run[0]]
                several = len(run) > 1 or first.kind == "off" or (figure.capped and first.value < value)
                if several and value + _sum(figures, run) == cap:
                    return run
    return None


def counts_losses(standing: Standing, values: list[Decimal]) -> bool:
    """Whether plain figures only count up what was taken off, one by one: 'three, four and a half, six, seven'."""
    sums = list(accumulate(points for points, _, _ in standing.taken))
    return standing.value is None and len(values) > 1 and values == sums[-len(values) :]


def keep_true_losses(reading: Reading, scores: Scores) -> None:
    """Where more was taken off than the score lacks, drop what cannot be lost: a value that only was changed ('10.5,
    which goes to 9.5'), a sum behind its parts, what was told twice or of another part. A plain contradiction stays."""
    for part, standing in scores.parts.items():
        cap = Decimal(reading.sheet.cap(part))
        missing = cap if standing.value is None else cap - standing.value
        if standing.lost > missing:
            values = {figure.value for figure in standing.figures if figure.kind == "value"}
            kept = [
                lost for lost in standing.taken if lost[0] <= missing or not (lost[0] in values or lost[0] * 2 > cap)
            ]
            bare = {figure.span for figure in standing.figures if not figure.reasoned}
            standing.taken = kept if _plainly_written(reading, kept) else _fitting(kept, missing, bare)
        standing.taken = [item for lost in standing.taken for item in _itemized(reading, lost)]


def _itemized(reading: Reading, lost: Lost) -> list[Lost]:
    """The losses that one is made up of, where they are told behind it, in its sentence or else in the next, and add up
    to it: 'that's four lost, three for the corn, one for the sulfur'."""
    amount, at, (_, stop) = lost
    behind = bisect_left(reading.starts, stop)
    for sentence in reading.sentences[at : at + 2]:
        numbers = reading.numbers_in(max(behind, sentence.start), sentence.end)
        items = [n for n in numbers if reading.words[n.end : n.end + 1] == ["for"]]
        if len(items) > 1 and sum(n.value for n in items) == amount:
            return [(n.value, reading.sentence_at(n.start), reading.span(n.start, n.end + 1)) for n in items]
        if numbers:
            break
    return [lost]


def _plainly_written(reading: Reading, taken: list[Lost]) -> bool:
    """Whether losses are typed in figures in one sentence, each once: where they are more than the score lacks, the
    notes contradict themselves, and it is for the taster to say how."""
    typed = all(any(map(str.isdigit, reading.text[start:end])) for _, _, (start, end) in taken)
    once = len({points for points, _, _ in taken}) == len(taken)
    places = {at for _, at, _ in taken}
    return len(places) == 1 and not reading.running and (typed and once or not places.isdisjoint(reading.written_sums))


def _fitting(taken: list[Lost], missing: Decimal, bare: set[tuple[int, int]]) -> list[Lost]:
    """Those of the losses that are `missing` in all, as many as may be, only `bare` ones without a reason left out; the
    last of them left out where it is the sum; all where nothing fits."""
    told = sum((points for points, _, _ in taken), Decimal(0))
    if missing < 0 or told <= missing or len(taken) > MANY:
        return taken
    if taken[-1][0] == missing and told - missing <= missing:
        return taken[:-1]
    some = (list(chosen) for size in range(len(taken) - 1, 0, -1) for chosen in combinations(taken, size))
    fits = (chosen for chosen in some if sum(points for points, _, _ in chosen) == missing)
    return next((chosen for chosen in fits if all(lost[2] in bare for lost in taken if lost not in chosen)), taken)
