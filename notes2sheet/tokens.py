"""spaCy's tokens of a text, each distinct run of characters between spaces cut only once in a process.

spaCy cuts every such run by itself, so that what it made of one holds wherever it stands again; and its own cache takes
nothing more in once a text has held a contraction. Only its rules for emoticons look across spaces: a text that holds
one is cut by spaCy as a whole.
"""

from __future__ import annotations

import re
import sys
from functools import cache, lru_cache
from typing import Any

RUN = re.compile(r"\S+|\s+")
EMOTICON = re.compile(r"[^\w.'’/]|_|^\W+$")
PLAIN = re.compile(r"([A-Za-z]{1,64})([,;:!?]|(?<=[a-z])\.)?", re.ASCII)  # spaCy cuts these before the mark alone
KEPT = 65536  # runs; the words of a large vocabulary with their punctuation


@cache
def tokenizer() -> Any:
    """A bare English spaCy tokenizer; no downloaded model."""
    import spacy

    nlp = spacy.blank("en")
    nlp.max_length = sys.maxsize  # its limit is for models that need memory; the readers have their own for a note
    return nlp


def tokens_of(text: str) -> list[tuple[str, int]]:
    """(token, offset in code points) of the text as spaCy cuts it; white space may stand in other pieces."""
    out: list[tuple[str, int]] = []
    for match in RUN.finditer(text):
        run, at = match[0], match.start()
        if run.isspace():
            if "\n" in run:
                out.append((run, at))
            continue
        pieces = _pieces(run)
        if pieces is None:
            from notes2sheet.long_runs import make_doc

            return pairs(make_doc(tokenizer(), text))
        out += [(piece, at + offset) for piece, offset in pieces]
    return out


def pairs(doc: Any) -> list[tuple[str, int]]:
    """(token, offset) of a spaCy Doc."""
    return [(token.text, token.idx) for token in doc]


@lru_cache(maxsize=KEPT)
def _pieces(run: str) -> list[tuple[str, int]] | None:
    """The tokens of one run; None where it holds an emoticon."""
    plain, special = PLAIN.fullmatch(run), tokenizer().tokenizer.rules
    if plain and run not in special and plain[1] not in special:
        return [(plain[1], 0), (plain[2], len(plain[1]))] if plain[2] else [(run, 0)]
    from notes2sheet.long_runs import make_doc

    pieces = pairs(make_doc(tokenizer(), run))
    return None if any(piece in _emoticons() for piece, _ in pieces) else pieces


@cache
def _emoticons() -> frozenset[str]:
    """Those of spaCy's special cases that are not just letters, figures, stops, apostrophes and slashes."""
    return frozenset(rule for rule in tokenizer().tokenizer.rules if EMOTICON.search(rule) and len(rule) > 1)
