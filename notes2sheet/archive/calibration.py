"""How each judge scores: mean, spread, drift, distance from the panel, each with the number of sheets behind it."""

from __future__ import annotations

import math
import statistics
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

FEW = 8  # no claim from fewer sheets
DAYS = 365.25


class Scored(NamedTuple):
    """One sheet with a total: who, when, which style, and of which beer (None when it cannot be told)."""

    sheet: int
    total: float
    judge: str | None
    tasted: date | None
    style: str | None
    family: str | None
    beer: tuple[str, str, date] | None


@dataclass(frozen=True)
class Figure:
    """A figure with the number of sheets behind it; `value` is None when they are fewer than eight."""

    value: float | None
    count: int
    error: float = 0.0  # half the width of its 95% interval


@dataclass(frozen=True)
class Calibration:
    """One judge. `drift` is in points a year; `panel` is the mean of (own total − mean of the others on the same
    beer)."""

    judge: str
    mean: Figure
    spread: Figure
    drift: Figure
    panel: Figure
    distance: Figure


def calibrate(scored: Iterable[Scored]) -> list[Calibration]:
    """Every judge that is named, the one with most sheets first."""
    scored = [s for s in scored if s.judge]
    apart = _from_panel(scored)
    by_judge: dict[str, list[Scored]] = defaultdict(list)
    for one in scored:
        by_judge[one.judge].append(one)
    out = []
    for judge, sheets in by_judge.items():
        totals = [s.total for s in sheets]
        offsets = apart.get(judge, [])
        spread = statistics.stdev(totals) if len(totals) > 1 else 0.0
        out.append(
            Calibration(
                judge,
                _figure(statistics.fmean(totals), len(totals), spread),
                _figure(spread, len(totals)),
                drift([(s.tasted, s.total) for s in sheets if s.tasted]),
                _figure(statistics.fmean(offsets), len(offsets), statistics.stdev(offsets) if len(offsets) > 1 else 0.0)
                if offsets else Figure(None, 0),
                _figure(statistics.fmean(map(abs, offsets)), len(offsets)) if offsets else Figure(None, 0),
            )
        )  # fmt: skip
    return sorted(out, key=lambda c: (-c.mean.count, c.judge))


def _figure(value: float, count: int, spread: float = 0.0) -> Figure:
    if count < FEW:
        return Figure(None, count)
    return Figure(value, count, t_value(count - 1) * spread / math.sqrt(count))


def _from_panel(scored: list[Scored]) -> dict[str, list[float]]:
    """By judge, own total less the mean of the other judges', for beers that several judged on the same day."""
    tables: dict[tuple[str, str, date], dict[str, list[float]]] = {}
    for one in scored:
        if one.beer:
            tables.setdefault(one.beer, {}).setdefault(one.judge, []).append(one.total)
    out: dict[str, list[float]] = defaultdict(list)
    for table in tables.values():
        if len(table) < 2:
            continue
        means = {judge: sum(totals) / len(totals) for judge, totals in table.items()}
        whole = sum(means.values())
        for judge, mean in means.items():
            out[judge].append(mean - (whole - mean) / (len(means) - 1))
    return out


def drift(points: list[tuple[date, float]]) -> Figure:
    """The least-squares slope of total over time, in points a year."""
    if len(points) < FEW:
        return Figure(None, len(points))
    years = [day.toordinal() / DAYS for day, _ in points]
    totals = [total for _, total in points]
    middle, mean = statistics.fmean(years), statistics.fmean(totals)
    square = sum((x - middle) ** 2 for x in years)
    if square == 0:  # all on one day
        return Figure(None, len(points))
    slope = sum((x - middle) * (y - mean) for x, y in zip(years, totals, strict=True)) / square
    rest = sum((y - mean - slope * (x - middle)) ** 2 for x, y in zip(years, totals, strict=True))
    freedom = len(points) - 2
    return Figure(slope, len(points), t_value(freedom) * math.sqrt(rest / freedom / square))


def t_value(freedom: int) -> float:
    """Student's t for a 95% interval, from its expansion about the normal value; within 0.01 from six degrees on."""
    return 1.96 + 2.37 / freedom + 2.82 / freedom**2 + 2.56 / freedom**3
