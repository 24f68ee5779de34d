"""Which sheets have which tag, as bits: what makes a tag search as fast for a common term as for a rare one.

A posting is kept for each term, under its broader terms too, by state, part and level, and once more for any part and
level (zeros). It is cut into blocks of 8,192 sheet numbers; a block is a bitmap of 1,024 bytes, or, while it has few
sheets, their numbers within the block as 16-bit integers, low byte first. In memory a set of sheets is one int, sheet n
being bit n.
"""

from __future__ import annotations

import sqlite3
import sys
from array import array
from collections import defaultdict
from collections.abc import Iterable, Iterator

BLOCK, SIZE = 8192, 1024  # sheet numbers, bytes
ONE = ord("1")
PLACE = "term = ? AND state = ? AND category = ? AND level = ? AND scale = ? AND block = ?"
READ = f"SELECT sheets FROM posting WHERE {PLACE}"
FEW = 256  # sheets up to which a block holds numbers

Key = tuple[int, int, int, int, int]  # term, state, category, level, scale
Tag = tuple[int, int, int, int | None, int | None]  # term, state, category, level, scale


def to_bits(sheets: Iterable[int]) -> int:
    """The set as an int."""
    numbers = list(sheets)
    digits = bytearray(b"0") * (max(numbers, default=0) + 1)
    for sheet in numbers:
        digits[sheet] = ONE
    return int(digits[::-1], 2)  # read as binary digits: linear, and faster than setting bits


def to_bytes(bits: int) -> bytes:
    """The set as bytes, for asking after single sheets: `has`."""
    return bits.to_bytes((bits.bit_length() + 7) >> 3, "little")


def has(data: bytes, sheet: int) -> bool:
    """Whether the sheet is in the set that `to_bytes` gave."""
    at = sheet >> 3
    return at < len(data) and bool(data[at] >> (sheet & 7) & 1)


def members(bits: int) -> Iterator[int]:
    """The sheets of the set, ascending."""
    for at, byte in enumerate(to_bytes(bits)):
        while byte:
            low = byte & -byte
            yield (at << 3) + low.bit_length() - 1
            byte ^= low


def _pack(bits: int) -> bytes:
    if bits.bit_count() >= FEW:
        return bits.to_bytes(SIZE, "little")
    numbers = array("H")
    while bits:
        low = bits & -bits
        numbers.append(low.bit_length() - 1)
        bits ^= low
    return _little(numbers).tobytes()


def _unpack(block: bytes) -> int:
    if len(block) == SIZE:
        return int.from_bytes(block, "little")
    out = bytearray(SIZE)
    for n in _numbers(block):
        out[n >> 3] |= 1 << (n & 7)
    return int.from_bytes(out, "little")


def _numbers(block: bytes) -> array:
    return _little(array("H", block))


def _little(numbers: array) -> array:
    if sys.byteorder == "big":
        numbers.byteswap()
    return numbers


def _with_one(block: bytes, number: int) -> bytes:
    """The block with one sheet more: what adding a single sheet comes down to, so without unpacking."""
    if len(block) == SIZE:
        out = bytearray(block)
        out[number >> 3] |= 1 << (number & 7)
        return bytes(out)
    if number in _numbers(block):
        return block
    if len(block) == 2 * (FEW - 1):
        return _pack(_unpack(block) | 1 << number)
    return block + number.to_bytes(2, "little")


class Postings:
    """Changes to the postings, gathered in memory and written once at the end of a transaction."""

    def __init__(self, db: sqlite3.Connection) -> None:
        self.db = db
        self.plus: dict[tuple[Key, int], int] = defaultdict(int)
        self.minus: dict[tuple[Key, int], int] = defaultdict(int)

    def add(self, sheet: int, tags: Iterable[Tag]) -> None:
        """Enter a sheet under its tags, which hold the broader terms too."""
        block, bit = sheet // BLOCK, 1 << (sheet % BLOCK)
        for key in _keys(tags):
            self.plus[key, block] |= bit

    def remove(self, sheet: int, tags: Iterable[Tag]) -> None:
        """Take a sheet out from under its tags; comes before what is added anew for the same sheet."""
        block, bit = sheet // BLOCK, 1 << (sheet % BLOCK)
        for key in _keys(tags):
            if self.plus.get((key, block), 0) & bit:
                self.plus[key, block] &= ~bit
            self.minus[key, block] |= bit

    def write(self) -> None:
        """Bring the table up to date."""
        rows, gone = [], []
        places = sorted({**self.plus, **self.minus})  # in the table's own order: each page is then visited once
        for key, block in places:
            place = (*key, block)
            before = self.db.execute(READ, place).fetchone()
            plus, minus = self.plus.get((key, block), 0), self.minus.get((key, block), 0)
            if before and not minus and plus.bit_count() == 1:
                rows.append((*place, _with_one(before[0], plus.bit_length() - 1)))
                continue
            bits = (_unpack(before[0]) if before else 0) & ~minus | plus
            if bits:
                rows.append((*place, _pack(bits)))
            elif before:
                gone.append(place)
        self.db.executemany("INSERT OR REPLACE INTO posting VALUES (?, ?, ?, ?, ?, ?, ?)", rows)
        self.db.executemany(f"DELETE FROM posting WHERE {PLACE}", gone)
        self.plus.clear()
        self.minus.clear()

    def rebuild(self) -> None:
        """All postings anew from the tags, for other broader terms."""
        self.db.execute("DELETE FROM posting")
        above: dict[int, list[int]] = defaultdict(list)
        for broader, term in self.db.execute("SELECT broader, term FROM broader"):
            above[term].append(broader)
        for term, state, sheet, category, level, scale, flaw in self.db.execute(
            "SELECT term, state, sheet, category, level, scale, flaw FROM tag"
        ):
            block, bit = sheet // BLOCK, 1 << (sheet % BLOCK)
            for name in {*above[term], *above.get(flaw, ())}:
                self.plus[(name, state, category, level or 0, scale or 0), block] |= bit
                self.plus[(name, state, 0, 0, 0), block] |= bit
        self.write()


def _keys(tags: Iterable[Tag]) -> set[Key]:
    out: set[Key] = set()
    for term, state, category, level, scale in tags:
        out.add((term, state, category, level or 0, scale or 0))
        out.add((term, state, 0, 0, 0))
    return out


def read(
    rows: Iterable[tuple[int, bytes]],
) -> int:
    """The union of (block, sheets) rows, as an int."""
    blocks: dict[int, int] = defaultdict(int)
    for block, sheets in rows:
        blocks[block] |= _unpack(sheets)
    whole = bytearray(SIZE * (max(blocks, default=-1) + 1))
    for block, bits in blocks.items():
        whole[block * SIZE : (block + 1) * SIZE] = bits.to_bytes(SIZE, "little")
    return int.from_bytes(whole, "little")
