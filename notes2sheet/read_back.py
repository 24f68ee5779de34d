"""What the taster reads back at the end: all parts with their sum, and what a said total settles."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from decimal import Decimal
from itertools import combinations, permutations, product
from operator import le
from typing import TYPE_CHECKING, Any, NamedTuple

from notes2sheet.numbers import Number, number_before
from notes2sheet.score_rest import Spare, figures_between, spare_values
from notes2sheet.score_view import ABOVE_CAP

if TYPE_CHECKING:
    from notes2sheet.score_booking import Scores
    from notes2sheet.score_view import SentenceView
    from notes2sheet.sentences import Sentence
    from notes2sheet.transcript import Reading

APART, SUM_APART = 8, 16  # words between the values of a read-back, and before its sum
BEFORE_CAP = ("of", "from", "over")
WRONG = 5  # points by which the last sum of a list that adds up aloud may be a slip
FIGURES, LETTERS = 12, 400  # figures and characters before a total that are tried as what it sums up
FOLLOWS = {"", "for", "on", "there", "out", "because"}  # behind a misheard score
CHOICES = 4  # figures of one part that are tried against the total


class ReadBack(NamedTuple):
    """Figures, one a part, the figure that sums them up, and how many sums on the way were said."""

    listed: list[Number]
    total: Number
    steps: int


def summed_list(reading: Reading) -> ReadBack | None:
    """The last run of as many figures as the sheet has parts that a later figure sums up, sums on the way passed over.

    'three, ten, seventeen, five and nine makes forty-four'; 'four and seven that's 11 and 13 is 24 …'. Where sums on
    the way were right, the last one may be a slip.
    """
    for first in range(len(reading.numbers) - len(reading.sheet.categories) - 1, -1, -1):
        for sums in (True, False):  # the ten of 'three seven ten four five' is no sum
            found = _list_from(reading, first, sums)
            if found is not None and not _recites_caps(reading, found.listed):
                slips = sum(n.value for n in found.listed) != found.total.value
                return found if slips or not _in_their_parts(reading, found.listed) else None
    return None


def _recites_caps(reading: Reading, listed: list[Number]) -> bool:
    """Whether the figures are the caps of all parts, in words that recite or open the talk ('three, twelve, twenty,
    five and ten, that's fifty'). At its end they are full marks."""
    told = reading.sentences[reading.sentence_at(listed[0].start)]
    caps = sorted(reading.caps.values())
    return sorted(n.value for n in listed) == caps and (told.role == "expect" or told.category == "opening")


def _list_from(reading: Reading, first: int, sums: bool) -> ReadBack | None:
    """The list that begins with a figure; `sums` tells whether sums on the way are said in it."""
    parts, numbers = len(reading.sheet.categories), reading.numbers
    listed: list[Number] = []
    the_sum, steps = Decimal(0), 0
    for at in range(first, min(first + 3 * parts, len(numbers))):
        number = numbers[at]
        gap = number.start - numbers[at - 1].end if at > first else 0
        if len(listed) > 1 and number.value == the_sum and gap <= SUM_APART and (sums or len(listed) == parts):
            if len(listed) == parts:
                return ReadBack(listed, number, steps)
            steps += 1
            continue
        if len(listed) == parts and steps > 1 and gap <= SUM_APART and abs(number.value - the_sum) < WRONG:
            return ReadBack(listed, number, steps)
        beyond = the_sum + number.value > reading.sheet.total + WRONG
        if len(listed) == parts or gap > APART or number.value == 0 or beyond:
            return None
        listed.append(number)
        the_sum += number.value
    return None


def _in_their_parts(reading: Reading, listed: list[Number]) -> bool:
    """Whether the figures stand in the talk of several parts: short notes with a score each, not a list."""
    return len({reading.sentences[reading.sentence_at(n.start)].category for n in listed}) > 2


def fill_from_read_back(reading: Reading, scores: Scores, found: ReadBack | None, closing) -> None:
    """Give each part the value that was read back for it, where the list as a whole fits what was said before.

    A list with its sum may also change what was said, above all one that adds up aloud; one without only fills parts
    that were never scored.
    """
    if found is not None:
        listed = dict(zip(scores.parts, found.listed, strict=True))
        at = reading.sentence_at(found.listed[0].start)
        later = {part for part, s in scores.parts.items() if s.said_in > at}  # changed after a list at the beginning
        agree, differ = _compared(scores, {part: n for part, n in listed.items() if part not in later})
        above = max(n.value - reading.sheet.cap(part) for part, n in listed.items())
        trusted = (agree > differ and agree > 1) or (agree and found.steps > 1) or (not differ and above <= 0)
        if above <= ABOVE_CAP and trusted:
            settled = {part for part, s in scores.parts.items() if s.basis == "unsure"} | later
            _give(reading, scores, listed, [part for part in scores.parts if part not in settled])
        elif differ:
            _fill_in_another_order(reading, scores, found.listed)
    missing = [part for part, s in scores.parts.items() if s.value is None and s.basis == "none"]
    for view, expressions in closing if missing else ():
        values = [e for e in expressions if e.kind == "value" and not view.beyond_all(e.value)]
        for first in range(len(values) - len(scores.parts), -1, -1):
            listed = dict(zip(scores.parts, values[first:], strict=False))
            agree, differ = _compared(scores, listed)
            within = all(listed[part].value <= reading.sheet.cap(part) + ABOVE_CAP for part in missing)
            if agree > 1 and not differ and within:
                _give(reading, scores, listed, missing)
                return


def _fill_in_another_order(reading: Reading, scores: Scores, listed: list[Number]) -> None:
    """Fill the missing parts from a list in the judge's own order: it holds all that was said, and what is left of it
    fits the caps of what is missing in only one way."""
    left = list(listed)
    for value in (s.value for s in scores.parts.values() if s.value is not None):
        again = next((n for n in left if n.value == value), None)
        if again is None:
            return
        left.remove(again)
    missing = [part for part, s in scores.parts.items() if s.value is None]
    if any(scores.parts[part].basis == "unsure" for part in missing) or len(missing) == len(scores.parts):
        return
    caps = [reading.sheet.cap(part) for part in missing]
    fits = {
        tuple(n.value for n in order): order
        for order in permutations(left)
        if all(n.value <= cap for n, cap in zip(order, caps, strict=True))
    }
    if len(fits) == 1:
        _give(reading, scores, dict(zip(missing, *fits.values(), strict=True)), missing)


def _compared(scores: Scores, listed: dict) -> tuple[int, int]:
    """(parts of which the list says the value that stands, parts of which it says another)."""
    said = {part: s.value for part, s in scores.parts.items() if s.value is not None and part in listed}
    agree = sum(listed[part].value == value for part, value in said.items())
    return agree, len(said) - agree


def _give(reading: Reading, scores: Scores, listed: dict, parts: list[str]) -> None:
    for part in parts:
        said, before = listed[part], scores.parts[part].value
        if before != said.value:
            basis = "said" if before is None else "revised"
            scores.give(part, said.value, basis, reading.span(said.start, said.end), reading.sentence_at(said.start))


def fill_from_total(reading: Reading, scores: Scores, spare: Spare, views: Sequence[SentenceView]) -> None:
    """Where parts are missing and the total is said: the figures said in them that make it up exactly, if only one way.

    `spare` holds the plain figures of sentences that did not seem to give a score. Where they do not do it, sentences
    may have been taken for another part: then whatever is said between the scores of the parts before and behind.
    """
    if scores.total is None:
        return
    _fill_from_figures_before(reading, scores)
    left = scores.total - sum((s.value for s in scores.parts.values() if s.value is not None), Decimal(0))
    missing = [part for part, s in scores.parts.items() if s.value is None and s.basis == "none"]
    if not missing:
        _doubt_a_cap(reading, scores, left)
        return
    if len(missing) == 1 and _give_the_rest(reading, scores, missing[0], left):
        return
    own = [[None, *spare_values(spare, part, reading.sheet.cap(part))[-CHOICES:]] for part in missing]
    found = _only_fit(own, left) or _only_fit([figures_between(reading, scores, views, p) for p in missing], left)
    for part, given in zip(missing, found, strict=True) if found else ():
        if given:
            view, e = given
            scores.give(part, e.value, "said", reading.span(e.start, e.end), view.index)


def _only_fit(choices: list[list[Any]], left: Decimal) -> tuple[Any, ...] | None:
    """One (view, expression) or None of each choice, that together make up what is left; None if several sums do."""
    fits = [found for found in product(*choices) if sum((f[1].value for f in found if f), Decimal(0)) == left > 0]
    return fits[-1] if len({tuple(f and f[1].value for f in found) for found in fits}) == 1 else None


def _fill_from_figures_before(reading: Reading, scores: Scores) -> None:
    """Where parts are missing and the total is said: the figures right before it that make it up, one a part in order,
    other words and figures between them ('sixteen on flavor, I said fifteen'), if they agree with what stands."""
    standing = [s.value for s in scores.parts.values()]
    if None not in standing or not scores.total_spans:
        return
    end = scores.total_spans[0][0]
    last = bisect_left(reading.numbers, end, key=lambda n: reading.starts[n.start])
    near = [
        n
        for n in reading.numbers[max(0, last - FIGURES) : last]
        if end - reading.starts[n.start] <= LETTERS
        and _counts(reading.sentences[reading.sentence_at(n.start)])
        and reading.words[n.start - 1] not in BEFORE_CAP
    ]
    caps = [reading.sheet.cap(part) for part in scores.parts]
    fits: dict[tuple[Decimal, ...], tuple[Number, ...]] = {}
    for chosen in combinations(near, len(caps)):
        values = tuple(n.value for n in chosen)
        agree = sum(a == b for a, b in zip(values, standing, strict=True))
        differ = sum(b is not None for b in standing) - agree
        if sum(values) == scores.total and agree > 1 and agree >= differ and all(map(le, values, caps)):
            fits[values] = chosen
    if len(fits) == 1:
        listed = dict(zip(scores.parts, *fits.values(), strict=True))
        _give(reading, scores, listed, [part for part, s in scores.parts.items() if s.basis != "unsure"])


def _counts(sentence: Sentence) -> bool:
    return sentence.category == "closing" or sentence.role == "score"


def _doubt_a_cap(reading: Reading, scores: Scores, left: Decimal) -> None:
    """Where the total is `left` more than the sum: a part that has its full cap from a mere mention ('overall
    impression, ten') takes the figure said in it that makes the sum right."""
    if left == 0 or any(s.value is None for s in scores.parts.values()):
        return
    for part, standing in scores.parts.items():
        cap = reading.sheet.cap(part)
        mentioned = len(standing.spans) == 1 and reading.sentences[standing.said_in].role != "score"
        if mentioned and standing.value == cap and _give_the_rest(reading, scores, part, cap + left):
            return


def _give_the_rest(reading: Reading, scores: Scores, part: str, rest: Decimal) -> bool:
    """Give a part what the total leaves for it, if a figure in its talk says just that: behind the label of a
    sentence or at its end, or points 'off' that leave it."""
    cap = reading.sheet.cap(part)
    if not 0 <= rest <= cap:
        return False
    for number in reversed(reading.numbers):
        at = reading.sentence_at(number.start)
        sentence, span = reading.sentences[at], reading.span(number.start, number.end)
        if sentence.category != part or number.over is not None:
            continue
        if number.value == rest and (number.end == sentence.end or number.start == sentence.start + 1):
            scores.give(part, rest, "said", span, at)
            return True
        if number.value == cap - rest and reading.words[number.end : number.end + 1] == ["off"]:
            scores.parts[part].taken.append((number.value, at, span))
            scores.give(part, rest, "taken-off", span, at)
            return True
    return _give_heard(reading, scores, part, rest)


def _give_heard(reading: Reading, scores: Scores, part: str, rest: Decimal) -> bool:
    """Give a part what the total leaves for it, if a word that may be misheard for just that stands where a score
    does: 'for for the body', 'I say too.'."""
    words = reading.words
    for at, sentence in enumerate(reading.sentences):
        if sentence.category != part or sentence.role != "score":
            continue
        for k in {sentence.start, sentence.end - 1}:
            follows = words[k + 1] if k + 1 < sentence.end else ""
            number = number_before(words, k, k + 1, heard=True)
            if number is not None and number.value == rest and follows in FOLLOWS:
                scores.give(part, rest, "said", reading.span(k, k + 1), at)
                scores.parts[part].heard = True
                return True
    return False
