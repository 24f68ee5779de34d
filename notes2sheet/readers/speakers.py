"""Who speaks: 'Name:' at the start of lines, and tags such as '[SPEAKER_01]'; never a label such as 'Aroma:'."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace
from functools import cache

from notes2sheet.errors import NotesError
from notes2sheet.readers.notes import Cue, Piece
from notes2sheet.words import norm, split_list

ROLE = r"(?i:speaker|judge|taster|person|participant|spk)"
NUMBERED = rf"{ROLE}[ _-]?(?:\d{{1,3}}|[A-Z])"
NAME = rf"{NUMBERED}|[^\W\d_a-z][\w.'’-]*(?:[ _][^\W\d_a-z][\w.'’-]*){{0,2}}"
LABEL = re.compile(rf"^(?:[-–*+]\s+)?(?P<bold>\**)(?P<name>{NAME})(?:(?P=bold)\s?:|:(?P=bold))(?:\s+|$)(?!//)")
NUMBERED_ONLY = re.compile(rf"(?:{NUMBERED})$", re.IGNORECASE)
BRACKET = re.compile(rf"^\[(?P<name>{NAME})\](?:\s*:)?(?:\s+|$)")
TAG = re.compile(rf"\[(?P<name>{ROLE}[ _-]?\d{{1,3}})\](?:\s*:)?\s*")
SENTENCE_END = re.compile(r"[.!?…:;,\"”)—–-]\s*$")
RECUR, NAMES_LEAST = 2, 2
FULLY_LABELED = 0.8  # share of lines with a recurring name from which a name said once is one as well

# Labels of typed notes beside the parts of the sheet, which come from the lexicon's cue files.
LABELS = frozenset(
    split_list(
        "style, beer, brewery, brewer, maker, entry, name, category, subcategory, note, notes, comment, "
        "comments, score, scores, color, colour, clarity, head, foam, lacing, body, malt, malts, hop, hops, "
        "yeast, fermentation, ferment, esters, phenols, bitterness, balance, finish, aftertaste, carbonation, "
        "carb, warmth, alcohol, creaminess, astringency, sweetness, acidity, date, time, place, location, "
        "temp, temperature, serving, serve, glass, glassware, price, abv, ibu, og, fg, srm, ebc, batch, "
        "source, link, url, http, https, ps, nb, re, vs, eg, ie, pros, cons, plus, minus, good, bad, "
        "positive, positives, negative, negatives, strength, strengths, weakness, weaknesses, fault, faults, "
        "flaw, flaws, defect, defects, off, fix, advice, feedback, tip, tips, suggestion, suggestions, "
        "recommendation, recommendations, summary, conclusion, verdict, result, results, remark, remarks, "
        "question, answer, q, today, first, second, third, fourth, last, then, next, finally, also, warning, "
        "todo, update, edit, correction, intensity, quality, character, technical, intangibles, stylistic, "
        "accuracy, merit, ingredients, water, grist, grain, grains, adjuncts, initially, warm, warmed, cold, "
        "later, flight, round, sample, table, bottle, can, pour, number, no, day, part, step, session, "
        "tasting, judge, judges, panel, so, now, but, and, well, ok, okay, yes, because, here, there, this, "
        "that, is, it, the, a, an, i, to, for, with, rating, points, marks, style-wise, base, fruit, spice, "
        "spices, wood, special, stout, porter, ale, lager, ipa, neipa, dipa, bock, pilsner, pils, saison, wheat, "
        "bitter, mild, lambic, gose, wit, kolsch, dubbel, tripel, quad, helles, dunkel, marzen, barleywine"
    )
)
# Given names that the lexicon also knows as words for a taste or a color.
GIVEN = frozenset(
    split_list(
        "amber, basil, cherry, clementine, daisy, ginger, hazel, heather, jasmine, juniper, olive, peach, "
        "rose, rosemary, sage, violet"
    )
)


def find_speakers(cues: list[Cue], where: str) -> list[Cue]:
    """The cues with the speakers that lines or tags name set on their pieces, the names taken out of the words.

    Voice spans and speaker fields of the format stand; only without them are lines looked at. Raises NotesError where
    a tag stands in the middle of a sentence.
    """
    if any(p.speaker for c in cues for p in c.pieces):
        _check_voices(cues, where)
        return cues
    cues = _tags(cues, where)
    if any(p.speaker for c in cues for p in c.pieces):
        return cues
    for pattern in (BRACKET, LABEL):
        names = _recurring([p.words for c in cues for p in c.pieces if p.words], pattern)
        if names:
            return [_named(c, pattern, names) for c in cues]
    return cues


def _check_voices(cues: list[Cue], where: str) -> None:
    for cue in cues:
        for one, two in zip(cue.pieces, cue.pieces[1:], strict=False):
            if one.line == two.line and one.speaker != two.speaker:
                _check_cut(one.words, two.words, two.line, where)


def _check_cut(before: str, after: str, line: int, where: str) -> None:
    if before and after[:1].islower() and not SENTENCE_END.search(before):
        raise NotesError(f"line {line} changes the speaker in mid-sentence", where, "put the tag before the sentence")


def _tags(cues: list[Cue], where: str) -> list[Cue]:
    """Tags that can only be a speaker's, '[SPEAKER_01]': they count wherever a sentence begins."""
    out = []
    for cue in cues:
        pieces: list[Piece] = []
        for piece in cue.pieces:
            at, name = 0, piece.speaker
            for tag in TAG.finditer(piece.words):
                before = piece.words[at : tag.start()].strip()
                _check_cut(before, piece.words[tag.end() :], piece.line, where)
                if before:
                    pieces.append(replace(piece, words=before, speaker=name))
                at, name = tag.end(), tag["name"]
            if at < len(piece.words) or not piece.words or name:
                pieces.append(replace(piece, words=piece.words[at:].strip(), speaker=name) if at else piece)
        out.append(replace(cue, pieces=tuple(pieces)))
    return out


def _recurring(lines: list[str], pattern: re.Pattern[str]) -> set[str]:
    """The names (case folded) that begin lines often enough to be speakers."""
    found = [m["name"].casefold() for line in lines if (m := pattern.match(line))]
    counts = Counter(found)
    candidates = {n for n, times in counts.items() if times >= RECUR}
    numbered = {n for n in candidates if NUMBERED_ONLY.match(n)}
    if len(candidates) < NAMES_LEAST:
        return numbered
    names = {n for n in candidates if not _is_label(n)}
    plain = {n for n in names if not _is_word(n)}
    names = {n for n in names if n in plain or (plain and n in GIVEN)}
    if len(names) < NAMES_LEAST:
        return numbered
    if sum(counts[n] for n in names) >= FULLY_LABELED * len(lines):
        names |= {n for n in counts if not _is_label(n) and not _is_word(n)}
    return names


@cache
def _cue_words() -> tuple[set[str], set[str]]:
    """(phrases, single words) that the lexicon's cue files use for parts of the sheet and for what sentences do."""
    from notes2sheet.lexicon import cue_file

    phrases = {
        p for f in ("sheet", "roles", "scores", "levels") for t in cue_file(f).values() if isinstance(t, dict)
        for v in t.values() if isinstance(v, str) for p in split_list(v)
    }  # fmt: skip
    return phrases, {p for p in phrases if " " not in p}


def _is_label(name: str) -> bool:
    """Whether a line that begins so names a part, a prompt or a fact and no person."""
    if NUMBERED_ONLY.match(name):
        return False
    phrases, single = _cue_words()
    words = [norm(word) for word in re.split(r"[\s_]+", name.replace(".", ""))]
    return name in phrases or any(w in single or w in LABELS for w in words) or all(len(w) == 1 for w in words)


def _is_word(name: str) -> bool:
    """Whether the lexicon knows it as a descriptor, an off-flavor, an ingredient or a style."""
    from notes2sheet.lexicon import load_lexicon
    from notes2sheet.style_data import name_index

    lexicon = load_lexicon()
    words = name.split()
    if any(lexicon.phrases.get(lexicon.phrases.resolve(w)) for w in words):
        return True
    hits = [*lexicon.phrases.find(words), *lexicon.ingredients.find(words), *name_index().find(words)]
    return any(start == 0 and end == len(words) for start, end, _ in hits)


def _named(cue: Cue, pattern: re.Pattern[str], names: set[str]) -> Cue:
    pieces = []
    for piece in cue.pieces:
        match = pattern.match(piece.words)
        if match and match["name"].casefold() in names:
            piece = replace(piece, words=piece.words[match.end() :], speaker=match["name"])
        pieces.append(piece)
    return replace(cue, pieces=tuple(pieces))
