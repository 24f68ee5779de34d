"""Where the opening may name the beer and its maker: the candidates, and what speaks for each of them.

A candidate is a run of words [start, end). What speaks for it are signs, each with a weight that training finds
(tests/accuracy/train_entry.py): of its first word and what stands before, of its last and what stands behind, of the
words inside, of the whole run, and of a name and a maker that stand together.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from itertools import accumulate

import numpy as np

from notes2sheet.opening import LONGEST, Opening, Span, listed
from notes2sheet.seen import Names, Places, Seen

TABLE = re.compile(r"^[tf]\d{1,2}$")  # a table or a flight: "T3, F1"
TITLED = 3  # capitals that make a title, whatever word comes first
FRACTION = re.compile(r"^\d+(?:[.,]\d+)?/\d+$")  # a score, or a date: no part of a name, unlike "0,0"
EQUALS = {"=", "->", "→"}  # between a label and a name
STOPS = frozenset(',.;:!?()"/')  # nothing that is named runs over these
FIGURES = Names(str(n) for n in range(9))
TRUTH, SHARE, CASE = (Names(n.split()) for n in ("False True", "no all end some", "all linked some none"))


class Parts:
    """The rows of `part_signs`: for each word what speaks for a name that begins with it, for one that ends with it,
    for it inside a name, and joined there to the word before; last, for that nothing is named."""

    def __init__(self, opening: Opening) -> None:
        self.first = np.arange(opening.count)
        self.last, self.inner, self.joined = (self.first + n * opening.count for n in (1, 2, 3))
        self.none = 4 * opening.count


def part_signs(opening: Opening) -> Seen:
    """What speaks for a name by its parts, in the rows of `Parts`."""
    seen = Seen(4 * opening.count + 1)
    parts = Parts(opening)
    marks, words = Names([*opening.marks, "<>"]), Names([*opening.seen, "<>"])
    _add_first(opening, seen, parts.first, marks, words)
    _add_last(opening, seen, parts.last, marks, words)
    _add_inner(opening, seen, parts, marks, words)
    seen.add("{}", [parts.none] * 3, Names(no_signs(opening)).all())
    return seen


def _add_first(o: Opening, seen: Seen, rows: Places, marks: Names, words: Names) -> None:
    """What speaks for a name that begins with each word."""
    here, outside = np.arange(o.count), o.count
    one, two, three = (words.at(np.where(here >= k, here - k, outside)) for k in (1, 2, 3))
    gaps, mark, before = Names(o.gaps), marks.at(here), marks.at(np.where(here > 0, here - 1, outside))
    seen.add("b/m:{}", rows, mark)
    seen.add("b/g:{}", rows, gaps.at(here))
    seen.add("b/gm:{}", rows, Names(map(str.__add__, o.gaps, o.marks)).all())
    seen.add("b/1:{}", rows, one)
    seen.add("b/2:{}", rows, two)
    seen.add("b/12:{} {}", rows, two, one)
    seen.add("b/123:{} {} {}", rows, three, two, one)
    seen.add("b/1m:{}|{}", rows, one, mark)
    seen.add("b/w:{}", rows, words.at(here))
    seen.add("b/at:{}", rows, FIGURES.at(np.minimum(here // 20, 8)))
    seen.add("b/s:{}", rows, FIGURES.at(np.minimum(o.sentence, 8).astype(np.int64)))
    sensed = np.array(list(accumulate((k in o.sensory for k in range(o.count)), initial=0))[:-1], dtype=np.int64)
    seen.add("b/sensed:{}", rows, FIGURES.at(np.minimum(sensed, 4)))
    seen.add("b/mm:{}|{}", rows, before, Names(map(str.__add__, o.marks, o.gaps)).all())
    firsts = [k for k in sorted(o.begins) if k < o.count]
    _say(seen, [(start, "b/first") for start in firsts])
    leads = [(start, table) for start, tables in o.leads.items() if start < o.count for table in tables]
    _say(seen, [(start, f"b/l:{table}") for start, table in leads])
    _say(seen, [(start, f"b/lm:{table}{o.marks[start]}") for start, table in leads])


def _say(seen: Seen, signs: list[tuple[int, str]]) -> None:
    """Add signs that are written out: (row, sign)."""
    seen.add("{}", [row for row, _ in signs], Names(sign for _, sign in signs).all())


def _add_last(o: Opening, seen: Seen, rows: Places, marks: Names, words: Names) -> None:
    """What speaks for a name that ends with each word."""
    here = np.arange(o.count)
    one, two = words.at(here + 1), words.at(np.minimum(here + 2, o.count))
    gaps, mark, behind = o.gaps[1:], marks.at(here), marks.at(here + 1)
    seen.add("e/m:{}", rows, mark)
    seen.add("e/g:{}", rows, Names(gaps).all())
    seen.add("e/gm:{}", rows, Names(map(str.__add__, gaps, o.marks)).all())
    seen.add("e/1:{}", rows, one)
    seen.add("e/12:{} {}", rows, one, two)
    seen.add("e/1m:{}|{}", rows, one, mark)
    seen.add("e/w:{}", rows, words.at(here))
    seen.add("e/mm:{}|{}", rows, behind, Names(map(str.__add__, o.marks, gaps)).all())
    first = int(rows[0]) if len(rows) else 0
    _say(seen, [(first + k - 1, "e/begins") for k in o.guessed])
    trails = [(end - 1, table) for end, tables in o.trails.items() if end for table in tables]
    _say(seen, [(first + k, f"e/t:{table}") for k, table in trails])
    _say(seen, [(first + k, f"e/tm:{table}{o.marks[k]}") for k, table in trails])


def _add_inner(o: Opening, seen: Seen, parts: Parts, marks: Names, words: Names) -> None:
    """What each word adds inside a name, and joined to the word before."""
    here = np.arange(o.count)
    seen.add("i/m:{}", parts.inner, marks.at(here))
    seen.add("i/w:{}", parts.inner, words.at(here))
    joined, later = parts.joined[1:], here[1:]
    caps = np.array(o.caps, dtype=np.int64)
    seen.add("j/g:{}", joined, Names(o.gaps).at(later))
    seen.add("j/m:{}|{}", joined, marks.at(later - 1), marks.at(later))
    _say(seen, [(int(parts.joined[k]), "j/begins") for k in o.guessed])
    seen.add("j/same:{}", joined, TRUTH.at((caps[1:] == caps[:-1]).astype(np.int64)))


def candidates(o: Opening) -> tuple[Places, Places]:
    """(starts, ends) of all runs of words that may be a name, in order."""
    count, words = o.count, o.words
    first = [k for k in range(count) if _may_begin(o, k)]
    last = np.array([w not in listed("never_last") or o.inside_capital(k) for k, w in enumerate(words)], dtype=bool)
    reach, limit = np.zeros(count, dtype=np.int64), count
    for k in range(count - 1, -1, -1):
        reach[k] = min(limit, k + LONGEST)
        if _parts(o, k):
            limit = k
    starts = np.array(first, dtype=np.int64)
    ends = starts[:, None] + np.arange(1, LONGEST + 1)
    fits = (ends <= reach[starts][:, None]) & last[np.minimum(ends, count) - 1]
    for row, start in enumerate(first):
        fits[row] &= [not _labels(o, start, start + size) for size in range(1, LONGEST + 1)]
        counted = words[start] in listed("counted")
        for size in range(1, LONGEST + 1) if counted or o.numeral(start) else ():
            span = start, start + size
            if fits[row, size - 1] and (
                (counted and size > 1 and o.numerals((start + 1, start + size)))
                or (o.numerals(span) and not o.whole_number(span))
            ):
                fits[row, size - 1] = False
    rows, sizes = np.nonzero(fits)
    return starts[rows], ends[rows, sizes]


def _labels(o: Opening, start: int, end: int) -> bool:
    """Whether words only end a label, 'Beer | per registration | :', in an opening whose names have capitals."""
    return end < o.count and o.gaps[end] == ":" and o.cased and not any(o.caps[start:end])


def _may_begin(o: Opening, start: int) -> bool:
    word = o.words[start]
    if start in o.judge or not any(map(str.isalnum, o.raw[start])):
        return False
    if FRACTION.match(word) or TABLE.match(word) or (o.kinds[start] == "code" and start in o.styled):
        return False
    if word in listed("never_first") and not o.inside_capital(start) and not _titled(o, start):
        return False
    return not (word in listed("served") and start and o.words[start - 1] in ("a", "an") and not o.caps[start])


def _titled(o: Opening, start: int) -> bool:
    """Whether a word begins a run of capitals: "Don't Wake My Sister Up"."""
    behind = range(start + 1, start + TITLED)
    return start + TITLED <= o.count and o.caps[start] and all(o.caps[k] and o.gaps[k] == "_" for k in behind)


def _parts(o: Opening, k: int) -> bool:
    """Whether no name runs over the break before word `k`, a dash between spaces too, or into a score or a fraction
    there."""
    if FRACTION.match(o.words[k]) or k in o.apart or o.words[k] in EQUALS:
        return True
    gap = o.gaps[k]
    if gap in STOPS:
        return not (gap == "." and k > 0 and o.words[k - 1] in listed("short"))
    return gap == "line" and o.cased


def whole_signs(o: Opening, starts: Places, ends: Places) -> Seen:
    """What speaks for whole candidates."""
    seen, rows, sizes = Seen(len(starts)), np.arange(len(starts)), ends - starts
    gaps, words = Names(o.gaps), Names([*o.seen, "<>"])
    before = words.at(np.where(starts > 0, starts - 1, o.count))
    seen.add("s/n:{}", rows, FIGURES.at(sizes))
    if o.cased:
        _add_case(o, seen, starts, ends)
    opens = np.array([gap == '"' for gap in o.gaps])
    quoted = rows[opens[starts]]
    seen.add("s/quoted:{}", quoted, TRUTH.at(opens[ends[quoted]].astype(np.int64)))
    fill = rows[(starts == 0) | np.array([gap != "_" for gap in o.gaps])[starts]]
    seen.add("s/fill:{}{}", fill, gaps.at(starts[fill]), gaps.at(ends[fill]))
    said = sizes <= np.array(o.again, dtype=np.int64)[starts]
    seen.add("s/again:{}{}", rows, TRUTH.at(said.astype(np.int64)), FIGURES.at(np.minimum(sizes, 3)))
    for name, places in (("style", o.styled), ("sensory", o.sensory)):
        many, at_end = _inside(o, places, starts, ends)
        how = np.where(many == 0, 0, np.where(many == sizes, 1, np.where(at_end, 2, 3)))
        seen.add(f"s/{name}:{{}}", rows, SHARE.at(how))
    rare, _ = _inside(o, {k for k, kind in enumerate(o.kinds) if kind.startswith("rare")}, starts, ends)
    seen.add("s/rare:{}", rows, SHARE.at(np.where(rare == 0, 0, np.where(rare == sizes, 1, 3))))
    seen.add("s/around:{}>{}", rows, before, words.at(ends))
    made = np.array([kind.startswith("maker") for kind in o.kinds], dtype=np.int64)
    seen.add("s/maker:{}", rows, TRUTH.at(made[ends - 1]))
    _add_anchored(o, seen, starts, ends)
    return seen


def _inside(o: Opening, places: Iterable[int], starts: Places, ends: Places) -> tuple[Places, Places]:
    """How many of the places lie inside each run, and whether its last word is one."""
    there = np.zeros(o.count, dtype=np.int64)
    there[[k for k in places if k < o.count]] = 1
    upto = np.append(0, there.cumsum())
    return upto[ends] - upto[starts], there[ends - 1]


def _add_anchored(o: Opening, seen: Seen, starts: Places, ends: Places) -> None:
    """What speaks for candidates behind a cue, and for numbers."""
    signs: list[tuple[int, str]] = []
    for row, (start, end) in enumerate(zip(starts.tolist(), ends.tolist(), strict=True)):
        if o.numeral(start):
            signs += [(row, sign) for sign in _number_signs(o, (start, end))]
        for lead in o.leads.get(start, ()):
            signs.append((row, f"s/lg:{lead}{o.gaps[end]}"))
            signs += [(row, f"s/lt:{lead}>{trail}") for trail in o.trails.get(end, ())]
    _say(seen, signs)


def _add_case(o: Opening, seen: Seen, starts: Places, ends: Places) -> None:
    """What the capitals of candidates say, and those beside them."""
    sizes, rows = ends - starts, np.arange(len(starts))
    caps = {k for k, cap in enumerate(o.caps) if cap}
    many, at_end = _inside(o, caps, starts, ends)
    linked, _ = _inside(o, caps | {k for k, word in enumerate(o.words) if word in listed("small")}, starts, ends)
    cap = np.array([*o.caps, False])
    joined = np.array([gap == "_" for gap in o.gaps])
    how = np.where(many == sizes, 0, np.where(many == 0, 3, 2))
    how = np.where((how == 2) & cap[starts] & (at_end == 1) & (linked == sizes), 1, how)
    left = ((starts > 0) & joined[starts] & cap[starts - 1]).astype(np.int64)
    right = (joined[ends] & cap[ends]).astype(np.int64)
    opens = np.array([k in o.begins for k in range(o.count)], dtype=np.int64)
    shown = CASE.at(how)
    seen.add("s/cap:{}", rows, shown)
    seen.add("s/run:{}{}{}", rows, shown, TRUTH.at(left), TRUTH.at(right))
    seen.add("s/cap1:{}{}", rows, shown, TRUTH.at(opens[starts]))


def _number_signs(o: Opening, span: Span) -> list[str]:
    start, end = span
    if not o.numerals(span):
        many = o.words[end - 1].endswith("s")
        return [f"s/counts:{many}", f"s/counts:{o.kinds[start]}{o.caps[start + 1]}{end - start == 2}"]
    before = o.words[max(0, start - 2) : start]
    blind = [word for word in before if word in listed("blind")]
    out = ["s/number", f"s/number:{blind[0] if blind else o.at(start - 1)}", f"s/number>{o.gaps[end]}"]
    if blind:
        out.append(f"s/blind:{o.cased}{o.gaps[end] != '_'}")
    if "entry" in before:
        out.append("s/entry")
    return out


def no_signs(opening: Opening) -> list[str]:
    """What speaks for that nothing is named."""
    caps = sum(opening.inside_capital(k) for k in range(opening.count))
    return ["n/", f"n/cased:{opening.cased}", f"n/caps:{min(3, caps)}"]


def pair_signs(opening: Opening, name: Span | None, maker: Span | None) -> list[str] | None:
    """What speaks for a name and a maker together; None where they overlap."""
    if name is None or maker is None:
        return [f"p/none:{name is None}{maker is None}"]
    if name[0] < maker[1] and maker[0] < name[1]:
        return None
    order, (one, two) = ("nm", (name, maker)) if name < maker else ("mn", (maker, name))
    size = two[0] - one[1]
    out = [f"p/{order}:{min(size, 5)}", f"p/{order}:{opening.sentence[one[0]] == opening.sentence[two[0]]}"]
    if size <= 3:
        between = " ".join(opening.at(k) for k in range(one[1], two[0]))
        if not size:
            edges = f"{opening.kind(one[0] - 1)} {opening.kind(two[1])}"
            sizes = f"{one[1] - one[0]}-{two[1] - two[0]}{opening.gaps[two[0]]}"
            out += [f"p/{order}:{sizes}", f"p/{order}:{edges}{opening.gaps[two[0]]}"]
        out += [f"p/{order}:{between}", f"p/{order}:{between}|{opening.gaps[one[1]]}|{opening.gaps[two[0]]}"]
    return out
