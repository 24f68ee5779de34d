"""Denials that stand behind what they deny, that only ask back, or that are denied themselves; words taken back."""

from __future__ import annotations

from bisect import bisect_left

from notes2sheet.certain import SETTLED, Hits, answers_from
from notes2sheet.cues import cue_index
from notes2sheet.descriptors import CLAUSE_BREAK, CONTRAST, Mention, closed
from notes2sheet.transcript import Reading

SEEN = {"color", "clarity", "head", "carbonation", "body"}  # kinds of what does not come and go between two sips
IS = {"is", "are", "was", "were"}  # 'what bitterness is left' remains
HAS = IS | {"has", "have", "had", "'s", "'ve", "'d"}  # before 'gone'
HASTE = {"all", "now", "quite", "completely", "totally", "long", "since", "already", "just", "simply", "plumb", "clean"}
NOW = {"now", "too", "and", "but", "so", "completely", "entirely", "altogether", "already", "to", "into", "on", "onto"}
AFTER = {"once", "after", "until", "till", "when", "if", "unless", "before", "whenever"}  # before what will go
OBJECT, PLACE = {"it", "any", "them", "that"}, {"at", "here", "either", "anywhere", "in", "on"}
CLAUSE, NEAR, LED = 8, 10, 2  # words of a clause before a mention; before what is claimed, or between things
THERE, TAGGED = {"there", "it", "that", "they"}, {"'s", "is", "are", "'re"}
SAYS, DENIED = {"call", "say", "calling", "saying"}, {"not", "n't", "cannot", "never", "nobody"}
STOPS, KEEPS = {"stops", "stop", "stopped", "prevents", "prevented"}, {"keeps", "keep", "kept", "saves", "saved"}
BECOMING, DEGREES = {"being", "getting", "going", "turning", "becoming"}, {"too", "so", "all", "overly", "quite"}
KEPT = 4  # words from 'keeps' to 'from', both counted
JOINS = {"and", "or", "nor", "the", "a", "any", "some"}  # between things that are looked for together


def settle_denials(reading: Reading) -> None:
    """Correct the state of mentions that a denial before or behind them settles. Linear in the words."""
    answers = cue_index("answers").find(reading.words, overlapping=True)
    owned = {end for start, end, kind in answers if kind == "owned" or (kind == "claimed" and _denied(reading, start))}
    withdrawn = {end for start, end, kind in answers if kind == "withdrawn" and not _denied(reading, start)}
    for i, mention in enumerate(reading.mentions):
        if reading.sentences[mention.sentence].role not in SETTLED or not mention.known:
            continue
        if mention.start in withdrawn or any(answers_from(answers, mention.end, "taken_back")):
            _put(mention, "mentioned" if mention.state != "none" else "none")
            continue
        is_owned = mention.start in owned and not closed(reading, mention.start)
        if mention.state != "none" and (is_owned or _asks_back(reading, i) or _unsaid(reading, mention)):
            _put(mention, "present")
        elif _fronted(reading, mention, answers):
            _put(mention, "absent")
        elif kept := _kept_from(reading, mention):
            _put(mention, kept)
        elif mention.state in ("present", "mentioned") and _has_gone(reading, mention, answers):
            _put(mention, "absent")
    _sought(reading, answers)


def _denied(reading: Reading, at: int) -> bool:
    """Whether a denial stands just before word `at`: 'can't honestly | say there's no clove'."""
    return not DENIED.isdisjoint(reading.words[max(0, at - LED) : at])


def _put(mention: Mention, state: str) -> None:
    mention.state = state
    if mention.level == "none" and state == "present":
        mention.level = None


def _ends(reading: Reading, mention: Mention, at: int, further: set[str]) -> bool:
    """Whether nothing that changes the sense stands at word `at`, behind what is said of a mention."""
    if at == reading.sentences[mention.sentence].end or closed(reading, at):
        return True
    return reading.words[at] in further or reading.words[at : at + 2] == ["by", "now"]


def _has_gone(reading: Reading, mention: Mention, answers: Hits) -> bool:
    """Whether words behind a taste or smell say that it is no longer there, or did not come: 'the pear has nicked
    off', 'the wort of the nose did not follow'; not 'gone quiet', nor 'once the sulfur has gone'."""
    if mention.term.kind in SEEN or mention.level not in (None, "none", mention.term.level):
        return False
    start = max(reading.sentences[mention.sentence].start, mention.start - CLAUSE)
    begin = next((k for k in range(mention.start, start, -1) if closed(reading, k)), start)
    if not AFTER.isdisjoint(reading.words[begin : mention.start]):
        return False
    at = next(answers_from(answers, mention.end, "of_it"), mention.end)
    if at >= len(reading.words) or closed(reading, at):
        return False
    if any(_ends(reading, mention, stop, NOW) for stop in answers_from(answers, at, "failed")):
        return True
    if reading.words[at] not in HAS:
        return False
    remains = reading.words[at] in IS
    at += 1
    while at < len(reading.words) and reading.words[at] in HASTE:
        at += 1
    if remains and reading.words[at : at + 1] == ["left"]:
        return False
    return any(_ends(reading, mention, stop, NOW) for stop in answers_from(answers, at, "vanished"))


def _fronted(reading: Reading, mention: Mention, answers: Hits) -> bool:
    """Whether the words right behind a mention say that it is not found: 'honey I cannot find', 'hops, I get none'
    (112 of 114 marked descriptors there are absent); not 'the honey I don't find cloying'."""
    if mention.term.bare and mention.term.kind == "ferment":
        return False  # 'by-products of the fermentation I do not notice'
    for stop in answers_from(answers, mention.end, "not_found"):
        pointed = stop < len(reading.words) and not closed(reading, stop) and reading.words[stop] in OBJECT
        if _ends(reading, mention, stop + pointed, PLACE):
            return True
    return False


def _kept_from(reading: Reading, mention: Mention) -> str | None:
    """'absent' where something keeps the beer from what is named: 'bitterness keeps it from getting sticky', 'just
    enough to stop it being sweet'; 'present' where nothing does."""
    words, at = reading.words, mention.start - 1
    at -= words[at] in DEGREES
    if at < 1 or words[at] not in BECOMING or any(closed(reading, k) for k in range(at, mention.start + 1)):
        return None
    parted = words[at - 1] == "from"
    for verb in range(at - 1 - parted, max(at - KEPT - parted, 0), -1):
        if closed(reading, verb + 1):
            return None
        if words[verb] in STOPS or (parted and words[verb] in KEEPS):
            bare = words[verb] in ("stop", "keep")
            if verb == at - 1 - parted or (bare and words[verb - 2 : verb] != ["enough", "to"]):
                return None
            denied = not (DENIED | {"nothing"}).isdisjoint(words[max(0, verb - 4) : verb])
            return "present" if denied else "absent"
    return None


def _asks_back(reading: Reading, i: int) -> bool:
    """Whether what seems to deny a mention only asks back: 'there's vinegar, isn't there'; not 'there's bread, the
    honey isn't there'."""
    mention, words = reading.mentions[i], reading.words
    tag = words[mention.end : mention.end + 3]
    if mention.state != "absent" or len(tag) < 3 or tag[1] != "n't" or tag[2] not in THERE:
        return False
    floor = reading.mentions[i - 1].end if i else 0
    for at in range(mention.start - 1, max(floor, mention.start - CLAUSE), -1):
        if closed(reading, at + 1) or words[at] in DENIED:
            return False
        if words[at] in TAGGED:
            return words[at - 1] == tag[2] or (words[at - 1] in THERE and tag[2] != "there")
    return False


def _unsaid(reading: Reading, mention: Mention) -> bool:
    """Whether only the claim that something is absent is denied: 'I would not call the hops absent'."""
    if reading.words[mention.end : mention.end + 1] not in (["absent"], ["missing"]) or closed(reading, mention.end):
        return False
    before = reading.words[max(reading.sentences[mention.sentence].start, mention.start - NEAR) : mention.start]
    said = next((k for k, word in enumerate(before) if word in SAYS), None)
    return said is not None and not DENIED.isdisjoint(before[:said])


def _sought(reading: Reading, answers: Hits) -> None:
    """What is looked for is absent where the next clause says that it is not found: 'I looked for sulfur and butter,
    and there is none'."""
    starts = [mention.start for mention in reading.mentions]
    told = [hit for hit in answers if hit[2] in ("denied_there", "not_found")]
    denials = [start for start, end, _ in told if _all_said(reading, end)]
    for _, end, kind in answers:
        if kind != "searched":
            continue
        first = k = bisect_left(starts, end)
        at = end
        while k < len(starts) and starts[k] - at <= LED and JOINS.issuperset(reading.words[at : starts[k]]):
            at = reading.mentions[k].end
            k += 1
        found = reading.mentions[first:k]
        denied = bisect_left(denials, at)
        if found and denied < len(denials) and _next_clause(reading, at, denials[denied]):
            for mention in found:
                _put(mention, "absent")


def _all_said(reading: Reading, at: int) -> bool:
    """Whether a denial that ends before word `at` says all that it says: not 'I can't find | fault'."""
    at += at < len(reading.words) and not closed(reading, at) and reading.words[at] in OBJECT
    return closed(reading, at) or reading.words[at] in PLACE or reading.sentences[reading.sentence_at(at)].start == at


def _next_clause(reading: Reading, at: int, start: int) -> bool:
    """Whether a denial at word `start` begins the clause behind word `at`, which ends what is looked for."""
    between = reading.words[at:start]
    if start - at > 1 or (between and between[0] not in CONTRAST | {"and"}):
        return False
    return bool(between) or bool(CLAUSE_BREAK.search(reading.breaks[start]))
