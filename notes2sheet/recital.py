"""Expectations recited wrongly: a sentence that says what the style wants, and the style wants it otherwise."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator
from itertools import islice, takewhile

from notes2sheet.crib import span as in_words
from notes2sheet.cues import cue_index
from notes2sheet.descriptors import CLAUSE_BREAK, Mention, level_index
from notes2sheet.faults import tolerated
from notes2sheet.lexicon import LEVELS
from notes2sheet.scales import far, measures
from notes2sheet.style_data import Expectation, Style, kin, name_index, verdict
from notes2sheet.transcript import Reading

DENIALS = {"not", "no", "never"}
REACH = 12  # words between what asks and what is asked for


def recited_wrong(reading: Reading) -> Iterator[tuple[tuple[int, int], str]]:
    """(span of the descriptor, message) of each expectation that contradicts the style.

    Only plain statements count: a word that asks or lets stands before the descriptor (or right behind it), nothing
    in the sentence denies, compares or sets a condition, and no other style is named there.
    """
    style = reading.style.style if reading.style else None
    if style is None or reading.style.others:
        return
    for mention in reading.mentions:
        sentence = reading.sentences[mention.sentence]
        if sentence.role != "expect" or sentence.category not in style.aspects or mention.term is None:
            continue
        if sentence.category not in reading.sheet.parts_of(mention.term) or not _plainly_asked(
            reading, sentence, mention, style.code
        ):
            continue
        wanted = _otherwise(reading, style, sentence, mention)
        if wanted:
            at = reading.span(mention.start, mention.end)
            said = " ".join(reading.text[slice(*at)].split())
            level = f"{mention.level} " if mention.term.bare and mention.level else ""
            yield at, f"Recited as wanted: {level}'{said}'. {style.name} {wanted}."


def _plainly_asked(reading: Reading, sentence, mention: Mention, code: str) -> bool:
    words = reading.words[sentence.start : sentence.end]
    cues = [(sentence.start + a, sentence.start + b, c) for a, b, c in cue_index("recital").find(words)]
    if any(cue == "against" and not _opens_clause(reading, start, mention) for start, _, cue in cues):
        return False
    if any(other != code for _, _, (other, _) in name_index().find(words)):
        return False
    if reading.asks(sentence):
        return False
    return any(_reaches(reading, start, end, mention) for start, end, cue in cues if cue != "against")


def _opens_clause(reading: Reading, start: int, mention: Mention) -> bool:
    """Whether a denial stands behind the descriptor in a clause of its own: 'should be hazy, not clear'."""
    return start >= mention.end and bool(CLAUSE_BREAK.search(reading.breaks[start])) and reading.words[start] in DENIALS


def _reaches(reading: Reading, start: int, end: int, mention: Mention) -> bool:
    """Whether what asks speaks of the mention: before it with only a list between, or right behind it."""
    if end <= mention.start <= end + REACH:
        return not any(c in reading.breaks[k] for k in range(end, mention.start + 1) for c in ".;:!?()\n")
    return mention.end <= start <= mention.end + 3 and not any(
        CLAUSE_BREAK.search(reading.breaks[k]) for k in range(mention.end, start + 1)
    )


def _otherwise(reading: Reading, style: Style, sentence, mention: Mention) -> str | None:
    """What the style wants instead, when the recited descriptor lies clearly outside it."""
    term, category = mention.term, sentence.category
    for aspect in reading.sheet.aspects_of(term):
        wants = style.expectation(category, aspect)
        if wants is None or wants.more.get("varies") or _names(wants, term.name):
            continue
        if aspect == reading.sheet.aspect_of(term.kind) and wants.range and _off_scale(reading, wants, mention):
            return f"calls for {in_words(wants.range)}"
        if measures(term) and wants.level and _off_level(reading, sentence, wants, mention):
            return f"calls for {aspect} of {in_words(wants.level)}"
    found = verdict(style, category, kin(term, reading.lexicon), mention.level)
    if found in ("forbidden", "unwanted"):
        return f"{'forbids' if found == 'forbidden' else 'does not want'} {term.name} in the {category}"
    if mention.flaw and mention.hits[0].how == "said" and found is None and not tolerated(style, mention):
        return f"has no room for {mention.flaw}"
    return None


def _names(wants: Expectation, name: str) -> bool:
    return any(w.term == name for w in (*wants.required, *wants.allowed))


def _off_scale(reading: Reading, wants: Expectation, mention: Mention) -> bool:
    """Whether all that the sentence says on this scale is clearly outside: 'gold to amber' may reach into the range."""
    kind = mention.term.kind
    first = bisect_left(reading.mentions, mention.sentence, key=lambda m: m.sentence)
    near = takewhile(lambda m: m.sentence == mention.sentence, islice(reading.mentions, first, None))
    same = [m.term for m in near if m.term and m.term.kind == kind]
    return all(far(reading.lexicon, wants.range, kind, term.name) for term in same)


def _off_level(reading: Reading, sentence, wants: Expectation, mention: Mention) -> bool:
    """Whether every level that the sentence names is outside on the same side; 'low to high' reaches into most."""
    if mention.level is None:
        return False
    words = reading.words[sentence.start : sentence.end]
    named = {level for index in level_index() for _, _, level in index.find(words)} | {mention.level}
    low, high = (LEVELS.index(x) for x in wants.level)
    places = [LEVELS.index(level) for level in named]
    return all(at > high + 1 for at in places) or all(at < low - 1 for at in places)
