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
BITS = 60  # of a key that is put together from the numbers of a feature's parts
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


class Table:
    """The known features of one template: the numbers of their parts put together as a key, and their rows."""

    def __init__(self, parts: list[tuple[tuple[int, ...], int]], blanks: int) -> None:
        self.bits = BITS // blanks
        if any(number >> self.bits for numbers, _ in parts for number in numbers):
            raise OverflowError(f"a tagger has too many names for features of {blanks} parts")
        keys = [self._key(numbers) for numbers, _ in parts]
        order = np.argsort(np.array(keys, dtype=np.int64))
        self.keys = np.append(np.array(keys, dtype=np.int64)[order], LAST)
        self.rows = np.append(np.array([row for _, row in parts], dtype=np.int64)[order], 0)

    def _key(self, numbers: tuple[Any, ...]) -> Any:
        key = numbers[0]
        for number in numbers[1:]:
            key = (key << self.bits) | number
        return key

    def look(self, numbers: tuple[Places, ...]) -> Places:
        """The row of weights of each feature, 0 for those that are not known."""
        keys = self._key(numbers)
        at = self.keys.searchsorted(keys)
        return np.where(self.keys[at] == keys, self.rows[at], 0)


class Weights:
    """A row of weights for each feature that is known."""

    def __init__(self, features: Sequence[str], weights: Any) -> None:
        """`weights` has a row for each of `features`, in their order."""
        self._rows = {feature: n for n, feature in enumerate(features, 1)}  # row 0: a feature that is not known
        self._weights = np.vstack([np.zeros((1, weights.shape[1])), weights])
        self._numbers: dict[str, int] = {}
        self._tables: dict[str, Table] = {}
        self._kinds: dict[str, list[str]] = defaultdict(list)
        for feature in features:
            self._kinds[feature.partition(":")[0]].append(feature)

    def sums(self, seen: Seen) -> np.ndarray:
        """The summed weights of the features of each row."""
        if not seen.count:
            return self._weights[:0]
        size, known = len(self._weights), [self._table(column.template) for column in seen.columns]
        rows, features = [np.arange(seen.count)], [np.zeros(seen.count, dtype=np.int64)]
        numbers: dict[tuple[int, bool], Places] = {}
        for table, column in zip(known, seen.columns, strict=True):
            parts = []
            for names, places in column.blanks:
                key = (id(names), table is None)
                if key not in numbers:
                    number_of = (self._rows if table is None else self._numbers).get
                    numbers[key] = np.fromiter(map(number_of, names, repeat(0)), np.int64, len(names))
                parts.append(numbers[key][places])
            rows.append(column.rows)
            features.append(parts[0] if table is None else table.look(tuple(parts)))
        codes = np.concatenate(rows) * size + np.concatenate(features)
        codes.sort()
        codes = codes[np.append(True, codes[1:] != codes[:-1])]
        starts = codes.searchsorted(np.arange(seen.count) * size)
        return np.add.reduceat(self._weights[codes % size], starts)

    def _table(self, template: str) -> Table | None:
        """The known features of a template; None for one that is a blank alone, where all of them are looked up."""
        if template == "{}":
            return None
        if template not in self._tables:
            literals, parts = template.split("{}"), []
            for feature in self._kinds[literals[0].partition(":")[0]]:
                for filled in fillings(feature, literals):
                    numbers = tuple(self._numbers.setdefault(name, len(self._numbers) + 1) for name in filled)
                    parts.append((numbers, self._rows[feature]))
            self._tables[template] = Table(parts, len(literals) - 1)
        return self._tables[template]


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
