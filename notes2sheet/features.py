"""What the sequence taggers see of each sentence: words, cues, lexicon kinds, figures, and where it stands."""

from __future__ import annotations

from notes2sheet.cues import ROLE_FILE, SCORE_FILE, SHEET_FILE, by_sentence
from notes2sheet.transcript import Reading

PARTS = ("appearance", "aroma", "flavor", "mouthfeel", "overall", "total")


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


def sentence_features(reading: Reading) -> list[list[str]]:
    """One list of feature strings a sentence, for the part tagger; the role tagger adds to it. Linear in the words."""
    sentences = reading.sentences
    total = len(sentences)
    part_hits, role_hits, score_hits = (by_sentence(reading, f) for f in (SHEET_FILE, ROLE_FILE, SCORE_FILE))
    mentions = _in_sentences(reading, reading.mentions)
    numbers = _in_sentences(reading, reading.numbers)
    own = [
        _own(reading, s, part_hits[i], role_hits[i], score_hits[i], mentions[i], numbers[i])
        for i, s in enumerate(sentences)
    ]
    openings = [[p for p, strength in announced(reading, s, part_hits[i]) if strength != "inside"] for i, s in enumerate(sentences)]
    out = []
    last, since = "none", 0
    following = _next_parts(openings)
    for i in range(total):
        if openings[i]:
            last, since = openings[i][0], 0
        feats = ["bias", *own[i][0]]
        feats += [f"pos:{10 * i // total}", f"len:{_bucket(sentences[i].end - sentences[i].start)}"]
        if i == 0:
            feats.append("first")
        if i == total - 1:
            feats.append("last")
        feats += [f"since:{last}", f"since:{last}:{_bucket(since)}"]
        feats.append(f"until:{following[i][0]}:{_bucket(following[i][1])}")
        for step in (-2, -1, 1, 2):
            if 0 <= i + step < total:
                feats += [f"{step}:{f}" for f in own[i + step][1]]
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


def _own(reading: Reading, sentence, part_hits, role_hits, score_hits, mentions, numbers) -> tuple[list[str], list[str]]:
    """(all features of the sentence itself, the few that its neighbors see too)."""
    words = reading.words[sentence.start : sentence.end]
    shared: list[str] = []
    for part, strength in announced(reading, sentence, part_hits):
        shared.append(f"part:{part}:{strength}")
    for mention in mentions:
        term = mention.term
        if term is None:
            shared.append("kind:unknown")
            continue
        shared.append(f"kind:{term.kind}")
        if len(term.categories) == 1:
            shared.append(f"place:{term.categories[0]}")
    caps = {str(c.cap): c.id for c in reading.sheet.categories}
    caps[str(reading.sheet.total)] = "total"
    for number in numbers:
        if number.over is not None:
            shared.append(f"over:{caps.get(str(number.over), 'other')}")
        else:
            nearby = reading.words[max(sentence.start, number.start - 3) : number.start]
            if str(number.value) in caps and any(w in ("out", "outta", "of", "from", "on") for w in nearby[-3:]) :
                shared.append(f"over:{caps[str(number.value)]}")
    shared.append(f"numbers:{_bucket(len(numbers))}")
    own = list(dict.fromkeys(shared))
    seen = dict.fromkeys(f"cue:{p}" for _, _, p in role_hits)
    own += seen
    own += dict.fromkeys(f"score:{p}" for _, _, p in score_hits)
    own.append(f"mentions:{_bucket(len(mentions))}")
    if any("?" in reading.breaks[k] for k in range(sentence.start + 1, sentence.end)) or (
        sentence.end < len(reading.breaks) and "?" in reading.breaks[sentence.end]
    ):
        own.append("asks")
    own += dict.fromkeys(f"w:{w}" for w in words if not w[:1].isdigit())
    own += dict.fromkeys(f"b:{a}_{b}" for a, b in zip(words, words[1:], strict=False))
    own.append(f"f1:{words[0]}")
    if len(words) > 1:
        own.append(f"f2:{words[0]}_{words[1]}")
    brief = [f for f in dict.fromkeys(shared)] + [c for c in seen if c in ("cue:recital", "cue:talk", "cue:here")]
    return own, brief
