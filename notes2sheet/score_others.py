"""Values beside the taster's own: another judge's, and those of a beer that this one is held against."""

from __future__ import annotations

from notes2sheet.numbers import begins_number, number_before
from notes2sheet.score_view import Expression, SentenceView, score_words

OWN = {"me", "mine"}  # before a colon or a figure, where judges are listed
AGAINST = (["against"], ["vs"], ["versus"], ["compared", "to"], ["compared", "with"])
COLUMNS = ("/", "|", "-", "–", "—")  # between the judges of a line
VERSION = 5  # words of 'for the old draught version'
CLAUSE = 6  # words at most in which another beer is named with its score


def without_others(view: SentenceView, found: list[Expression]) -> list[Expression]:
    """Without the values of others: 'D.: 18. me: 16', '14 against 16 for the reference', '14; batch 14 had 13'."""
    if (mine := _own_label(view)) is not None:
        found = [e for e in found if e.start > mine and not _other_label(view, mine, e)]
    out: list[Expression] = []
    given = figure_before(view)
    for e in found:
        if given is None or e.kind != "value" or e.over is not None or not _of_another(view, given, e):
            out.append(e)
            given = e.end if e.kind == "value" else given
    return out


def values_before(found: list[Expression]) -> dict[int, int]:
    """{first word of an expression: where the value before it ends}"""
    out: dict[int, int] = {}
    given = None
    for e in found:
        if given is not None:
            out[e.start] = given
        given = e.end if e.kind == "value" else given
    return out


def names_other(words: list[str]) -> bool:
    """Whether words lead to what this beer is held against: 'against', 'against a house average of'."""
    return any(words[k : k + len(led)] == led for led in AGAINST for k in range(len(words)))


def figure_before(view: SentenceView) -> int | None:
    """Where the sentence begins, if a figure stands right before it in running text, whose cuts are guessed."""
    start = view.sentence.start
    told = view.reading.running and start > 0 and number_before(view.words, start - 1, start) is not None
    return start if told else None


def _own_label(view: SentenceView) -> int | None:
    """Where the taster's own column of a list of judges begins: 'me' before a colon, or with a figure right behind."""
    for k in range(view.sentence.start, view.sentence.end - 1):
        if view.words[k] in OWN and _begins(view, k):
            mark = view.reading.breaks[k + 1].strip()
            if mark[:1] in (":", "=") or (not mark and begins_number(view.words[k + 1])):
                return k
    return None


def _begins(view: SentenceView, at: int) -> bool:
    return view.begins(at) or view.reading.breaks[at].strip() in COLUMNS


def _other_label(view: SentenceView, mine: int, e: Expression) -> bool:
    """Whether a figure behind the taster's own stands alone with somebody's name: 'me 15, D 17'."""
    at = e.start - 1
    named = at > mine + 1 and _begins(view, at) and view.words[at].isalpha() and not view.names_part_at(at)
    return named and view.words[at] not in score_words("joins") | score_words("take_back") | score_words("filler")


def _of_another(view: SentenceView, given: int, e: Expression) -> bool:
    """Whether a value behind the taster's own, which ends before word `given`, is that of a beer which this one is held
    against."""
    if names_other(view.words[max(given, e.start - 2) : e.start]):
        return True
    if view.ends_at("held_against", e.start) is not None:
        return True
    behind = view.words[e.end : min(e.end + VERSION, view.sentence.end)]
    if behind[:2] == ["for", "the"] and not score_words("versions").isdisjoint(behind) and not e.named:
        return True
    start = next((k for k in range(e.start - 1, given, -1) if view.begins(k)), given)
    said = view.words[start : e.start]
    if not said or len(said) > CLAUSE:
        return False
    told = [k for k in range(start, e.start) if view.words[k] not in ("a", "an")]  # 'a' may name the appearance
    if any(map(view.names_part_at, told)) or any(map(view.sensory, told)):
        return False
    if "other" in said[:2] or (names_other(said) and not view.begins(e.start)):
        return True
    return len(said) > 1 and said[-1] in score_words("had") and score_words("had_here").isdisjoint(said[:-1])
