"""The draft comment of each part: level, descriptor, absence, in the order of the prompts, in the judge's own words."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import replace

from notes2sheet.coverage import SOURCE_WORDS, answers, aspects_of, prompts
from notes2sheet.descriptors import CLAUSE_BREAK, CONTRAST, Mention, level_index
from notes2sheet.expectations import SCALED
from notes2sheet.features import function_words
from notes2sheet.intensities import intensity_said
from notes2sheet.lexicon import cue_file
from notes2sheet.sentences import Sentence
from notes2sheet.transcript import Reading
from notes2sheet.whole_beer import REASON, label_end, of_whole

CLAUSE_WORDS = 12
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
        figure = intensity_said(reading, mention)
        worded = f"{_worded(reading, mention)} {figure}".rstrip()
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
    lines = []
    for aspect, words in groups.items():
        there, missing = _parted_by_denial(words)
        if words and aspect != "other":
            there = [_under_name(reading, aspect, word, there) for word in there]
            lines.append(f"{aspect.capitalize()}: {_listed(list(dict.fromkeys(there)), missing)}.")
        elif words:
            lines.append(f"{'Also: ' if lines else ''}{_listed(there, missing)}.")
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


def _parted_by_denial(words: dict[str, str]) -> tuple[list[str], list[str]]:
    """(what is there, what is missing), as worded."""
    missing = [word for word in words.values() if word.startswith(DENIED)]
    return [word for word in words.values() if word not in missing], missing


def _listed(there: list[str], missing: list[str]) -> str:
    """What is there, and behind it what is missing: 'low plum; no burnt, no diacetyl'."""
    return "; ".join(", ".join(part) for part in (there, missing) if part)


def _under_name(reading: Reading, aspect: str, worded: str, there: list[str]) -> str:
    """The words without the prompt's name, under which they stand anyway: 'finish is dry', 'brilliant clarity'. A level
    needs the name beside other words ('high carbonation, low sparkle'), and that of what is smelled ('low malt')."""
    links = (f"{aspect} is ", f"{aspect}'s ", f"{aspect}’s ", f"{aspect} are ")
    linked = worded.startswith(links)
    link = next((link for link in links if worded.startswith(link)), f"{aspect} ")
    rest = worded.removeprefix(link).removesuffix(f" {aspect}").strip()
    if not rest or rest == worded:
        return worded
    telling = _telling(reading, aspect, rest)
    named = aspect in SOURCE_WORDS
    if telling == "level":
        return rest if (worded == there[0] if linked else len(there) == 1 and not named) else worded
    whole = linked or (aspect in SCALED and worded.endswith(f" {aspect}"))
    return rest if whole or (telling and not named) else worded


def _telling(reading: Reading, aspect: str, said: str) -> str | None:
    """'level' where words tell a level and nothing else, 'quality' where they tell what the prompt asks for; None where
    some of them are of another kind ('hop astringency', 'high white head') and need its name."""
    words = said.replace("-", " ").split()
    levels = {k for index in level_index() for a, b, _ in index.find(words, overlapping=True) for k in range(a, b)}
    hits = reading.lexicon.phrases.find(words, overlapping=True)
    own = {
        k for a, b, hit in hits for k in range(a, b)
        if not hit.term.bare and (hit.term.kind == aspect or aspect in SCALED)
    }  # fmt: skip
    every = set(range(len(words)))
    if levels >= every:
        return "level"
    return "quality" if own | (levels if aspect in SCALED else set()) >= every else None


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
    """For a part without prompts, what is told of the whole beer, as said: 'less crystal malt' of '7 - less crystal
    malt'."""
    out = []
    for sentence in of_whole(reading, category):
        start, end = _without_score(reading, sentence, category)
        said = " ".join(reading.text[start:end].split()).rstrip(".,;")
        said += ")" if said.count("(") > said.count(")") else ""
        out.append(_begun(said) + ".")
    return out


def _without_score(reading: Reading, sentence: Sentence, category: str) -> tuple[int, int]:
    """The span of a sentence without its label, and without the score that it begins or ends with beside a mark."""
    first, last = label_end(reading, sentence), sentence.end
    spans = {
        (bisect_left(reading.starts, a), bisect_left(reading.starts, b))
        for a, b in reading.scores.parts[category].spans
    }
    begins = max((end for start, end in spans if start == first and end < last), default=first)
    if begins > first and (_edge(reading, begins) or reading.words[begins] in REASON):
        first = begins
    ends = min((start for start, end in spans if end == last and start > first), default=last)
    if ends < last and (_edge(reading, ends) or reading.words[ends][:1].isdigit()):
        last = ends
    return reading.span(first, last)


def _edge(reading: Reading, k: int) -> bool:
    """Whether a mark stands before word `k`."""
    return bool(reading.breaks[k].strip())


def _begun(said: str) -> str:
    """What was said with a capital, without the word that joins it to what came before."""
    first, _, rest = said.partition(" ")
    told = rest if first.lower() in JOINING and rest else said
    return told[:1].upper() + told[1:]
