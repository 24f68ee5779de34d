"""Whether a descriptor is there, where the notes settle it plainly: answers, zeros, ticked boxes, denied levels. What
is certain needs no odds."""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections.abc import Iterator
from itertools import groupby, pairwise

from notes2sheet.coverage import HEAD_WORDS, prompts
from notes2sheet.cues import ROLE_FILE, cue_index, hits_within
from notes2sheet.descriptors import CLAUSE_BREAK, CONTRAST, FAULTLESS, HARD_BREAK, Mention, closed
from notes2sheet.level_words import Level, Levels
from notes2sheet.transcript import Reading

Hits = list[tuple[int, int, str]]
ASKS = re.compile(r"[:?=]")
NONE = re.compile(r"(?:\s*[:=][^\S\n]*[-–—]+|[^\S\n]*(?:[:=][^\S\n]*)?[✗✘])[^\S\n]*(?=[,;.|\n]|\Z)")  # 'diacetyl: -'
TICKED = re.compile(r"[^\S\n]*(?:[:=][^\S\n]*)?[✓✔]")
LETTERS = {"n": "absent", "y": "present"}  # alone between a descriptor and the end of its clause: 'DMS n, sulfur n'
ZERO_OF = re.compile(r"0/\d+")  # nothing of a scale
BOX = re.compile(r"\[[ xX✓✔]?\]|\([ xX✓✔]\)|[☐☑☒]")
EMPTY = set("[]( )☐")
BESIDE = 4  # characters between a box and a word
CLAUSE = 20  # words of the clause before 'but there is none'
ASKED = {"page", "rubric"}  # cues that, as labels, lead to what the style asks for
ASKED_FOR = 60  # words behind it at most
ENDED = re.compile(r"[;.!?\n()]")  # what ends that
BEFORE = 4  # words before a mention in which it is denied
DENIALS = {"no", "not", "n't", "isn't", "aren't", "wasn't", "neither"}
LEADING, LED = {"the", "a", "an", "any", "some", "that", "more", "my", "its"}, 2  # between 'look for' and what; at most
HEADS = HEAD_WORDS | {"it", "which"}  # before 'has gone'
WENT = {"had", "has", "have", "is", "was", "'d", "'s", "all", "already", "soon", "just", "quickly", "then", "simply"}
SUPPOSED = {"if", "unless", "until", "till", "before"}  # before 'it had gone'
DOUBLE, NEAR_DENIAL = DENIALS | {"can't", "cannot", "never", "wrong"}, 8  # what denies a denial, words before it
BEGINNING = {"and", "but", "or", "now", "well", "though", "so", "then"}  # before the first word of a clause
FAULT = {"fault", "faults", "wrong", "better"}  # what is not found of something that is there
NEXT = {"it", "this", "that", "there", "i", "she", "he", "they", "which"}  # that begins the next one
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
        if told is None and role in SETTLED and _lacks(reading, i, lacking):
            told = "absent"
        if told is None and mention.state != "none" and _denied_behind(reading, mention, answers):
            told, mention.level = "absent", "none"
        if told is None and mention.state == "mentioned" and mention.level and _of_own_line(reading, mention):
            told = "absent" if mention.level == "none" else "present"
        if told is not None:
            mention.state = told
        elif mention.state == "absent" and role in SETTLED and _stays(reading, mention, answers):
            mention.state = "present"
        elif mention.state == "absent" and role in SETTLED and _denies_next(reading, i, answers):
            mention.state, mention.level = "present", None
        elif mention.state == "present" and mention.term.bare and mention.level is None and _labels(reading, mention):
            mention.state = "none"
        elif role in SETTLED and _open(reading, mention) and (level := _denied_level(reading, mention, levels)):
            mention.state, mention.level = "present", level.level
    _alternatives(reading, answers)
    _searched(reading, answers)
    _faded(reading)
    _own_denials(reading)
    _missed(reading, answers)
    _slashed(reading)
    _asked_for(reading)


def _of_own_line(reading: Reading, mention: Mention) -> bool:
    """Whether a mention stands in a typed line of one of the parts with prompts, which tells what was found."""
    category = reading.sentences[mention.sentence].category
    return mention.sentence in reading.own_lines and bool(prompts(reading, category)) and mention.known


def _asked_for(reading: Reading) -> None:
    """What stands behind a label for what the style asks, up to the next stop, is only mentioned: 'finish sweet;
    required: dry, long' (of 238 marked descriptors there 235 are)."""
    hits = reading.cues[ROLE_FILE]
    for _, begin, cue in hits:
        if cue not in ASKED or begin >= len(reading.words) or reading.breaks[begin].strip()[:1] not in (":", "="):
            continue
        limit = min(begin + ASKED_FOR, len(reading.words))
        end = next((k for k in range(begin + 1, limit) if ENDED.search(reading.breaks[k])), limit)
        found = [start for start, _, other in hits_within(reading, ROLE_FILE, begin, end) if other == "glass"]
        end = min([*found, end])
        at = bisect_left(reading.mentions, begin, key=lambda mention: mention.start)
        behind = bisect_left(reading.mentions, end, key=lambda mention: mention.start)
        for mention in reading.mentions[at:behind]:
            mention.state = "mentioned" if mention.state in ("present", "absent") else mention.state


def _stays(reading: Reading, mention: Mention, answers: Hits) -> bool:
    """Whether what is denied of a mention is that it goes: 'the wort never leaves', 'soap that won't let go'."""
    at = mention.end + (reading.words[mention.end : mention.end + 1] in (["that"], ["which"]))
    return any(True for _ in answers_from(answers, at, "stays"))


def _lacks(reading: Reading, i: int, lacking: dict[int, int]) -> bool:
    """Whether words right before a mention say that it is not there: 'free of sulfur', 'none of that green apple'; not
    where they are denied themselves ('I can't call it free of sulfur')."""
    mention = reading.mentions[i]
    start = lacking.get(mention.start)
    if start is None or mention.state == "none" or closed(reading, mention.start):
        return False
    floor = max(reading.sentences[mention.sentence].start, reading.mentions[i - 1].end if i else 0)
    before = reading.words[max(floor, start - NEAR_DENIAL) : start]
    return mention.state != "present" or DOUBLE.isdisjoint(before)


def _open(reading: Reading, mention: Mention) -> bool:
    """Whether a denied level may settle a mention; in running text, whose sentences are guessed, only what is thought
    to be denied itself."""
    return mention.state == "absent" or (mention.state != "present" and not reading.running)


def _denied_behind(reading: Reading, mention: Mention, answers: Hits) -> bool:
    """Whether a clause begins with a mention and closes by denying it: 'sweet, she isn't', 'apricot I can't find'; not
    'dry, it is not sweet', 'hops I find nothing wrong with'."""
    sentence, words = reading.sentences[mention.sentence], reading.words
    first, at = mention.start, mention.end
    begins = first == sentence.start or closed(reading, first) or words[first - 1] in BEGINNING
    if not begins or at >= sentence.end or HARD_BREAK.search(reading.breaks[at]):
        return False
    at += 2 * (words[at : at + 2] == ["at", "least"])
    for stop in _denials(reading, answers, at):
        marked = closed(reading, stop) and not (stop < len(words) and "?" in reading.breaks[stop])
        turn = stop + (words[stop : stop + 1] in (["but"], ["and"], ["so"]))  # 'nothing there but honey'
        if marked or stop == sentence.end or (turn < sentence.end and words[turn] in NEXT):
            return True
    return False


def _denies_next(reading: Reading, i: int, answers: Hits) -> bool:
    """Whether what is denied right behind mention `i` is not itself, but what follows: 'dry, it is not sweet', 'caramel
    I can't find fault with'."""
    mention, following, words = reading.mentions[i], reading.mentions[i + 1 : i + 2], reading.words
    before = words[max(mention.start - BEFORE, 0) : mention.start]
    if not DENIALS.isdisjoint(before):
        return False
    for stop in _denials(reading, answers, mention.end):
        if closed(reading, stop) or stop >= reading.sentences[mention.sentence].end:
            continue
        marked = closed(reading, mention.end) and bool(following) and following[0].start in (stop, stop + 1)
        if marked or not FAULT.isdisjoint(words[stop : stop + 2]):
            return True
    return False


def _labels(reading: Reading, mention: Mention) -> bool:
    """Whether a mention is only the label of what follows: 'malt: low caramel'."""
    return mention.end < len(reading.words) and reading.breaks[mention.end] == ":"


def _denials(reading: Reading, answers: Hits, at: int) -> Iterator[int]:
    """The words behind each denial that begins at word `at`: 'it isn't', 'I can't find any'."""
    for kind in ("denied_behind", "not_found"):
        for stop in answers_from(answers, at, kind):
            yield stop + (reading.words[stop : stop + 1] == ["any"])


def answers_from(answers: Hits, at: int, kind: str) -> Iterator[int]:
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
    if NONE.match(reading.text, reading.ends[end - 1]) or _undetected(reading, end, answers):
        return "absent"
    if TICKED.match(reading.text, reading.ends[end - 1]):
        return "present"
    if end < len(reading.words) and not reading.running and not closed(reading, end) and closed(reading, end + 1):
        return LETTERS.get(reading.words[end])
    if end >= len(reading.words) or not ASKS.search(reading.breaks[end]):
        return None
    for kind, state in (("no", "absent"), ("yes", "present"), ("unsure", "mentioned")):
        if any(closed(reading, stop) or "-" in reading.breaks[stop] for stop in answers_from(answers, end, kind)):
            asked = kind != "unsure" and "?" in reading.breaks[end] and mention.state != "present"
            return mention.state if asked else state
    return None


def _undetected(reading: Reading, at: int, answers: Hits) -> bool:
    """Whether words at word `at` tell of a descriptor that it is not found: 'DMS n.d.', 'diacetyl is below threshold',
    'DMS 0/5'."""
    words = reading.words
    if at >= len(words) or HARD_BREAK.search(reading.breaks[at]):
        return False
    if ZERO_OF.fullmatch(words[at]) or (words[at] == "threshold" and "<" in reading.breaks[at]):
        return closed(reading, at + 1)
    at += words[at : at + 1] in (["is"], ["was"], ["are"], ["were"], ["stays"], ["remains"])
    return any(closed(reading, stop) for stop in answers_from(answers, at, "undetected"))


def _slashed(reading: Reading) -> None:
    """What a slash joins to what is denied, no space between, is denied with it: 'no diacetyl/DMS/acetaldehyde'."""
    for one, other in pairwise(reading.mentions):
        joined = reading.text[reading.ends[one.end - 1] : reading.starts[other.start]] == "/"
        if joined and one.state == "absent" and other.state in ("present", "mentioned"):
            other.state = "absent"


def _zero(reading: Reading, i: int, answers: Hits) -> str | None:
    """'absent' where a bare zero measures mention `i`: '0 diacetyl', 'DMS 0'; no score or decimal, and not the next
    one's ('dry, zero sugar')."""
    mention, following = reading.mentions[i], reading.mentions[i + 1 : i + 2]
    if mention.level != "none" or mention.state == "none":  # 'the best zero wheat'
        return None
    start, end = mention.start, mention.end
    if start and not closed(reading, start) and start in answers_from(answers, start - 1, "zero"):
        return "absent"
    end += reading.words[end : end + 1] == ["="]
    behind = next(answers_from(answers, end, "zero"), None)
    if behind is None or closed(reading, end):
        return None
    if behind < len(reading.words) and ("/" in reading.breaks[behind] or reading.words[behind] in ("of", "out")):
        return None
    leads = following and following[0].start == behind and not closed(reading, behind)
    return None if leads and next(answers_from(answers, following[0].end, "zero"), None) is None else "absent"


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


def _searched(reading: Reading, answers: Hits) -> None:
    """What is only looked for is not found by that: 'looking for toffee', 'rerun the forced test for VDK'. A level says
    that it is there all the same ('you have to go looking for the malt, it is faint'). Of 53 in the marked transcripts
    one is there, with its level."""
    led = {end for _, end, kind in answers if kind == "searched"}
    for mention in reading.mentions:
        at = mention.start
        while at not in led and mention.start - at < LED and reading.words[at - 1] in LEADING:
            at -= 1
        if at in led and mention.state == "present" and mention.level is None and not closed(reading, at):
            mention.state = "mentioned"


def _faded(reading: Reading) -> None:
    """A head is gone where its own clause says so, beside a deduction too: 'it had gone by the time I sat down, minus
    half'."""
    for mention in reading.mentions:
        sentence = reading.sentences[mention.sentence]
        if mention.state not in ("none", "mentioned") or sentence.role not in SETTLED:
            continue
        if mention.term.kind != "head" or mention.hits[0].how != "adjectives" or mention.term.level != "low":
            continue
        at = mention.start - 1
        while at > sentence.start and reading.words[at] in WENT and not closed(reading, at + 1):
            at -= 1
        supposed = at > sentence.start and reading.words[at - 1] in SUPPOSED
        if at >= sentence.start and reading.words[at] in HEADS and not closed(reading, at + 1) and not supposed:
            mention.state = "present"


def _own_denials(reading: Reading) -> None:
    """A 'no' inside the words of something denies none of it: 'gone in no time'."""
    for mention in reading.mentions:
        inside = "no" in reading.words[mention.start + 1 : mention.end]
        before = reading.words[max(mention.start - BEFORE, 0) : mention.start]
        if mention.state == "absent" and inside and DENIALS.isdisjoint(before) and mention.term.level != "none":
            mention.state = "present"


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
