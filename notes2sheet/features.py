"""What the sequence taggers see of each sentence: words, cues, lexicon kinds, figures, and where it stands."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from notes2sheet.cues import ROLE_FILE, SCORE_FILE, SHEET_FILE, by_sentence
from notes2sheet.descriptors import level_hits
from notes2sheet.lexicon import cue_file
from notes2sheet.transcript import Reading
from notes2sheet.unlisted import UNKNOWN
from notes2sheet.words import longest, split_list

NEIGHBOR_CUES = {"cue:modal", "cue:permit", "cue:rubric", "cue:talk", "cue:here", "cue:compare", "cue:hypothesis"}
PLACED_CUES = {"modal", "permit", "rubric", "here", "on_target", "fails", "compare", "hypothesis", "taste", "talk"}
PAIRED_CUES = PLACED_CUES | {"negation"}


@cache
def function_words() -> frozenset[str]:
    return frozenset(split_list(cue_file("discourse")["function"]["said"]))


def level_words(reading: Reading, sentence) -> list[tuple[int, int, str]]:
    """(start, end, level) of the level words of a sentence."""
    return [hit for hits in level_hits(reading) for hit in longest(hits, sentence.start, sentence.end)]


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


@dataclass(frozen=True)
class Seen:
    """The features of one sentence in four runs; only the role tagger sees the skeleton."""

    head: list[str]
    skeleton: list[str]
    tail: list[str]
    around: list[str]


def sentence_features(reading: Reading, skeleton: bool = False) -> list[list[str]]:
    """One list of feature strings a sentence, for the part tagger; the role tagger adds to it. Linear in the words."""
    if reading.seen is None:
        reading.seen = _seen(reading)
    return [["bias", *s.head, *(s.skeleton if skeleton else ()), *s.tail, *s.around] for s in reading.seen]


def _seen(reading: Reading) -> list[Seen]:
    """What both taggers of sentences see, made once for the two."""
    part_hits, role_hits, score_hits = (by_sentence(reading, f) for f in (SHEET_FILE, ROLE_FILE, SCORE_FILE))
    known = [m for m in reading.mentions if m.term.kind != UNKNOWN.kind]  # guesses do not color the sentence
    mentions = _in_sentences(reading, known)
    numbers = _in_sentences(reading, reading.numbers)
    named = [announced(reading, s, part_hits[i]) for i, s in enumerate(reading.sentences)]
    own = [
        _own(reading, s, named[i], role_hits[i], score_hits[i], mentions[i], numbers[i])
        for i, s in enumerate(reading.sentences)
    ]
    around = _around(reading, named, [brief for _, _, brief in own])
    return [
        Seen(head, _skeleton(reading, s, mentions[i], numbers[i]), tail, around[i])
        for i, (s, (head, tail, _)) in enumerate(zip(reading.sentences, own, strict=True))
    ]


def _around(reading: Reading, named: list[list[tuple[str, str]]], briefs: list[list[str]]) -> list[list[str]]:
    """Where each sentence stands: among the parts that are announced, and beside its neighbors."""
    sentences = reading.sentences
    total = len(sentences)
    openings = [[p for p, strength in parts if strength != "inside"] for parts in named]
    stepped = {step: [[f"{step}:{f}" for f in brief] for brief in briefs] for step in (-2, -1, 1, 2)}
    out = []
    last, since = "none", 0
    following = _next_parts(openings)
    for i in range(total):
        if openings[i]:
            last, since = openings[i][0], 0
        feats = [f"pos:{10 * i // total}", f"len:{_bucket(sentences[i].end - sentences[i].start)}"]
        if i == 0:
            feats.append("first")
        if i == total - 1:
            feats.append("last")
        feats += [f"since:{last}", f"since:{last}:{_bucket(since)}"]
        feats.append(f"until:{following[i][0]}:{_bucket(following[i][1])}")
        for step in (-2, -1, 1, 2):
            if 0 <= i + step < total:
                feats += stepped[step][i + step]
        since += 1
        out.append(feats)
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


def _in_sentences(reading: Reading, items: list) -> list[list]:
    out: list[list] = [[] for _ in reading.sentences]
    at = 0
    for item in items:
        while item.start >= reading.sentences[at].end:
            at += 1
        out[at].append(item)
    return out


def _own(
    reading: Reading, sentence, named, role_hits, score_hits, mentions, numbers
) -> tuple[list[str], list[str], list[str]]:
    """(features of the sentence itself, the last of them, the few that its neighbors see too)."""
    words = reading.words[sentence.start : sentence.end]
    shared = list(dict.fromkeys(_shared(reading, sentence, named, mentions, numbers)))
    seen = dict.fromkeys(f"cue:{p}" for _, _, p in role_hits)
    own = [*shared, *seen, *_cue_places(sentence, role_hits)]
    own += dict.fromkeys(f"score:{p}" for _, _, p in score_hits)
    own.append(f"mentions:{_bucket(len(mentions))}")
    if any("?" in between for between in reading.breaks[sentence.start + 1 : sentence.end + 1]):
        own.append("asks")
    own += [f"w:{w}" for w in dict.fromkeys(words) if not w[:1].isdigit()]
    own += dict.fromkeys([f"b:{a}_{b}" for a, b in zip(words, words[1:], strict=False)])
    tail = [f"f1:{words[0]}"]
    if len(words) > 1:
        tail.append(f"f2:{words[0]}_{words[1]}")
    return own, tail, shared + [c for c in seen if c in NEIGHBOR_CUES]


def _shared(reading: Reading, sentence, named, mentions, numbers) -> list[str]:
    """The parts that are named, the kinds of the descriptors, the caps among the figures."""
    shared = [f"part:{part}:{strength}" for part, strength in named]
    for mention in mentions:
        shared.append(f"kind:{mention.term.kind}")
        if len(mention.term.categories) == 1:
            shared.append(f"place:{mention.term.categories[0]}")
    caps = _telling_caps(reading.sheet)
    for number in numbers:
        if number.over is not None:
            shared.append(f"over:{caps.get(str(number.over), 'other')}")
        elif str(number.value) in caps:
            nearby = reading.words[max(sentence.start, number.start - 3) : number.start]
            if any(w in ("out", "outta", "of", "from", "on") for w in nearby):
                shared.append(f"over:{caps[str(number.value)]}")
    shared.append(f"numbers:{_bucket(len(numbers))}")
    return shared


def _telling_caps(sheet) -> dict[str, str]:
    """{cap as a figure: part} of the caps that only one part has, and of the total."""
    caps = [c.cap for c in sheet.categories]
    return {str(c.cap): c.id for c in sheet.categories if caps.count(c.cap) == 1} | {str(sheet.total): "total"}


def _skeleton(reading: Reading, sentence, mentions, numbers) -> list[str]:
    """Runs of two to four of a sentence's function words, with D for a descriptor, L for a level, N for a figure."""
    symbols: dict[int, str] = {}
    for level_start, level_end, _ in level_words(reading, sentence):
        symbols.update(dict.fromkeys(range(level_start, level_end), "L"))
    for item, symbol in [(n, "N") for n in numbers] + [(m, "D") for m in mentions]:
        symbols.update(dict.fromkeys(range(item.start, item.end), symbol))
    function, out = function_words(), ["^"]
    for k in range(sentence.start, sentence.end):
        word = reading.words[k]
        symbol = symbols.get(k) or (word if word in function else "_")
        if "," in reading.breaks[k] and k > sentence.start:
            out.append(",")
        if not (symbol in ("_", "D", "L", "N") and out[-1] == symbol):
            out.append(symbol)
    out.append("$")
    runs = dict.fromkeys(f"s:{' '.join(out[k : k + size])}" for size in (2, 3, 4) for k in range(len(out) - size + 1))
    return list(runs)


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
