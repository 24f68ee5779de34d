"""The draft comment of each part: level, descriptor, absence, in the order of the prompts, in the judge's own words."""

from __future__ import annotations

from dataclasses import replace

from notes2sheet.coverage import answers, aspects_of, prompts
from notes2sheet.cues import SCORE_FILE, SHEET_FILE, cue_index, hits_within
from notes2sheet.descriptors import CLAUSE_BREAK, CONTRAST, Mention
from notes2sheet.features import function_words
from notes2sheet.lexicon import cue_file
from notes2sheet.numbers import begins_number
from notes2sheet.sentences import Sentence
from notes2sheet.transcript import Reading

CLAUSE_WORDS = 12
REMARK_WORDS = 4  # words from which a sentence is a remark
ANNOUNCED = 3  # words from which a sentence without a label may be more than an announcement
SEEN_OR_FELT = {"clarity", "body", "creaminess", "astringency", "warmth"}  # kinds told by adjectives: 'slightly hazy'
ADJECTIVES = (
    *("y", "ing", "ed", "ic", "ish", "clear", "bright", "brilliant", "dull", "thin", "full", "smooth", "soft"),
    *("rough", "harsh", "slick", "hot"),
)  # how they end
JOINING = ("and", "and,", "so,", "well,")  # before what is said of the whole beer
APART = 2  # words between two mentions of one thing, none of them one of these:
PARTING = frozenset(("and", "or", "but", "then", "with", "is", "'s", "&", "/", "nor", "no", "not"))
DENIED = ("no ", "not ")  # how what is missing is worded
NOUNS = ("body", "clarity", "astringency")
WEAKENED = frozenset(("at", "all", "really", "very", "too", "overly", "particularly", "especially", "terribly"))


def compose(reading: Reading, category: str) -> str:
    """What was said of this beer for `category`; nothing is added that the notes don't say."""
    asked = prompts(reading, category)
    if not asked:
        return " ".join(_observations(reading, category))
    groups: dict[str, dict[str, str]] = {aspect: {} for aspect in (*asked, "other")}
    for mention in _images(reading, category):
        sentence = reading.sentences[mention.sentence]
        if mention.state == "mentioned" or _only_a_reason(mention, sentence.role):
            continue
        aspect = next(iter(aspects_of(reading, mention)), "other")
        worded = _worded(reading, mention)
        key = mention.term.name or worded
        if key not in groups[aspect] or len(worded) > len(groups[aspect][key]) and groups[aspect][key] in worded:
            groups[aspect][key] = worded
    for mention in reading.unmarked:
        sentence = reading.sentences[mention.sentence]
        if sentence.category == category and sentence.role == "observe" and answers(mention):
            for aspect in reading.sheet.aspects_of(mention.term):
                clause = _clause_around(reading, mention)
                if aspect in asked and not groups[aspect] and (not mention.term.bare or _tells(clause)):
                    groups[aspect]["said"] = f"“{clause}”"
    lines = [
        f"{aspect.capitalize()}: {_listed(words).removeprefix(f'{aspect} is ')}."
        for aspect, words in groups.items()
        if words and aspect != "other"
    ]
    if groups["other"]:
        lines.append(f"{'Also: ' if lines else ''}{_listed(groups['other'])}.")
    return " ".join(lines)


def _images(reading: Reading, category: str) -> list[Mention]:
    """The mentions of a part, each with the words outside the lexicon beside it: 'breakfast cereal soaked in warm
    milk' is one thing."""
    out: list[Mention] = []
    for mention in reading.mentions:
        if reading.sentences[mention.sentence].category != category:
            continue
        before = out[-1] if out else None
        if before is not None and _one_image(reading, before, mention):
            known = mention if before.hits[0].how == "context" else before
            out[-1] = replace(known, start=before.start, end=mention.end)
        else:
            out.append(mention)
    return out


def _one_image(reading: Reading, first: Mention, other: Mention) -> bool:
    """Whether two mentions beside each other, one of them outside the lexicon or both of one fault, tell one thing: no
    mark, no more than two words and no 'and' between them."""
    likened = first.flaw is not None and first.flaw == other.flaw and first.end == other.start  # 'tinny | like blood'
    strange = likened or "context" in (first.hits[0].how, other.hits[0].how)
    near = first.sentence == other.sentence and first.end <= other.start <= first.end + APART
    if not strange or not near or first.state != other.state or other.end - first.start > CLAUSE_WORDS:
        return False
    parted = any(CLAUSE_BREAK.search(reading.breaks[k]) for k in range(first.end, other.start + 1))
    return not parted and PARTING.isdisjoint(reading.words[first.end : other.start])


def _listed(words: dict[str, str]) -> str:
    """What is there, and behind it what is missing: 'low plum; no burnt, no diacetyl'."""
    missing = [word for word in words.values() if word.startswith(DENIED)]
    there = [word for word in words.values() if not word.startswith(DENIED)]
    return "; ".join(", ".join(part) for part in (there, missing) if part)


def _tells(clause: str) -> bool:
    """Whether a clause of three words and more holds one beside the prompt's name that is no function word."""
    words = clause.lower().split()
    return len(words) > 2 and sum(word not in function_words() for word in words) > 1


def _only_a_reason(mention: Mention, role: str) -> bool:
    """Whether words outside the lexicon stand beside a score, where they tell why points are off ('1 for the short
    malt')."""
    return role == "score" and mention.hits[0].how == "context"


def _spoken(reading: Reading, start: int, end: int) -> str:
    """The words as the lexicon spells them, hyphens kept."""
    out = reading.words[start]
    for k in range(start + 1, end):
        between = reading.text[reading.ends[k - 1] : reading.starts[k]]
        out += (between if between in ("-", "/", "") else " ") + reading.words[k]
    return out


def _worded(reading: Reading, mention: Mention) -> str:
    said = _spoken(reading, mention.start, mention.end)
    if any(h.how in ("heard", "risky") for h in mention.hits):
        said = mention.term.name
    if mention.state == "absent":
        denied = "not" if _adjective(mention, said) else _denial(reading, mention)
        return said if said.startswith(("no ", "not ")) else f"{denied} {said}"
    named = f" ({mention.flaw})" if mention.flaw and mention.flaw[:4] not in said else ""
    level = mention.level if mention.level and mention.term and mention.term.level is None else None
    if not level or level == "none" or level in said:
        return f"{said}{named}"
    if _adjective(mention, said):
        level = cue_file("levels")[level]["adverb"]
    return f"{said}{named}" if level in said else f"{level} {said}{named}"


def _adjective(mention: Mention, said: str) -> bool:
    return mention.term.kind in SEEN_OR_FELT and said.endswith(ADJECTIVES) and not said.endswith(NOUNS)


def _denial(reading: Reading, mention: Mention) -> str:
    """'not' where the notes deny a quality ('isn't harsh'), 'no' where they miss a thing."""
    before = mention.start - 1
    while before >= 0 and reading.words[before] in WEAKENED:
        before -= 1
    word = reading.words[max(before, 0)]
    return "not" if word in ("not", "never") or word.endswith(("n't", "n’t")) else "no"


def _clause_around(reading: Reading, mention: Mention) -> str:
    """The clause from where a prompt is named, at most a dozen words; all before it where it closes the clause."""
    sentence = reading.sentences[mention.sentence]
    end = mention.end
    while end < sentence.end and end - mention.start < CLAUSE_WORDS and not CLAUSE_BREAK.search(reading.breaks[end]):
        end += 1
    begin = mention.start
    while end == mention.end and begin > max(sentence.start, end - CLAUSE_WORDS) and not _parted(reading, begin):
        begin -= 1
    start, stop = reading.span(begin, end)
    return " ".join(reading.text[start:stop].split())


def _parted(reading: Reading, k: int) -> bool:
    """Whether a clause begins with word `k`, or a contrast stands before it."""
    return reading.words[k - 1] in CONTRAST or bool(CLAUSE_BREAK.search(reading.breaks[k]))


def _observations(reading: Reading, category: str) -> list[str]:
    """For a part without prompts, the sentences that observe, as said; announcements left out. Remarks beside a score
    too: '7 - less crystal malt'."""
    out = []
    labels = {start: end for start, end, _ in reading.cues[SHEET_FILE] if reading.breaks[end : end + 1] == [":"]}
    for sentence in reading.sentences:
        if sentence.category != category:
            continue
        begin = labels.get(sentence.start, sentence.start)
        least = sentence.start + ANNOUNCED if begin == sentence.start else begin + 1
        told = sentence.role == "observe" or (sentence.role == "score" and remarks(reading, sentence))
        told |= sentence.role in ("score", "prefer") and judges(reading, sentence)
        if told and sentence.end >= least:
            start, end = reading.span(begin, sentence.end)
            said = " ".join(reading.text[start:end].split()).rstrip(".,;")
            said += ")" if said.count("(") > said.count(")") else ""
            out.append(_begun(said) + ".")
    return out


def _begun(said: str) -> str:
    """What was said with a capital, without the word that joins it to what came before."""
    first, _, rest = said.partition(" ")
    told = rest if first.lower() in JOINING and rest else said
    return told[:1].upper() + told[1:]


def judges(reading: Reading, sentence: Sentence) -> bool:
    """Whether a sentence says what the beer is as a whole: 'drinkable', 'a good example'."""
    return bool(cue_index("verdicts").find(reading.words[sentence.start : sentence.end]))


def remarks(reading: Reading, sentence: Sentence) -> bool:
    """Whether enough words of a sentence are no function words, no figures and no words for parts or scores."""
    within = sentence.start, sentence.end
    hits = [hit for file in (SHEET_FILE, SCORE_FILE) for hit in hits_within(reading, file, *within)]
    cued = {k for start, end, _ in hits for k in range(start, end)}
    words = [reading.words[k] for k in range(sentence.start, sentence.end) if k not in cued]
    told = [word for word in words if word.isalpha() and word not in function_words() and not begins_number(word)]
    return len(told) >= REMARK_WORDS
