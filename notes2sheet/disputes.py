"""What the judges of a panel agree on and dispute: terms, under their broader ones too, and steps of a scale."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

from notes2sheet.lexicon import LEVELS, Lexicon, load_lexicon
from notes2sheet.model import DescriptorOut, Sheet
from notes2sheet.scales import far, scales

FAR = 3  # steps of the levels from which two judges' levels count as a dispute
LEVELED = ("body", "carbonation")  # kinds whose terms are steps of one scale, told by their levels


@dataclass(frozen=True)
class Shared:
    """A term or a scale: who reports it (with their level, or their steps of the scale), who reports its absence;
    `faults`: to whom it is a fault, where to others it is none."""

    category: str
    term: str
    present: dict[str, str | None]
    absent: tuple[str, ...] = ()
    faults: tuple[str, ...] = ()

    @property
    def levels(self) -> tuple[str, ...]:
        """The lowest and the highest level, each once."""
        steps = [LEVELS.index(level) for level in self.present.values() if level in LEVELS]
        return tuple(dict.fromkeys((LEVELS[min(steps)], LEVELS[max(steps)]))) if steps else ()


Sorted = tuple[tuple[Shared, ...], tuple[Shared, ...], tuple[Shared, ...], tuple[Shared, ...]]


def compare(sheets: dict[str, Sheet], lexicon: Lexicon | None = None) -> Sorted:
    """(agreed, graded, disputed, lone) of {judge: sheet}, in the order of the sheet's parts."""
    lexicon = lexicon or load_lexicon()
    agreed: list[Shared] = []
    graded: list[Shared] = []
    disputed: list[Shared] = []
    lone: list[Shared] = []
    for category in next(iter(sheets.values())).categories:
        said = {judge: [d for d in sheet.descriptors if d.category == category and d.term and d.state != "mentioned"]
                for judge, sheet in sheets.items()}  # fmt: skip
        shared = _shared(category, said, lexicon)
        opposed = _opposed(category, said, lexicon)
        fought = {name for one in shared if one.present and one.absent for name in _below(one.term, shared, lexicon)}
        for one in shared:
            if one.present and (one.absent or one.faults or _levels_far(one)):
                disputed.append(one)
            elif len(one.present) == len(sheets) and len(one.levels) > 1:
                graded.append(one)
            elif len(one.present) == len(sheets) or len(one.absent) == len(sheets):
                agreed.append(one)
            elif one.present and one.term not in fought:
                lone.append(one)
        disputed += opposed
    return tuple(agreed), tuple(graded), tuple(disputed), tuple(lone)


def _shared(category: str, said: dict[str, list[DescriptorOut]], lexicon: Lexicon) -> list[Shared]:
    """Each term that stands on a sheet. Who reports a narrower term reports the broader one with it; who denies the
    broader one denies all of it, unless they report something narrower themselves. A narrower term that is a fault is
    no report of a broader one that is none: who finds it burnt does not agree with who finds a welcome roast."""
    out = []
    for term in sorted({d.term for found in said.values() for d in found}):
        absent = {judge for judge, found in said.items() if any(d.state == "absent" and d.term == term for d in found)}
        named = {bool(d.flaw) for found in said.values() for d in found if d.state == "present" and d.term == term}
        kinds = named or {False, True}
        welcome, fault = (_reports(term, said, lexicon, kind) if kind in kinds else {} for kind in (False, True))
        parted = len(named) > 1 and bool(welcome.keys() - fault)
        faults = tuple(judge for judge in fault if parted and judge not in welcome)
        present = {j: welcome.get(j) or fault.get(j) for j in said if j in welcome or j in fault}
        out.append(Shared(category, term, present, tuple(j for j in said if j in absent - present.keys()), faults))
    return out


def _reports(term: str, said: dict[str, list[DescriptorOut]], lexicon: Lexicon, fault: bool) -> dict[str, str | None]:
    """{judge: level} of who reports the term, or a narrower one, as a fault or as none."""
    out: dict[str, str | None] = {}
    for judge, found in said.items():
        for d in found:
            if d.state == "present" and bool(d.flaw) == fault and term in _above(d.term, lexicon):
                out[judge] = out.get(judge) or ((d.scale or d.level) if d.term == term else None)
    return out


def _above(term: str, lexicon: Lexicon) -> Iterator[str]:
    """The term and all that are broader."""
    seen: set[str] = set()
    while term and term not in seen:
        seen.add(term)
        yield term
        term = lexicon.terms[term].broader if term in lexicon.terms else None


def _below(term: str, shared: list[Shared], lexicon: Lexicon) -> Iterator[str]:
    return (one.term for one in shared if term in _above(one.term, lexicon))


def _levels_far(one: Shared) -> bool:
    return len(one.levels) > 1 and LEVELS.index(one.levels[1]) - LEVELS.index(one.levels[0]) >= FAR


def _opposed(category: str, said: dict[str, list[DescriptorOut]], lexicon: Lexicon) -> Iterator[Shared]:
    """The scales on which two judges stand clearly apart, with each judge's steps: clarity, a clear and b hazy."""
    for name, steps in scales().items():
        if name == "level":
            continue
        found = {judge: _steps(words, steps) for judge, words in said.items()}
        found = {judge: mine for judge, mine in found.items() if mine}
        if any(_apart(lexicon, name, one, two) for one, two in combinations(found.values(), 2)):
            yield Shared(category, name.replace("_", " "), {judge: ", ".join(mine) for judge, mine in found.items()})
    for kind in LEVELED:
        words = {judge: _of_kind(found, kind, lexicon) for judge, found in said.items()}
        found = {judge: mine for judge, mine in words.items() if mine}
        same = len({term for mine in found.values() for term in mine}) == 1  # then the term itself is disputed
        levels = {judge: list(mine.values()) for judge, mine in found.items()}
        if not same and any(_gap(one, two) >= FAR for one, two in combinations(levels.values(), 2)):
            yield Shared(category, kind, {judge: ", ".join(mine) for judge, mine in found.items()})


def _steps(words: list[DescriptorOut], steps: tuple[str, ...]) -> list[str]:
    """The judge's steps of a scale, in its order."""
    mine = {d.term.removesuffix(" head") for d in words if d.state == "present"}
    return [step for step in steps if step in mine]


def _apart(lexicon: Lexicon, scale: str, one: list[str], two: list[str]) -> bool:
    """Whether all of one judge's steps lie clearly outside the other's range."""
    return all(far(lexicon, (one[0], one[-1]), scale, step) for step in two)


def _of_kind(words: list[DescriptorOut], kind: str, lexicon: Lexicon) -> dict[str, int]:
    """{term: place of its level} of the judge's present terms of one kind."""
    out = {}
    for d in words:
        term = lexicon.terms.get(d.term)
        level = (d.scale or d.level or term.level) if term else None
        if term and term.kind == kind and d.state == "present" and level in LEVELS:
            out[d.term] = LEVELS.index(level)
    return out


def _gap(one: list[int], two: list[int]) -> int:
    return min(abs(a - b) for a in one for b in two)
