"""What is said of the beer as a whole: a verdict, an impression, a fault, advice to its brewer; beside a score, too."""

from __future__ import annotations

from bisect import bisect_left

from notes2sheet.brewing import advice_in, advice_words, asked_for, change_wanted, phrases
from notes2sheet.cues import ROLE_FILE, SCORE_FILE, SHEET_FILE, cue_index, cue_words, hits_within
from notes2sheet.features import START, function_words
from notes2sheet.numbers import begins_number
from notes2sheet.score_view import score_words
from notes2sheet.sentences import Sentence
from notes2sheet.transcript import Reading

REMARK_WORDS = 4  # words from which a sentence is a remark
ANNOUNCED = 3  # words from which a sentence without a label may be more than an announcement
NAMED = 4  # words behind an impression up to the word for the beer: 'nice winter | beer'
LACKING = ("shortcoming", "fault_firm")  # cues
MODEST = {"and", "but", "bit", "little", "enough", "overall"}  # beside impressions
ARTICLES, DENIED = {"a", "an", "the"}, {"not", "n't", "no", "isn't", "never"}  # before an impression
REASON = ("because", "since", "as", "cause", "cos")  # behind a score
OF_IT = {"it", "it's", "they", "the", "that", "this", "of", "its", "there", "there's"}  # behind such a word
ELSE = {"compare", "hypothesis", "nearly", "negation"}  # cues of what is not said of this beer
BEHIND = 3  # sentences behind the last one on the whole beer that may go on about it


def judges(reading: Reading, sentence: Sentence) -> bool:
    """Whether a sentence says what the beer is as a whole: 'drinkable', 'a good example'."""
    return bool(_verdicts(reading, sentence))


def _verdicts(reading: Reading, sentence: Sentence) -> list[tuple[int, int, str]]:
    """The verdicts of a sentence, by their places in it."""
    return cue_index("verdicts").find(reading.words[sentence.start : sentence.end])


def remarks(reading: Reading, sentence: Sentence) -> bool:
    """Whether enough words of a sentence are no function words, no figures and no words for parts or scores."""
    return len(_told(reading, sentence.start, sentence.end)) >= REMARK_WORDS


def of_whole(reading: Reading, part: str) -> list[Sentence]:
    """The sentences that tell something of the whole beer, which is the part's: its own, and those right behind them
    or for the brewer in the closing words."""
    last = max((n for n, s in enumerate(reading.sentences) if s.category == part), default=len(reading.sentences))
    out, goes_on = [], True
    for n, sentence in enumerate(reading.sentences):
        if sentence.category == part:
            told = tells(reading, sentence)
        elif sentence.category != "closing" or reading.running:
            continue
        else:
            goes_on &= n <= last or (n <= last + BEHIND and _goes_on(reading, sentence))
            told = (n > last and goes_on) or _for_brewer(reading, sentence)
        if told:
            out.append(sentence)
    return out


def tells(reading: Reading, sentence: Sentence) -> bool:
    """Whether a sentence in the talk about the whole beer tells something of it; the taster's liking, small talk,
    another beer and questions do not."""
    if sentence.role == "observe":
        return _enough(reading, sentence)
    if sentence.role == "expect" or reading.asks(sentence):
        return False
    if sentence.role in ("score", "prefer") and judges(reading, sentence):
        return True
    if _advises(reading, sentence) or _faulty(reading, sentence):
        return True
    if sentence.role == "score":
        return remarks(reading, sentence) or _beside_score(reading, sentence)
    return sentence.role == "talk" and _calls_it(reading, sentence)


def _enough(reading: Reading, sentence: Sentence) -> bool:
    """Whether a finding is more than an announcement."""
    label = label_end(reading, sentence)
    if label > sentence.start:
        return label < sentence.end
    brief = range(sentence.start, sentence.end)
    return (
        len(brief) >= ANNOUNCED or judges(reading, sentence) or any(_impression_at(reading, sentence, k) for k in brief)
    )


def label_end(reading: Reading, sentence: Sentence) -> int:
    """The word behind the label with a colon that a sentence begins with, that of a part or of what is said in it
    ('Comment:'); its first word where there is none."""
    hits = hits_within(reading, SHEET_FILE, sentence.start, sentence.start + 1)
    ends = [end for _, end, _ in hits]
    ends += [sentence.start + 1] * (reading.words[sentence.start] in cue_words("wording", "labels"))
    return max(
        (end for end in ends if reading.breaks[end : end + 1] == [":"] and end < sentence.end), default=sentence.start
    )


def _goes_on(reading: Reading, sentence: Sentence) -> bool:
    """Whether a sentence right behind those on the whole beer goes on about it."""
    plain = sentence.role in ("talk", "score") and _calls_it(reading, sentence)
    return plain or _advises(reading, sentence) or _faulty(reading, sentence)


def lacks_of_whole(reading: Reading, part: str) -> list[tuple[int, int]]:
    """The words in which advice to the brewer, or a fault of the whole beer, says what it lacks."""
    hits = []
    for sentence in of_whole(reading, part):
        advised = advice_in(reading, sentence) or change_wanted(reading, sentence)
        hits += phrases(reading, sentence, "fault") if _faulty(reading, sentence) else []
        hits += [advised] if advised is not None else []
    return hits


def _for_brewer(reading: Reading, sentence: Sentence) -> bool:
    """Whether a sentence is addressed to the brewer."""
    return bool(phrases(reading, sentence, "addressed")) and _advises(reading, sentence)


def _advises(reading: Reading, sentence: Sentence) -> bool:
    """Whether a sentence tells the brewer what to do, or what there should be more or less of."""
    if reading.asks(sentence):
        return False
    told = advice_in(reading, sentence) or change_wanted(reading, sentence)
    return told is not None or asked_for(reading, sentence)


def _faulty(reading: Reading, sentence: Sentence) -> bool:
    """Whether a fault of the whole beer is named, and not denied, of another beer or only supposed."""
    cues = {cue for _, _, cue in hits_within(reading, ROLE_FILE, sentence.start, sentence.end)}
    if not ELSE.isdisjoint(cues):
        return False
    return bool(phrases(reading, sentence, "fault")) or any(flaw for flaw in _states(reading, sentence, "present"))


def _states(reading: Reading, sentence: Sentence, *states: str) -> list[str | None]:
    """The off-flavors, None for what is none, of the mentions of a sentence in one of these states."""
    low, high = (bisect_left(reading.mentions, k, key=START) for k in (sentence.start, sentence.end))
    return [m.flaw for m in reading.mentions[low:high] if m.state in states]


def _told(reading: Reading, start: int, end: int) -> list[str]:
    """The words `start` to `end` that are no function words, no figures and no words for parts or scores."""
    hits = [hit for file in (SHEET_FILE, SCORE_FILE) for hit in hits_within(reading, file, start, end)]
    cued = {k for first, last, _ in hits for k in range(first, last)}
    words = [reading.words[k] for k in range(start, end) if k not in cued]
    empty = function_words() | score_words("winds_up")
    return [word for word in words if word.isalpha() and word not in empty and not begins_number(word)]


def _beside_score(reading: Reading, sentence: Sentence) -> bool:
    """Whether something is told beside a score, or in a sentence that only seemed to give one: a descriptor, a lack, an
    impression, a reason."""
    if _cued_as(reading, sentence, "compare"):
        return False
    if _states(reading, sentence, "present", "absent") or _cued_as(reading, sentence, *LACKING):
        return True
    if any(_impression_at(reading, sentence, k) for k in range(sentence.start, sentence.end)):
        return True
    if any(begins_number(reading.words[k]) for k in range(sentence.start, sentence.end)):
        return _reasoned(reading, sentence)
    if reading.running or (sentence.start, sentence.end) in reading.flowing:
        return False
    return bool(_told(reading, sentence.start, sentence.end)) and not _cued_as(reading, sentence, "talk", "taste")


def _cued_as(reading: Reading, sentence: Sentence, *cues: str) -> bool:
    """Whether one of these cues stands in a sentence."""
    return any(cue in cues for _, _, cue in hits_within(reading, ROLE_FILE, sentence.start, sentence.end))


def _impression_at(reading: Reading, sentence: Sentence, at: int) -> bool:
    """Whether word `at` tells how the beer is, not how the score: 'fine', not 'a solid | seven', 'a good six'."""
    words, behind = reading.words, at + 1
    if words[at] not in advice_words("impression") or (at == sentence.start and words[at] in score_words("winds_up")):
        return False
    figure = behind < sentence.end and begins_number(words[behind]) and not reading.breaks[behind].strip()
    counted = figure and (words[at - 1] in ARTICLES or label_end(reading, sentence) == sentence.start)
    denied = words[at - 1] in DENIED or words[at - 1] in ("i'm", "'m", "am")
    of_score = words[max(at - 2, 0) : at] in (["that", "'s"], ["that", "is"])
    return not counted and not denied and not of_score


def _reasoned(reading: Reading, sentence: Sentence) -> bool:
    """Whether a reason stands right behind a score, and speaks of the beer: '7 because it's muddled', not 'because I am
    tired'."""
    words, figure = reading.words, sentence.start - NAMED - 1
    for k in range(sentence.start, sentence.end - 1):
        if begins_number(words[k]):
            figure = k
        elif words[k] in REASON and k - figure <= NAMED and words[k + 1] in OF_IT:
            return "i" not in words[figure : sentence.end] and bool(_told(reading, k + 1, sentence.end))
    return False


def _calls_it(reading: Reading, sentence: Sentence) -> bool:
    """Whether a sentence begins by calling the beer something ('nice winter beer, …', 'a solid effort'), or is nothing
    but an impression ('muddled', 'nice and clean')."""
    if _cued_as(reading, sentence, "compare", "hypothesis", "taste", "question"):
        return False
    at = sentence.start + (reading.words[sentence.start] == "not")
    while at < sentence.end and reading.words[at] in advice_words("article"):
        at += 1
    if any(start <= at - sentence.start for start, _, _ in _verdicts(reading, sentence)):
        return True
    if at >= sentence.end or not _impression_at(reading, sentence, at):
        return False
    named = not advice_words("drink").isdisjoint(reading.words[at + 1 : min(at + 1 + NAMED, sentence.end)])
    small = advice_words("impression") | advice_words("article") | MODEST
    return named or (not reading.running and small.issuperset(reading.words[at : sentence.end]))
