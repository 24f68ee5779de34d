"""Where faults, lacks and mismatches are named, and the sentences that tell why points are off."""

from __future__ import annotations

from bisect import bisect_left

from notes2sheet.coverage import prompts
from notes2sheet.cues import ROLE_FILE, SHEET_FILE, hits_within
from notes2sheet.descriptors import CLAUSE_BREAK, Mention
from notes2sheet.excuses import excused
from notes2sheet.expectations import FADED, mismatches
from notes2sheet.faults import has_room, tolerated
from notes2sheet.features import START, function_words
from notes2sheet.lexicon import LEVELS
from notes2sheet.numbers import begins_number
from notes2sheet.scales import steps_outside
from notes2sheet.score_booking import Standing
from notes2sheet.score_view import score_words
from notes2sheet.sentences import Sentence
from notes2sheet.stance import CONTRAST
from notes2sheet.style_data import kin
from notes2sheet.transcript import Reading
from notes2sheet.unbroken import joined
from notes2sheet.whole_beer import judges, lacks_of_whole

PLAIN_MISMATCH = {"clarity", "body", "head", "carbonation"}  # kinds in which leaving the style is plain for all to see
FIRM, LACKS = ("fault_firm",), ("lack", "shortcoming")  # cues
BECAUSE = ("because", "since")
THINGS = ("being", "having", "the", "that", "this", "its", "my")  # 'for the foam'
SAYS = ("observe", "score")  # roles in which something is said of this beer
NEAR = 3  # sentences before a deduction in which what it is for may have been found
PLACE = (["under"], ["off"])  # alone they rather tell where something is
BACK = ("that", "this", "it")  # behind 'for', for what was found before
SHOWN = 3  # reasons of a part
VAGUE = CONTRAST | {"under", "n't"}  # words for a lack that name none by themselves
CHANGED = ("more", "less", "improved", "fixed", "raised", "cleaned", "lifted")
WISHES = {"love", "like", "liked"}
HALF = (["half", "a"], ["half", "an"], ["half", "of"])
CLEAR = ("brilliant", "clear")  # the steps of clarity that are no haze
COMPARED = 4  # words behind 'could be' in which a lack is told: 'could be a bit more'
WHERE = {"where", "as", "what", "how"}  # before 'it needs to be'
AHEAD = 9  # words behind a wish in which what is wished is looked for
NO_MORE = {"n't", "not", "cannot", "can't", "never"}  # before 'because'
DENIED = 4  # words before one that a 'no' or 'can't' among them denies


def find_reasons(reading: Reading, part: str, standing: Standing, cap: int) -> tuple[tuple[int, int], ...]:
    """The sentences that tell why points are off which no deduction accounts for, in the order of the notes.

    They are those with an off-flavor, a mismatch with the style or a firm word for a fault, and those about the score
    that name a lack; without any, those with any lack; else poor looks, or what a score is given for. Empty where
    nothing is left to account for.
    """
    if standing.unaccounted(cap) <= 0:
        return ()
    lacks = [hit for hit in _lacks(reading, part, *LACKS, "fails") if _tells(reading, *hit)]
    lacking = _sentences(reading, lacks)
    named = (
        _described(reading, part, strict=False) + _missed(reading, part, strict=False) + _lacks(reading, part, *FIRM)
    )
    named += [] if prompts(reading, part) else lacks_of_whole(reading, part)
    passed = _passed(reading)
    chosen = _sentences(reading, [hit for hit in named if hit not in passed])
    chosen |= {at for at in lacking if reading.sentences[at].role == "score"}
    told = {at for _, at, _ in standing.taken}
    poor = [hit for hit in _poor_looks(reading, part) if hit not in passed]
    rest = _sentences(reading, poor + _given_for(reading, part))
    shown = sorted(chosen - told or lacking - told or rest - told)[:SHOWN]
    return tuple(dict.fromkeys(reading.whole(joined(reading, at)) for at in shown))


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
    return any(word in CHANGED or (len(word) > 4 and word.endswith("er")) for word in words)


def _sentences(reading: Reading, hits: list[tuple[int, int]]) -> set[int]:
    """The sentences that the hits begin in."""
    return {reading.sentence_at(start) for start, _ in hits}


def fault_words(reading: Reading, part: str) -> list[tuple[int, int]]:
    """The spans where a fault, a lack or a mismatch of any kind is named in a part, or the reason of its score."""
    hits = _described(reading, part, strict=False) + _missed(reading, part, strict=False) + _poor_looks(reading, part)
    hits += _meant(reading, part, LACKS) + _given_for(reading, part) + _wished(reading, part)
    hits += [] if prompts(reading, part) else lacks_of_whole(reading, part)
    return [reading.span(*hit) for hit in hits]


def firm_fault_words(reading: Reading, part: str) -> list[tuple[int, int]]:
    """The spans where a part is said to have an off-flavor that the style has no room for, a plain mismatch or a fault;
    any lack, where the score owns that something speaks against it."""
    conceded = _gives_all_the_same(reading, reading.scores.parts[part])
    hits = _described(reading, part, not conceded) + _missed(reading, part, not conceded)
    hits += _meant(reading, part, LACKS if conceded else FIRM) + (_poor_looks(reading, part) if conceded else [])
    passed = _passed(reading)
    hits = [hit for hit in hits if hit not in passed]
    named = [hit for hit in hits if VAGUE.isdisjoint(reading.words[slice(*hit)])]
    return [reading.span(*hit) for hit in named or hits]


def _passed(reading: Reading) -> set[tuple[int, int]]:
    """The words of what is there and let pass."""
    return {(m.start, m.end) for m in reading.mentions if m.state == "present" and excused(reading, m)}


def _meant(reading: Reading, part: str, cues: tuple[str, ...]) -> list[tuple[int, int]]:
    """The words for a lack or a fault in a part that mean one and are not denied."""
    lacks = _lacks(reading, part, *cues)
    return [hit for hit in lacks if not _means_other(reading, *hit) and not _denied(reading, *hit)]


def _gives_all_the_same(reading: Reading, standing: Standing) -> bool:
    """Whether the words of a score own that something speaks against it ('five out of five anyway', 'but I'll give it
    the three')."""
    for sentence in (reading.sentences[at] for at in standing.sentences):
        words = reading.words[sentence.start : sentence.end]
        still = words.index("still") if "still" in words else len(words)
        giving = not score_words("givers").isdisjoint(words[still + 1 : still + 3])
        if giving or not score_words("conceding").isdisjoint(words):
            return True
    return False


def _means_other(reading: Reading, start: int, end: int) -> bool:
    """Whether words that may tell a lack mean something else: a place ('under'), 'also' ('orange peel too'), what it is
    likened to ('peach, could be apricot'), what is right ('where it needs to be')."""
    said = reading.words[start:end]
    behind = reading.words[end : end + 1]
    last = reading.sentences[reading.sentence_at(start)].end
    ends = end >= last or CLAUSE_BREAK.search(reading.breaks[end])
    if said == ["too"]:
        return bool(ends) or behind[0] in function_words()
    if said == ["could", "be"]:
        return bool(ends) or not _asks_for_change(reading.words[end : end + COMPARED])
    right = said == ["needs"] and behind == ["to"] and not WHERE.isdisjoint(reading.words[max(start - 2, 0) : start])
    return said in PLACE or right


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
            word = reading.words[k]
            account = reading.words[k - 1 : k + 1] == ["on", "account"]  # 'on account of that perfume'
            thing = k + 2 + account
            reason = word in BECAUSE or account or (word == "for" and reading.words[k + 1] in THINGS)
            if reason and thing < sentence.end and thing not in names and not _plain(reading.words[thing]):
                hits.append((k, k + 1))
    return hits + _no_more_because(reading, part)


def _no_more_because(reading: Reading, part: str) -> list[tuple[int, int]]:
    """The words that begin the reason why no more is given, beside a score, where what is behind them describes the
    beer: 'I can't go higher because there's onion'."""
    hits = []
    for at, sentence in enumerate(reading.sentences):
        if sentence.category != part or sentence.role != "score":
            continue
        for k in (k for k in range(sentence.start + 2, sentence.end) if reading.words[k] in BECAUSE):
            low, high = (bisect_left(reading.mentions, edge, key=START) for edge in (k, joined(reading, at).end))
            denied = not NO_MORE.isdisjoint(reading.words[max(sentence.start, k - DENIED - 1) : k])
            if denied and any(m.state == "present" for m in reading.mentions[low:high]):
                hits.append((k, k + 1))
    return hits


def _wished(reading: Reading, part: str) -> list[tuple[int, int]]:
    """The words of a finding on the whole beer for what would make it better ('some more bitterness'), or that call it
    half of something ('half a style'). Of 81 marked sheets whose whole is not explained 3 have such a finding."""
    if prompts(reading, part):
        return []
    found = (s for s in reading.sentences if s.category == part and s.role == "observe")
    words, wished = reading.words, score_words("wished")
    places = (at for s in found for at in range(s.start, s.end))
    return [(at, at + 1) for at in places if words[at] in wished or words[at : at + 2] in HALF]


def _plain(word: str) -> bool:
    """Whether a word names no thing: a function word or a figure ('I give for this seven')."""
    return word in function_words() or begins_number(word)


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
        if strict and excused(reading, mention):
            continue
        if strict and mention.level is not None and LEVELS.index(mention.level) <= LEVELS.index("very low"):
            continue
        hits.append((mention.start, mention.end))
    if style is not None:
        hits += [
            (m.start, m.end)
            for m, _ in mismatches(reading)
            if reading.sentences[m.sentence].category == part
            and (not strict or (m.term.kind in PLAIN_MISMATCH and not excused(reading, m)))
        ]
    return hits


def _poor_looks(reading: Reading, part: str) -> list[tuple[int, int]]:
    """Looks that cost points though they need be no fault: a head that is gone, haze where the style may be clear (of
    11 marked sheets where a third of the appearance is off and not explained none tells of either)."""
    style = reading.style.style
    wanted = style.expectation(part, "clarity") if style else None
    span = wanted.range if wanted else None
    hazy = bool(span and steps_outside("clarity", CLEAR, span[0]))
    own = [m for m in reading.mentions if reading.sentences[m.sentence].category == part and m.state == "present"]
    return [(m.start, m.end) for m in own if m.term is not None and _looks_poor(reading, m, not hazy)]


def _looks_poor(reading: Reading, mention: Mention, clear: bool) -> bool:
    """Whether a mention tells of a head that is gone, or of haze in a beer that may be `clear`."""
    if mention.term.kind == "clarity":
        return clear and bool(steps_outside("clarity", CLEAR, mention.term.name))
    return FADED in kin(mention.term, reading.lexicon)


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
