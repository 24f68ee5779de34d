"""Whether a descriptor is there, where the notes settle it plainly: answers, zeros, ticked boxes, denied levels. What
is certain needs no odds."""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections.abc import Iterator
from itertools import groupby, pairwise

from notes2sheet.cues import cue_index
from notes2sheet.descriptors import CLAUSE_BREAK, CONTRAST, FAULTLESS, Mention, closed
from notes2sheet.levels import Level, Levels
from notes2sheet.transcript import Reading

Hits = list[tuple[int, int, str]]
ASKS = re.compile(r"[:?=]")
DASH_ONLY = re.compile(r"\s*[:=][^\S\n]*[-–—]+[^\S\n]*(?=[,;.|\n]|\Z)")  # 'diacetyl: -'
BOX = re.compile(r"\[[ xX✓✔]?\]|\([ xX✓✔]\)|[☐☑☒]")
EMPTY = set("[]( )☐")
BESIDE = 4  # characters between a box and a word
CLAUSE = 20  # words of the clause before 'but there is none'
DENIALS = {"not", "n't", "isn't", "aren't", "wasn't", "neither"}
DOUBLE, NEAR_DENIAL = DENIALS | {"can't", "cannot", "never", "wrong"}, 8  # what denies a denial, words before it
SETTLED = ("observe", "score")  # roles of sentences that speak of this beer


def settle(reading: Reading) -> None:
    """Correct the state of the mentions that something plain settles. Linear in the words."""
    answers = cue_index("answers").find(reading.words, overlapping=True)
    levels = Levels(reading)
    boxes = dict(_boxed(reading))
    lacking = {end: start for start, end, kind in answers if kind == "lacks"}
    for i, mention in enumerate(reading.mentions):
        role = reading.sentences[mention.sentence].role
        if mention.hits[0].how == FAULTLESS:
            mention.state = "present" if role in SETTLED else "none"
        if role == "expect" or mention.hits[0].how == FAULTLESS:
            continue
        told = boxes.get(i) or _answered(reading, mention, answers) or _zero(reading, i, answers)
        if told is None and role in SETTLED and _lacks(reading, mention, lacking):
            told = "absent"
        if told is not None:
            mention.state = told
        elif mention.state == "present" and mention.term.bare and mention.level is None and _labels(reading, mention):
            mention.state = "none"
        elif role in SETTLED and _open(reading, mention) and (level := _denied_level(reading, mention, levels)):
            mention.state, mention.level = "present", level.level
    _alternatives(reading, answers)
    _missed(reading, answers)


def _lacks(reading: Reading, mention: Mention, lacking: dict[int, int]) -> bool:
    """Whether words right before a mention say that it is not there: 'free of sulfur', 'none of that green apple'; not
    where they are denied themselves ('I can't call it free of sulfur')."""
    start = lacking.get(mention.start)
    if start is None or mention.state == "none" or closed(reading, mention.start):
        return False
    before = reading.words[max(reading.sentences[mention.sentence].start, start - NEAR_DENIAL) : start]
    return mention.state != "present" or DOUBLE.isdisjoint(before)


def _open(reading: Reading, mention: Mention) -> bool:
    """Whether a denied level may settle a mention; in running text, whose sentences are guessed, only what is thought
    to be denied itself."""
    return mention.state == "absent" or (mention.state != "present" and not reading.running)


def _labels(reading: Reading, mention: Mention) -> bool:
    """Whether a mention is only the label of what follows: 'malt: low caramel'."""
    return mention.end < len(reading.words) and reading.breaks[mention.end] == ":"


def _from(answers: Hits, at: int, kind: str) -> Iterator[int]:
    """The ends of the answers of one kind that begin at word `at`."""
    for k in range(bisect_left(answers, (at,)), len(answers)):
        if answers[k][0] != at:
            return
        if answers[k][2] == kind:
            yield answers[k][1]


def _answered(reading: Reading, mention: Mention, answers: Hits) -> str | None:
    """What an answer right behind a mention says: 'diacetyl: n', 'caramel? no.', 'DMS: -'. Behind a question, what is
    only mentioned stays so."""
    end = mention.end
    if DASH_ONLY.match(reading.text, reading.ends[end - 1]):
        return "absent"
    if end >= len(reading.words) or not ASKS.search(reading.breaks[end]):
        return None
    for kind, state in (("no", "absent"), ("yes", "present"), ("unsure", "mentioned")):
        if any(closed(reading, stop) for stop in _from(answers, end, kind)):
            asked = kind != "unsure" and "?" in reading.breaks[end] and mention.state != "present"
            return mention.state if asked else state
    return None


def _zero(reading: Reading, i: int, answers: Hits) -> str | None:
    """'absent' where a bare zero measures mention `i`: '0 diacetyl', 'DMS 0'; no score or decimal, and not the next
    one's ('dry, zero sugar')."""
    mention, following = reading.mentions[i], reading.mentions[i + 1 : i + 2]
    if mention.level != "none" or mention.state == "none":  # 'the best zero wheat'
        return None
    start, end = mention.start, mention.end
    if start and not closed(reading, start) and start in _from(answers, start - 1, "zero"):
        return "absent"
    end += reading.words[end : end + 1] == ["="]
    behind = next(_from(answers, end, "zero"), None)
    if behind is None or closed(reading, end):
        return None
    if behind < len(reading.words) and ("/" in reading.breaks[behind] or reading.words[behind] in ("of", "out")):
        return None
    leads = following and following[0].start == behind and not closed(reading, behind)
    return None if leads and next(_from(answers, following[0].end, "zero"), None) is None else "absent"


def _denied_level(reading: Reading, mention: Mention, levels: Levels) -> Level | None:
    """The level right behind a mention that is told by denying others: 'neither strong nor weak', 'not high'."""
    for at in (mention.end, mention.end + 1):
        level = levels.at.get(at)
        if level is None or level.level == "none" or DENIALS.isdisjoint(reading.words[at : level.end]):
            continue
        if not any(CLAUSE_BREAK.search(reading.breaks[k]) for k in range(mention.end, at + 1)):
            return level
    return None


def _boxed(reading: Reading) -> Iterator[tuple[int, str]]:
    """(number of a mention, its state) by the box beside it: behind it, or before it where every box has a word
    right behind and the first has none before."""
    boxes = list(BOX.finditer(reading.text))
    if not boxes:
        return
    starts = [reading.starts[mention.start] for mention in reading.mentions]
    lines = [0, *(mark.end() for mark in re.finditer("\n", reading.text)), len(reading.text) + 1]
    for number, row in groupby(boxes, key=lambda box: bisect_right(lines, box.start())):
        found = list(row)
        begin, end = lines[number - 1], lines[number]
        before = reading.text[max(begin, found[0].start() - BESIDE) : found[0].start()].rstrip()
        behind = [reading.text[b.end() : b.end() + BESIDE] for b in found]
        leads = not before[-1:].isalnum() and all(rest.lstrip()[:1].isalpha() for rest in behind)
        edges = [*(box.start() for box in found), end] if leads else [begin, *(box.end() for box in found)]
        for box, (low, high) in zip(found, pairwise(edges), strict=True):
            within = range(bisect_left(starts, low), bisect_left(starts, high))
            if within:
                yield within[0 if leads else -1], "absent" if set(box.group()) <= EMPTY else "present"


def _alternatives(reading: Reading, answers: Hits) -> None:
    """A fault that is guessed at beside something else is not found: 'could be diacetyl, could be butterscotch'."""
    led = {end for _, end, kind in answers if kind == "alternative"}
    for _, group in groupby(reading.mentions, key=lambda mention: mention.sentence):
        guessed = [mention for mention in group if mention.start in led]
        if len(guessed) > 1 and any(mention.flaw for mention in guessed):
            for mention in guessed:
                mention.state = "mentioned"


def _missed(reading: Reading, answers: Hits) -> None:
    """What was hoped for is absent where the clause behind 'but' says so: 'I hoped for caramel, but there is none'."""
    starts = [mention.start for mention in reading.mentions]
    wished = [start for start, _, kind in answers if kind == "wished"]
    for start, end, kind in answers:
        if kind != "denied_there" or not start or reading.words[start - 1] not in CONTRAST or not closed(reading, end):
            continue
        first = max(reading.sentences[reading.sentence_at(start)].start, start - CLAUSE)
        begin = next((k for k in range(start - 2, first, -1) if CLAUSE_BREAK.search(reading.breaks[k])), first)
        if bisect_left(wished, begin) == bisect_left(wished, start):
            continue
        for mention in reading.mentions[bisect_left(starts, begin) : bisect_left(starts, start)]:
            if mention.state != "none":
                mention.state, mention.level = "absent", "none"
