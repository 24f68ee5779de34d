"""What the beer is called, who made it, and its strength, where the notes say so."""

from __future__ import annotations

from dataclasses import dataclass

from notes2sheet import tagger
from notes2sheet.features import function_words
from notes2sheet.name_choice import named, read_weights
from notes2sheet.name_odds import FILE as NETWORK
from notes2sheet.network import read_network
from notes2sheet.numbers import begins_number, number_at
from notes2sheet.opening import QUOTES, Opening, Span, listed
from notes2sheet.recipe import recipe_words
from notes2sheet.score_view import score_words
from notes2sheet.strength import strength
from notes2sheet.transcript import Reading
from notes2sheet.unlisted import in_english
from notes2sheet.unveiled import blind, unveiled

ARTICLES = {"the", "a", "an"}
OWNERS = frozenset(("my", "our", "your", "his", "her", "their", "the", "a", "'s"))
FEWEST = 3  # digits of a spoken number
DIGITS = range(10)
REACH = 30  # words behind a name in which it is corrected
LEAST, BEHIND = 2, 6  # words of such a name; those behind what takes it back up to the next
ALIKE, SAME = 82, 100  # per cent of two names' letters


@dataclass
class EntryFound:
    name: str | None = None
    maker: str | None = None
    abv: float | None = None


def find_entry(reading: Reading) -> None:
    """Fill `reading.entry` from the opening, or, where that gives no name or the number of a blind sample, from where
    the name is told later."""
    known, trained = read_weights(tagger.MODELS), read_network(tagger.MODELS / NETWORK)
    opening = Opening(reading)
    found = named(opening, known, trained)
    if not in_english(reading):
        name, maker = (span if span and _plainly_named(opening, span) else None for span in found[:2])
        found = found._replace(name=name, maker=maker)
    elif found.name is None or blind(opening, found.name):
        found = unveiled(reading, found, known, trained)
    recipe = recipe_words(reading)
    kept = (None if span is None or _no_name(opening, span, recipe) else span for span in found[:2])
    name, maker = (_without_article(reading, span and _corrected(reading, span)) for span in kept)
    name = _with_person(reading, name)
    reading.entry = EntryFound(spoken(reading, name), spoken(reading, maker), strength(reading))


def _no_name(opening: Opening, span: Span, recipe: set[int]) -> bool:
    """Whether words are no name, however they look: of a recipe, with a measure among them, or, where names have
    capitals, without any, not in quotes and no 'the' before them."""
    inside = range(*span)
    if not (recipe.isdisjoint(inside) and listed("measures").isdisjoint(opening.all[k] for k in inside)):
        return True
    led = "the" in opening.all[max(0, span[0] - 1) : span[0] + 1]  # 'the second jug'
    if led or not opening.cased or not set(QUOTES).isdisjoint(opening.breaks[span[0]]):
        return False
    return not any(opening.raw[k][:1].isupper() or begins_number(opening.all[k]) for k in inside)


def _plainly_named(opening: Opening, span: Span) -> bool:
    """Whether words are a name in any language: in quotes, or beside a word for a brewery."""
    start, end = span
    return opening.gaps[start] == '"' or any(opening.kinds[k].startswith("maker") for k in range(start, end))


def _corrected(reading: Reading, span: Span) -> Span:
    """The words nearly alike that come instead of a name soon behind it: 'Mrs Odeline Crake. I tell a lie, it's Mrs
    Ottoline Crake'."""
    words, size = reading.words, span[1] - span[0]
    stop = min(span[1] + REACH, len(words))
    back = [k for k in range(span[1], stop) if words[k] in score_words("name_taken_back")]
    if size < LEAST or not back:
        return span
    strange = function_words() - set(words[slice(*span)])
    near = sorted({at for k in back for at in range(k + 1, min(k + BEHIND, stop - size) + 1)})
    runs = [(at, at + size) for at in near if strange.isdisjoint(words[at : at + size])]
    if not runs:
        return span
    from rapidfuzz import fuzz

    said = " ".join(words[slice(*span)])
    alike = {run: fuzz.ratio(said, " ".join(words[slice(*run)])) for run in runs}
    best = max(runs, key=lambda run: alike[run])
    return best if ALIKE <= alike[best] < SAME else span


def _without_article(reading: Reading, span: Span | None) -> Span | None:
    """A name without the article before it ('the Zilverkraan'), unless written as part of it ('The Last Fare')."""
    if span is None or span[1] - span[0] < 2 or reading.raw[span[0]] not in ARTICLES:
        return span
    return span[0] + 1, span[1]


def _with_person(reading: Reading, span: Span | None) -> Span | None:
    """A name with the person whose it is called: '| Mama's Kitchen Window', '| Father Tuohy's Bicycle'; not 'my |
    mama's Kitchen Window'."""
    if span is None:
        return None
    start, words = span[0], reading.words
    owned = start >= 2 and words[start - 1] == "'s"
    first = start - 2 if owned else start - 1 if words[start + 1 : start + 2] == ["'s"] else -1
    if first < 0 or words[first] not in listed("persons"):
        return span
    its = words[first - 1] == "'s" and words[max(first - 2, 0)] in function_words()  # 'it's | Mama's'
    if any(reading.breaks[k].strip() for k in range(first + 1, start + 1)) or (words[first - 1] in OWNERS and not its):
        return span
    lower = reading.raw[start][:1].isupper() and not reading.raw[first][:1].isupper()
    return span if lower else (first, span[1])


def spoken(reading: Reading, span: Span | None) -> str | None:
    """The words of `span` as the notes write them; a number that is spoken digit by digit ('five five two') in
    figures."""
    if span is None:
        return None
    start, stop = reading.span(*span)
    said = " ".join(reading.text[start:stop].split()).strip(" \"'.,#“”")
    return _digits(said.lower().split()) or said or None


def _digits(words: list[str]) -> str:
    """The number that three words and more say digit by digit; '' where they hold other words or are figures."""
    found = [number_at(words, at) for at in range(len(words))]
    plain = all(n and n.end == n.start + 1 and n.value in DIGITS and n.spelled for n in found)
    return "".join(str(int(n.value)) for n in found if n) if plain and len(words) >= FEWEST else ""
