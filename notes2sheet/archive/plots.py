"""The report's plots: figures in, SVG text out. Matplotlib only, without its global state."""

from __future__ import annotations

import io
import math
import re
import statistics
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable
from datetime import date
from functools import cache
from typing import NamedTuple

import matplotlib
import matplotlib.dates
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure as Canvas
from matplotlib.font_manager import FontProperties
from matplotlib.textpath import TextToPath

from notes2sheet.archive.calibration import FEW, Calibration, Scored
from notes2sheet.archive.figures import EVERYTHING, StyleTerms
from notes2sheet.outputs.text import clean

INK, QUIET, PAPER, RULE = "#2b2620", "#857b6d", "#fffdf8", "#e4dccd"
AMBER, TEAL, BRICK, SAND, SLATE = "#c4791b", "#2f7f79", "#b0442e", "#d9cbb0", "#55678a"
PART_COLORS = (SAND, TEAL, AMBER, SLATE, BRICK)
VERDICTS = {
    "required": (TEAL, "called for"), "allowed": ("#8dbbb3", "allowed"),
    "unwanted": (AMBER, "not wanted"), "forbidden": (BRICK, "ruled out"), None: (SAND, "not mentioned by the style"),
}  # fmt: skip
RC = {
    "svg.fonttype": "none", "text.parse_math": False, "font.family": "DejaVu Sans", "font.size": 9, "axes.edgecolor": RULE,
    "axes.labelcolor": QUIET, "axes.titlesize": 9.5, "axes.titleweight": "bold", "axes.titlelocation": "left", "axes.spines.top": False,
    "axes.spines.right": False, "axes.facecolor": PAPER, "figure.facecolor": PAPER, "text.color": INK, "xtick.color": QUIET,
    "ytick.color": QUIET, "xtick.labelcolor": INK, "ytick.labelcolor": INK, "axes.grid": True, "grid.color": RULE, "grid.linewidth": 0.6,
    "axes.axisbelow": True, "legend.frameon": False, "legend.fontsize": 8.5,
}  # fmt: skip


class Edges(NamedTuple):
    """The room around a figure's axes, and between them side by side and one above the other, in inches."""

    left: float = 0.7
    right: float = 0.1
    top: float = 0.1
    bottom: float = 0.5
    beside: float = 0.2
    above: float = 0.45


def draw(
    name: str,
    label: str,
    width: float,
    height: float,
    paint: Callable[[Canvas], None],
    edges: Edges = Edges(),  # noqa: B008
    grid: tuple[int, int] = (1, 1),
) -> str:
    """The SVG of one figure, `width` × `height` inches; `name` keeps its ids apart from the other figures' on the
    page. Its axes, `grid` lines and columns of them, are placed by `edges`: measuring all that is drawn to fit them
    would take longer than drawing it."""
    lines, columns = grid
    wide = (width - edges.left - edges.right - edges.beside * (columns - 1)) / columns
    high = (height - edges.top - edges.bottom - edges.above * (lines - 1)) / lines
    with matplotlib.rc_context({**RC, "svg.hashsalt": name}):
        canvas = Canvas(figsize=(width, height))
        canvas.subplots_adjust(
            left=edges.left / width,
            right=1 - edges.right / width,
            bottom=edges.bottom / height,
            top=1 - edges.top / height,
            wspace=edges.beside / wide,
            hspace=edges.above / high,
        )
        paint(canvas)
        out = io.StringIO()
        FigureCanvasSVG(canvas).print_svg(out, metadata={"Date": None, "Creator": None, "Format": None, "Type": None})
    svg = out.getvalue()
    svg = re.sub(r"\s*<metadata>.*?</metadata>", "", svg[svg.index("<svg") :], flags=re.DOTALL)
    svg = re.sub(r'(\bid="|url\(#|href="#)', rf"\g<1>{name}-", svg)
    return svg.replace("<svg ", f'<svg role="img" aria-label="{label}" ', 1)


def _room(labels: Iterable[str], most: float) -> float:
    """The inches that the longest label at the left of an axis takes, `most` at most."""
    font = FontProperties(family=RC["font.family"], size=RC["font.size"])
    measure = TextToPath().get_text_width_height_descent
    lines = [line for label in labels for line in label.split("\n")]
    return min(most, max(measure(line, font, False)[0] for line in lines) / 72 + 0.2)


def over_time(
    name: str, label: str, scored: list[Scored], group: str, shown: int = 6
) -> tuple[str, list[tuple[str, int]]]:
    """Small multiples of totals over time for the groups (judge or family) with most sheets; "" when none has a day."""
    groups: dict[str, list[Scored]] = defaultdict(list)
    for one in scored:
        if one.tasted and getattr(one, group):
            groups[getattr(one, group)].append(one)
    top = sorted(groups.items(), key=lambda item: (-len(item[1]), item[0]))[:shown]
    if not top:
        return "", []
    dated = [one for one in scored if one.tasted]
    step = _step(max(one.tasted for one in dated) - min(one.tasted for one in dated))
    everyone = _means(dated, step)
    columns = min(3, len(top))
    lines = math.ceil(len(top) / columns)

    def paint(canvas: Canvas) -> None:
        axes = canvas.subplots(lines, columns, sharex=True, sharey=True, squeeze=False)
        for at, (title, sheets) in enumerate(top):
            _one_over_time(axes[at // columns][at % columns], clean(title), sheets, everyone, step)
        for at in range(len(top), lines * columns):
            axes[at // columns][at % columns].set_axis_off()
        for row in axes:
            row[0].set_ylabel("total, of 50")

    edges = Edges(top=0.3, bottom=0.35)
    return draw(name, label, 9.6, 2.2 * lines + 0.3, paint, edges, (lines, columns)), [
        (title, len(sheets)) for title, sheets in top
    ]


def _step(span) -> Callable[[date], date]:
    """Dates to the middle of their month, or of their quarter when the sheets reach over more than two years."""
    if span.days > 800:
        return cache(lambda day: date(day.year, (day.month - 1) // 3 * 3 + 2, 15))
    return cache(lambda day: date(day.year, day.month, 15))


def _means(sheets: list[Scored], step) -> list[tuple[date, float, float, float]]:
    """(day, mean, lower and upper quartile) of each period with at least eight sheets."""
    periods: dict[date, list[float]] = defaultdict(list)
    for one in sheets:
        periods[step(one.tasted)].append(one.total)
    out = []
    for day, totals in sorted(periods.items()):
        if len(totals) >= FEW:
            low, _, high = statistics.quantiles(totals, n=4)
            out.append((day, statistics.fmean(totals), low, high))
    return out


def _one_over_time(ax, title: str, sheets: list[Scored], everyone: list, step) -> None:
    ax.set_title(title if len(title) < 28 else title[:27] + "…")
    ax.set_title(f"n={len(sheets):,}", loc="right", fontsize=8, fontweight="normal", color=QUIET)
    if len(sheets) <= 300:
        ax.plot([s.tasted for s in sheets], [s.total for s in sheets], ".", color=SAND, markersize=4)
    if everyone:
        ax.plot([p[0] for p in everyone], [p[1] for p in everyone], color=QUIET, linewidth=1, linestyle=(0, (3, 2)))
    if means := _means(sheets, step):
        days = [p[0] for p in means]
        ax.fill_between(days, [p[2] for p in means], [p[3] for p in means], color=AMBER, alpha=0.18, linewidth=0)
        ax.plot(days, [p[1] for p in means], color=AMBER, linewidth=1.6, marker="o", markersize=3)
    ax.xaxis.set_major_locator(matplotlib.dates.AutoDateLocator(minticks=2, maxticks=4))
    ax.xaxis.set_major_formatter(matplotlib.dates.ConciseDateFormatter(ax.xaxis.get_major_locator(), show_offset=False))


def spread(name: str, label: str, parts: dict[str, tuple[set[float], Counter[float]]], order: list[str]) -> str:
    """Boxes of each part's scores as a share of its cap: median, quartiles, and whiskers at 5% and 95%."""
    boxes = []
    for part in reversed(order):
        caps, counts = parts[part]
        values = sorted(counts)
        at = [_quantile(counts, values, q) * 100 for q in (0.05, 0.25, 0.5, 0.75, 0.95)]
        capped = " or ".join(f"{cap:g}" for cap in sorted(caps))
        title = f"{part.capitalize()} /{capped}\nn={sum(counts.values()):,}"
        boxes.append(dict(zip(("whislo", "q1", "med", "q3", "whishi"), at, strict=True), label=title, fliers=[]))

    def paint(canvas: Canvas) -> None:
        ax = canvas.subplots()
        drawn = ax.bxp(boxes, orientation="horizontal", showfliers=False, patch_artist=True, widths=0.5)
        for box in drawn["boxes"]:
            box.set(facecolor=SAND, edgecolor=QUIET)
        for line in drawn["medians"]:
            line.set(color=BRICK, linewidth=2)
        for line in (*drawn["whiskers"], *drawn["caps"]):
            line.set(color=QUIET)
        ax.set_xlim(0, 101)
        ax.set_xlabel("share of the part's points, %")
        ax.grid(axis="y", visible=False)

    return draw(name, label, 9.6, 3.2, paint, Edges(_room((box["label"] for box in boxes), 3)))


def _quantile(counts: Counter[float], values: list[float], q: float) -> float:
    need, seen = q * sum(counts.values()), 0
    for value in values:
        seen += counts[value]
        if seen >= need:
            return value
    return values[-1]


def lost(name: str, label: str, lost: dict[str, tuple[int, dict[str, float]]], order: list[str]) -> str:
    """Mean points lost by part, stacked, for all sheets and the style families with most sheets."""
    groups = sorted(lost, key=lambda g: (g == EVERYTHING, lost[g][0]), reverse=True)[:12][::-1]
    titles = [f"{clean(g)}  (n={lost[g][0]:,})" for g in groups]

    def paint(canvas: Canvas) -> None:
        ax = canvas.subplots()
        left = [0.0] * len(groups)
        for part, color in zip(order, _cycle(PART_COLORS, len(order)), strict=True):
            widths = [lost[g][1].get(part, 0.0) for g in groups]
            ax.barh(titles, widths, left=left, color=color, label=part, height=0.66)
            for at, (start, width) in enumerate(zip(left, widths, strict=True)):
                if width >= 0.8:
                    ax.text(
                        start + width / 2,
                        at,
                        f"{width:.1f}",
                        ha="center",
                        va="center",
                        fontsize=8,
                        color=INK if color == SAND else PAPER,
                    )
            left = [a + b for a, b in zip(left, widths, strict=True)]
        ax.set_xlabel("mean points lost")
        ax.grid(axis="y", visible=False)
        canvas.legend(loc="upper center", ncols=len(order))

    return draw(name, label, 9.6, 0.34 * len(groups) + 1.2, paint, Edges(_room(titles, 4), top=0.45))


def _cycle(colors: tuple[str, ...], count: int) -> list[str]:
    return [colors[at % len(colors)] for at in range(count)]


def flaws(name: str, label: str, counted: list[tuple[str, int]], sheets: int) -> str:
    """In what share of the sheets each off-flavor is present, at most fifteen."""
    top = counted[:15][::-1]
    titles = [clean(flaw) for flaw, _ in top]

    def paint(canvas: Canvas) -> None:
        ax = canvas.subplots()
        shares = [100 * count / sheets for _, count in top]
        ax.barh(titles, shares, color=BRICK, height=0.62)
        for at, ((_, count), share) in enumerate(zip(top, shares, strict=True)):
            _beside(ax, share, at, f"{share:.1f}%  ({count:,})")
        ax.set_xlim(0, max(shares) * 1.18)
        ax.set_xlabel("share of sheets, %")
        ax.grid(axis="y", visible=False)

    return draw(name, label, 9.6, 0.27 * len(top) + 0.7, paint, Edges(_room(titles, 4)))


def _beside(ax, x: float, y: float, text: str) -> None:
    """Small text to the right of a bar's end."""
    ax.annotate(text, (x, y), xytext=(4, 0), textcoords="offset points", va="center", fontsize=8, color=QUIET)


def style_terms(name: str, label: str, style: StyleTerms) -> str:
    """What the style calls for, with all that counts as it, then the most frequent terms, colored by the style's word."""
    terms = style.terms[::-1]
    titles = [f"{clean(t.term)}{', any' if t.whole else ''} · {t.category}" for t in terms]
    line = len(terms) - sum(t.whole for t in terms) - 0.5

    def paint(canvas: Canvas) -> None:
        ax = canvas.subplots()
        shares = [100 * t.count / style.sheets for t in terms]
        ax.barh(
            titles,
            shares,
            color=[VERDICTS[t.verdict][0] for t in terms],
            height=0.66,
        )
        for at, (t, share) in enumerate(zip(terms, shares, strict=True)):
            _beside(ax, share, at, f"{t.count:,}")
        ax.set_xlim(0, max(shares) * 1.15)
        ax.set_xlabel("share of sheets, %")
        if -0.5 < line < len(terms) - 0.5:
            ax.axhline(line, color=QUIET, linewidth=0.8)
        title = f"{style.code} {clean(style.name)} (n={style.sheets:,})"
        canvas.suptitle(title, x=0.02, ha="left", fontsize=9.5, fontweight="bold")
        ax.grid(axis="y", visible=False)

    return draw(name, label, 4.8, 0.25 * len(terms) + 0.9, paint, Edges(_room(titles, 2.6), top=0.35))


def calibration(name: str, label: str, judges: list[Calibration]) -> str:
    """Mean total with its spread, and the distance from the panel with its 95% interval, for judges with enough
    sheets."""
    shown = judges[::-1]
    names = [clean(judge.judge) for judge in shown]

    def paint(canvas: Canvas) -> None:
        left, right = canvas.subplots(1, 2, sharey=True)
        left.set_yticks(range(len(shown)), names)
        for at, judge in enumerate(shown):
            left.errorbar(
                judge.mean.value,
                at,
                xerr=judge.spread.value,
                fmt="o",
                color=AMBER,
                ecolor=SAND,
                elinewidth=5,
                markersize=6,
            )
            if judge.panel.value is not None:
                right.errorbar(
                    judge.panel.value,
                    at,
                    xerr=judge.panel.error,
                    fmt="o",
                    color=TEAL,
                    ecolor="#8dbbb3",
                    elinewidth=3,
                    markersize=6,
                )
        right.axvline(0, color=QUIET, linewidth=1)
        left.set_title("Mean total, band: one standard deviation")
        right.set_title("Points from the panel, bar: 95% interval")
        for ax in (left, right):
            ax.grid(axis="y", visible=False)
            ax.set_ylim(-0.6, len(shown) - 0.4)

    return draw(name, label, 9.6, 0.3 * len(shown) + 0.9, paint, Edges(_room(names, 4), top=0.35, bottom=0.35), (1, 2))
