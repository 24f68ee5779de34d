"""Beers tasted blind are named late: when the bottle is unveiled, or when the judge thinks of it.

The choice among candidates was taught on openings. A later passage is shown to it as if the notes began there, and
must speak far more clearly, since most of what stands there names nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from notes2sheet.cues import cue_index
from notes2sheet.features import function_words
from notes2sheet.name_choice import Named, Weights, named
from notes2sheet.network import Network
from notes2sheet.opening import Opening, Span, listed
from notes2sheet.style_data import named_styles
from notes2sheet.transcript import Reading

LEADS = frozenset({"called", "names", "label", "unveiled"})  # tables of lexicon/cues/entry.toml
FIRST = 40  # words before the first passage
BEHIND, LONG, BEFORE = 30, 25, 12  # words behind a lead; before it in its sentence, and those kept of more
LAST = 40  # words of the notes' end, which need no lead
MOST = 12  # passages looked at, the latest
CLEAR = 9.0  # logarithm of the odds that something is named; at 7 half as many again were wrong


def blind(stretch: Opening, span: Span) -> bool:
    """Whether words are only the number of a sample, with what is counted: '417', 'sample 5'."""
    counted = listed("counted") | listed("blind")
    words = [stretch.words[k] for k in range(*span) if not stretch.numeral(k)]
    return counted.issuperset(words) and (bool(words) or stretch.raw[span[0]].isdigit())


def _names_nothing(stretch: Opening, span: Span) -> bool:
    """Whether words are sensory, small words, or mostly figures: told late, they are no name."""
    figures = sum(stretch.numeral(k) for k in range(*span))
    idle = [stretch.numeral(k) or k in stretch.sensory or stretch.words[k] in function_words() for k in range(*span)]
    return all(idle) or 2 * figures > span[1] - span[0] or blind(stretch, span)


def unveiled(reading: Reading, found: Named, known: Weights, trained: Network) -> Named:
    """The name that a later passage tells most clearly, with the maker told there or, else, before; `found` where
    none is clear."""
    best = found._replace(odds=CLEAR)
    for begin, end in _passages(reading):
        stretch = Opening(_stretch(reading, begin, end))
        late = named(stretch, known, trained)
        if late.name is not None and late.odds > best.odds and not _names_nothing(stretch, late.name):
            maker = found.maker if late.maker is None else (late.maker[0] + begin, late.maker[1] + begin)
            best = Named((late.name[0] + begin, late.name[1] + begin), maker, late.odds)
    return best


def _passages(reading: Reading) -> list[tuple[int, int]]:
    """Where a name may be told later, [begin, end) in words; at most MOST, from the end backwards."""
    count = len(reading.words)
    found = dict.fromkeys([(max(FIRST, count - LAST), count)] if count > FIRST else [])
    for begin, end in sorted(set(_led(reading)), reverse=True):
        found[begin, min(end, count)] = None
    return list(found)[:MOST]


def _led(reading: Reading) -> Iterator[tuple[int, int]]:
    """The passages around words that lead to a name: from the sentence's beginning, if that is near."""
    for start, end, table in cue_index("entry").find(reading.words, overlapping=True):
        if table in LEADS and start >= FIRST:
            begin = reading.sentences[reading.sentence_at(start)].start
            yield (begin if start - begin <= LONG else start - BEFORE), end + BEHIND


def _stretch(reading: Reading, begin: int, end: int) -> Reading:
    """The words [begin, end) as a reading of their own; offsets in the text stay as they are."""
    inside = [m for m in reading.mentions if begin <= m.start and m.end <= end]
    return replace(
        reading,
        words=reading.words[begin:end],
        raw=reading.raw[begin:end],
        starts=reading.starts[begin:end],
        ends=reading.ends[begin:end],
        breaks=reading.breaks[begin:end],
        sentences=[
            replace(s, start=max(s.start, begin) - begin, end=min(s.end, end) - begin)
            for s in reading.sentences
            if s.start < end and s.end > begin
        ],
        mentions=[replace(m, start=m.start - begin, end=m.end - begin) for m in inside],
        style_names=[(a - begin, b - begin, s) for a, b, s in named_styles(reading) if begin <= a and b <= end],
    )
