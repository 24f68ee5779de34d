"""What captions and running text cut mid-phrase, whole again: a line that ends with 'and I'd love to' goes on in the
next one. Words are joined only with those beside them; what cannot be made whole ends with its last whole clause."""

from __future__ import annotations

import re
from dataclasses import replace

from notes2sheet.cues import cue_words
from notes2sheet.descriptors import HARD_BREAK
from notes2sheet.numbers import begins_number
from notes2sheet.sentences import Sentence
from notes2sheet.style_data import styles_at
from notes2sheet.transcript import Reading
from notes2sheet.whole_beer import ARTICLES

PAUSE = re.compile(r"[.!?:;]")
SPARSE = 25  # words for each such mark, from which on lines and cuts end no sentences
MOST = 60  # words of what is joined
LEAST = 4  # words of a clause that stands alone
ASKED = {"what", "where", "who", "which", "how", "that", "things", "thing"}  # what draws a word's object forward
BEGUN = 2  # words that begin a clause and no more: 'it's'
SAYING = 4  # words of 'I have to say'
ASKING = 5  # words from those to the word at most
PRONOUNS = {"it", "that", "this", "there", "they", "you", "we", "i", "he", "she"}  # behind 'is' in a question


def cut_anywhere(reading: Reading) -> bool:
    """Whether a text has so few marks that its sentences may end anywhere."""
    if reading.cut_anywhere is None:
        marks = sum(1 for mark in reading.breaks if PAUSE.search(mark))
        reading.cut_anywhere = marks * SPARSE < len(reading.words)
    return reading.cut_anywhere


def as_written(reading: Reading, sentences: list[Sentence]) -> list[Sentence]:
    """The sentences, those that one written sentence was cut into as one; those of text without stops made whole."""
    if cut_anywhere(reading):
        return whole_again(reading, sentences)
    out: list[Sentence] = []
    for sentence in sentences:
        if out and not any(HARD_BREAK.search(reading.breaks[k]) for k in range(out[-1].end, sentence.start + 1)):
            out[-1] = replace(out[-1], end=sentence.end)
        else:
            out.append(sentence)
    return out


def joined(reading: Reading, at: int) -> Sentence:
    """Sentence `at` with those beside it that it is cut from."""
    sentence, first, last = reading.sentences[at], at, at
    if not cut_anywhere(reading):
        return sentence
    while _joins(reading, first - 1, first, at) and _width(reading, first - 1, last) <= MOST:
        first -= 1
    while _joins(reading, last, last + 1, at) and _width(reading, first, last + 1) <= MOST:
        last += 1
    return replace(sentence, start=reading.sentences[first].start, end=reading.sentences[last].end)


def whole_again(reading: Reading, sentences: list[Sentence]) -> list[Sentence]:
    """The sentences of text without stops, each with what it is cut from; those that cannot be made whole end with
    their last whole clause, or are left out beside others."""
    places = {sentence.start: at for at, sentence in enumerate(reading.sentences)}
    out: list[Sentence] = []
    for sentence in sentences:
        made = joined(reading, places[sentence.start])
        behind = out[-1].end if out else -1
        if made.start < behind or (made.start == behind and (_leans(reading, made) or _leads_on(reading, out[-1]))):
            out[-1] = replace(out[-1], end=max(made.end, behind))
        else:
            out.append(made)
    ended = [replace(sentence, end=_last_whole(reading, sentence)) for sentence in out]
    starts = {sentence.start for sentence in ended if sentence.end > sentence.start}
    kept = [s for s in ended if s.end > s.start and (s.end in starts or not _leads_on(reading, s))]
    return kept or sentences


def _leads_on(reading: Reading, sentence: Sentence) -> bool:
    """Whether a few words only lead to what stands behind them: 'but as a judge | I have to say'."""
    first, second = (
        reading.words[sentence.start : sentence.start + 2] if sentence.end - sentence.start > 1 else ("", "")
    )
    short = sentence.end - sentence.start <= LEAST + 1
    led = second == "as" or second in cue_words("discourse", "leans")
    return short and led and first in cue_words("discourse", "joints")


def _width(reading: Reading, first: int, last: int) -> int:
    return reading.sentences[last].end - reading.sentences[first].start


def _joins(reading: Reading, first: int, second: int, own: int) -> bool:
    """Whether two sentences beside each other, one of them that of `own`, are one phrase cut in two."""
    if first < 0 or second >= len(reading.sentences):
        return False
    one, two, part = reading.sentences[first], reading.sentences[second], reading.sentences[own].category
    strange = two if first >= own else one
    if strange.end - strange.start > MOST:
        return False
    figures = any(begins_number(word) for word in reading.words[strange.start : strange.end])
    if strange.category != part or strange.role == "expect" or (strange.role == "score" and figures):
        return False
    led = _open(reading, one.start, one.end) and (first >= own or not _says(reading, one.start, one.end))
    return led or _hangs(reading, two, one) or _names_style(reading, one, two)


def _names_style(reading: Reading, before: Sentence, sentence: Sentence) -> bool:
    """Whether a sentence begins with a style that the one before calls the beer: 'a lovely | schwarzbier'."""
    articles = ARTICLES.intersection(reading.words[max(before.start, sentence.start - 2) : sentence.start])
    return bool(articles and styles_at(reading, sentence.start))


def _open(reading: Reading, start: int, end: int) -> bool:
    """Whether words end in one that leads to another: 'and i'd love | to', 'with | a', 'and i think', 'when | that';
    not in one that a question word has drawn forward: 'what it's | for'."""
    last, before = reading.words[end - 1], reading.words[max(start, end - ASKING) : end - 1]
    if last in cue_words("discourse", "strands"):
        return ASKED.isdisjoint(before)
    leads = cue_words("discourse", "leads")
    return last in leads or (last == "that" and not leads.isdisjoint(before[-1:])) or _says(reading, start, end)


def _says(reading: Reading, start: int, end: int) -> bool:
    """Whether words end in what the taster says or thinks, which follows: 'and i think', 'i'd say'."""
    told = reading.words[end - 1] in cue_words("discourse", "holds")
    return told and "i" in reading.words[max(start, end - SAYING) : end - 1]


def _hangs(reading: Reading, sentence: Sentence, before: Sentence) -> bool:
    """Whether a sentence begins with a word that only goes on: 'of my tongue', 'is there', not 'is it'."""
    first, behind = reading.words[sentence.start], reading.words[sentence.start + 1 : sentence.start + 2]
    copula = first in ("is", "are", "was", "were", "has") and PRONOUNS.isdisjoint(behind)
    copula |= (
        first in ("is", "was") and "what" in reading.words[before.start : before.end]
    )  # 'what spoils it | is that it is flat'
    return copula or first in cue_words("discourse", "goes_on")


def _leans(reading: Reading, sentence: Sentence) -> bool:
    """Whether a sentence right behind another may be the rest of it: 'with lovely malt', 'like a tart'."""
    return reading.words[sentence.start] in cue_words("discourse", "leans")


def _begins(reading: Reading, start: int, end: int) -> bool:
    """Whether words only begin a clause: 'it's', 'that is'."""
    return reading.words[start] in PRONOUNS and cue_words("discourse", "leads").issuperset(
        reading.words[start + 1 : end]
    )


def _last_whole(reading: Reading, sentence: Sentence) -> int:
    """Where the last whole clause of a sentence ends; its start where there is none."""
    end, joints = sentence.end, cue_words("discourse", "joints")
    while end > sentence.start and reading.words[end - 1] in joints:
        end -= 1
    if end - BEGUN - sentence.start >= LEAST and _begins(reading, end - BEGUN, end):
        end -= BEGUN
    while _open(reading, sentence.start, end):
        joint = next((k for k in range(end - 1, sentence.start, -1) if reading.words[k] in joints), sentence.start)
        if joint - sentence.start < LEAST:
            return sentence.start
        end = joint
    return end
