"""What the sequence taggers see of each sentence: words, cues, lexicon kinds, figures, and where it stands."""

from __future__ import annotations

from functools import cache
from itertools import chain, pairwise
from operator import attrgetter

import numpy as np

from notes2sheet.cues import BEGIN, ROLE_FILE, SCORE_FILE, SHEET_FILE, STYLE, by_sentence, cue_words
from notes2sheet.descriptors import level_hits
from notes2sheet.labels import find_labels
from notes2sheet.seen import Names, Seen
from notes2sheet.transcript import Reading
from notes2sheet.words import longest

NEIGHBOR_CUES = {
    f"cue:{cue}" for cue in ("modal", "permit", "rubric", "talk", "here", "compare", "hypothesis", "page", "glass")
}
PLACED_CUES = {"modal", "permit", "rubric", "here", "on_target", "fails", "compare", "hypothesis", "taste", "talk"}
PLACED_CUES |= {"page", "glass", STYLE}
RECITING = {"modal", "permit", "rubric", "page", STYLE}
PAIRED_CUES = PLACED_CUES | {"negation"}
START = attrgetter("start")  # the first word of a number or a mention


@cache
def function_words() -> frozenset[str]:
    return cue_words("discourse", "function")


def symbols(reading: Reading) -> list[str]:
    """Each word where it is a function word, else L in the words of a level and _ elsewhere."""
    if reading.symbols is None:
        function = function_words()
        reading.symbols = [word if word in function else "_" for word in reading.words]
        for hits in level_hits(reading):
            for sentence, own in zip(reading.sentences, reading.grouped(hits, BEGIN), strict=True):
                for start, end, _ in longest(own, sentence.start, sentence.end) if own else ():
                    reading.symbols[start:end] = "L" * (end - start)
    return reading.symbols


def shape(reading: Reading) -> list[str]:
    """The symbols of the words, with D in the words of a descriptor and N in those of a figure."""
    if reading.shape is None:
        reading.shape = symbols(reading).copy()
        for items, symbol in ((reading.numbers, "N"), ([m for m in reading.mentions if m.known], "D")):
            for sentence, own in zip(reading.sentences, reading.grouped(items, START), strict=True):
                for item in own:
                    end = min(item.end, sentence.end)
                    reading.shape[item.start : end] = symbol * (end - item.start)
    return reading.shape


def _bucket(n: int) -> str:
    return str(n) if n < 3 else "3-5" if n < 6 else "6-10" if n < 11 else "11+"


def announced(reading: Reading, sentence, hits) -> list[tuple[str, str]]:
    """(part, strength) of the sheet parts that a sentence names: 'start', 'phrase' or 'inside'."""
    out = []
    words, breaks = reading.words, reading.breaks
    for start, end, payload in hits:
        part, _, key = payload.partition(":")
        offset = start - sentence.start
        after = breaks[end] if end < sentence.end else "."
        figure_next = end < sentence.end and words[end][:1].isdigit()
        if key == "short":
            if offset <= 1 and (after.strip(" \n*") or figure_next):
                out.append((part, "start"))
        elif key == "name":
            out.append((part, "start" if offset <= 2 else "inside"))
        else:
            out.append((part, "phrase"))
    return out


def sentence_features(reading: Reading) -> Seen:
    """What the part tagger sees of each sentence; the role tagger sees more. Linear in the words."""
    if reading.seen is None:
        reading.seen = _seen(reading)
    return reading.seen


def _seen(reading: Reading) -> Seen:
    """What both taggers of sentences see, made once for the two."""
    part_hits, role_hits, score_hits = (by_sentence(reading, f) for f in (SHEET_FILE, ROLE_FILE, SCORE_FILE))
    known = [m for m in reading.mentions if m.known]
    mentions, numbers = (reading.grouped(items, START) for items in (known, reading.numbers))
    named = [announced(reading, s, part_hits[i]) for i, s in enumerate(reading.sentences)]
    caps = _telling_caps(reading.sheet)
    shared = [_shared(reading, s, named[i], mentions[i], numbers[i], caps) for i, s in enumerate(reading.sentences)]
    cues = [list(dict.fromkeys([f"cue:{cue}" for _, _, cue in hits])) for hits in role_hits]
    seen = Seen(len(reading.sentences))
    seen.say(shared)
    seen.say(cues)
    seen.say([_own(reading, s, role_hits[i], score_hits[i], mentions[i]) for i, s in enumerate(reading.sentences)])
    openings = [[part for part, strength in parts if strength != "inside"] for parts in named]
    seen.say(_around(reading, openings))
    if not reading.running:
        seen.say(_recited(openings, role_hits))
    seen.say([[f"under:{cue}" for cue in label] for label in find_labels(reading)])
    _add_words(reading, seen)
    _add_neighbors(seen, [one + [c for c in cues[i] if c in NEIGHBOR_CUES] for i, one in enumerate(shared)])
    return seen


def _add_words(reading: Reading, seen: Seen) -> None:
    """The words of each sentence but for figures, its pairs of words, and the first of both."""
    names, starts = Names(reading.words), np.array([s.start for s in reading.sentences])
    rows = np.repeat(np.arange(seen.count), [s.end - s.start for s in reading.sentences])
    plain = np.array([k for k, word in enumerate(names) if not word[:1].isdigit()], dtype=np.int64)
    seen.add("w:{}", rows[plain], names.at(plain))
    pairs = np.flatnonzero(rows[1:] == rows[:-1])
    seen.add("b:{}_{}", rows[pairs], names.at(pairs), names.at(pairs + 1))
    seen.add("f1:{}", np.arange(seen.count), names.at(starts))
    paired = np.array([n for n, s in enumerate(reading.sentences) if s.end > s.start + 1], dtype=np.int64)
    firsts = starts[paired]
    seen.add("f2:{}_{}", paired, names.at(firsts), names.at(firsts + 1))


def _add_neighbors(seen: Seen, briefs: list[list[str]]) -> None:
    """The few features that the two sentences before and behind see too."""
    names = Names(chain.from_iterable(briefs))
    rows = np.repeat(np.arange(seen.count), [len(brief) for brief in briefs])
    for step in (-2, -1, 1, 2):
        there = np.flatnonzero((rows >= step) & (rows < seen.count + step))
        seen.add(f"{step}:{{}}", rows[there] - step, names.at(there))


def _around(reading: Reading, openings: list[list[str]]) -> list[list[str]]:
    """Where each sentence stands, and among which of the parts that are announced."""
    sentences = reading.sentences
    total = len(sentences)
    out = []
    last, since = "none", 0
    following = _next_parts(openings)
    for i in range(total):
        if openings[i]:
            last, since = openings[i][0], 0
        feats = ["bias", f"pos:{10 * i // total}", f"len:{_bucket(sentences[i].end - sentences[i].start)}"]
        if i == 0:
            feats.append("first")
        if i == total - 1:
            feats.append("last")
        feats += [f"since:{last}", f"since:{last}:{_bucket(since)}"]
        feats.append(f"until:{following[i][0]}:{_bucket(following[i][1])}")
        since += 1
        out.append(feats)
    return out


def _recited(openings: list[list[str]], hits: list[list[tuple[int, int, str]]]) -> list[list[str]]:
    """Whether words for what ought to be stand in each sentence's stretch between announced parts, before or behind it:
    where there are none, fragments are hardly recited. (Running text has no fragments; there it cost roles.)"""
    tells = [any(cue in RECITING for _, _, cue in found) for found in hits]
    begins = [i for i, parts in enumerate(openings) if i and parts]
    out: list[list[str]] = []
    for start, end in pairwise([0, *begins, len(openings)]):
        told = [i for i in range(start, end) if tells[i]]
        first, last = (told[0], told[-1]) if told else (end, start - 1)
        for i in range(start, end):
            where = [f"recital:{name}" for name, is_so in (("before", first < i), ("behind", last > i)) if is_so]
            out.append(where or ["recital:here" if tells[i] else "recital:none"])
    return out


def _next_parts(openings: list[list[str]]) -> list[tuple[str, int]]:
    out = [("none", 0)] * len(openings)
    part, distance = "none", 0
    for i in range(len(openings) - 1, -1, -1):
        out[i] = (part, distance)
        distance += 1
        if openings[i]:
            part, distance = openings[i][0], 1
    return out


def _own(reading: Reading, sentence, role_hits, score_hits, mentions) -> list[str]:
    """What only the sentence itself is told by, beside its words."""
    own = _cue_places(sentence, role_hits)
    own += [f"score:{p}" for _, _, p in score_hits]
    own.append(f"mentions:{_bucket(len(mentions))}")
    if any("?" in between for between in reading.breaks[sentence.start + 1 : sentence.end + 1]):
        own.append("asks")
    return own


def _shared(reading: Reading, sentence, named, mentions, numbers, caps: dict[str, str]) -> list[str]:
    """The parts that are named, the kinds of the descriptors, the caps among the figures."""
    shared = [f"part:{part}:{strength}" for part, strength in named]
    for mention in mentions:
        shared.append(f"kind:{mention.term.kind}")
        if len(mention.term.categories) == 1:
            shared.append(f"place:{mention.term.categories[0]}")
    for number in numbers:
        if number.over is not None:
            shared.append(f"over:{caps.get(str(number.over), 'other')}")
        elif str(number.value) in caps:
            nearby = reading.words[max(sentence.start, number.start - 3) : number.start]
            if any(w in ("out", "outta", "of", "from", "on") for w in nearby):
                shared.append(f"over:{caps[str(number.value)]}")
    shared.append(f"numbers:{_bucket(len(numbers))}")
    return list(dict.fromkeys(shared))


def _telling_caps(sheet) -> dict[str, str]:
    """{cap as a figure: part} of the caps that only one part has, and of the total."""
    caps = [c.cap for c in sheet.categories]
    return {str(c.cap): c.id for c in sheet.categories if caps.count(c.cap) == 1} | {str(sheet.total): "total"}


def add_skeleton(reading: Reading, seen: Seen) -> None:
    """Runs of two to four of the symbols in the outline of each sentence."""
    names, sizes = Names(), []
    of_words = shape(reading)
    for sentence in reading.sentences:
        before = len(names)
        names += _outline(reading, sentence, of_words)
        sizes.append(len(names) - before)
    rows = np.repeat(np.arange(seen.count), sizes)
    for size in (2, 3, 4):
        begins = np.flatnonzero(rows[: len(rows) - size + 1] == rows[size - 1 :])
        seen.add(f"s:{' '.join(['{}'] * size)}", rows[begins], *(names.at(begins + k) for k in range(size)))


def _outline(reading: Reading, sentence, of_words: list[str]) -> list[str]:
    """A sentence's symbols with its commas, runs of what is no function word as one, between ^ and $."""
    out = ["^"]
    for k in range(sentence.start, sentence.end):
        symbol = of_words[k]
        if "," in reading.breaks[k] and k > sentence.start:
            out.append(",")
        if not (symbol in ("_", "D", "L", "N") and out[-1] == symbol):
            out.append(symbol)
    out.append("$")
    return out


def _cue_places(sentence, hits) -> list[str]:
    """Where the cues that tell recital from observation stand, and which stand together."""
    third = max(1, (sentence.end - sentence.start) // 3)
    places = dict.fromkeys(
        f"cue@{min(2, (start - sentence.start) // third)}:{cue}" for start, _, cue in hits if cue in PLACED_CUES
    )
    names = {cue for _, _, cue in hits}
    recites = names & {"modal", "permit", "rubric"}
    pairs = [f"both:{cue}+{other}" for cue in sorted(recites) for other in sorted(names & PAIRED_CUES) if cue != other]
    pairs += [f"only:{cue}" for cue in sorted(recites) if not names & {"here", "on_target", "fails", "negation"}]
    return [*places, *pairs]
