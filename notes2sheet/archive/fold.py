"""Words as the archive's search knows them: without case, accents, plural endings and British spelling.

The rules decide what stands in the full-text index, so they belong to the file's version: a change here needs a
migration that builds the index anew. They are therefore kept apart from the lexicon, which anyone may extend.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from functools import lru_cache

CHARACTER = r"(?:[^\W_]|[\u0300-\u036f])"  # of a token
TOKEN = re.compile(rf"{CHARACTER}+")
LETTERS = str.maketrans({"ø": "o", "ł": "l", "đ": "d", "ð": "d", "ı": "i", "æ": "ae", "œ": "oe", "þ": "th"})
AMERICAN = (
    (re.compile(r"(col|flav|od|sav|vap|fav|hon|harb|vig|hum|lab|neighb|behavi)our"), r"\1or"),
    (re.compile(r"sulph"), "sulf"),
    (re.compile(r"\bmould"), "mold"),
    (re.compile(r"\bgrey"), "gray"),
    (re.compile(r"\b(cent|fib|lit|met|theat|lust)re(s?)\b"), r"\1er\2"),
    (re.compile(r"is(e|ed|er|es|ing|ation)\b"), r"iz\1"),
    (re.compile(r"\bliquori(ce|sh)"), r"licori\1"),
    (re.compile(r"\byogh"), "yog"),
    (re.compile(r"\bwhisky"), "whiskey"),
    (re.compile(r"\bwhiskies\b"), "whiskeys"),
    (re.compile(r"\bplough"), "plow"),
    (re.compile(r"\bdoughnut"), "donut"),
    (re.compile(r"\baluminium"), "aluminum"),
    (re.compile(r"\b(def|off)ence"), r"\1ense"),
    (re.compile(r"\bjudgement"), "judgment"),
)


def _singular(word: str) -> str:
    """The word without a plural ending; cookie and cookies, berry and berries meet in one form."""
    if len(word) < 4:
        return word
    if len(word) > 4 and word.endswith(("ie", "ies")):
        return word.rstrip("s")[:-2] + "y"
    if word.endswith(("sses", "xes", "zes", "ches", "shes", "oes")):
        return word[:-2]
    if word.endswith("s") and not word.endswith(("ss", "us", "is")):
        return word[:-1]
    return word


@lru_cache(maxsize=65536)
def normal(word: str) -> str:
    """One token as an index word, made of a-z, 0-9 and, for other scripts, '_' and hexadecimal digits."""
    word = unicodedata.normalize("NFKD", word.casefold().translate(LETTERS))
    word = "".join(c for c in word if not unicodedata.combining(c))
    for pattern, american in AMERICAN:
        word = pattern.sub(american, word)
    word = _singular(word)
    return word if word.isascii() and word.isalnum() else "_" + word.encode("utf-8", "surrogatepass").hex()


def tokens(text: str) -> Iterator[tuple[int, int, str]]:
    """(start, end, index word) of each token of `text`; anything but letters and digits parts tokens."""
    for match in TOKEN.finditer(text):
        yield match.start(), match.end(), normal(match[0])


def key(text: str | None) -> str:
    """A name to compare by: its index words joined by single spaces."""
    return " ".join(word for _, _, word in tokens(text or ""))
