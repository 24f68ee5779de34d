"""From the Reading to the Sheet: each value with its evidence."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from decimal import Decimal
from typing import Any, cast

from notes2sheet.checks import run_checks
from notes2sheet.comments import compose
from notes2sheet.coverage import find_coverage
from notes2sheet.descriptors import CLAUSE_BREAK
from notes2sheet.excuses import excused
from notes2sheet.faults import tolerated
from notes2sheet.features import START, function_words
from notes2sheet.house import under_house
from notes2sheet.lexicon import CONTRACT_LEVEL
from notes2sheet.model import CategoryOut, DescriptorOut, Entry, Lost, SentenceOut, Sheet, StyleRef, Total
from notes2sheet.reasons import find_reasons
from notes2sheet.score_booking import Standing
from notes2sheet.score_view import score_words
from notes2sheet.sentences import Sentence
from notes2sheet.tasting import is_tasting, let_stand
from notes2sheet.transcript import DASHES, Reading
from notes2sheet.unbroken import joined
from notes2sheet.whole_beer import label_end

POINTING = {"that", "this", "it", "those", "these", "both", "which"}  # to what the sentence before tells
UNFINISHED = {"since", "because", "for", "as", "cause"}  # at the end of a line whose reason stands on the next
OPENING = f"([{DASHES} "  # what may stand between a reason and its points


def number(value: Decimal | None) -> float | None:
    return None if value is None else float(value)


def make_sheet(reading: Reading) -> Sheet:
    """The frozen Sheet of a finished Reading, its flags raised."""
    let_stand(reading)
    covered = find_coverage(reading)
    parts = reading.scores.parts
    values = [s.value for s in parts.values()]
    the_sum = sum(values) if all(v is not None for v in values) else None
    said = reading.scores.total
    judged = said if the_sum is None else the_sum
    style, house = reading.style, reading.house
    sheet = Sheet(
        text=reading.text,
        sheet=reading.sheet.id,
        entry=Entry(name=reading.entry.name, maker=reading.entry.maker, abv=reading.entry.abv),
        style=StyleRef(
            code=style.style.code if style.style else None,
            name=style.style.name if style.style else None,
            basis=style.basis,
            spans=tuple(style.spans),
        ),
        sentences=tuple(
            SentenceOut(span=reading.whole(s), category=s.category, role=s.role, time=s.time) for s in reading.sentences
        ),
        categories={c.id: _category(reading, c, parts[c.id], covered[c.id]) for c in reading.sheet.categories},
        total=Total(
            sum=number(the_sum),
            said=number(said),
            band=reading.sheet.band(float(judged)) if judged is not None and judged >= 0 else None,
            house_band=house.band(float(judged)) if house and judged is not None else None,
            spans=tuple(reading.scores.total_spans),
        ),
        descriptors=tuple(_descriptor(reading, m) for m in reading.mentions),
        flags=tuple(run_checks(reading, covered)),
        suggestions=tuple(_suggestions(reading)),
        house=house,
    )
    return under_house(sheet)


def _suggestions(reading: Reading) -> list[str]:
    """For the off-flavors that this beer has and its style does not tolerate."""
    from notes2sheet.advice import advice

    if not is_tasting(reading):
        return []
    style = reading.style.style
    found = [m for m in reading.mentions if m.state == "present" and m.flaw and not excused(reading, m)]
    names = dict.fromkeys(m.flaw for m in found if style is None or not tolerated(style, m))
    return advice(names, reading.lexicon) if names else []


def _category(reading: Reading, definition: Any, standing: Standing, covered: Any) -> CategoryOut:
    full = standing.value == definition.cap  # whatever was taken off was given back
    return CategoryOut(
        cap=definition.cap,
        score=number(standing.value),
        basis=cast(Any, standing.basis),
        spans=tuple(dict.fromkeys(standing.spans)),
        covered={aspect: tuple(dict.fromkeys(spans)) for aspect, spans in covered.items() if spans},
        missing=tuple(aspect for aspect in definition.aspects if not covered[aspect]),
        comment=compose(reading, definition.id),
        lost=tuple(_lost(reading, standing, n) for n in range(0 if full else len(standing.taken))),
        reasons=find_reasons(reading, definition.id, standing, definition.cap),
    )


def _lost(reading: Reading, standing: Standing, n: int) -> Lost:
    """The n-th deduction of a part; its reason is its sentence, or its own clause where the sentence tells several, and
    the sentence before where it only points back ('half a point for that')."""
    amount, sentence_at, own = standing.taken[n]
    sentence = reading.sentences[sentence_at]
    clause = _own_clause(reading, standing, sentence_at, own)
    made = joined(reading, sentence_at)
    spans = [clause or reading.whole(made)]
    shown = [clause or reading.span(made.start, made.end)]
    ends = clause is None and made.end == sentence.end
    if ends and reading.words[sentence.end - 1] in UNFINISHED and _follows(reading, sentence_at):
        spans.append(reading.whole(reading.sentences[sentence_at + 1]))
        shown.append(spans[-1])
    elif (told := _pointed_to(reading, sentence_at, clause)) is not None:
        spans.insert(0, reading.whole(joined(reading, told)))
        shown.insert(0, spans[0])
    reason = " ".join(" ".join(reading.text[start:end].split()) for start, end in shown)
    return Lost(points=float(amount), reason=reason, spans=tuple(spans))


def _follows(reading: Reading, at: int) -> bool:
    """Whether the next sentence is of the same part."""
    sentences = reading.sentences
    return at + 1 < len(sentences) and sentences[at + 1].category == sentences[at].category


def _pointed_to(reading: Reading, at: int, clause: tuple[int, int] | None) -> int | None:
    """The sentence that one without a sensory word points back to with 'that' or 'it', or the clause of its first loss
    with 'for that': what is told of this beer right before it, in the same part, what ought to be passed over."""
    sentence = reading.sentences[at]
    start, end = sentence.start, sentence.end
    if clause is not None:
        start, end = bisect_left(reading.starts, clause[0]), bisect_left(reading.starts, clause[1])
        first = bisect_left(reading.numbers, sentence.start, key=START)
        if first == len(reading.numbers) or reading.numbers[first].start < start:
            return None
    inside, behind = (bisect_left(reading.mentions, k, key=START) for k in (start, end))
    pointing = [k for k in range(start, end) if reading.words[k] in POINTING]
    if clause is not None:
        pointing = [k for k in pointing if reading.words[k - 1] == "for"]
    if not pointing or any(not mention.term.bare for mention in reading.mentions[inside:behind]):
        return None
    told = at - 2 if at > 1 and reading.sentences[at - 1].role == "expect" else at - 1
    if told < 0 or reading.sentences[told].role != "observe":
        return None
    return told if reading.sentences[told].category == sentence.category else None


def _own_clause(reading: Reading, standing: Standing, sentence_at: int, own: tuple[int, int]) -> tuple[int, int] | None:
    """The span between the breaks that part a deduction from the figures beside it; None where it stands alone."""
    taken = [span for _, at, span in standing.taken if at == sentence_at]
    if sentence_at in reading.written_sums and any(map(str.isalpha, reading.text[own[0] : own[1]])):
        return own
    if len(taken) < 2:
        return None
    sentence = reading.sentences[sentence_at]
    figures = sorted({*standing.spans, *taken})
    words = [(bisect_left(reading.starts, a), bisect_right(reading.starts, b - 1)) for a, b in figures]
    start, end = words[figures.index(own)]
    losses = [span for span, figure in zip(words, figures, strict=True) if figure in taken]
    if _behind_reasons(reading, sentence, losses, {first for first, _ in words}):
        begin = max((last for first, last in words if sentence.start <= first < start), default=sentence.start)
        if begin > sentence.start and begin not in {last for _, last in losses}:  # '8/12 for now: struck match -2'
            begin = next((k for k in range(begin, start) if CLAUSE_BREAK.search(reading.breaks[k])), begin)
        return reading.span(begin + (reading.words[begin] == "and"), end)
    before = max((last for first, last in words if sentence.start <= first < start), default=None)
    after = min(((a, b) for a, b in words if end <= a < sentence.end), default=None)
    whole = sentence.start, sentence.end
    left = whole if before is None else _last_break(reading, before, _reason_ends(reading, start, end))
    if left is None or (left == whole and CLAUSE_BREAK.search(reading.breaks[start])):
        left = _opened(reading, start, end) or left
    right = whole if after is None else _last_break(reading, end, _reason_ends(reading, *after))
    right = _opened(reading, *after) if right is None and after is not None else right
    if left is None or right is None:
        return None
    first, last = reading.span(left[0], right[1])
    return first, last + (reading.text[last : last + 1] == ")" and "(" in reading.text[first:last])


def _opened(reading: Reading, start: int, end: int) -> tuple[int, int] | None:
    """Where a figure with its reason behind it begins a clause though no mark says so: '| three for the corn | one for
    the sulfur'; None where its reason may stand before it ('haze, half a point for that')."""
    behind = next((k + 1 for k in range(start, end + 1) if reading.words[k : k + 1] == ["for"]), None)
    return None if behind is None or not POINTING.isdisjoint(reading.words[behind : behind + 1]) else (start, start)


def _behind_reasons(reading: Reading, sentence: Sentence, losses: list[tuple[int, int]], figures: set[int]) -> bool:
    """Whether each of the losses closes a clause behind its reason, the last one the sentence, but for a score ('too
    boozy, minus two, and a bit of burnt, minus one')."""
    behind = label_end(reading, sentence)
    for start, end in losses:
        closed = end >= sentence.end or CLAUSE_BREAK.search(reading.breaks[end])
        told = any(word not in function_words() for word in reading.words[behind:start])
        if not closed or not told or "(" in reading.breaks[start]:
            return False
        behind = end
    return behind >= sentence.end or behind in figures


def _reason_ends(reading: Reading, start: int, end: int) -> int:
    """The last word that a reason may begin with, told before a figure: not the figure itself where its reason stands
    before it ('papery (-2)', not '(2 for the paper)')."""
    alone = end >= len(reading.words) or bool(reading.breaks[end].strip())
    return start - (alone and not reading.breaks[start].strip(OPENING))


def _last_break(reading: Reading, behind: int, upto: int) -> tuple[int, int] | None:
    """Where one clause begins and the one before ends, as late as the words from `behind` to `upto` (included) allow:
    at a break, else around an 'and', else before a conclusion; None if there is none."""
    places = range(upto, behind - 1, -1)
    broken = next((k for k in places if CLAUSE_BREAK.search(reading.breaks[k])), None)
    if broken is not None:
        return broken, broken
    joined = next((k for k in places if reading.words[k] == "and"), None)
    if joined is not None:
        return joined + 1, joined
    drawn = next((k for k in range(behind, upto + 1) if reading.words[k] in score_words("drawn")), None)
    return None if drawn is None else (drawn, drawn)  # 'half for the head | that's two'


def _descriptor(reading: Reading, mention: Any) -> DescriptorOut:
    return DescriptorOut(
        span=reading.span(mention.start, mention.end),
        term=mention.term.name or None,
        category=reading.sentences[mention.sentence].category,
        state=mention.state,
        level=cast(Any, CONTRACT_LEVEL.get(mention.level)),
        scale=mention.level,
        flaw=mention.flaw,
    )
