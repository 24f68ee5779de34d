"""Where the opening may name the beer and its maker: the candidates, and what speaks for each of them.

A candidate is a run of words [start, end). What speaks for it are strings, each with a weight that training finds
(tests/accuracy/train_entry.py): of its first word and what stands before, of its last and what stands behind, of the
words inside, of the whole run, and of a name and a maker that stand together.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from itertools import accumulate

from notes2sheet.cues import cue_index
from notes2sheet.lexicon import cue_file
from notes2sheet.style_data import name_index
from notes2sheet.transcript import Reading
from notes2sheet.unlisted import common_words
from notes2sheet.words import split_list

OPENING_WORDS = 240  # the beer is named near the start
LONGEST = 7  # words of a name
QUOTES = '"“”«»„'
STOPS = frozenset(',.;:!?()"/')  # nothing that is named runs over these
ENDINGS = ("ing", "ed", "ly", "s")  # of rare words that are seldom names
Span = tuple[int, int]


@cache
def listed(table: str) -> frozenset[str]:
    """The words of a table of lexicon/cues/entry_words.toml."""
    return frozenset(split_list(cue_file("entry_words")[table]["said"]))


class Opening:
    """The first words of a reading as the candidates see them.

    `gaps[k]` is the kind of break before word k ('_' for none), `marks[k]` the look of word k ('Cap:rare'), `leads[k]`
    and `trails[k]` the kinds of cue phrases that end right before and begin at word k.
    """

    def __init__(self, reading: Reading) -> None:
        words = self.words = reading.words[:OPENING_WORDS]
        count = self.count = len(words)
        self.raw, self.all, self.breaks = reading.raw, reading.words, reading.breaks
        self.begins = {s.start for s in reading.sentences}
        self.sentence = [reading.sentence_at(k) for k in range(count)]
        self.styled = {k for s, e, _ in name_index().find(words) for k in range(s, e)}
        self.sensory = {k for m in reading.mentions if m.start < count for k in range(m.start, m.end)}
        self.sensed = list(accumulate((k in self.sensory for k in range(count)), initial=0))
        self.common = common_words()
        self.cased = any(_titled(self.raw[k]) and k not in self.begins for k in range(count))
        self.gaps = [_gap(self.breaks[k]) for k in range(count)]
        self.gaps.append(_gap(self.breaks[count]) if count < len(self.all) else "end")
        self.caps = [self.cased and self.raw[k][:1].isupper() and words[k] != "i" for k in range(count)]
        self.marks = [self._mark(k) for k in range(count)]
        self.kinds = [mark.split(":")[1] for mark in self.marks]
        self.seen = [word if word in self.common else mark for word, mark in zip(words, self.marks, strict=True)]
        self.leads, self.trails = self._anchors()
        self.places: dict[str, list[int]] = {}
        for k, word in enumerate(self.all):
            self.places.setdefault(word, []).append(k)

    def _mark(self, k: int) -> str:
        """'case:kind' of a word; the case only where the opening has capitals."""
        word = self.words[k]
        if not self.cased:
            case = "any"
        elif not self.caps[k]:
            case = "low"
        else:
            case = "First" if k in self.begins else "Cap"
        kind = _kind(word, self.raw[k], self.common)
        return f"{case}:{kind}{'-style' if k in self.styled else '-sensory' if k in self.sensory else ''}"

    def _anchors(self) -> tuple[dict[int, set[str]], dict[int, set[str]]]:
        leads: dict[int, set[str]] = {}
        trails: dict[int, set[str]] = {}
        for start, end, table in cue_index("entry").find(self.words, overlapping=True):
            leads.setdefault(end, set()).add(table)
            trails.setdefault(start, set()).add(table)
        for k in range(1, self.count):  # 'it is | the X', 'this is | batch 31 | X'
            passed = self.words[k - 1] in ("the", "a", "an", "batch", "number") or (
                k > 1 and self.numeral(k - 1) and self.words[k - 2] in listed("counted")
            )
            if passed and self.gaps[k] == "_":
                leads.setdefault(k, set()).update(t if t[-1] == "+" else t + "+" for t in leads.get(k - 1, ()))
        return leads, trails

    def numeral(self, k: int) -> bool:
        """Whether word `k` is a figure or a number word."""
        return self.kinds[k][:3] in ("num", "fig")

    def at(self, k: int) -> str:
        """Word `k` where it is a common one, else its mark; '<>' outside."""
        return self.seen[k] if 0 <= k < self.count else "<>"

    def kind(self, k: int) -> str:
        """The kind of word `k`; '<>' outside."""
        return self.kinds[k] if 0 <= k < self.count else "<>"

    def numerals(self, span: Span) -> bool:
        """Whether all words of `span` are figures or number words."""
        return all(self.numeral(k) for k in range(*span))

    def whole_number(self, span: Span) -> bool:
        """Whether numerals are one whole number: a single figure, or all of the number words said in a row."""
        start, end = span
        if self.raw[start][:1].isdigit():
            return end == start + 1 and self.raw[start].isdigit()
        before = start > 0 and self.kinds[start - 1][:3] == "num" and self.gaps[start] == "_"
        behind = end < self.count and self.kinds[end][:3] == "num" and self.gaps[end] == "_"
        return not (before or behind or any(self.raw[k][:1].isdigit() for k in range(start, end)))

    def inside_capital(self, k: int) -> bool:
        """Whether word `k` has a capital that the beginning of a sentence does not explain."""
        return self.caps[k] and k not in self.begins


def _titled(raw: str) -> bool:
    return len(raw) > 2 and raw[0].isupper() and not raw.isupper()


def _kind(word: str, raw: str, common: frozenset[str]) -> str:
    if raw[:1].isdigit():
        return "code" if re.fullmatch(r"\d\d?[a-z]", word) else "fig3" if raw.isdigit() and len(raw) > 2 else "fig"
    for table in ("number", "time", "small", "maker"):
        if word in listed(table):
            return table if table != "number" else "num"
    if word in common:
        return "common"
    ending = next((e for e in ENDINGS if word.endswith(e) and len(word) > len(e) + 2), "")
    return f"rare+{ending}" if ending and not word.endswith("ss") else "rare"


def _gap(between: str) -> str:
    """The kind of a break: _ none, line, quotation mark, bracket, slash, dash, or its first sign."""
    if "\n" in between:
        return "line"
    signs = between.strip()
    if not signs:
        return "_"
    if signs[-1] in QUOTES or signs[0] in QUOTES or signs in ("'", "‘"):
        return '"'
    if signs[-1] in "([":
        return "("
    if signs[0] in ")]":
        return ")"
    return "/" if "/" in signs else "-" if signs[0] in "-–—" else signs[0] if signs[0] in ",.;:!?" else "~"


def first_signs(opening: Opening, start: int) -> list[str]:
    """What speaks for a name that begins at `start`."""
    mark, gap, at, o = opening.marks[start], opening.gaps[start], opening.at, opening
    one, two = at(start - 1), at(start - 2)
    out = [
        f"b/m:{mark}", f"b/g:{gap}", f"b/gm:{gap}{mark}", f"b/1:{one}", f"b/2:{two}", f"b/12:{two} {one}",
        f"b/123:{at(start - 3)} {two} {one}", f"b/1m:{one}|{mark}", f"b/w:{o.seen[start]}",
        f"b/at:{min(start // 20, 8)}", f"b/s:{min(o.sentence[start], 8)}", f"b/sensed:{min(o.sensed[start], 4)}",
        f"b/mm:{o.marks[start - 1] if start else '<>'}|{mark}{gap}",
    ]  # fmt: skip
    if start in o.begins:
        out.append("b/first")
    for table in sorted(o.leads.get(start, ())):
        out += [f"b/l:{table}", f"b/lm:{table}{mark}"]
    return out


def last_signs(opening: Opening, end: int) -> list[str]:
    """What speaks for a name that ends before word `end`."""
    o, mark, gap = opening, opening.marks[end - 1], opening.gaps[end]
    one = o.at(end)
    out = [
        f"e/m:{mark}", f"e/g:{gap}", f"e/gm:{gap}{mark}", f"e/1:{one}", f"e/12:{one} {o.at(end + 1)}",
        f"e/1m:{one}|{mark}", f"e/w:{o.seen[end - 1]}",
        f"e/mm:{o.marks[end] if end < o.count else '<>'}|{mark}{gap}",
    ]  # fmt: skip
    for table in sorted(o.trails.get(end, ())):
        out += [f"e/t:{table}", f"e/tm:{table}{mark}"]
    return out


def inner_signs(opening: Opening, k: int, first: bool) -> list[str]:
    """What word `k` adds inside a name, joined to the word before unless it is the first."""
    o = opening
    out = [f"i/m:{o.marks[k]}", f"i/w:{o.seen[k]}"]
    if not first:
        same = o.caps[k - 1] == o.caps[k]
        out += [f"j/g:{o.gaps[k]}", f"j/m:{o.marks[k - 1]}|{o.marks[k]}", f"j/same:{same}"]
    return out


def ends_of(opening: Opening, start: int) -> Iterator[int]:
    """Where a candidate that begins at `start` may end."""
    o, words = opening, opening.words
    if words[start] in listed("never_first") and not o.inside_capital(start):
        return
    if words[start] in listed("served") and start and words[start - 1] in ("a", "an") and not o.caps[start]:
        return
    for end in range(start + 1, min(start + LONGEST, o.count) + 1):
        if end > start + 1:
            gap = o.gaps[end - 1]
            if gap in STOPS and not (gap == "." and words[end - 2] in listed("short")):
                return
            if gap == "line" and o.cased:
                return
            if words[start] in listed("counted") and o.numerals((start + 1, end)):
                continue
        if words[end - 1] in listed("never_last") and not o.inside_capital(end - 1):
            continue
        if o.numerals((start, end)) and not o.whole_number((start, end)):
            continue
        yield end


def whole_signs(opening: Opening, span: Span) -> list[str]:
    """What speaks for a whole candidate."""
    o, (start, end) = opening, span
    size, words, inside = end - start, opening.words[start:end], range(start, end)
    behind = o.gaps[end]
    out = [f"s/n:{size}"]
    if o.cased:
        out += _case_signs(o, span)
    if o.gaps[start] == '"':
        out.append(f"s/quoted:{behind in QUOTES}")
    if o.gaps[start] != "_" or not start:
        out.append(f"s/fill:{o.gaps[start]}{behind}")
    again = any(o.all[p : p + size] == words for p in o.places[words[0]] if p >= end)
    out.append(f"s/again:{again}{min(size, 3)}")
    for name, places in (("style", o.styled), ("sensory", o.sensory)):
        many = sum(k in places for k in inside)
        how = "no" if not many else "all" if many == size else "end" if end - 1 in places else "some"
        out.append(f"s/{name}:{how}")
    rare = sum(o.kinds[k].startswith("rare") for k in inside)
    out.append(f"s/rare:{'all' if rare == size else 'some' if rare else 'no'}")
    if o.numeral(start):
        out += _number_signs(o, span)
    for lead in sorted(o.leads.get(start, ())):
        out.append(f"s/lg:{lead}{behind}")
        out += [f"s/lt:{lead}>{trail}" for trail in sorted(o.trails.get(end, ()))]
    out += [f"s/around:{o.at(start - 1)}>{o.at(end)}", f"s/maker:{o.kinds[end - 1].startswith('maker')}"]
    return out


def _case_signs(o: Opening, span: Span) -> list[str]:
    start, end = span
    caps = [o.caps[k] for k in range(start, end)]
    small = [word in listed("small") for word in o.words[start:end]]
    if all(caps):
        how = "all"
    elif caps[0] and caps[-1] and all(a or b for a, b in zip(caps, small, strict=True)):
        how = "linked"
    else:
        how = "some" if any(caps) else "none"
    left = start > 0 and o.gaps[start] == "_" and o.caps[start - 1]
    right = end < o.count and o.gaps[end] == "_" and o.caps[end]
    return [f"s/cap:{how}", f"s/run:{how}{left}{right}", f"s/cap1:{how}{start in o.begins}"]


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
