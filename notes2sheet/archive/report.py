"""The report: one HTML page that needs nothing else, with plots as SVG and a table of the judges."""

from __future__ import annotations

from html import escape

from notes2sheet.archive.calibration import FEW, Calibration, Figure
from notes2sheet.archive.figures import Figures, read_figures
from notes2sheet.archive.store import Archive
from notes2sheet.outputs.text import clean

JUDGES_SHOWN = 30
STYLE = """
:root { color-scheme: light }
body { margin: 0; background: #f3eee3; color: #2b2620; font: 16px/1.5 Georgia, 'Times New Roman', serif }
main { max-width: 60rem; margin: 0 auto; padding: 2rem 1.25rem 4rem }
h1 { font-size: 2rem; margin: 0 } h2 { font-size: 1.25rem; margin: 0 0 .25rem } p { margin: .25rem 0 .75rem; max-width: 46rem }
section { background: #fffdf8; border: 1px solid #e4dccd; border-radius: 6px; padding: 1.1rem 1.25rem; margin-top: 1.25rem; overflow-x: auto }
.facts { display: flex; flex-wrap: wrap; gap: .5rem 2.2rem; margin: 1rem 0 0; padding: 0 }
.facts div { display: flex; flex-direction: column-reverse } .facts dt { color: #6d6457; font-size: .85rem } .facts dd { margin: 0; font-size: 1.5rem }
svg { width: 100%; height: auto; display: block } .pair { display: grid; grid-template-columns: repeat(auto-fit, minmax(22rem, 1fr)); gap: 1rem }
.key { font-size: .85rem; color: #6d6457 } .key i { display: inline-block; width: .8em; height: .8em; margin: 0 .35em 0 .9em; border-radius: 2px }
table { border-collapse: collapse; width: 100%; font-size: .9rem; margin-top: .75rem } th, td { padding: .3rem .5rem; text-align: right; border-bottom: 1px solid #e4dccd }
th:first-child, td:first-child { text-align: left } th { font-weight: normal; color: #6d6457 } small, .quiet { color: #6d6457 }
"""


def make_report(archive: Archive, status: str | None = None, style: list[str] | None = None, about: str = "") -> str:
    """The page for all sheets, or those of one status or some styles; `about` says which, in words."""
    figures = read_figures(archive, status, style)
    order = _parts_in_order(archive, figures)
    sections = [_header(figures, about)]
    if figures.sheets:
        sections += [
            _time(figures), _spread(figures, order), _lost(figures, order), _flaws(figures), _styles(figures), _judges(figures)
        ]  # fmt: skip
    body = "\n".join(part for part in sections if part)
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">\n"
        f"<title>Tasting archive</title>\n<style>{STYLE}</style>\n</head>\n<body>\n<main>\n{body}\n</main>\n</body>\n</html>\n"
    )


def _parts_in_order(archive: Archive, figures: Figures) -> list[str]:
    """The parts in the order in which sheets have them."""
    numbers = dict(archive.rows("SELECT name, id FROM label"))
    return sorted(figures.parts, key=lambda part: numbers[part])


def _section(title: str, text: str, content: str) -> str:
    return f"<section>\n<h2>{title}</h2>\n<p>{text}</p>\n{content}\n</section>"


def _header(figures: Figures, about: str) -> str:
    days = sorted(one.tasted for one in figures.scored if one.tasted)
    facts = [
        ("sheets", f"{figures.sheets:,}"), ("finished", f"{figures.finished:,}"), ("drafts", f"{figures.sheets - figures.finished:,}"),
        ("judges named", f"{figures.judges:,}"),
    ]  # fmt: skip
    if len(figures.scored) >= FEW:
        facts.append(("mean total", f"{sum(one.total for one in figures.scored) / len(figures.scored):.1f}"))
    if days:
        facts.append(("tasted", f"{days[0]} – {days[-1]}" if days[0] != days[-1] else f"{days[0]}"))
    cells = "".join(f"<div><dt>{name}</dt><dd>{value}</dd></div>" for name, value in facts)
    gaps = [
        f"{figures.untotaled:,} without a total" if figures.untotaled else "",
        f"{figures.undated:,} without a day" if figures.undated else "",
    ]
    gaps = [gap for gap in gaps if gap]
    said = f" Left out where it matters: {' and '.join(gaps)}." if gaps else ""
    about = f"{escape(clean(about))} " if about else ""
    return (
        f"<h1>Tasting archive</h1>\n<p class=quiet>{about}Every figure has its number of sheets (n) beside it; nothing is said from fewer than {FEW}."
        f"{said}</p>\n<dl class=facts>{cells}</dl>"
    )


def _time(figures: Figures) -> str:
    from notes2sheet.archive import plots

    out = []
    for group, title in (("judge", "Scores over time, by judge"), ("family", "Scores over time, by style family")):
        label = f"{title}: line plots of mean totals"
        svg, shown = plots.over_time(f"time-{group}", label, figures.scored, group)
        if svg:
            text = (
                f"The {len(shown)} with most sheets. Line: mean of a period with at least {FEW} sheets; band: the middle half; "
                "dashes: all sheets. Dots are single sheets, drawn up to 300."
            )
            out.append(_section(title, text, svg))
    return "\n".join(out)


def _spread(figures: Figures, order: list[str]) -> str:
    from notes2sheet.archive import plots

    order = [part for part in order if sum(figures.parts[part][1].values()) >= FEW]
    if not order:
        return ""
    svg = plots.spread("spread", "Boxes of the scores of each part", figures.parts, order)
    return _section(
        "Spread in each part",
        "Red: the median; box: the middle half; whiskers: from the 5th to the 95th of a hundred.",
        svg,
    )


def _lost(figures: Figures, order: list[str]) -> str:
    from notes2sheet.archive import plots

    if not figures.lost:
        return ""
    svg = plots.lost("lost", "Stacked bars of mean points lost by part", figures.lost, order)
    return _section(
        "How much is lost where",
        "Cap less score, on average, for all sheets and the style families with most of them.",
        svg,
    )


def _flaws(figures: Figures) -> str:
    from notes2sheet.archive import plots

    counted = [flaw for flaw in figures.flaws if flaw[1] >= FEW]
    if not counted:
        return ""
    text = f"In what share of the {figures.sheets:,} sheets each is said to be present; those in fewer than {FEW} are left out."
    return _section(
        "Off-flavors by frequency", text, plots.flaws("flaws", "Bars of off-flavor frequency", counted, figures.sheets)
    )


def _styles(figures: Figures) -> str:
    if not figures.styles:
        return ""
    from notes2sheet.archive import plots

    drawn = "".join(
        f"<div>{plots.style_terms(f'style{at}', f'Terms of {escape(style.name)}', style)}</div>"
        for at, style in enumerate(figures.styles)
        if style.terms
    )
    names = {title: color for color, title in plots.VERDICTS.values()}
    legend = "".join(f'<i style="background:{color}"></i>{title}' for title, color in names.items())
    text = (
        "For the styles with most sheets: above the line what the style calls for, with all that counts as it; "
        "below it what else is said most often, and what the style says of that."
    )
    return _section("Descriptors against expectations", text, f"<p class=key>{legend}</p><div class=pair>{drawn}</div>")


def _judges(figures: Figures) -> str:
    if not figures.calibration:
        return ""
    from notes2sheet.archive import plots

    shown = figures.calibration[:JUDGES_SHOWN]
    enough = [judge for judge in shown if judge.mean.value is not None]
    svg = plots.calibration("judges", "Mean totals and distances from the panel", enough) if enough else ""
    rows = "".join(_judge_row(judge) for judge in shown)
    more = len(figures.calibration) - len(shown)
    table = (
        "<table><thead><tr><th>Judge</th><th>mean total</th><th>spread (SD)</th><th>drift, points a year</th><th>from the panel</th>"
        f"<th>mean distance</th></tr></thead><tbody>{rows}</tbody></table>"
        + (f"<p><small>{more:,} more judges with fewer sheets.</small></p>" if more else "")
    )
    text = (
        "The panel: the other judges of the same beer on the same day. Drift is the straight line through a judge's totals, "
        "± half its 95% interval; it does not allow for which beers were poured."
    )
    return _section("Calibration of the judges", text, svg + table)


def _judge_row(judge: Calibration) -> str:
    drift = _cell(judge.drift, sign=True)
    if judge.drift.value is not None:
        word = (
            "no drift seen"
            if abs(judge.drift.value) <= judge.drift.error
            else "stricter"
            if judge.drift.value < 0
            else "milder"
        )
        drift += f"<br><small>{word}</small>"
    cells = (_cell(judge.mean), _cell(judge.spread), drift, _cell(judge.panel, sign=True), _cell(judge.distance))
    return f"<tr><td>{escape(clean(judge.judge))}</td>{''.join(f'<td>{cell}</td>' for cell in cells)}</tr>"


def _cell(figure: Figure, sign: bool = False) -> str:
    if figure.value is None:
        return f"– <small>n={figure.count}</small>"
    value = f"{figure.value:+.1f}" if sign else f"{figure.value:.1f}"
    error = f" ± {figure.error:.1f}" if sign else ""
    return f"{value.replace('-', '−')}{error} <small>n={figure.count:,}</small>"


def report_scope(archive: Archive, style: str | None, status: str | None) -> tuple[list[str] | None, str, list[str]]:
    """(style codes or None for all, which sheets these are in words, remarks on the question)."""
    from notes2sheet.archive.query import Query, Search

    search = Search(archive, Query())
    codes = search.styles(style) if style is not None else None
    said = [f"{status} sheets only" if status else "", f"style: {style}" if style is not None else ""]
    said = [part for part in said if part]
    return codes, f"{'; '.join(said).capitalize()}." if said else "", search.remarks
