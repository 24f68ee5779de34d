"""Number words and figures to exact decimals. Knows no spaCy and no scores: only what number stands where."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cache, lru_cache

from notes2sheet.lexicon import cue_file

FIGURE = re.compile(r"^(\d{1,6}(?:[.,]\d{1,3})?|\.\d{1,6})([½¼¾])?$")  # 7, 7.5, 7,5, .5, 8½
RATIO = re.compile(r"^(\d{1,6}(?:[.,]\d{1,6})?)([½¼¾])?/(\d{1,6}(?:[.,]\d{1,6})?)$")
BEGIN = {"half", "quarter", "point"}  # words other than units, tens and figures that a number can begin with
TEEN = (["teen"], ["steen"])  # what recognizers part from a number
HALF, QUARTER = Decimal("0.5"), Decimal("0.25")


@dataclass(frozen=True)
class Number:
    """A number in the words `start` to `end` (token indices, end excluded). `over` is the figure after a slash."""

    start: int
    end: int
    value: Decimal
    spelled: bool
    over: Decimal | None = None
    heard: bool = False


@cache
def _tables() -> tuple[dict[str, Decimal], ...]:
    data = cue_file("numbers")
    names = ("units", "tens", "fractions", "glyphs", "heard")
    return tuple({word: Decimal(value) for word, value in data[name].items()} for name in names)


@lru_cache(maxsize=65536)
def figure(word: str) -> tuple[Decimal, Decimal | None] | None:
    """The value of one written token: '7', '7.5', '8½', '½', '7/12', '1/2'; None when it is no figure."""
    glyphs = _tables()[3]
    if word in glyphs:
        return glyphs[word], None
    if match := FIGURE.match(word):
        return Decimal(match[1].replace(",", ".")) + glyphs.get(match[2], Decimal(0)), None
    if match := RATIO.match(word):
        whole, over = (Decimal(match[n].replace(",", ".")) for n in (1, 3))
        value = whole + glyphs.get(match[2], Decimal(0))
        if value in (1, 3) and over in (2, 4) and value < over and not match[2]:
            return value / over, None  # 1/2, 1/4, 3/4 are fractions of a point
        return value, over
    return None


@lru_cache(maxsize=65536)
def begins_number(word: str, heard: bool = False) -> bool:
    """Whether a number can begin with `word`; most words can't, and need no closer look."""
    units, tens, _, _, mistaken = _tables()
    return word in BEGIN or word in units or word in tens or figure(word) is not None or (heard and word in mistaken)


def _whole(words: list[str], at: int) -> tuple[int, Decimal] | None:
    """A whole number from words: (end, value)."""
    units, tens, _, _, _ = _tables()
    word = words[at]
    if word in tens:
        if _spelled_out(words, at + 1, tens[word]):
            return at + 3, tens[word]
        following = units.get(words[at + 1]) if at + 1 < len(words) else None
        if following is not None and 0 < following < 10:
            value = tens[word] + following
            return at + 4 if _spelled_out(words, at + 2, value) else at + 2, value
        return at + 1, tens[word]
    if parted := _parted_teen(words, at, units):
        return parted
    if word in units and word != "oh":
        if word == "one" and at + 1 < len(words) and words[at + 1] == "hundred":
            return at + 2, Decimal(100)
        return at + 1, units[word]
    return None


def _parted_teen(words: list[str], at: int, units: dict[str, Decimal]) -> tuple[int, Decimal] | None:
    """'seven teen', as recognizers write, its unit looked up in `units`: (end, value)."""
    unit = units.get(words[at], Decimal(0))
    return (at + 2, unit + 10) if 3 < unit < 10 and words[at + 1 : at + 2] in TEEN else None


def _spelled_out(words: list[str], at: int, value: Decimal) -> bool:
    """Whether the two digits of a number are said once more one by one ('forty, four zero')."""
    digits = [_tables()[0].get(word, Decimal(10)) for word in words[at : at + 2]]
    return len(digits) == 2 and max(digits) < 10 and 10 * digits[0] + digits[1] == value


def _point(words: list[str], at: int) -> tuple[int, Decimal] | None:
    """The decimals after 'point', 'dot' or 'comma': (end, fraction)."""
    units, tens, _, _, _ = _tables()
    if at + 1 >= len(words) or words[at] not in ("point", "dot", "comma"):
        return None
    digits, end = "", at + 1
    while end < len(words) and len(digits) < 3:
        word = words[end]
        if word in units and units[word] < 10:
            digits += str(units[word])
        elif word.isdecimal() and len(word) == 1:
            digits += word
        elif not digits and word in tens:
            digits += str(tens[word])
            following = units.get(words[end + 1]) if end + 1 < len(words) else None
            if following is not None and 0 < following < 10:
                digits = str(tens[word] + following)
                end += 1
        else:
            break
        end += 1
    return (end, Decimal("0." + digits)) if digits else None


def _and_fraction(words: list[str], at: int) -> tuple[int, Decimal] | None:
    """'and a half', 'and three quarters', '& 1/2' after a whole number: (end, fraction)."""
    if at < len(words) and (written := figure(words[at])) and 0 < written[0] < 1 and written[1] is None:
        if "/" in words[at] or not words[at][-1].isdecimal():
            return at + 1, written[0]  # '2 1/2', '2 ½', not 'one, 0.5'
        return None
    if words[at : at + 3] == ["in", "a", "half"]:
        return at + 3, HALF  # so recognizers write it
    if at >= len(words) or words[at] not in ("and", "&", "an", "n", "'n"):
        return None
    rest = words[at + 1 : at + 4]
    if rest[:2] == ["a", "calf"]:
        return at + 3, HALF
    if rest[:1] in (["a"], ["one"]) and rest[1:2] in (["half"], ["quarter"]):
        return at + 3, HALF if rest[1] == "half" else QUARTER
    if rest[:2] in (["three", "quarters"], ["three", "quarter"]):
        return at + 3, 3 * QUARTER
    if rest[:2] == ["a", "third"]:
        return at + 3, Decimal("0.333")
    if rest[:1] == ["half"]:
        return at + 2, HALF
    if rest and (fraction := figure(rest[0])) and fraction[0] < 1:
        return at + 2, fraction[0]
    return None


def _fraction(words: list[str], at: int) -> tuple[int, Decimal] | None:
    """A fraction alone: 'half', 'a half' (from 'half'), 'a quarter', 'three quarters'."""
    if words[at] == "one" and words[at + 1 : at + 2] == ["half"]:
        return at + 2, HALF
    if words[at : at + 3] == ["half", "a", "one"]:
        return at + 3, HALF
    if words[at] == "half" or words[at] == "quarter":
        return at + 1, HALF if words[at] == "half" else QUARTER
    if words[at] == "three" and at + 1 < len(words) and words[at + 1] in ("quarters", "quarter"):
        return at + 2, 3 * QUARTER
    return None


def misheard_unit(word: str) -> Decimal | None:
    """The number below ten that recognizers write as this word ('ate'), if there is one."""
    value = _tables()[4].get(word)
    return value if value is not None and value < 10 else None


def _with_misheard_unit(words: list[str], end: int, value: Decimal) -> tuple[int, Decimal, bool] | None:
    """What stands between a whole ten and a fraction or a cap is its unit, misheard: 'forty too and a half'."""
    unit = misheard_unit(words[end]) if end < len(words) and words[end - 1] in _tables()[1] else None
    if unit is None or not (_and_fraction(words, end + 1) or words[end + 1 : end + 3] == ["out", "of"]):
        return None
    return end + 1, value + unit, True


def number_at(words: list[str], at: int, heard: bool = False) -> Number | None:
    """The longest number that begins at word `at`; `heard` admits words that recognisers put for numbers."""
    if not begins_number(words[at], heard):
        return None
    if (written := figure(words[at])) is not None:
        value, over = written
        end = at + 1
        if over is None and (more := _and_fraction(words, end)):
            return Number(at, more[0], value + more[1], False)
        if over is None and (more := _point(words, end)):
            return Number(at, more[0], value + more[1], False)
        return Number(at, end, value, False, over)
    if fraction := _fraction(words, at):
        end = fraction[0]
        return Number(at, end, fraction[1], True)
    if words[at] == "point" and (more := _point(words, at)):
        return Number(at, more[0], more[1], True)
    whole = _whole(words, at)
    mistaken = False
    other = _tables()[4] if heard else {}
    if whole is None and words[at] in other:
        whole, mistaken = _parted_teen(words, at, other) or (at + 1, other[words[at]]), True
    if whole is None:
        return None
    end, value = whole
    if not mistaken:
        end, value, mistaken = _with_misheard_unit(words, end, value) or (end, value, mistaken)
    for tail in (_and_fraction, _point):
        if more := tail(words, end):
            return Number(at, more[0], value + more[1], True, None, mistaken)
    return Number(at, end, value, True, None, mistaken)


def number_before(words: list[str], at: int, end: int, heard: bool = False) -> Number | None:
    """As `number_at`, of the words before `end` only; none where `at` is behind them."""
    if at >= end or not begins_number(words[at], heard):
        return None
    number = number_at(words[at:end], 0, heard)
    return number and replace(number, start=at, end=at + number.end)


def find_numbers(words: list[str]) -> list[Number]:
    """All plain numbers in `words`, left to right, none overlapping. Linear in the words."""
    found, at = [], 0
    while at < len(words):
        number = number_at(words, at)
        if number is None:
            at += 1
        else:
            found.append(number)
            at = number.end
    return found
