"""What a tagger sees of rows (sentences, words, descriptors), and the sums of the weights of it.

A feature is a string, such as 'b:the_head'. Most of those that a text gives are none that a tagger knows: they are
written out for training alone. Otherwise a feature is a template ('b:{}_{}') and the places of its parts in lists of
names, and whole columns of them are looked up at once by numbers.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from itertools import repeat
from typing import Any, NamedTuple

import numpy as np

Places = np.ndarray[Any, np.dtype[np.int64]]
BITS = 56  # of a key, for the numbers of the parts of a feature; those above are for its template's
SIGN = "\0"  # stands in no name
TOGETHER = 128  # rows whose weights are added up at once: more would not stay near the processor
LAST = np.iinfo(np.int64).max  # behind all keys


class Names(list[str]):
    """A list of names that features are made of."""

    def at(self, places: Places) -> Blank:
        """The names at these places, one a row."""
        return Blank(self, places)

    def all(self) -> Blank:
        """Each name once, in order."""
        return Blank(self, np.arange(len(self)))


class Blank(NamedTuple):
    """What fills one blank of a template: names, and for each of its rows which of them."""

    names: Names
    places: Places


class Column(NamedTuple):
    """Features of one template: for each its row, and what fills its blanks."""

    template: str
    rows: Places
    blanks: tuple[Blank, ...]


class Seen:
    """The features of `count` rows; one that a row has twice counts once."""

    def __init__(self, count: int, columns: Sequence[Column] = ()) -> None:
        self.count = count
        self.columns = list(columns)

    def add(self, template: str, rows: Places | Sequence[int], *blanks: Blank) -> None:
        """Give each of `rows` the feature that `template` makes with the names in its blanks."""
        self.columns.append(Column(template, np.asarray(rows, dtype=np.int64), blanks))

    def say(self, features: list[list[str]]) -> None:
        """Give each row features that are written out; for those that are few."""
        names = Names(feature for row in features for feature in row)
        self.add("{}", np.repeat(np.arange(len(features)), [len(row) for row in features]), names.all())

    def strings(self) -> list[list[str]]:
        """All features of each row, written out."""
        out: list[dict[str, None]] = [{} for _ in range(self.count)]
        for template, rows, blanks in self.columns:
            filled = zip(*([names[at] for at in places.tolist()] for names, places in blanks), strict=True)
            for row, parts in zip(rows.tolist(), filled, strict=True):
                out[row][template.format(*parts)] = None
        return [list(row) for row in out]


class _Numbers(dict[str, int]):
    """The numbers of names, from 1; `[]` gives one to a name that has none."""

    def __missing__(self, name: str) -> int:
        number = self[name] = len(self) + 1
        return number


class Weights:
    """A row of weights for each feature that is known."""

    def __init__(self, features: Sequence[str], weights: Any) -> None:
        """`weights` has a row for each of `features`, in their order."""
        self._rows = {feature: n for n, feature in enumerate(features, 1)}  # row 0: a feature that is not known
        self._weights = np.vstack([np.zeros((1, weights.shape[1]), dtype=weights.dtype), weights])
        self._numbers = _Numbers()  # of the names that known features are made of
        self._kinds: dict[str, list[str]] = defaultdict(list)
        for feature in features:
            self._kinds[feature.partition(":")[0]].append(feature)
        self._templates: dict[str, int] = {"{}": 0}
        self._one: dict[str, Places] = {}  # rows of the features of one blank, by template and number of the name
        self._keys, self._key_rows = np.array([LAST]), np.array([0])  # of those of several

    def sums(self, seen: Seen) -> np.ndarray:
        """The summed weights of the features of each row."""
        if not seen.count:
            return self._weights[:0]
        self._learn([column.template for column in seen.columns])
        numbers: dict[int, Places] = {}
        rows, features = [np.arange(seen.count)], [np.zeros(seen.count, dtype=np.int64)]
        keyed, keys = [], []
        for template, of_rows, blanks in seen.columns:
            if template == "{}":
                rows.append(of_rows)
                features.append(_numbered(blanks[0].names, self._rows)[blanks[0].places])
                continue
            for names, _ in blanks:
                if id(names) not in numbers:
                    numbers[id(names)] = _numbered(names, self._numbers)
            parts = [numbers[id(names)][places] for names, places in blanks]
            if len(blanks) == 1:
                rows.append(of_rows)
                features.append(self._one[template][parts[0]])
            else:
                keyed.append(of_rows)
                keys.append(_key(self._templates[template], parts))
        if keys:
            rows += keyed
            features.append(self._looked_up(np.concatenate(keys)))
        return self._summed(np.concatenate(rows), np.concatenate(features), seen.count)

    def _looked_up(self, keys: Places) -> Places:
        at = self._keys.searchsorted(keys)
        found: Places = self._key_rows[at] * (self._keys[at] == keys)
        return found

    def _summed(self, rows: Places, features: Places, count: int) -> np.ndarray:
        size = len(self._weights)
        codes = rows * size + features
        codes.sort()
        codes = codes[np.diff(codes, prepend=-1) > 0]
        ends = codes.searchsorted(np.arange(count + 1) * size)
        sums = np.empty((count, self._weights.shape[1]), dtype=self._weights.dtype)
        for first in range(0, count, TOGETHER):
            last = min(first + TOGETHER, count)
            own = self._weights.take(codes[ends[first] : ends[last]] % size, 0)
            np.add.reduceat(own, ends[first:last] - ends[first], out=sums[first:last])
        return sums

    def _learn(self, templates: list[str]) -> None:
        """Cut the known features of templates that are new into their parts."""
        new = [template for template in dict.fromkeys(templates) if template not in self._templates]
        if not new:
            return
        keys, rows = [self._keys], [self._key_rows]
        for template in new:
            number = self._templates[template] = len(self._templates)
            literals = template.split("{}")
            known, parts = cut(self._kinds[literals[0].partition(":")[0]], literals)
            of_rows = np.fromiter(map(self._rows.__getitem__, known), np.int64, len(known))
            table = np.fromiter(map(self._numbers.__getitem__, parts), np.int64, len(parts))
            table = table.reshape(-1, len(literals) - 1).T
            if number >= 1 << (63 - BITS) or table.max(initial=0) >= 1 << (BITS // len(table)):
                raise OverflowError(f"a tagger knows too many names or templates to number {template!r}")
            if len(literals) == 2:
                self._one[template] = np.zeros(table.max(initial=0) + 1, dtype=np.int64)
                self._one[template][table[0]] = of_rows
            else:
                keys.append(_key(number, list(table)))
                rows.append(of_rows)
        order = np.argsort(joined := np.concatenate(keys))
        self._keys, self._key_rows = joined[order], np.concatenate(rows)[order]
        for template, one in self._one.items():
            self._one[template] = np.append(one, np.zeros(len(self._numbers) + 1 - len(one), dtype=np.int64))


def _numbered(names: Names, numbers: dict[str, int]) -> Places:
    """The numbers of the names, 0 for those that have none."""
    return np.fromiter(map(numbers.get, names, repeat(0)), np.int64, len(names))


def _key(template: int, parts: Sequence[Places]) -> Places:
    """The numbers of a template and of what fills its blanks, put together."""
    bits = BITS // len(parts)
    key = np.full(1, template)
    for part in parts:
        key = (key << bits) | part
    return key << (BITS - bits * len(parts))


def cut(features: list[str], literals: list[str]) -> tuple[list[str], list[str]]:
    """(the features that a template can give, what its blanks are filled with for each, in one list); see `fillings`.

    >>> cut(["b:a_b", "b:a"], ["b:", "_", ""])
    (['b:a_b'], ['a', 'b'])
    """
    begin, sign, blanks = len(literals[0]), literals[1], len(literals) - 1
    of_these = [feature for feature in features if feature.startswith(literals[0])]
    if blanks == 1 and not sign:
        return of_these, [feature[begin:] for feature in of_these]
    known: list[str] = []
    plain = bool(sign) and literals[1:] == [sign] * (blanks - 1) + [""]  # one sign between all of the blanks
    if plain:
        known = [feature for feature in of_these if feature.count(sign, begin) == blanks - 1]
        of_these = [feature for feature in of_these if sign != " " and feature.count(sign, begin) >= blanks]
    parts = SIGN.join([feature[begin:] for feature in known]).replace(sign, SIGN).split(SIGN) if known else []
    for feature in of_these:  # no name holds a space; with another sign in a name there are several ways
        for one in fillings(feature, literals):
            known.append(feature)
            parts += one
    return known, parts


def fillings(feature: str, literals: list[str]) -> Iterator[tuple[str, ...]]:
    """All that a template's blanks can have been filled with for it to give `feature`; `literals` stand between them.

    >>> list(fillings("b:a_b_c", ["b:", "_", ""]))
    [('a', 'b_c'), ('a_b', 'c')]
    """
    if not feature.startswith(literals[0]):
        return
    rest = feature[len(literals[0]) :]
    if len(literals) == 2:
        if rest.endswith(literals[1]):
            yield (rest[: len(rest) - len(literals[1])],)
        return
    at = rest.find(literals[1])
    while at >= 0:
        for others in fillings(rest[at:], literals[1:]):
            yield (rest[:at], *others)
        at = rest.find(literals[1], at + 1)
