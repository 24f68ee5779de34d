"""The draft comment of each part: level, descriptor, absence, in the order of the prompts, in the judge's own words."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import replace

from notes2sheet.coverage import QUALITIES, SOURCE_WORDS, answers, aspects_of, prompts
from notes2sheet.cues import SHEET_FILE, hits_within
from notes2sheet.descriptors import CLAUSE_BREAK, CONTRAST, Mention, level_hits
from notes2sheet.features import START, function_words
from notes2sheet.intensities import intensity_said
from notes2sheet.numbers import begins_number
from notes2sheet.sentences import Sentence
from notes2sheet.totals import band_index
from notes2sheet.transcript import Reading
from notes2sheet.unbroken import as_written
from notes2sheet.whole_beer import ARTICLES, REASON, judges, label_end, of_whole
from notes2sheet.wording import DENIED, under_name, worded
from notes2sheet.words import base_forms

CLAUSE_WORDS, QUOTED = 12, 18  # words before a prompt's name that are quoted, and those from it on, at most
SHORT = 4  # letters of a label that may be shortened with a stop
DEPENDENT = {"than", "which", "that", "and", "or", "of", "from", "to", "who"}  # need what stands before them
JOINING = ("and", "and,", "so,", "well,")  # before what is said of the whole beer
APART = 2  # words between two mentions of one thing, none of them one of these:
PARTING = frozenset(("and", "or", "but", "then", "with", "is", "'s", "&", "/", "nor", "no", "not"))
ASKED = {  # bare names that tell nothing beside what is said of them: 'malt' beside 'low caramel'
    *("malt", "hops", "bitterness", "balance", "finish", "aftertaste", "color", "clarity", "head", "body"),
    *("carbonation", "yeast", "fermentation character"),
}
LEADING = {"so", "and", "then"}  # join a clause to what stands before it
TRAILING = {"and", "or", "but", "so", "then", "the", "a", "an", "with", "because", "while", "which"}  # to what follows
NAMED = {"overall", "impression", "general", "oi", "oa", "ovl", "ovr", "ov", "o", "a"}  # of the part without prompts
SEEN = {"color", "head"}  # kinds
SAYS = ("observe", "score")  # roles in which something is said of this beer
LEAD = 4  # words before the total that lead to it
LINKS = ("is", "are", "'s", "’s", "was")  # behind the name of a prompt


def compose(reading: Reading, category: str) -> str:
    """What was said of this beer for `category`; nothing is added that the notes don't say."""
    asked = prompts(reading, category)
    if not asked:
        return " ".join(_observations(reading, category))
    groups: dict[str, dict[str, str]] = {aspect: {} for aspect in (*asked, "other")}
    flaws: dict[str, dict[str, set[str]]] = {}
    names: list[Mention] = []
    before: Mention | None = None
    for mention in _images(reading, category):
        aspect = next(iter(aspects_of(reading, mention)), "other")
        if mention.state == "mentioned" or (aspect == "other" and _only_a_reason(reading, mention)):
            continue
        figure = intensity_said(reading, mention)
        if mention.term.name in ASKED and (mention.state, mention.level, figure) == ("present", None, ""):
            names.append(mention)
            continue
        said = f"{worded(reading, mention, aspect)} {figure}".rstrip()
        if before is not None and _put_right(reading, before, mention):
            groups["color"].pop(before.term.name, None)
        known = flaws.setdefault(mention.flaw, {}) if mention.flaw and mention.state == "present" else {}
        if not any(_stems(said) <= stems for told, stems in known.items() if told != said):
            for told in [told for told, stems in known.items() if stems < _stems(said)]:
                _take_back(told, groups[aspect])
            known[said] = _stems(said)
            _add(groups[aspect], mention.term.name or said, said)
        before = mention
    for mention in sorted((*names, *reading.unmarked), key=START):
        _quote(reading, category, mention, groups)
    for mention in names:
        for aspect in aspects_of(reading, mention)[:1]:
            if not groups[aspect]:
                start, end = _without_name(reading, mention, "")
                told = _said(reading, *_trimmed(reading, start, end))
                groups[aspect]["name"] = f"“{told}”" if " " in told else told
    return " ".join(_lines(reading, groups))


def _lines(reading: Reading, groups: dict[str, dict[str, str]]) -> Iterator[str]:
    """A sentence for each prompt that is answered, and one for the rest."""
    opened = False
    for aspect, words in groups.items():
        there, missing = _parted_by_denial(words)
        if words and aspect != "other":
            there = [under_name(reading, aspect, word, there) for word in there]
            yield f"{aspect.capitalize()}: {_listed(_once(there), missing)}."
        elif words:
            yield f"{'Also: ' if opened else ''}{_listed(there, missing)}."
        opened |= bool(words)


def _once(there: list[str]) -> list[str]:
    """Findings without those that another one holds: of 'slight haze, haze' the first."""
    stems = {word: _stems(word) for word in there}
    return [word for word, own in stems.items() if not any(own < other for other in stems.values())]


def _add(group: dict[str, str], key: str, said: str) -> None:
    """Put a finding among those of its prompt; one that tells more takes the place of the same."""
    if key not in group or (len(said) > len(group[key]) and group[key] in said):
        group[key] = said


def _take_back(told: str, group: dict[str, str]) -> None:
    """Leave out what is told again in more of the same words: 'an apple thing, green apple'."""
    for key in [key for key, word in group.items() if word == told]:
        del group[key]


def _stems(said: str) -> set[str]:
    """The words of a finding, and those that they are made of."""
    words = said.lower().replace("-", " ").split()
    return {next(base_forms(word), word) for word in words}


def _put_right(reading: Reading, before: Mention, mention: Mention) -> bool:
    """Whether a color is said again, better: 'a deep brown, dark brown really'."""
    if (before.term.kind, mention.term.kind) != ("color", "color") or before.sentence != mention.sentence:
        return False
    same = reading.words[before.end - 1] == reading.words[mention.end - 1]
    return same and before.end == mention.start and reading.breaks[mention.start] == ","


def _quote(reading: Reading, category: str, mention: Mention, groups: dict[str, dict[str, str]]) -> None:
    """The clause in which a prompt is named, where nothing else answers it."""
    sentence = reading.sentences[mention.sentence]
    if sentence.category != category or sentence.role not in SAYS or not answers(mention):
        return
    for aspect in reading.sheet.aspects_of(mention.term):
        if aspect in prompts(reading, category) and not groups[aspect]:
            start, end = _without_name(reading, mention, aspect)
            if sentence.role == "score":  # nothing of its figure
                end = next((k for k in range(start, end) if begins_number(reading.words[k])), end)
            if start < end and _tells(reading, mention, start, end):
                groups[aspect]["said"] = f"“{_said(reading, *_trimmed(reading, start, end))}”"


def _without_name(reading: Reading, mention: Mention, aspect: str) -> tuple[int, int]:
    """The clause around a mention without the prompt's name, under which it stands: of 'balance leans to the roast',
    'even balance'."""
    begin, end = _clause_around(reading, mention)
    named = mention.end if mention.term.bare and aspect not in SOURCE_WORDS else mention.start
    named += not mention.term.bare and reading.words[mention.start] == aspect
    if named > mention.start == begin and named < end:
        if reading.words[named] in DEPENDENT:
            return _clause_begin(reading, mention.start), end
        return named + (reading.words[named] in LINKS and named + 1 < end), end
    if end - begin > 1 and reading.words[end - 1] == aspect:
        last = reading.words[end - 2]
        if last in DEPENDENT:
            return begin, end  # 'medium in body and carbonation'
        return (end, end) if last in ("the", "a") else (begin, end - 1)  # 'clear and the head | well it went'
    return begin, end


def _trimmed(reading: Reading, begin: int, end: int) -> tuple[int, int]:
    """The words without those at their ends that join them to what is not quoted: 'so | the balance is off | and'."""
    while begin + 1 < end and reading.words[begin] in LEADING:
        begin += 1
    while begin + 1 < end and reading.words[end - 1] in TRAILING:
        end -= 1
    return begin, end


def _said(reading: Reading, begin: int, end: int) -> str:
    """Words as the notes have them, on one line, begun small."""
    start, stop = reading.span(begin, end)
    said = " ".join(reading.text[start:stop].split())
    return said if said[1:2].isupper() else said[:1].lower() + said[1:]


def _images(reading: Reading, category: str) -> list[Mention]:
    """The mentions of a part, each with the words outside the lexicon beside it: 'breakfast cereal soaked in warm
    milk' is one thing."""
    out: list[Mention] = []
    for mention in reading.mentions:
        if reading.sentences[mention.sentence].category != category:
            continue
        before = out[-1] if out else None
        if before is not None and _one_image(reading, before, mention):
            known = before if aspects_of(reading, before) and before.hits[0].how != "context" else mention
            out[-1] = replace(known, start=before.start, end=mention.end)
        else:
            out.append(mention)
    return [_with_what_in(reading, mention) for mention in out]


def _with_what_in(reading: Reading, mention: Mention) -> Mention:
    """An image with what it lies in: 'breakfast cereal soaked | in warm milk'."""
    end, last = mention.end, reading.sentences[mention.sentence].end
    soaked = end - mention.start > 1 and reading.words[end - 1].endswith(("ed", "pt"))
    if not soaked or reading.words[end : end + 1] != ["in"]:
        return mention
    stop = end + 1
    while stop < min(last, end + 1 + APART + 1) and not CLAUSE_BREAK.search(reading.breaks[stop]):
        stop += 1
    return replace(mention, end=stop)


def _one_image(reading: Reading, first: Mention, other: Mention) -> bool:
    """Whether two mentions beside each other, one of them outside the lexicon or both of one fault, tell one thing: no
    mark, no more than two words and no 'and' between them."""
    beside = first.end == other.start
    likened = beside and first.flaw is not None and first.flaw == other.flaw  # 'tinny | like blood'
    likened |= beside and not reading.running and _of_one_kind(reading, first, other)  # 'toasted bread | crust'
    strange = likened or "context" in (first.hits[0].how, other.hits[0].how)
    near = first.sentence == other.sentence and first.end <= other.start <= first.end + APART
    if not strange or not near or first.state != other.state or other.end - first.start > CLAUSE_WORDS:
        return False
    parted = any(CLAUSE_BREAK.search(reading.breaks[k]) for k in range(first.end, other.start + 1))
    return not parted and PARTING.isdisjoint(reading.words[first.end : other.start])


def _of_one_kind(reading: Reading, first: Mention, other: Mention) -> bool:
    """Whether two mentions may paint one thing: both say what is smelled or tasted and answer one prompt, or the first
    is a quality that answers none ('soft | plum'), or both tell one look ('thin | tan head')."""
    if first.term.bare or other.term.bare or first.flaw != other.flaw:
        return False
    one, two = aspects_of(reading, first), aspects_of(reading, other)
    if not SEEN.isdisjoint(first.kinds & other.kinds):
        return True
    if not one and first.term.kind in QUALITIES:
        return bool(two)
    return one == two != [] and one[0] in SOURCE_WORDS and other.level in (None, first.level)


def _parted_by_denial(words: dict[str, str]) -> tuple[list[str], list[str]]:
    """(what is there, what is missing), as worded."""
    missing = [word for word in words.values() if word.startswith(DENIED)]
    return [word for word in words.values() if word not in missing], missing


def _listed(there: list[str], missing: list[str]) -> str:
    """What is there, and behind it what is missing: 'low plum; no burnt, no diacetyl'."""
    return "; ".join(", ".join(part) for part in (there, missing) if part)


def _tells(reading: Reading, mention: Mention, begin: int, end: int) -> bool:
    """Whether a clause tells something beside the prompt's name: a word that is no function word; two beside the name
    itself, where it stands among them."""
    words = reading.words[begin:end]
    telling = sum(word not in function_words() for word in words)
    if not begin <= mention.start < end:
        return telling > 0 or not mention.term.bare
    return not mention.term.bare or (len(words) > 2 and telling > 1)


def _only_a_reason(reading: Reading, mention: Mention) -> bool:
    """Whether words outside the lexicon stand beside a score, where they tell why points are off ('1 for the short
    malt'), or are nothing but a level."""
    if mention.hits[0].how != "context":
        return False
    if reading.sentences[mention.sentence].role == "score":
        return True
    first, last = (mention.start - CLAUSE_WORDS,), (mention.end,)
    near = (hits[bisect_left(hits, first) : bisect_left(hits, last)] for hits in level_hits(reading))
    measured = {k for hits in near for start, end, _ in hits for k in range(start, end)}
    return measured.issuperset(range(mention.start, mention.end))


def _clause_around(reading: Reading, mention: Mention) -> tuple[int, int]:
    """The clause from where a prompt is named, at most QUOTED words; all before it where it closes the clause. The
    mark behind a label ends nothing: 'bal: malty'."""
    sentence = reading.sentences[mention.sentence]
    end = mention.end
    labels = mention.term.bare and end < sentence.end and end - mention.start == 1
    short = labels and len(reading.raw[mention.start]) <= SHORT
    if labels and (reading.breaks[end] == ":" or (short and reading.breaks[end] in (".", "-"))):
        end += 1
    while end < sentence.end and end - mention.start < QUOTED and not CLAUSE_BREAK.search(reading.breaks[end]):
        end += 1
    while end - mention.start == QUOTED and reading.words[end - 1] in function_words():
        end -= 1
    return mention.start if end > mention.end else _clause_begin(reading, end), end


def _clause_begin(reading: Reading, end: int) -> int:
    """The first word of the clause before word `end`, at most CLAUSE_WORDS back."""
    begin, first = end, reading.sentences[reading.sentence_at(end - 1)].start
    while begin > max(first, end - CLAUSE_WORDS) and not (begin < end and _parted(reading, begin)):
        begin -= 1
    return begin


def _parted(reading: Reading, k: int) -> bool:
    """Whether a clause begins with word `k`, or a contrast stands before it."""
    return reading.words[k - 1] in CONTRAST or bool(CLAUSE_BREAK.search(reading.breaks[k]))


def _observations(reading: Reading, category: str) -> list[str]:
    """For a part without prompts, what is told of the whole beer, as said: 'less crystal malt' of '7 - less crystal
    malt'."""
    taken = {at for _, at, _ in reading.scores.parts[category].taken}
    sentences = of_whole(reading, category)
    bare = {reading.sentences[at].start for at in taken if not judges(reading, reading.sentences[at])}
    out = []
    kept = [s for s in sentences if s.start not in bare] or sentences  # what only costs points is told there
    for sentence in as_written(reading, kept):
        start, end = _without_score(reading, sentence, category)
        said = " ".join(reading.text[start:end].split()).rstrip(".,;")
        said += ")" if said.count("(") > said.count(")") else ""
        mark = reading.text[end : end + 1]
        if any(c.isalpha() for c in said):
            out.append(_begun(said) + (mark if mark in ("?", "!") else "."))
    return out


def _only_band(reading: Reading, begin: int, end: int) -> bool:
    """Whether words say no more than the band of a total: 'so very good'."""
    words = reading.words[begin:end]
    named = {k for start, stop, _ in band_index().find(words) for k in range(start, stop)}
    return all(k in named or word in function_words() for k, word in enumerate(words))


def _behind_name(reading: Reading, first: int, last: int, category: str) -> int:
    """The word behind the part's name that words begin with and do not need: 'Overall, it's a proper porter', 'overall
    a decent beer', not 'overall impression is good'."""
    ends = [end for _, end, cue in hits_within(reading, SHEET_FILE, first, first + 1) if cue.startswith(f"{category}:")]
    end = max(ends, default=first)
    if end >= last or not NAMED.issuperset(reading.words[first:end]):
        return first
    return first if reading.words[end] in LINKS and not _edge(reading, end) else end


def _without_score(reading: Reading, sentence: Sentence, category: str) -> tuple[int, int]:
    """The span of a sentence without its label, and without the score that it begins or ends with beside a mark."""
    first, last = _behind_name(reading, label_end(reading, sentence), sentence.end, category), sentence.end
    spans = {
        (bisect_left(reading.starts, a), bisect_left(reading.starts, b))
        for a, b in reading.scores.parts[category].spans
    }
    begins = max((end for start, end in spans if start == first and end < last), default=first)
    if begins > first and (_edge(reading, begins) or reading.words[begins] in REASON):
        first = _behind_name(reading, begins, last, category)
    ends = min((start for start, end in spans if end == last and start > first), default=last)
    plain = reading.words[ends - 1] not in function_words() and reading.words[ends - 2] not in ARTICLES
    said = reading.words[ends] if ends < last else ""
    loose = said[:1].isdigit() or (reading.running and plain and begins_number(said))
    if said and (_edge(reading, ends) or loose):
        last = ends
    first, last = _without_total(reading, first, last)
    while last - first > 1 and reading.words[last - 1] in TRAILING:
        last -= 1
    return reading.span(first, last)


def _without_total(reading: Reading, first: int, last: int) -> tuple[int, int]:
    """The words without the clause that tells the total, where a mark parts it from the rest: 'a fine ale, | so that's
    thirty-six', 'thirty-six, | a fine ale'."""
    for start, _ in reading.scores.total_spans:
        at = bisect_left(reading.starts, start)
        if not first <= at < last:
            continue
        begin = next((k for k in range(at, first, -1) if CLAUSE_BREAK.search(reading.breaks[k])), first)
        stop = next((k for k in range(at + 1, last) if CLAUSE_BREAK.search(reading.breaks[k])), last)
        if begin > first:
            return first, begin
        if at - first <= LEAD:
            return stop, stop if _only_band(reading, stop, last) else last
    return first, last


def _edge(reading: Reading, k: int) -> bool:
    """Whether a mark stands before word `k`."""
    return bool(reading.breaks[k].strip())


def _begun(said: str) -> str:
    """What was said with a capital, without the word that joins it to what came before."""
    first, _, rest = said.partition(" ")
    told = rest if first.lower() in JOINING and rest else said
    return told[:1].upper() + told[1:]
