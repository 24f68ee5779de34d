"""Copies of marked transcripts without what announces the parts of the sheet: no labels, no scores, no opening, and
the parts in one of two orders. Reviews that strangers write are like that; judges who talk to a camera seldom are."""

from __future__ import annotations

import random
import re
import sys
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
from marked import Descriptor, Marked, Sentence  # noqa: E402

from notes2sheet.lexicon import cue_file  # noqa: E402
from notes2sheet.words import split_list  # noqa: E402

ORDERS = tuple(
    tuple(order.split())
    for order in ("appearance aroma flavor mouthfeel overall", "aroma appearance flavor mouthfeel overall")
)
SHORT = 9  # words of talk that only announces
FEWEST = 7  # sentences that a copy must keep


def _parts(*keys: str) -> list[str]:
    tables = cue_file("sheet").values()
    said = {phrase for table in tables for key in keys for phrase in split_list(table.get(key, ""))}
    return sorted(map(re.escape, said), key=len, reverse=True)


LABEL = re.compile(rf"^\W*(?:{'|'.join(_parts('name', 'short'))})\s*(?:[:=\-–—]|\.\s)+\s*", re.IGNORECASE)
NAME = re.compile(rf"\b(?:{'|'.join(_parts('name'))})\b", re.IGNORECASE)


def headerless(doc: Marked, rng: random.Random) -> Marked | None:
    """The copy of one transcript, half of them without recital; None where too little is left."""
    recital = rng.random() < 0.5
    parts: dict[str, list[tuple[int, Sentence]]] = {}
    for sentence in doc.sentences:
        begin = _kept_from(doc.text[sentence.start : sentence.end], sentence, recital)
        if begin is not None:
            parts.setdefault(sentence.category, []).append((sentence.start + begin, sentence))
    if sum(map(len, parts.values())) < FEWEST:
        return None
    order = list(parts)
    if rng.random() < 0.5:
        order = [part for part in rng.choice(ORDERS) if part in parts]
    return _joined(doc, [parts[part] for part in order], rng)


def _kept_from(text: str, sentence: Sentence, recital: bool) -> int | None:
    """Where the part of a sentence begins that is kept, behind its label; None where nothing is."""
    announces = sentence.role == "talk" and NAME.search(text) and len(text.split()) <= SHORT
    outside = sentence.category in ("opening", "closing") or sentence.role == "score"
    if announces or outside or (sentence.role == "expect" and not recital):
        return None
    label = LABEL.match(text)
    begin = label.end() if label else 0
    return begin if begin < len(text) else None


def _joined(doc: Marked, parts: list[list[tuple[int, Sentence]]], rng: random.Random) -> Marked:
    out, text, gap = Marked(dict(doc.header)), "", rng.choice("  \n")
    for part in parts:
        for begin, sentence in part:
            moved = len(text) - begin
            said = doc.text[begin : sentence.end]
            out.sentences.append(Sentence(len(text), len(text) + len(said), sentence.category, sentence.role, None))
            inside = (d for d in doc.descriptors if begin <= d.start and d.end <= sentence.end)
            out.descriptors += [_moved(d, moved) for d in inside]
            text += said + gap
        text = text.rstrip() + rng.choice("\n ")
    out.text = text
    return out


def _moved(mark: Descriptor, by: int) -> Descriptor:
    return replace(mark, start=mark.start + by, end=mark.end + by)
