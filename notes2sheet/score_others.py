"""Values beside the taster's own: another judge's, and those of a beer that this one is held against."""

from __future__ import annotations

from notes2sheet.numbers import begins_number, number_before
from notes2sheet.score_view import Expression, SentenceView, score_words

OWN = {"me", "mine"}  # before a colon or a figure, where judges are listed
SPEAKS = {"i", "we", "me", "mine", "my", "this", "it", "that"}  # what a clause on this beer or by the taster has
SUBJECT = 5  # words from a beer to what it had: 'the last one | from their cellar got'
MARKED = 3  # words before a beer, one that tells it from this one among them
GAVE = {"gave", "scored", "marked", "awarded"}  # before another beer and its score
GIVEN_TO = 6  # words from those to the score
NOT_OURS = {"the", "their", "his", "her", "our", "your", "its"}  # before 'pale one', where that had another score
ALSO = {"and", "or", "to", "then", "the", "a", "an", "here", "there", "on", "at"}  # from one beer's score to the next's
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
    for e in _without_other_beers(view, found):
        if given is None or e.kind != "value" or e.over is not None or not _of_another(view, given, e):
            out.append(e)
            given = e.end if e.kind == "value" else given
    return out


def _without_other_beers(view: SentenceView, found: list[Expression]) -> list[Expression]:
    """Without what another beer had or lost, said before or behind the taster's own of this one: 'the last batch got 39
    and the one before 36', 'I gave their pale one thirty'."""
    out: list[Expression] = []
    other: Expression | None = None
    for n, e in enumerate(found):
        others = other is not None and _goes_on(view, other.end, e)
        others = others or _had_by_other(view, e) or _given_to_other(view, e) or _given_by_them(view, e, found[n + 1 :])
        other = e if others else None
        if other is None:
            out.append(e)
    return out


def _goes_on(view: SentenceView, end: int, e: Expression) -> bool:
    """Whether only what links the scores of several other beers stands between a score that ends before word `end` and
    the next: 'and the second got', 'and batch two lost'."""
    between = view.words[end : e.start]
    links = ALSO | score_words("had_once") | score_words("beers") | score_words("other_beer") | score_words("counting")
    plain = all(word in links or begins_number(word) for word in between)
    return plain and bool(between) and not any(view.breaks(k) for k in range(end + 1, e.start + 1))


def _first(view: SentenceView, reach: int) -> int:
    """The first word that may tell whose score one of the sentence is; in running text, whose cuts are guessed, also a
    few words before it."""
    start = view.sentence.start
    return max(0, start - reach) if view.reading.running else start


def _apart(view: SentenceView, start: int, end: int) -> bool:
    """Whether punctuation parts the words `start` to `end`."""
    return not view.reading.running and any(view.breaks(k) for k in range(start + 1, end + 1))


def _had_by_other(view: SentenceView, e: Expression) -> bool:
    """Whether a beer that is told from this one had the points: 'the old bottle got', 'batch two lost'."""
    words, verb = view.words, e.start
    if words[verb] not in score_words("had_once"):
        while verb > view.sentence.start and words[verb - 1] in score_words("small"):
            verb -= 1
        verb -= 1
    first = max(_first(view, SUBJECT), verb - SUBJECT)
    if verb <= first or words[verb] not in score_words("had_once"):
        return False
    for noun in range(verb - 1, first - 1, -1):
        if words[noun] in SPEAKS or _apart(view, noun, verb):
            return False
        counted = words[noun] == "one" and words[noun - 1] in score_words("made_again")
        if words[noun] in score_words("beers") and not counted:
            return _told_apart(view, noun)
    return False


def _told_apart(view: SentenceView, noun: int) -> bool:
    """Whether a beer is told from this one: 'the last batch', 'batch two', 'the first version'."""
    words = view.words
    before = words[max(_first(view, SUBJECT + MARKED), noun - MARKED) : noun]
    if "this" in before:
        return False
    if words[noun + 1] == "before":
        return True
    made = words[noun] in score_words("made_again")
    if made and ("first" in before or begins_number(words[noun + 1])):
        return True
    return not score_words("other_beer").isdisjoint(before)


def _given_to_other(view: SentenceView, e: Expression) -> bool:
    """Whether the score was given to another beer: 'I gave their pale one 38', 'scored the last batch thirty'."""
    words, noun = view.words, e.start - 1
    first = max(_first(view, GIVEN_TO), e.start - GIVEN_TO)
    gave = next((k for k in range(noun - 1, first - 1, -1) if words[k] in GAVE), None)
    if gave is None or words[noun] not in score_words("beers") or _apart(view, gave, e.start):
        return False
    between = words[gave + 1 : noun]
    other = words[noun] == "one" and len(between) > 1 and between[0] in NOT_OURS
    return SPEAKS.isdisjoint(between) and (other or _told_apart(view, noun))


def this_beer_gets(view: SentenceView) -> int | None:
    """Behind words for what this beer gets, though the sentence tells of others too: 'and this one gets | 42'."""
    words, last = view.words, view.sentence.end
    for k in range(view.sentence.start, last - 1):
        verb = k + 1 + (words[k + 1] in score_words("beers"))
        if words[k] == "this" and verb < last and words[verb] in score_words("gets_now"):
            return verb + 1
    return None


def tells_others(view: SentenceView) -> bool:
    """Whether a phrase for what others gave stands in the sentence: 'they have it at', not 'I have it at'."""
    words, first = view.words, view.sentence.start
    starts = (start for start, _, name in view.hits if name == "others")
    return any(not {"i", "we"}.intersection(words[max(first, start - 2) : start]) for start in starts)


def _given_by_them(view: SentenceView, e: Expression, behind: list[Expression]) -> bool:
    """Whether others gave the score, where the taster's own stands behind it: 'they have | six, I'm on seven'."""
    words, at = view.words, e.start
    while at > view.sentence.start and words[at - 1] in score_words("small"):
        at -= 1
    verb = at - 1
    if verb <= view.sentence.start or words[verb] not in score_words("has_given") | {"have", "'ve"}:
        return False
    who = verb - 1 - (words[verb - 1] in ("'ve", "have", "has", "'d", "'s"))
    mine = any("i" in words[e.end : own.start] for own in behind)
    theirs = who >= view.sentence.start and words[who] in ("he", "she", "they")
    return mine and theirs and not _apart(view, who, e.start)


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
