"""Values that do not stand: what would be ('had it been fresh, a ten'), and what is only possible ('seven maybe')."""

from __future__ import annotations

from notes2sheet.features import function_words
from notes2sheet.numbers import Number, begins_number, number_before
from notes2sheet.score_view import SentenceView, score_words
from notes2sheet.unlisted import common_words

GAVE, NEAR = {"gave", "wrote", "scored", "awarded"}, 3  # what the taster did, within so many words of another time
THOUGHT = 5  # words before a figure in which somebody else may think it
NO_FIGURES = {"one", "oh", "point"}  # words that may stand for none
BEFORE_GIVEN = {"a", "an", "the", "it"}  # before what somebody gave
CUT = 4  # words before a wrong cut in running text that deny what is behind it
REACHES = ("go", "going", "get", "run", "stretch")  # denied, and 'to': before a value that is not reached
FAR_OFF = (["far", "off"], ["far", "from"])  # before a value that is not reached
WOULD = {"would", "'d", "could", "might"}  # behind a figure that is only thought of
GIVING = {"be", "been", "being", "get", "gone", "given", "said", "scored"}  # behind 'would' and before a figure


def supposed(view: SentenceView, number: Number) -> bool:
    """Whether a value is only what would be: 'it would be a nine', 'had it been fresh, ten', 'nine if it were dry'."""
    if _of_the_past(view, number) or _anothers_view(view, number) or _given_by_name(view, number):
        return True
    if _not_dared(view, number) or _to_come(view, number) or _gives_way(view, number):
        return True
    begin = number.start
    while begin > view.sentence.start and not _turns(view, begin - 1):
        begin -= 1
    if view.starts_at("only_if", number.end) is not None and not view.breaks(number.end):
        return True
    giving = _contented(view, number)
    would = [(start, end) for start, end, name in view.hits if name == "supposed" and _supposes(view, end, giving)]
    would = [(start, end) for start, end in would if not _of_figure(view, start)]
    if any(begin <= start and _reaches(view, end, number.start) for start, end in would):
        return True
    first = max(begin, number.start - 6)
    before = view.words[first : number.start]
    if before[-2:] in (["'s", "a"], ["'s", "an"], ["be", "a"], ["be", "an"]):
        said = view.words[view.sentence.start : number.start - 2]
        better = next((k for k, word in enumerate(said) if word in score_words("improves")), 0)
        if any(begins_number(word) and word != "oh" for word in said[:better]):
            return True  # 'seven; fix the sweet finish and it's a nine'
    if view.reading.running and before[-2:] == ["n't", "be"]:
        return False  # 'no warmth, well, there wouldn't be. Four out of five.'
    asked = number.end == view.sentence.end and "could" in before and view.asks()
    before = before[: max(giving - first, 0)]
    mine = (k for k, word in enumerate(before) if word in ("would", "'d") and not _of_figure(view, first + k))
    would_at = next(mine, len(before))
    must = before[-3:] == ["have", "to", "be"]
    given = next((k for k in range(would_at, len(before)) if not must and _gives(before, k)), None)
    near = given is not None and (not view.reading.running or _only_gives(view, first + given + 1, number.start))
    return asked or near


def _anothers_view(view: SentenceView, number: Number) -> bool:
    """Whether a value is what somebody else thinks the beer is worth: 'the lad reckons it's worth twenty'."""
    words, first = view.words, view.sentence.start
    near = range(max(first + 1, number.start - THOUGHT), number.start)
    thinks = next((k for k in near if words[k] in score_words("thinks")), None)
    return (
        thinks is not None
        and words[thinks - 1] not in ("i", "we")
        and not any(view.breaks(k) or words[k] in score_words("turn") for k in range(thinks + 1, number.start + 1))
    )


def _given_by_name(view: SentenceView, number: Number) -> bool:
    """Whether a value is what somebody with a name gave: 'Joyce has ten and a half', "Kev's got four", 'Marco next to
    me is saying ten'."""
    words, first, at = view.words, view.sentence.start, number.start
    while at > first and words[at - 1] in BEFORE_GIVEN:
        at -= 1
    if at - 2 < first or words[at - 1] not in score_words("has_given") or any(map(view.breaks, range(at - 1, at + 1))):
        return False
    if words[at - 1] == "got" and at - 3 >= first and words[at - 3] in score_words("numbered"):
        return True  # 'entry 207 got an eight'
    if not view.reading.running and _other_figures(view, number):
        return False  # 'caller says nine, I say eight'
    mine = words[number.end : number.end + 2] in (["from", "me"], ["by", "me"])
    if mine or (at - 3 >= first and words[at - 3] in ("the", "this", "that")):
        return False  # 'the Kettlewick has nine from me'
    helped = words[at - 2] in ("is", "'s", "has")
    if helped and words[at - 1] in ("saying", "giving"):
        return words[at - 3] not in ("i", "it", "that", "this", "which")
    return _is_name(view, at - 2 - helped)


def _other_figures(view: SentenceView, number: Number) -> bool:
    """Whether another figure stands in the sentence."""
    others = (*range(view.sentence.start, number.start), *range(number.end, view.sentence.end))
    return any(begins_number(view.words[k]) and view.words[k] not in NO_FIGURES for k in others)


def _is_name(view: SentenceView, at: int) -> bool:
    """Whether word `at` of the sentence is somebody's name: it has a capital that nothing else explains, or no everyday
    word is written so."""
    if at < view.sentence.start or view.names_part_at(at) or begins_number(view.words[at], heard=True):
        return False
    word, behind = view.words[at], view.words[at + 1]
    if word in ("he", "she", "they"):
        return behind not in ("has", "got", "'s")  # the beer may be 'she', too
    strange = word not in common_words() and word.isalpha()
    if word not in function_words() and (at == view.sentence.start or view.reading.running):
        strange |= behind == "'s" or not (view.reading.running or behind in ("has", "had", "got"))
    if view.reading.running or at == view.sentence.start:
        return strange and not view.sensory(at)
    return view.reading.raw[at][:1].isupper() and view.words[at] != "i" and not view.sensory(at)


def _supposes(view: SentenceView, end: int, at: int) -> bool:
    """Whether words for a supposition end before word `at`, and are none for what must be: not 'I would have to'."""
    return end <= at and view.words[end - 1 : end + 1] != ["have", "to"]


def _gives(before: list[str], at: int) -> bool:
    """Whether a verb behind 'would' says what would be given: 'be', 'I'd have | put', not 'I'd | put'."""
    done = before[at] in score_words("would_have") and before[at - 1 : at] in (["have"], ["'ve"], ["of"])
    return done or before[at] in GIVING


def _not_dared(view: SentenceView, number: Number) -> bool:
    """Whether a value is one that is not given, or only nearly: 'I didn't dare write five', 'hardly an eight', 'not far
    off eight'; not 'I can't go past seven', 'why don't we say six'. Without an article, what only comes near needs
    another figure beside it, which is the score."""
    words, first, at = view.words, view.sentence.start, number.start
    if view.reading.running:
        first = max(0, first - CUT)  # 'I didn't dare | write five'
    gives = score_words("givers") | score_words("writes") | score_words("ventures")
    while at > first and not view.breaks(at) and (words[at - 1] in score_words("joins") or words[at - 1] in gives):
        at -= 1
    if at == first or view.breaks(at):
        return False
    before, behind, others = words[at - 1], words[at : number.start], _other_figures(view, number)
    if before == "no" and words[at - 2] in ("'s", "is", "see") and not behind:
        return others  # 'seven, there's no eight in it'
    article = behind[-1:] in (["a"], ["an"])
    if words[at - 2 : at] == ["do", "without"]:
        return False  # 'which I could do without, so ten'
    if before in score_words("nearly") or words[at - 2 : at] in FAR_OFF:
        return article or (others and at > view.sentence.start)
    meant = before in ("not", "n't", "never") and words[at - 2] not in ("not", "n't", "why")
    asked = behind[:1] in (["i"], ["we"])  # 'why don't we say six'
    goes = bool(behind) and behind[0] in REACHES and "to" in behind  # 'I won't go to eleven'
    return meant and not asked and (goes or (article and others) or not gives.isdisjoint(behind))


def _to_come(view: SentenceView, number: Number) -> bool:
    """Whether a value is one that the beer may get later: 'four, it'll be a five once it's carbonated', 'five with
    another month'."""
    later = view.starts_at("later", number.end)
    if later is None or view.breaks(number.end):
        return False
    article = number.start - (view.words[number.start - 1] in ("a", "an"))
    will = view.words[max(view.sentence.start, article - 2) : article]
    return will in (["'ll", "be"], ["will", "be"]) or _other_figures(view, number)


def _of_figure(view: SentenceView, at: int) -> bool:
    """Whether 'would' at word `at` is said of the figure right before it: 'nine | would be fair, I'll go with ten'."""
    before = view.words[at - 1] if at > view.sentence.start else ""
    return begins_number(before) and before not in NO_FIGURES and view.words[at + 1 : at + 2] == ["be"]


def _gives_way(view: SentenceView, number: Number) -> bool:
    """Whether a value would be something, and another is given behind it: 'eleven would be right for the rest, but I'm
    going to say ten'."""
    words, end = view.words, view.sentence.end
    be = number.end + 1
    if be + 1 >= end or words[number.end] not in WOULD or words[be] != "be" or begins_number(words[be + 1]):
        return False
    later = (k for k in range(be + 1, end) if begins_number(words[k]))
    return any(view.ends_at("value_before", k) is not None and view.score_ends(k + 1) for k in later)


def _turns(view: SentenceView, at: int) -> bool:
    """Whether what was only supposed ends with word `at`: 'but', the 'now' of 'now it's six', or the 'I' of 'and I say
    six'."""
    words = view.words
    if words[at] in score_words("turn"):
        return True
    told = at + (words[at] == "now")
    stands = words[told : told + 2] in (["it", "'s"], ["it", "is"], ["that", "'s"], ["this", "is"], ["i", "'m"])
    broken = view.breaks(at - (words[at - 1] == "and"))
    if stands and (told > at or (broken and any(map(begins_number, words[view.sentence.start : at])))):
        return True  # 'I'd have said nine last month, it's eight today'
    first = words[at] == "i" and at > view.sentence.start and words[at - 1] in ("and", "then")
    return first and not score_words("says").isdisjoint(words[at + 1 : at + 2])


def _of_the_past(view: SentenceView, number: Number) -> bool:
    """Whether a value was given at another time: 'last month I gave thirteen out of twelve', not 'better than last
    month, so I gave ten'."""
    for start, end, name in view.hits:
        if name != "past" or end > number.start or view.words[start - 1 : start] == ["than"]:
            continue
        between = view.words[end : number.start]
        at = next((k for k, word in enumerate(between) if word in GAVE), None)
        if at and between[at - 1] in ("i", "we") and at <= NEAR and not any(map(view.breaks, range(end, end + at))):
            return not any(begins_number(word) for word in between)
    return False


def _contented(view: SentenceView, number: Number) -> int:
    """Where a phrase that gives this figure whatever else is told ('I'd be happy with') begins: it supposes nothing;
    the figure's place where there is none."""
    article = number.start - (view.words[number.start - 1] in ("a", "an", "the") and number.start > view.sentence.start)
    begin = view.ends_at("gives_it", article)
    over = view.starts_at("over", number.end)
    capped = over is not None and number_before(view.words, over, view.sentence.end) is not None
    given = begin is not None and view.begins(begin) and (view.score_ends(number.end) or capped)
    return begin if begin is not None and given else number.start


def _reaches(view: SentenceView, end: int, at: int) -> bool:
    """Whether words for a supposition that end before word `end` may reach the figure at word `at`. In running text,
    whose bounds are unsure, 'would have' and the like reach only over words for giving: not 'I could have dated'."""
    if end > at or not view.reading.running:
        return end <= at
    if view.words[end - 1] in ("have", "'ve", "be"):
        return _only_gives(view, end, at)
    return end == at or view.words[at - 1] in score_words("joins")  # not 'I'd be worried if there wasn't | three'


def _only_gives(view: SentenceView, start: int, end: int) -> bool:
    """Whether the words `start` to `end` between a supposition and a figure only lead to it, parts and other figures
    among them ('I'd have gone | twelve for flavor, two')."""
    plain = score_words("joins") | score_words("given") | {"or"}
    named = {k for first, last, _ in view.part_hits for k in range(first, last)}
    return all(k in named or view.words[k] in plain or begins_number(view.words[k]) for k in range(start, end))


def possible(view: SentenceView, number: Number) -> bool:
    """Whether a value is only possible: 'might be a seven', 'seven and a half maybe'."""
    if view.ends_at("maybe", number.start) is not None:
        return True
    return (
        number.end < view.sentence.end
        and view.words[number.end] in ("maybe", "perhaps")
        and not view.breaks(number.end)
    )
