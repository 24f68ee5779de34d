"""Which style the beer is judged as: said by code, name or alias; not one that is only mentioned."""

from __future__ import annotations

import re
from collections import defaultdict
from dataclasses import dataclass, field, replace
from functools import cache, lru_cache

from notes2sheet.cues import cue_words
from notes2sheet.lexicon import cue_file
from notes2sheet.numbers import Number, begins_number, number_at
from notes2sheet.style_data import Style, load_style, name_index, named_styles, spoken_names, style_names, styles_at
from notes2sheet.style_doubt import doubt_of
from notes2sheet.transcript import Reading
from notes2sheet.words import phrase_words, split_list

CODE = re.compile(r"^(\d{1,2})([a-h])$")
BEGUN = 3  # words with which notes begin that go on from another beer's
DEGREES = {"°", "º", "˚"}
SURE, LEAST = 4.0, 2.2
SPECIALTIES = 27  # the first group of styles that are made from others
NEAR, NEAR_LETTERS, NEAR_WORDS = 90, 6, 4  # a garbled name: likeness in percent, least letters, most words


@dataclass
class StyleFound:
    """The style judged to, how it is known (said, given, none), and the words that say it."""

    style: Style | None = None
    basis: str = "none"
    spans: list[tuple[int, int]] = field(default_factory=list)
    others: list[tuple[str, tuple[int, int]]] = field(default_factory=list)
    doubt: tuple[str, tuple[int, int]] | None = None  # how it is doubtful, and in which words


def find_style(reading: Reading) -> None:
    """Fill `reading.style`."""
    weights: dict[str, float] = defaultdict(float)
    spans: dict[str, list[tuple[int, int]]] = defaultdict(list)
    places: dict[str, list[tuple[int, int]]] = defaultdict(list)
    for code, start, end, weight in _mentions(reading):
        if load_style(code).sheet != reading.sheet.id and not _may_change_sheet(reading, start):
            continue
        weights[code] += weight if weights[code] <= 0 else weight / 2
        spans[code].append(reading.span(start, end))
        places[code].append((start, end))
    if reading.style_given:
        reading.style = StyleFound(load_style(reading.style_given), "given", spans.get(reading.style_given, []))
        return
    if not weights:
        for code, start, end in _garbled(reading):
            weights[code] = LEAST
            spans[code].append(reading.span(start, end))
    ranked = sorted(weights, key=lambda code: -weights[code])
    if not ranked or weights[ranked[0]] < LEAST:
        reading.style = StyleFound()
        return
    best = _finest(ranked[0], ranked, weights)
    others = [
        (c, spans[c][0]) for c in ranked if not best.startswith(c) and weights[c] >= max(SURE, 0.8 * weights[best])
    ]
    doubt = doubt_of(reading, places[best]) or _clash(reading, best)
    reading.style = StyleFound(load_style(best), "said", spans[best], others, doubt)


def _finest(best: str, ranked: list[str], weights: dict[str, float]) -> str:
    """The kind of a style that is named with it: '21B Specialty IPA: Black IPA' is the black one."""
    return next((code for code in ranked if code.startswith(f"{best}-") and weights[code] >= SURE), best)


def _may_change_sheet(reading: Reading, start: int) -> bool:
    """Whether a style of another sheet may count: on a sheet given always; else only while it is open, and never in a
    sentence that compared or excluded something before."""
    if reading.sheet_from != "open":
        return reading.sheet_from == "given"
    sentence = _sentence_lookup(reading)(start)
    return cue_words("style_words", "others").isdisjoint(reading.words[sentence.start : start])


def _mentions(reading: Reading):
    """(code, start word, end word, weight) of each mention of a style."""
    sentence_of = _sentence_lookup(reading)
    for start, end, code in codes_said(reading):
        named = _of_other_edition(reading, code, end)
        yield named or code, start, end, 3.5 + _weight(reading, start, end, sentence_of(start))
    seen = set()
    for start, end, (code, how) in named_styles(reading):
        if (start, end) in seen:
            continue
        seen.add((start, end))
        if (
            end < len(reading.words)
            and reading.words[end] in cue_words("style_words", "ingredient")
            and not reading.breaks[end].strip()
        ):
            continue
        base = {"name": 2.5, "alias": 2.0, "heard": 1.5}[how] + 0.3 * (end - start - 1)
        yield code, start, end, base + _weight(reading, start, end, sentence_of(start))


def _of_other_edition(reading: Reading, code: str, end: int) -> str | None:
    """The code of the style whose name stands right behind a code of another one, which then is of older guidelines, or
    a slip: '8B Special Bitter'. Those of specialties have the name of what they are made from behind them."""
    if int(re.sub(r"\D.*", "", code) or 0) >= SPECIALTIES or end >= len(reading.words) or "." in reading.breaks[end]:
        return None
    plain = cue_words("style_words", "drinks")
    own = {*phrase_words(style_names()[code]["name"]), *phrase_words(style_names()[code].get("aliases", ""))} - plain
    for start, stop, (named, how) in styles_at(reading, end):
        whole = how != "heard" and stop - start > 1 and named.partition("-")[0] != code.partition("-")[0]
        if whole and own.isdisjoint(reading.words[start:stop]):
            return named
    return None


def _clash(reading: Reading, best: str) -> tuple[str, tuple[int, int]] | None:
    """('code', its span) where a code of another style stands before the name of the one judged."""
    clashes = (place for *place, code in codes_said(reading) if _of_other_edition(reading, code, place[1]) == best)
    return next((("code", reading.span(*place)) for place in clashes), None)


def _garbled(reading: Reading):
    """(code, start, end) of the words of the opening that come nearest a style's name, where none is said outright."""
    from rapidfuzz import fuzz, process

    last = max((s.end for s in reading.sentences if s.category == "opening"), default=0)
    runs = {
        " ".join(reading.words[k : k + size]): (k, k + size)
        for size in range(1, NEAR_WORDS + 1)
        for k in range(last - size + 1)
    }
    found = (
        (process.extractOne(run, _about_as_long(len(run)), scorer=fuzz.ratio, score_cutoff=NEAR), at)
        for run, at in runs.items()
    )
    hits = [(match[1], spoken_names()[match[0]], at) for match, at in found if match]
    if hits:
        _, code, at = max(hits)
        yield code, *at


@lru_cache(maxsize=256)
def _about_as_long(size: int) -> list[str]:
    """The names that can be so like `size` letters at all: a likeness is the letters shared of all letters."""
    return [
        name
        for name in spoken_names()
        if len(name) >= NEAR_LETTERS and 200 * min(len(name), size) >= NEAR * (len(name) + size)
    ]


def _sentence_lookup(reading: Reading):
    from bisect import bisect_right

    starts = [s.start for s in reading.sentences]
    return lambda word: reading.sentences[max(0, bisect_right(starts, word) - 1)]


def _weight(reading: Reading, start: int, end: int, sentence) -> float:
    before = reading.words[max(sentence.start, start - 5) : start]
    weight = {"opening": 2.0, "closing": -1.0}.get(sentence.category, -0.5)
    if sentence.role == "expect":
        weight += 0.5
    weight += 0.7 * min(2, sum(w in cue_words("style_words", "judged") for w in before))
    if any(excludes(reading.words, at) for at in range(max(sentence.start, start - 4), start)):
        weight -= 4.0
    return weight


def excludes(words: list[str], at: int) -> bool:
    """Whether word `at` tells that the style behind it is another beer's; not in 'no. 88', 'a no-alcohol stout', 'under
    that, American IPA', nor in notes that begin with 'next up'."""
    word, behind = words[at], words[at + 1]
    if word == "no":
        return not (behind[:1].isdigit() or behind.startswith("alc"))
    if word == "next" and at < BEGUN:
        return False
    return word in cue_words("style_words", "others") and not (
        word == "that" and at > 0 and words[at - 1] in cue_words("style_words", "places")
    )


@cache
def letters() -> dict[str, str]:
    """What the letters of a code are called, and the letter."""
    return {said: letter for letter, names in cue_file("style_words")["letters"].items() for said in split_list(names)}


def _heat() -> frozenset[str]:
    return cue_words("style_words", "heat")


def codes_said(reading: Reading):
    """(start, end, code) of codes such as 21C, '21 c', 'twenty-one C', 'twenty one see', '21 charlie'."""
    words, known = reading.words, style_names()
    at = 0
    while at < len(words):
        if not begins_number(words[at]) and not words[at][0].isdigit():
            at += 1
            continue
        match = CODE.match(words[at])
        if match and at and match[2] in "cf" and _is_heat(reading, at):
            at += 1
            continue
        if match and (code := match[1] + match[2].upper()) in known:
            yield at, at + 1, code
            at += 1
            continue
        number = number_at(words, at)
        if number is None or number.end >= len(words) or number.over is not None:
            at += 1
            continue
        number = _spelled_apart(words, number)
        letter = letters().get(words[number.end])
        code = f"{number.value}{letter}"
        if letter and code in known and _is_code(reading, number.start, number.end):
            yield at, number.end + 1, code
            at = number.end + 1
        else:
            at = number.end


def _is_heat(reading: Reading, at: int) -> bool:
    """Whether '21C' at word `at` is a temperature: 'served @ 10C', 'it was 21C in the cupboard'; no 'was 21C, hazy
    IPA'."""
    before = reading.words[at - 1]
    if before in _heat() or "@" in reading.breaks[at]:
        return True
    told = cue_words("style_words", "coded").isdisjoint(reading.words[max(0, at - 4) : at])
    named = styles_at(reading, at + 1) or styles_at(reading, at + 2)
    return before in cue_words("style_words", "warmth") and told and not named and not reading.breaks[at].strip()


def _spelled_apart(words: list[str], number: Number) -> Number:
    """'one four b': two digits said one by one before a letter make one number."""
    second = number_at(words, number.end) if number.value < 4 and number.end < len(words) else None
    if second is None or second.value > 9 or second.end >= len(words) or words[second.end] not in letters():
        return number
    return replace(number, end=second.end, value=number.value * 10 + second.value)


def _is_code(reading: Reading, start: int, letter_at: int) -> bool:
    """Whether a number and a letter word are a code and no running text ('a ten a solid', 'three be')."""
    words = reading.words
    if "\n" in reading.breaks[letter_at] or any(c in reading.breaks[letter_at] for c in ",.;"):
        return False
    degrees = not DEGREES.isdisjoint(reading.text[reading.starts[start] : reading.ends[letter_at]])
    if degrees or (_heat().intersection(words[max(0, start - 2) : start]) and words[letter_at] in ("c", "f")):
        return False
    typed = words[start][0].isdigit() and not reading.running and reading.raw[letter_at].islower()
    if words[letter_at] in "bcdefg" and len(words[letter_at]) == 1 and not typed:
        return True  # but '3 d in the sun'
    if reading.raw[letter_at].isupper() and len(reading.raw[letter_at]) == 1:
        return True
    after = letter_at + 1
    ends = after >= len(words) or bool(reading.breaks[after].strip(" ")) or "\n" in reading.breaks[after]
    told = cue_words("style_words", "coded").intersection(words[max(0, start - 4) : start])
    near_name = any(
        s <= after + 4 and e >= start - 4 for s, e, _ in name_index().find(words[max(0, start - 8) : after + 8])
    )
    if words[letter_at] in ("a", "be", "see", "sea"):
        return ends and (bool(told) or near_name) or "category" in told
    return ends or bool(told) or near_name
