"""Whether this beer has a descriptor, lacks it, or the words are only mentioned; decided per clause."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from notes2sheet import descriptors
from notes2sheet.brewing import advice_in, befell
from notes2sheet.certain import settle
from notes2sheet.coverage import answers, prompts
from notes2sheet.cues import ROLE_FILE, by_sentence, cue_index, hits_within
from notes2sheet.denials import settle_denials
from notes2sheet.descriptors import AND, CLAUSE_BREAK, Mention, closed, level_hits
from notes2sheet.echoes import find_echoes
from notes2sheet.features import START, symbols
from notes2sheet.intensities import intensity_said
from notes2sheet.levels import find_late_levels, recall_levels
from notes2sheet.lexicon import Hit
from notes2sheet.other_beers import pass_over_others
from notes2sheet.repairs import find_repairs
from notes2sheet.seen import Names, Places, Seen
from notes2sheet.tagger import agreed, look, odds
from notes2sheet.transcript import Reading
from notes2sheet.unlisted import UNKNOWN, stop_words
from notes2sheet.word_odds import STATES, means

SURE = {"P": 0.6, "A": 0.0}  # a descriptor is this beer's only when that is likely; in doubt it is a mere mention
PLAIN = 0.45  # where nothing speaks against it
NAMES = {"P": "present", "A": "absent", "M": "mentioned", "O": "none"}
WORDS_SHARE = 0.45  # of the odds by words in the decision
SENSORY = 0.7  # words this likely to be a descriptor of this beer are one, whatever the lexicon holds
UNSEEN = {"observe": "present", "score": "present", "expect": "mentioned"}  # words no lexicon holds, in a sure place
WANTED, NEAR, REACH = ("modal", "compare", "nearly"), 3, 6  # cues; words between, and of the longest cue
MEASURED = {"malt", "hop", "bitterness", "head", "carbonation", "warmth"}  # kinds whose bare names may be measured
ONLY_MEASURED = {"carbonation", "warmth"}  # bare names that are measured whatever else their clause tells (11 of 11)
UNSAID = {"modal", "permit", "rubric", "compare", "nearly", "hypothesis", "negation", "after_negation"}  # cues
DENIALS = {"negation", "after_negation"}
LONGEST = 8  # words of a clause that holds a word and its level
OUTSIDE = STATES.index("O")
LABELLING = (":", "=")
BODY, BODIED = "body", "bodied"  # the kind of such terms, and what a level that stands for one has left out
BESIDE = 4  # mentions to either side that may share a clause
CONTRAST = descriptors.CONTRAST | {"while", "instead", "and"}


def stance_features(reading: Reading) -> Seen:
    """What the tagger sees of each mention."""
    hits = by_sentence(reading, ROLE_FILE)
    edges = _edges(reading)
    seen = Seen(len(reading.mentions))
    told = [_sentence_features(reading, i) for i in range(len(reading.sentences))]
    seen.say([told[m.sentence] for m in reading.mentions])
    seen.say([_own_features(reading, m) for m in reading.mentions])
    seen.say([_cue_features(reading, m, hits[m.sentence], _clause(reading, m, edges)) for m in reading.mentions])
    seen.say([_nearest_cues(hits[m.sentence], m) for m in reading.mentions])
    seen.say([[_gap_features(reading, i, m)] for i, m in enumerate(reading.mentions)])
    seen.say(find_echoes(reading))
    seen.say(find_repairs(reading))
    spots = _spots(reading)
    _add_words(reading, seen, spots)
    _add_shape(reading, seen, spots)
    return seen


class Spots(NamedTuple):
    """Where the mentions are, a number for each: the words that they and their sentences begin and end at."""

    rows: Places
    starts: Places
    ends: Places
    low: Places
    high: Places


def _spots(reading: Reading) -> Spots:
    sentences = reading.sentences
    told = [(m.start, m.end, sentences[m.sentence].start, sentences[m.sentence].end) for m in reading.mentions]
    return Spots(np.arange(len(told)), *np.array(told, dtype=np.int64).reshape(-1, 4).T)


def _edges(reading: Reading) -> list[int]:
    """The words that a clause begins with: behind a break, or a contrast."""
    return [
        k
        for k, (word, between) in enumerate(zip(reading.words, reading.breaks, strict=True))
        if word in CONTRAST or (between and CLAUSE_BREAK.search(between))
    ]


def _clause(reading: Reading, mention: Mention, edges: list[int]) -> tuple[int, int]:
    """The word bounds of the clause around a mention: from a break or a contrast to the next one."""
    sentence = reading.sentences[mention.sentence]
    before, behind = bisect_right(edges, mention.start) - 1, bisect_left(edges, mention.end)
    start = max(edges[before], sentence.start) if before >= 0 else sentence.start
    end = min(edges[behind], sentence.end) if behind < len(edges) else sentence.end
    return start, max(end, mention.end)


def _sentence_features(reading: Reading, at: int) -> list[str]:
    """What is known of a sentence, and the roles of those around it."""
    sentence = reading.sentences[at]
    feats = ["bias", f"role:{sentence.role}", f"cat:{sentence.category}", f"role:{sentence.role}:{sentence.category}"]
    feats += [f"odds:{role}:{int(odd * 4)}" for role, odd in sentence.role_odds.items()]
    for step in (-1, 1):
        if 0 <= at + step < len(reading.sentences):
            near = reading.sentences[at + step]
            feats += [f"expects{step}:{int(near.role_odds.get('expect', 0) * 4)}", f"role{step}:{near.role}"]
    if reading.asks(sentence):
        feats.append("asks")
    return feats


def _own_features(reading: Reading, m: Mention) -> list[str]:
    """The lexicon's reading of the words, the words as a whole, and the breaks beside them."""
    words, breaks, sentence = reading.words, reading.breaks, reading.sentences[m.sentence]
    feats = [f"flaw:{m.flaw is not None}", f"level:{m.level}", "phrase:" + "_".join(words[m.start : m.end])]
    if m.term is not None:
        fits = sentence.category in reading.sheet.parts_of(m.term) or sentence.category in ("overall", "closing")
        feats += [f"kind:{m.term.kind}", f"term:{m.term.name}", f"how:{m.hits[0].how}", f"bare:{m.term.bare}"]
        feats += [f"fits:{fits}", f"bare:{m.term.bare}:level:{m.level is not None}"]
    feats.append("b-:" + "_".join(words[max(sentence.start, m.start - 2) : m.start]))
    feats.append("b+:" + "_".join(words[m.end : min(sentence.end, m.end + 2)]))
    feats.append("break-:" + (breaks[m.start].strip() or "_"))
    feats.append("break+:" + (breaks[m.end].strip() if m.end < len(words) else "."))
    return feats


def _add_words(reading: Reading, seen: Seen, spots: Spots) -> None:
    """The words of the sentence around each mention, the nearest also beside the sentence's role."""
    first = len(reading.words)  # the place of '<', behind it that of '>'
    names, roles = Names([*reading.words, "<", ">"]), Names(s.role for s in reading.sentences)
    rows, starts, ends, low, high = spots
    role = roles.at(np.array([m.sentence for m in reading.mentions], dtype=np.int64))
    for k in range(1, 5):
        before = names.at(np.where(starts - k >= low, starts - k, first))
        seen.add(f"w-{k}:{{}}", rows, before)
        seen.add(f"w+{k}:{{}}", rows, names.at(np.where(ends + k - 1 < high, ends + k - 1, first + 1)))
        if k <= 2:
            seen.add(f"role:{{}}:w-{k}:{{}}", rows, role, before)


def _cue_features(reading: Reading, m: Mention, hits, clause: tuple[int, int]) -> list[str]:
    """The cues of the sentence by place, those of the mention's own clause told apart."""
    low, high = clause
    feats = []
    for start, end, cue in hits:
        place = "before" if end <= m.start else "after" if start >= m.end else "inside"
        scope = "clause" if low <= start < high else "sentence"
        feats.append(f"{scope}:{place}:{cue}")
        if cue in ("negation", "after_negation", "pseudo_negation") and scope == "clause":
            gap = m.start - end if place == "before" else start - m.end
            feats.append(f"near:{place}:{cue}:{min(max(gap, 0), 4)}")
            feats.append(f"{scope}:{place}:{cue}:{reading.sentences[m.sentence].role}")
    return feats


def _gap_features(reading: Reading, i: int, m: Mention) -> str:
    """How far the mention before is."""
    if i and reading.mentions[i - 1].sentence == m.sentence:
        gap = m.start - reading.mentions[i - 1].end
        return f"prev:{min(gap, 5)}:{'break' if CLAUSE_BREAK.search(reading.breaks[m.start]) else 'run'}"
    return "prev:none"


TELLING = {
    *("modal", "permit", "rubric", "here", "on_target", "fails", "compare", "hypothesis", "negation", "taste"),
    *("page", "glass"),
}


def _nearest_cues(hits, mention: Mention) -> list[str]:
    """The cue that stands nearest before a mention, and the nearest behind it, in its sentence."""
    before, after = "none", "none"
    for start, end, cue in hits:
        if cue not in TELLING:
            continue
        if end <= mention.start:
            before = f"{cue}:{min((mention.start - end) // 3, 3)}"
        elif start >= mention.end:
            after = f"{cue}:{min((start - mention.end) // 3, 3)}"
            break
    return [f"last:{before}", f"next:{after}", f"last-next:{before.split(':')[0]}:{after.split(':')[0]}"]


SHAPES = {  # by the places that they show, counted from a mention's first word, and from behind its last
    "left3:{} {} {}": ((-3, -2, -1), ()), "left2:{} {}": ((-2, -1), ()), "right2:{} {}": ((), (0, 1)),
    "right3:{} {} {}": ((), (0, 1, 2)), "around:{} * {}": ((-1,), (0,)), "around2:{} {} * {} {}": ((-2, -1), (0, 1)),
}  # fmt: skip


def _add_shape(reading: Reading, seen: Seen, spots: Spots) -> None:
    """The function words around a mention, with L for a level and _ for all others: 'a L * _', 'the * is L'."""
    outside = len(reading.words)
    names, (rows, starts, ends, low, high) = Names([*symbols(reading), "$"]), spots
    left = {k: names.at(np.where(starts + k >= low, starts + k, outside)) for k in (-3, -2, -1)}
    right = {k: names.at(np.where(ends + k < high, ends + k, outside)) for k in (0, 1, 2)}
    for template, (before, behind) in SHAPES.items():
        seen.add(template, rows, *(left[k] for k in before), *(right[k] for k in behind))


def _called_for(reading: Reading, mention: Mention) -> bool:
    """Whether a word for what ought to be, for another beer or for what is taken back stands right before, nothing
    between: of the first two 156 to 6 and 64 to 5 are mere mentions in the marked transcripts, whatever the sentence
    around them does."""
    hits = reading.cues[ROLE_FILE]
    at = bisect_left(hits, mention.start, key=lambda hit: hit[0]) - 1
    begin = max(reading.sentences[mention.sentence].start, mention.start - NEAR - REACH)
    before = []
    while at >= 0 and hits[at][0] >= begin:
        if hits[at][1] <= mention.start:
            before.append(hits[at])
        at -= 1
    if not before:
        return False
    _, end, cue = max(before, key=lambda hit: (hit[1], hit[0] - hit[1]))
    broken = any(CLAUSE_BREAK.search(reading.breaks[k]) for k in range(end, mention.start + 1))
    return cue in WANTED and mention.start - end <= NEAR and not broken


def _told(mention: Mention) -> bool:
    """Whether the words are a descriptor wherever they stand: several, and more than the name of what is looked at."""
    return mention.end - mention.start > 1 and mention.hits[0].how == "said" and not mention.term.bare


def _within(hits, start: int, end: int):
    return hits[bisect_left(hits, (start,)) : bisect_left(hits, (end,))]


def _plainly_said(reading: Reading, mention: Mention, edges: list[int]) -> bool:
    """Whether a clause about this beer holds a word of the lexicon and its level, and nothing else: 'caramel medium to
    high'."""
    sentence = reading.sentences[mention.sentence]
    if reading.running or sentence.role != "observe" or not mention.known or mention.term.bare:
        return False
    start, end = _clause(reading, mention, edges)
    if end < len(reading.words) and "?" in reading.breaks[end]:
        return False
    if mention.level is None:
        return (start, end) == (mention.start, mention.end) == (sentence.start, sentence.end)
    if end - start > LONGEST:
        return False
    levels = [(begin, stop) for hits in level_hits(reading) for begin, stop, _ in _within(hits, start, end)]
    beside = ((start, mention.start), (mention.end, end))
    return all(begin == stop or (begin, stop) in levels for begin, stop in beside)


def find_stances(reading: Reading) -> None:
    """Set the state of every mention; words that turn out to be no sensory words here are dropped."""
    seen = stance_features(reading)
    look("stance", seen, reading.running)
    by_word = means(reading.word_odds["state"], reading.mentions)
    edges = _edges(reading)
    found = agreed(odds("stance", STATES, reading.running), by_word, WORDS_SHARE)
    for mention, row, best in zip(reading.mentions, found.tolist(), found.argmax(1).tolist(), strict=True):
        label = STATES[best]
        sure = PLAIN if label == "P" and _plainly_said(reading, mention, edges) else SURE.get(label, 0)
        mere = row[best] < sure or ((label in SURE or _told(mention)) and _called_for(reading, mention))
        mention.state = "mentioned" if mere else NAMES[label]
        if mere and label == "P" and row[OUTSIDE] > 1 - row[best] - row[OUTSIDE] and answers(mention):
            mention.state = "none"  # in doubt whether it is a sensation, not whose
        if mention.state == "none" and mention.hits[0].how == "unknown":
            mention.state = UNSEEN.get(reading.sentences[mention.sentence].role, "none")
    settle(reading)
    settle_denials(reading)
    pass_over_others(reading)
    for mention in reading.mentions:
        if mention.state == "absent":
            mention.level = "none"
        elif mention.state == "present" and mention.level == "none":
            mention.level = None
    _take_glosses(reading)
    _take_measured(reading)
    _pass_over_brewing(reading)
    reading.echoes = None  # of mentions that may go now
    reading.unmarked = [m for m in reading.mentions if m.state == "none"]
    late = _told_by_context(reading)
    reading.mentions = sorted([m for m in reading.mentions if m.state != "none"] + late, key=START)
    find_late_levels(reading, late)
    recall_levels(reading)


def _take_measured(reading: Reading) -> None:
    """The bare name of what is looked at is a descriptor where a level is said of it alone, in a clause of its own:
    'malt is moderate', not 'the malt is faintly bready'. The marks differ in this, and the tagger with them."""
    edges, mentions = _edges(reading), reading.mentions
    for at, mention in enumerate(mentions):
        term, role = mention.term, reading.sentences[mention.sentence].role
        if mention.state in ("none", "mentioned") and role in UNSEEN and intensity_said(reading, mention):
            mention.state = UNSEEN[role]
        if role != "observe" or not term.bare or term.kind not in MEASURED or mention.level in (None, "none"):
            continue
        if mention.state not in ("none", "mentioned") or _called_for(reading, mention):
            continue
        start, end = _clause(reading, mention, edges)
        beside = mentions[max(0, at - BESIDE) : at] + mentions[at + 1 : at + 1 + BESIDE]
        alone = not any(start <= other.start < end and not other.term.bare for other in beside)
        if (alone or term.kind in ONLY_MEASURED) and _no_cue(reading, start, end):
            mention.state = "present"


def _pass_over_brewing(reading: Reading) -> None:
    """What the brewer did, or is told to do, is no finding: 'the wort sat hot', 'chill the wort faster'."""
    for sentence, mentions in zip(reading.sentences, reading.grouped(reading.mentions, START), strict=True):
        found = [m for m in mentions if m.state in ("present", "absent")]
        start, end = (found and advice_in(reading, sentence)) or (0, 0)
        told = set(befell(reading, sentence)) if found else set()
        for mention in found:
            if start <= mention.start < end or mention.start in told:
                mention.state = "mentioned"


def _no_cue(reading: Reading, start: int, end: int) -> bool:
    """Whether nothing within the words `start` to `end` speaks of what ought to be, of what is not, or of another; a
    denial inside a level is none ('low to none')."""
    cues = [(at, cue) for at, _, cue in hits_within(reading, ROLE_FILE, start, end) if cue in UNSAID]
    if not cues or any(cue not in DENIALS for _, cue in cues):
        return not cues
    told = [hit for hits in level_hits(reading) for hit in _within(hits, start, end) if hit[2] != "none"]
    measured = {k for begin, stop, _ in told for k in range(begin, stop)}
    return all(at in measured for at, _ in cues)


def _take_glosses(reading: Reading) -> None:
    """An off-flavor named in brackets right behind words for the same one is there as those are: 'corn (DMS?)'."""
    for told, gloss in pairwise(reading.mentions):
        bracketed = told.end == gloss.start and "(" in reading.breaks[gloss.start]
        if bracketed and gloss.flaw is not None and gloss.flaw == told.flaw and told.state != "none":
            gloss.state, gloss.level = told.state, told.level


def _told_by_context(reading: Reading) -> list[Mention]:
    """Words that are sensory here, though no lexicon holds them or only as a level ('the mouthfeel is light')."""
    likely = reading.word_odds["state"][:, STATES.index("P")] >= SENSORY
    idioms = cue_index("idioms").find(reading.words)
    for start, end in (*((m.start, m.end) for m in reading.mentions), *((start, end) for start, end, _ in idioms)):
        likely[start:end] = False
    ends = {s.end for s in reading.sentences}
    out: list[Mention] = []
    for word in likely.nonzero()[0].tolist():
        if out and out[-1].end == word and word not in ends:
            out[-1].end += 1
        else:
            out.append(Mention(word, word + 1, [Hit(UNKNOWN, "context")], UNKNOWN, sentence=reading.sentence_at(word)))
    told = [m for m in out if any(len(w) > 1 and w not in stop_words() for w in reading.words[m.start : m.end])]
    told += _bodies_labelled(reading, {k for m in (*reading.mentions, *told) for k in range(m.start, m.end)})
    for mention in told:
        _read_as_body(reading, mention)
    return told


def _bodies_labelled(reading: Reading, taken: set[int]) -> Iterator[Mention]:
    """A level alone behind the label of the body: 'Body: medium'."""
    for label in reading.unmarked:
        at, observes = label.end, reading.sentences[label.sentence].role == "observe"
        if label.term.kind != BODY or not observes or label.level in (None, "none") or at in taken:
            continue
        if at < len(reading.words) and reading.breaks[at].strip() in LABELLING:
            ends = [stop for hits in level_hits(reading) for begin, stop, _ in _within(hits, at, at + 1)]
            stop = next((stop for stop in sorted(ends, reverse=True) if closed(reading, stop)), None)
            if stop is not None:
                yield Mention(at, stop, [Hit(UNKNOWN, "context")], UNKNOWN, sentence=label.sentence)


def _read_as_body(reading: Reading, mention: Mention) -> None:
    """A level that is said of the mouthfeel alone, in an item of its own, is the body's: 'medium, creamy'."""
    if BODY not in prompts(reading, reading.sentences[mention.sentence].category):
        return
    begins = mention.start == 0 or CLAUSE_BREAK.search(reading.breaks[mention.start])
    begins = begins or mention.start == reading.sentences[mention.sentence].start
    ends = closed(reading, mention.end) or mention.end == reading.sentences[mention.sentence].end
    if not begins or not (ends or reading.words[mention.end] in AND):
        return
    said = [*reading.words[mention.start : mention.end], BODIED]
    found = [hit for start, end, hit in reading.lexicon.phrases.find(said) if end - start == len(said)]
    if found and found[0].term.kind == BODY:
        mention.hits, mention.term, mention.level = found, found[0].term, found[0].term.level
