"""The clause that closes a long sentence with what a part gets: '…, so three', '…, therefore six of the twelve',
'…, two off'. Such a sentence recites and observes at length, so that it is seldom taken for one that gives a score."""

from __future__ import annotations

from notes2sheet.numbers import number_before
from notes2sheet.score_view import ABOVE_CAP, Expression, SentenceView, score_words

WINDING = 12  # words that such a sentence has at least before its last clause
LONGEST, BRIEF = 18, 8  # words of a clause that draws a conclusion at most, and of one that only takes points off
LED = 8  # small words between 'so' and a figure at most


def concluded_at(view: SentenceView) -> int:
    """The word at which the closing clause begins; the sentence's end where there is none."""
    sentence, words = view.sentence, view.words
    last = sentence.end
    for at in range(max(sentence.start + WINDING, sentence.end - LONGEST), sentence.end):
        if not view.breaks(at):
            continue
        if _draws(view, at + (words[at] == "and")):
            return at
        last = at
    takes = score_words("taken").intersection(words[last : sentence.end])
    return last if takes and sentence.end - last <= BRIEF else sentence.end


def concludes(view: SentenceView, expression: Expression) -> bool:
    """Whether an expression in the closing clause is a score of the part that is talked about. In running text, where
    no clause can be told, it need only follow on 'so' ('and so it's three')."""
    cap, value = view.own_cap, expression.value
    if cap is None or expression.part not in (None, view.sentence.category) or view.sentence.role == "prefer":
        return False
    if not view.reading.running and expression.start < concluded_at(view):
        return False
    again = expression.kind == "off" and view.words[expression.end : expression.end + 1] == ["again"]
    ends = expression.over is not None or view.score_ends(expression.end + again)
    if expression.kind == "off":
        meant = expression.over is not None or expression.imperative or (value >= 1 and _led(view, expression))
        return ends and meant and value * 2 <= cap
    led = expression.over is not None or _led(view, expression)
    return expression.kind == "value" and ends and led and cap / 4 <= value <= cap + ABOVE_CAP


def _draws(view: SentenceView, at: int) -> bool:
    """Whether word `at` of the sentence draws a conclusion."""
    return at < view.sentence.end and view.words[at] in score_words("concludes")


def _led(view: SentenceView, expression: Expression) -> bool:
    """Whether only small words stand between an expression and the beginning of its clause ('so it's three', not 'so I
    came back at nine'), or the cap that it is taken from ('so from ten I give five')."""
    words, at = view.words, expression.start
    small = score_words("joins") | score_words("leads") | score_words("concludes")
    while at > max(view.sentence.start, expression.start - LED) and not view.breaks(at) and words[at - 1] in small:
        if _draws(view, at - 1):
            return True
        at -= 1
    before = words[at - 1]
    if view.reading.running:
        return before in score_words("concludes")  # a cut may stand right behind it
    cap = number_before(words, at - 1, at)
    begins = view.breaks(at) or (before == "and" and view.breaks(at - 1))
    return begins or before in score_words("turn") or (cap is not None and cap.value == view.own_cap)
