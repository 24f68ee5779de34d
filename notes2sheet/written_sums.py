"""Sums that are written out: the cap, what is lost of it, and what is left: '12 - 1.5 (soapy) = 10.5', '20-3-1=16'.

Such a sum is the whole account of a part, whatever the words beside it were taken for; where it is wrong, what is left
stands, and a flag asks.
"""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal

from notes2sheet.cues import SHEET_FILE, hits_within
from notes2sheet.score_booking import Standing
from notes2sheet.score_sums import Figure
from notes2sheet.score_view import units
from notes2sheet.transcript import DASHES, Reading

FAR = 2000  # characters before a sum in which its line may name its part
SLIP = 1  # points by which a sum is wrong at most, where only its cap tells the part
FIGURE = r"\d{1,3}(?:[.,]\d{1,2})?(?![\d.,]?\d)"
DASH, MADE = rf"[ \t]{{0,2}}[{DASHES}][ \t]{{0,2}}", r"[ \t]{0,2}(?:=|→|[-=]>)[ \t]{0,2}"
LOST = re.compile(rf"{DASH}({FIGURE})([^\d=→\n]{{0,60}}?)(?={DASH}\d|{MADE}|$)")
SUM = re.compile(rf"(?<![\d.,/:])(\d{{1,3}})((?:{LOST.pattern}){{1,9}}){MADE}({FIGURE})(?:{MADE}({FIGURE}))?")
Span = tuple[int, int]


@dataclass(frozen=True)
class WrittenSum:
    """The account of one part: the points lost, each with its words, what is left with its words, and what that was
    changed to behind it ('= 10.5 → 10')."""

    part: str
    lost: tuple[tuple[Decimal, Span], ...]
    left: tuple[Decimal, Span]
    changed: tuple[Decimal, Span] | None


def find_written_sums(reading: Reading) -> None:
    """Add to `reading.written_sums` ({number of a sentence: its sums}). Linear in the text."""
    if all(sign not in reading.text for sign in "=→>"):
        return
    for at, found in _sums(reading):
        reading.written_sums.setdefault(at, []).append(found)


def _sums(reading: Reading) -> Iterator[tuple[int, WrittenSum]]:
    parts: dict[int, list[str]] = {}
    for category in reading.sheet.categories:
        parts.setdefault(category.cap, []).append(category.id)
    for match in SUM.finditer(reading.text):
        at = reading.sentence_at(bisect_right(reading.starts, match.start(1)) - 1)
        having, own = parts.get(int(match[1]), []), reading.sentences[at].category
        lost, left = tuple(_lost(match)), (_value(match[5]), match.span(5))
        changed = (_value(match[6]), match.span(6)) if match[6] else None
        near = own in having or (len(having) == 1 and abs(_off_by(int(match[1]), lost, left[0])) <= SLIP)
        if near and _is_account(reading, match):
            yield at, WrittenSum(own if own in having else having[0], lost, left, changed)


def _is_account(reading: Reading, match: re.Match[str]) -> bool:
    """Whether a sum is one of points: no unit behind its figures ('12 - 3 = 9 degrees', '20 - 5 IBU = 15'), and no
    other words behind it where its line names no part ('10 - 2 = 8 crackers left')."""
    counted = [one[2].strip(" ([").partition(" ")[0] for one in LOST.finditer(match[2])]
    first = bisect_left(reading.starts, match.end())
    ends = first >= len(reading.words) or bool(reading.breaks[first].strip(" ")) or "\n" in reading.breaks[first]
    if not ends:
        counted.append(reading.words[first])
        line = reading.text.rfind("\n", max(0, match.start() - FAR), match.start()) + 1
        ends = bool(hits_within(reading, SHEET_FILE, bisect_left(reading.starts, line or match.start() - FAR), first))
    return ends and units().isdisjoint(word.lower() for word in counted)


def _off_by(cap: int, lost: Iterable[tuple[Decimal, Span]], left: Decimal) -> Decimal:
    """How far a sum is wrong."""
    return cap - sum((points for points, _ in lost), left)


def wrong_sum(reading: Reading, part: str) -> str:
    """What to say of the written sum that stands for a part, where it does not make what is left; '' where it does."""
    at, cap = reading.scores.parts[part].said_in, Decimal(reading.sheet.cap(part))
    found = next((one for one in reversed(reading.written_sums.get(at, ())) if one.part == part), None)
    if found is None or found.changed or not _off_by(int(cap), found.lost, found.left[0]):
        return ""
    terms = " − ".join(f"{float(points):g}" for points in (cap, *(points for points, _ in found.lost)))
    made = cap - sum((points for points, _ in found.lost), Decimal(0))
    return f"The sum for {part} says {terms} = {float(found.left[0]):g}, but that makes {float(made):g}."


def _lost(match: re.Match[str]) -> Iterator[tuple[Decimal, Span]]:
    """The points lost, each with the words behind it, its reason."""
    for one in LOST.finditer(match[0], match.start(2) - match.start(), match.end(2) - match.start()):
        end = one.end(1) + len(one[2].rstrip())
        yield _value(one[1]), (match.start() + one.start(1), match.start() + end)


def _value(figure: str) -> Decimal:
    return Decimal(figure.replace(",", "."))


def book_sum(standing: Standing, found: WrittenSum, at: int) -> None:
    """Let the sum in sentence `at` stand for its part, in place of whatever stood before."""
    changed = standing.value is not None or found.changed is not None
    value, span = found.changed or found.left
    standing.value, standing.basis = value, "revised" if changed else "said"
    standing.taken = [(points, at, lost) for points, lost in found.lost if points]
    standing.halves, standing.few, standing.lowered = [], set(), None
    standing.figures = [Figure("off", points, False, at, lost) for points, _, lost in standing.taken]
    standing.figures.append(Figure("value", value, False, at, span))
    standing.spans = [*standing.spans, found.left[1], *([span] if found.changed else [])]
    standing.sentences.append(at)
    standing.said_in, standing.heard = at, False
