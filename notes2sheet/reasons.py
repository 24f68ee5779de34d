"""Where faults, lacks and mismatches are named, and the sentences that tell why points are off."""

from __future__ import annotations

from notes2sheet.comments import judges
from notes2sheet.coverage import prompts
from notes2sheet.cues import ROLE_FILE, SHEET_FILE, hits_within
from notes2sheet.descriptors import CLAUSE_BREAK, Mention
from notes2sheet.expectations import mismatches
from notes2sheet.faults import has_room, tolerated
from notes2sheet.features import function_words
from notes2sheet.lexicon import LEVELS
from notes2sheet.score_booking import Standing
from notes2sheet.sentences import Sentence
from notes2sheet.stance import CONTRAST
from notes2sheet.transcript import Reading

PLAIN_MISMATCH = {"clarity", "body", "head", "carbonation"}  # kinds in which leaving the style is plain for all to see
FIRM, LACKS = ("fault_firm",), ("lack", "shortcoming")  # cues
BECAUSE, THINGS = ("because", "since"), ("the", "that", "this", "its", "my")  # 'for the foam'
SAYS = ("observe", "score")  # roles in which something is said of this beer
NEAR = 3  # sentences before a deduction in which what it is for may have been found
PLACE = (["under"], ["off"])  # alone they rather tell where something is
BACK = ("that", "this", "it")  # behind 'for', for what was found before
SHOWN = 3  # reasons of a part
VAGUE = CONTRAST | {"under", "n't"}  # words for a lack that name none by themselves
WISHES = {"love", "like", "liked"}
AHEAD = 9  # words behind a wish in which what is wished is looked for
DENIED = 4  # words before one that a 'no' or 'can't' among them denies


def find_reasons(reading: Reading, part: str, standing: Standing, cap: int) -> tuple[tuple[int, int], ...]:
    """The sentences that tell why points are off which no deduction accounts for, in the order of the notes.

    They are those with an off-flavor, a mismatch with the style or a firm word for a fault, and those about the score
    that name a lack; without any, those with any lack. Empty where nothing is left to account for.
    """
    if standing.unaccounted(cap) <= 0:
        return ()
    lacks = [hit for hit in _lacks(reading, part, *LACKS, "fails") if _tells(reading, *hit)]
    lacking = _sentences(reading, lacks)
    named = (
        _described(reading, part, strict=False) + _missed(reading, part, strict=False) + _lacks(reading, part, *FIRM)
    )
    chosen = _sentences(reading, named)
    chosen |= {at for at in lacking if reading.sentences[at].role == "score"}
    told = {at for _, at, _ in standing.taken}
    return tuple(reading.whole(reading.sentences[at]) for at in sorted(chosen - told or lacking - told)[:SHOWN])


def _tells(reading: Reading, start: int, end: int) -> bool:
    """Whether a word for a lack stands for one: no mere 'but' or 'isn't', and not denied ('can't find a fault')."""
    if reading.words[end - 1] in WISHES and not _asks_for_change(reading.words[end : end + AHEAD]):
        return False
    return VAGUE.isdisjoint(reading.words[start:end]) and not _denied(reading, start, end)


def _denied(reading: Reading, start: int, end: int) -> bool:
    """Whether a word for a lack is denied: 'can't find a fault', 'without being harsh'."""
    first = reading.sentences[reading.sentence_at(start)].start
    near = [(stop, cue) for _, stop, cue in hits_within(reading, ROLE_FILE, max(first, start - DENIED), end)]
    clause = next((k for k in range(start, first, -1) if CLAUSE_BREAK.search(reading.breaks[k])), first)
    return any(stop >= end if cue == "praise" else clause < stop <= start and cue == "negation" for stop, cue in near)


def _asks_for_change(words: list[str]) -> bool:
    """Whether what is wished is a change ('a bit more', 'it drier'), not just the beer ('I'd love to sit with it')."""
    return any(word in ("more", "less") or (len(word) > 4 and word.endswith("er")) for word in words)


def _sentences(reading: Reading, hits: list[tuple[int, int]]) -> set[int]:
    """The sentences that the hits begin in."""
    return {reading.sentence_at(start) for start, _ in hits}


def fault_words(reading: Reading, part: str, strict: bool) -> list[tuple[int, int]]:
    """The spans where a fault, a lack or a mismatch is named in a part.

    Strict: only off-flavors that the style has no room for and firm words for a fault; otherwise any lack will do.
    """
    lacks = _lacks(reading, part, *(FIRM if strict else LACKS))
    if not strict:
        lacks = [(a, b) for a, b in lacks if reading.words[a:b] not in PLACE and not _denied(reading, a, b)]
    hits = _described(reading, part, strict) + _missed(reading, part, strict) + lacks
    hits += [] if strict else _given_for(reading, part)
    return [reading.span(*hit) for hit in hits]


def _given_for(reading: Reading, part: str) -> list[tuple[int, int]]:
    """The words that begin the reason of a score or a deduction: 'two, because …', 'a point for the foam'. Of the whole
    beer they seldom tell one ('five, because I liked it')."""
    if not prompts(reading, part):
        return []
    hits = []
    for at in set(reading.scores.parts[part].sentences):
        sentence = reading.sentences[at]
        if (pointing := _points_back(reading, at, reading.scores.parts[part])) is not None:
            hits.append((pointing, pointing + 1))
        names = {start for start, _, _ in hits_within(reading, SHEET_FILE, sentence.start, sentence.end)}
        for k in range(sentence.start + 1, sentence.end - 2):
            word, thing = reading.words[k], k + 2
            reason = word in BECAUSE or (word == "for" and reading.words[k + 1] in THINGS)
            if reason and thing not in names and reading.words[thing] not in function_words():
                hits.append((k, k + 1))
    return hits


def _points_back(reading: Reading, at: int, standing: Standing) -> int | None:
    """The word of a deduction that points to the finding right before it: 'it went down at once. I take one | for
    that'."""
    sentence = reading.sentences[at]
    own = (s for s in reversed(reading.sentences[max(0, at - NEAR) : at]) if s.category == sentence.category)
    before = next((s.role for s in own if s.role != "expect"), "")
    if before != "observe" or all(where != at for _, where, _ in standing.taken):
        return None
    words = reading.words
    pairs = ((k, words[k : k + 2]) for k in range(sentence.start + 1, sentence.end - 1))
    return next((k for k, (first, second) in pairs if first == "for" and second in BACK), None)


def _described(reading: Reading, part: str, strict: bool) -> list[tuple[int, int]]:
    """The descriptors of this beer (first word, behind the last) that are off-flavors here, or not what the style calls
    for."""
    hits = []
    style = reading.style.style
    recalled: set[str | None] = set()  # off-flavors that tell of the whole beer: 'both would go with a week more'
    if not strict and not prompts(reading, part):
        recalled = {m.flaw for m in reading.mentions if m.state == "present"}
    for mention in reading.mentions:
        sentence = reading.sentences[mention.sentence]
        if sentence.category != part or not mention.flaw:
            continue
        if mention.state != "present" and mention.flaw not in recalled:
            continue
        held = style is not None and (strict or part in style.aspects)  # what is named of the whole beer always counts
        if held and (tolerated(style, mention) or has_room(style, part, mention, reading)):
            continue
        if strict and mention.level is not None and LEVELS.index(mention.level) <= LEVELS.index("very low"):
            continue
        hits.append((mention.start, mention.end))
    if style is not None:
        hits += [
            (m.start, m.end)
            for m, _ in mismatches(reading)
            if reading.sentences[m.sentence].category == part and (not strict or m.term.kind in PLAIN_MISMATCH)
        ]
    return hits


def _missed(reading: Reading, part: str, strict: bool) -> list[tuple[int, int]]:
    """What this beer lacks of that whose absence is a lack by itself: head and lacing (of 60 marked sheets without one
    of them none was called unexplained, and of 16 with full marks 13 unpunished). Strict: not where hardly any may be
    right."""
    style = reading.style.style
    wanted = style.expectation(part, "head") if style else None
    if wanted and wanted.level and wanted.level[0] in (LEVELS[:2] if strict else LEVELS[:1]):
        return []
    own = [m for m in reading.mentions if reading.sentences[m.sentence].category == part and m.term.kind == "head"]
    if any(m.state == "present" and m.level in LEVELS[-2:] for m in own):
        return []  # 'no head on the sides, but a tall one on top'
    return [(_denial(reading, m), m.end) for m in own if m.state == "absent" and m.term.data.get("missed")]


def _denial(reading: Reading, mention: Mention) -> int:
    """The first word of what denies a mention in its sentence, or of the mention itself."""
    sentence = reading.sentences[mention.sentence]
    hits = hits_within(reading, ROLE_FILE, sentence.start, sentence.end)
    before = [start for start, end, cue in hits if cue == "negation" and mention.start - DENIED <= end <= mention.start]
    return max(before, default=mention.start)


def _judges_whole(reading: Reading, part: str, sentence: Sentence) -> bool:
    """Whether a sentence of the taster's liking says what the whole beer is, too: 'a saison spoiled by heat'."""
    return not prompts(reading, part) and sentence.role == "prefer" and judges(reading, sentence)


def _lacks(reading: Reading, part: str, *cues: str) -> list[tuple[int, int]]:
    """The words (first, behind the last) for a lack or a fault in what is said of this beer or its score."""
    hits = []
    for start, end, found in reading.cues[ROLE_FILE]:
        if found in cues:
            sentence = reading.sentences[reading.sentence_at(start)]
            if sentence.category == part and (sentence.role in SAYS or _judges_whole(reading, part, sentence)):
                hits.append((start, end))
    return hits
