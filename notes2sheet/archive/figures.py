"""What the report shows, as numbers: read from the archive in a few passes, no drawing here."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass, field
from datetime import date

from notes2sheet.archive.calibration import FEW, Calibration, Scored, calibrate
from notes2sheet.archive.postings import to_bits
from notes2sheet.archive.query import Query, Search
from notes2sheet.archive.store import Archive

EVERYTHING = "All sheets"
STYLES_SHOWN = 4
TERMS_SHOWN = 10
CALLED_FOR_SHOWN = 6


@dataclass(frozen=True)
class TermShare:
    """How many sheets of a style name a term in a part, and what the style says of it there (None: nothing)."""

    term: str
    category: str
    count: int
    verdict: str | None
    whole: bool = False  # with everything narrower: "hops" counts for pine


@dataclass(frozen=True)
class StyleTerms:
    code: str
    name: str
    sheets: int
    terms: list[TermShare]


@dataclass
class Figures:
    """Everything on the page. Scores are points; `parts` holds {part: (its caps, Counter of scores as shares of the
    cap)}: the sheets of several drinks cap the same part differently."""

    sheets: int = 0
    finished: int = 0
    judges: int = 0
    undated: int = 0
    untotaled: int = 0
    scored: list[Scored] = field(default_factory=list)
    calibration: list[Calibration] = field(default_factory=list)
    parts: dict[str, tuple[set[float], Counter[float]]] = field(default_factory=dict)
    lost: dict[str, tuple[int, dict[str, float]]] = field(default_factory=dict)
    flaws: list[tuple[str, int]] = field(default_factory=list)
    styles: list[StyleTerms] = field(default_factory=list)


def read_figures(archive: Archive, status: str | None = None, style: list[str] | None = None) -> Figures:
    """The figures of all sheets, or of those of one status or some styles."""
    where, values = ["1"], []
    if status:
        where.append("status = ?")
        values.append(status)
    if style is not None:
        where.append(f"style IN ({','.join('?' * len(style))})")
        values += style
    archive.rows("CREATE TEMP TABLE IF NOT EXISTS chosen (id INTEGER PRIMARY KEY, style TEXT)")
    archive.rows("DELETE FROM temp.chosen")
    archive.rows(f"INSERT INTO temp.chosen SELECT id, style FROM sheet WHERE {' AND '.join(where)}", values)
    out = Figures()
    _read_sheets(archive, out)
    out.calibration = calibrate(out.scored)
    _read_parts(archive, out)
    out.flaws = archive.rows(
        "SELECT w.name, count(DISTINCT t.sheet) AS n FROM tag t JOIN temp.chosen c ON c.id = t.sheet JOIN term w ON w.id = t.flaw "
        "WHERE t.flaw IS NOT NULL AND t.state = (SELECT id FROM label WHERE name = 'present') GROUP BY t.flaw ORDER BY n DESC, w.name"
    )
    _read_styles(archive, out)
    return out


def _read_sheets(archive: Archive, out: Figures) -> None:
    rows = archive.stream(
        "SELECT s.id, s.status, s.total, s.judge, s.judge_key, s.tasted, s.style, y.family, s.entry_key, s.maker_key FROM sheet s "
        "JOIN temp.chosen c ON c.id = s.id LEFT JOIN style y ON y.code = s.style"
    )
    names: dict[str, str] = {}
    days: dict[str, date] = {}
    for sheet, status, total, judge, judge_key, tasted, style, family, entry, maker in rows:
        out.sheets += 1
        out.finished += status == "finished"
        day = None
        if tasted:
            day = days.get(tasted) or days.setdefault(tasted, date.fromisoformat(tasted))
        out.undated += day is None
        if judge:
            judge = names.setdefault(judge_key, judge)
        if total is None:
            out.untotaled += 1
            continue
        beer = (entry, maker, day) if entry and maker and day else None
        out.scored.append(Scored(sheet, total, judge, day, style, family or None, beer))
    out.judges = len(names)


def _read_parts(archive: Archive, out: Figures) -> None:
    names = dict(archive.rows("SELECT id, name FROM label"))
    families = dict(archive.rows("SELECT code, family FROM style"))
    counted = Counter(
        archive.stream(
            "SELECT p.category, p.cap, p.score, c.style FROM part p JOIN temp.chosen c ON c.id = p.sheet "
            "WHERE p.score IS NOT NULL"
        )
    )
    lost: dict[str, dict[str, float]] = defaultdict(lambda: defaultdict(float))
    count: Counter[tuple[str, str]] = Counter()
    for (category, cap, score, style), many in counted.items():
        part, family = names[category], families.get(style)
        caps, shares = out.parts.setdefault(part, (set(), Counter()))
        caps.add(cap)
        shares[score / cap] += many
        for group in (family, EVERYTHING) if family else (EVERYTHING,):
            lost[group][part] += (cap - score) * many
            count[group, part] += many
    for group, parts in lost.items():
        least = min(count[group, part] for part in parts)
        if least >= FEW:
            out.lost[group] = (least, {part: points / count[group, part] for part, points in parts.items()})


def _read_styles(archive: Archive, out: Figures) -> None:
    """The terms of the styles with most sheets, each with the style's word on it."""
    top = archive.rows(
        "SELECT c.style, y.name, count(*) AS n FROM temp.chosen c JOIN style y ON y.code = c.style GROUP BY 1 HAVING n >= ? ORDER BY n DESC, 1 LIMIT ?",
        (FEW, STYLES_SHOWN),
    )
    archive.rows(
        "DELETE FROM temp.chosen WHERE style IS NULL OR style NOT IN (SELECT value FROM json_each(?))",
        (_json([t[0] for t in top]),),
    )
    counted: dict[str, list[tuple[str, str, int]]] = defaultdict(list)
    for style, term, category, count in archive.stream(
        "SELECT c.style, w.name, l.name, count(DISTINCT t.sheet) FROM tag t JOIN temp.chosen c ON c.id = t.sheet JOIN term w ON w.id = t.term "
        "JOIN label l ON l.id = t.category WHERE t.state = (SELECT id FROM label WHERE name = 'present') GROUP BY t.term, t.category, c.style"
    ):
        counted[style].append((term, category, count))
    for code, name, sheets in top:
        wanted = _called_for(archive, code)
        listed = {(share.term, share.category) for share in wanted}
        rest = sorted((r for r in counted[code] if r[:2] not in listed), key=lambda r: (-r[2], r[0], r[1]))[
            :TERMS_SHOWN
        ]
        shares = [TermShare(*row, _verdict(code, *row[:2])) for row in rest]
        out.styles.append(StyleTerms(code, name, sheets, [*wanted, *shares]))


def _called_for(archive: Archive, code: str) -> list[TermShare]:
    """The terms that a style calls for, those said most first; those never said are on the list too."""
    from notes2sheet.errors import Notes2SheetError
    from notes2sheet.style_data import load_style

    try:
        aspects = load_style(code).aspects
    except Notes2SheetError:  # a style of some other sheet
        return []
    wanted = {(w.term, category): 0 for category, each in aspects.items() for e in each.values() for w in e.required}
    search = Search(archive, Query())
    mine = to_bits(sheet for (sheet,) in archive.stream("SELECT id FROM temp.chosen WHERE style = ?", (code,)))
    for term, category in wanted:
        wanted[term, category] = (search.tagged(f"{term}:{category}", "present", False) & mine).bit_count()
    most = sorted(wanted.items(), key=lambda item: (-item[1], item[0]))[:CALLED_FOR_SHOWN]
    return [TermShare(*place, count, "required", whole=True) for place, count in most]


def _json(values: list[str]) -> str:
    import json

    return json.dumps(values)


def _verdict(code: str, term: str, category: str) -> str | None:
    from notes2sheet.errors import Notes2SheetError
    from notes2sheet.lexicon import load_lexicon
    from notes2sheet.style_data import kin, load_style, verdict

    lexicon = load_lexicon()
    if term not in lexicon.terms:
        return None
    try:
        style = load_style(code)
    except Notes2SheetError:
        return None
    for expectation in style.aspects.get(category, {}).values():
        if expectation.range and term in expectation.range:
            return "allowed"
    return verdict(style, category, kin(lexicon.terms[term], lexicon), None)
