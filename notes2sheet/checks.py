"""The flags: what a careful reader of the finished sheet would send back. One function a flag.

Each check takes the Reading and the coverage and yields Flags; its docstring is its documentation.
"""

from __future__ import annotations

from collections.abc import Iterator

from notes2sheet.checks_notes import not_english, other_scale, several_beers
from notes2sheet.checks_recited import bands_differ, caps_differ, recited_wrong
from notes2sheet.coverage import prompts
from notes2sheet.house import STEPS
from notes2sheet.model import Flag
from notes2sheet.reasons import fault_words, firm_fault_words
from notes2sheet.tasting import is_tasting
from notes2sheet.transcript import Reading
from notes2sheet.unlisted import everyday_words
from notes2sheet.whole_beer import of_whole
from notes2sheet.words import index_of
from notes2sheet.written_sums import wrong_sum

OBSERVED = 0.4  # odds, summed over a part's sentences, from which something is said about this beer
TOLD_BY_PARTS = 0.6  # of their points
SEVERITY = {"blocker": 0, "warning": 1, "note": 2}


def run_checks(reading: Reading, covered) -> list[Flag]:
    """All flags, worst first, then in the order of the sheet."""
    flags = [flag for check in CHECKS for flag in check(reading, covered)]
    order = {c.id: i for i, c in enumerate(reading.sheet.categories)}
    return sorted(flags, key=lambda f: (SEVERITY[f.severity], order.get(f.category or "", 9)))


def no_tasting(reading: Reading, covered) -> Iterator[Flag]:
    """no-tasting: nothing in the notes describes or scores a beer."""
    if not is_tasting(reading):
        yield Flag(
            code="no-tasting",
            severity="blocker",
            message="I find no tasting in these notes: nothing is described or scored.",
        )


def no_score(reading: Reading, covered) -> Iterator[Flag]:
    """no-score: no score can be read or derived for a part."""
    for part, standing in reading.scores.parts.items():
        if standing.value is None and standing.basis != "unsure":
            yield Flag(code="no-score", category=part, severity="blocker", message=f"No score is given for {part}.")


def unsure(reading: Reading, covered) -> Iterator[Flag]:
    """unsure: the taster hedges between values and never settles."""
    for part, standing in reading.scores.parts.items():
        if standing.basis == "unsure":
            yield Flag(
                code="unsure", category=part, severity="blocker", spans=tuple(standing.spans),
                message=f"The {part} score is left open between values; settle on one.",
            )  # fmt: skip


def over_cap(reading: Reading, covered) -> Iterator[Flag]:
    """over-cap: the score said is above the cap."""
    for part, standing in reading.scores.parts.items():
        cap = reading.sheet.cap(part)
        if standing.value is not None and standing.value > cap:
            yield Flag(
                code="over-cap", category=part, severity="blocker", spans=tuple(standing.spans),
                message=f"{_figure(standing.value)} for {part} is more than the {cap} that it can have.",
            )  # fmt: skip


def sum_differs(reading: Reading, covered) -> Iterator[Flag]:
    """sum-differs: the total said is not the sum of the scores that stand."""
    values = [s.value for s in reading.scores.parts.values()]
    said = reading.scores.total
    if said is not None and None not in values and sum(values) != said:
        parts = " + ".join(_figure(v) for v in values)
        yield Flag(
            code="sum-differs", severity="blocker", spans=tuple(reading.scores.total_spans),
            message=f"The total said is {_figure(said)}, but {parts} makes {_figure(sum(values))}.",
        )  # fmt: skip


def sum_unreachable(reading: Reading, covered) -> Iterator[Flag]:
    """sum-unreachable: whatever the open parts get, the scores that stand cannot make the total said."""
    said = reading.scores.total
    parts = reading.scores.parts
    known = sum(s.value for s in parts.values() if s.value is not None)
    open_caps = sum(reading.sheet.cap(part) for part, s in parts.items() if s.value is None)
    if said is not None and open_caps and not known <= said <= known + open_caps:
        yield Flag(
            code="sum-unreachable", severity="warning", spans=tuple(reading.scores.total_spans),
            message=f"The total said is {_figure(said)}; the scores given make {_figure(known)}, "
            f"and the open parts can add 0 to {open_caps}.",
        )  # fmt: skip


def losses_differ(reading: Reading, covered) -> Iterator[Flag]:
    """losses-differ: more was taken off a part than its score lacks, or a sum that is written out is wrong."""
    for part, standing in reading.scores.parts.items():
        cap = reading.sheet.cap(part)
        if standing.value is None or standing.value > cap or not standing.taken:
            continue
        said = wrong_sum(reading, part) or _taken_too_much(part, standing, cap, reading.running)
        if said:
            spans = dict.fromkeys([*(span for _, _, span in standing.taken), *standing.spans])
            yield Flag(code="losses-differ", category=part, severity="warning", spans=tuple(spans), message=said)


def _taken_too_much(part: str, standing, cap: int, running: bool) -> str:
    """What to say where more was taken off than the score lacks, and no value was changed since; '' elsewhere. In
    running text a loss far from the score is likely another part's."""
    lacks = cap - standing.value
    far = running and any(abs(at - standing.said_in) > 1 for _, at, _ in standing.taken)
    if standing.basis == "revised" or standing.lost <= lacks or far:
        return ""
    only = f"only {_figure(lacks)}" if lacks else "nothing"
    return f"−{_figure(standing.lost)} was taken off for {part}, but {_figure(standing.value)} of {cap} lacks {only}."


def band_differs(reading: Reading, covered) -> Iterator[Flag]:
    """band-differs: the word for the total is not the band for it, published or of the house."""
    total = reading.scores.total
    if total is None:
        values = [s.value for s in reading.scores.parts.values()]
        total = sum(values) if None not in values else None
    if total is None or not reading.scores.bands:
        return
    word, span = reading.scores.bands[0]
    band = reading.sheet.band(float(total))
    own = reading.house.band(float(total)) if reading.house else None
    if all(said not in (band, own) for said, _ in reading.scores.bands):
        yield Flag(
            code="band-differs", severity="warning", spans=(span,),
            message=f"{_figure(total)} is called {word}; the published band for it is {band}.",
        )  # fmt: skip


def no_style(reading: Reading, covered) -> Iterator[Flag]:
    """no-style: the style is never said."""
    if reading.style.style is None:
        yield Flag(
            code="no-style",
            severity="warning",
            message=f"The notes never say which style the {_drink(reading)} is judged as.",
        )


def style_unclear(reading: Reading, covered) -> Iterator[Flag]:
    """style-unclear: the style is only guessed, or so broadly named that several answer to it, or another is named as
    firmly."""
    if reading.style.doubt:
        how, span = reading.style.doubt
        said = " ".join(reading.text[slice(*span)].split())
        taken = f"taken as {reading.style.style.code} {reading.style.style.name}; confirm it."
        told = {"guessed": f"The style is only guessed ('{said}')", "code": f"'{said}' is another style's code"}.get(
            how, f"'{said}' may be several styles"
        )
        yield Flag(code="style-unclear", severity="note", spans=(span,), message=f"{told}; {taken}")
    if reading.style.others:
        from notes2sheet.style_data import style_names

        names = ", ".join(f"{code} {style_names()[code]['name']}" for code, _ in reading.style.others[:3])
        yield Flag(
            code="style-unclear", severity="note", spans=tuple(span for _, span in reading.style.others[:3]),
            message=f"Taken as {reading.style.style.code} {reading.style.style.name}; also named: {names}.",
        )  # fmt: skip


def no_comment(reading: Reading, covered) -> Iterator[Flag]:
    """no-comment: nothing about this beer is said for a part (a score alone is no comment)."""
    for part in reading.scores.parts:
        if not (_observed(reading, part) if prompts(reading, part) else of_whole(reading, part)):
            yield Flag(
                code="no-comment",
                category=part,
                severity="warning",
                message=f"Nothing is said about this {_drink(reading)}'s {part}.",
            )


def _observed(reading: Reading, part: str) -> bool:
    """Whether a part with prompts is commented on: by a descriptor, or by sentences that may well observe."""
    odds = sum(sentence.role_odds["observe"] for sentence in reading.sentences if sentence.category == part)
    here = (m.state != "mentioned" and reading.sentences[m.sentence].category == part for m in reading.mentions)
    return odds >= OBSERVED or any(here)


def unexplained(reading: Reading, covered) -> Iterator[Flag]:
    """unexplained: a third of a part's points or more are withheld and no fault, lack or mismatch is named there."""
    for part, standing in reading.scores.parts.items():
        cap = reading.sheet.cap(part)
        if standing.value is None or standing.value > cap or (cap - standing.value) * 3 < cap:
            continue
        if not fault_words(reading, part) and not _told_of_parts(reading, part):
            yield Flag(
                code="unexplained", category=part, severity="warning", spans=tuple(standing.spans),
                message=f"{_figure(cap - standing.value)} of {cap} points are off for {part}, and no fault is named.",
            )  # fmt: skip


def _told_of_parts(reading: Reading, whole: str) -> bool:
    """Whether a part without prompts is one of a beer whose other parts lost much: their faults are those of the whole
    (of 66 such sheets among the marked ones 3 are sent back for it)."""
    parts = {part: s.value for part, s in reading.scores.parts.items() if part != whole and s.value is not None}
    caps = sum(reading.sheet.cap(part) for part in parts)
    return not prompts(reading, whole) and float(sum(parts.values())) < TOLD_BY_PARTS * caps


def unpunished(reading: Reading, covered) -> Iterator[Flag]:
    """unpunished: full marks although a fault or a clear mismatch with the style is described."""
    for part, standing in reading.scores.parts.items():
        if standing.value != reading.sheet.cap(part) or not reading.sheet.cap(part):
            continue
        spans = firm_fault_words(reading, part)
        if spans:
            yield Flag(
                code="unpunished", category=part, severity="warning", spans=tuple(spans[:3]),
                message=f"Full marks for {part}, though {_described(reading, spans[:3])} described.",
            )  # fmt: skip


def missing_prompts(reading: Reading, covered) -> Iterator[Flag]:
    """missing-prompts: prompts of the sheet that the notes do not answer."""
    for category in reading.sheet.categories:
        required = reading.house.prompts if reading.house else {}  # those have a flag of their own
        open_ones = [a for a in category.aspects if not covered[category.id][a]]
        missing = [a for a in open_ones if f"{category.id}.{a}" not in required]
        if missing and len(missing) < len(category.aspects):
            yield Flag(
                code="missing-prompts", category=category.id, severity="note",
                message=f"Not covered in {category.id}: {', '.join(missing)}.",
            )  # fmt: skip


def heard_as(reading: Reading, covered) -> Iterator[Flag]:
    """heard-as: a word or number was taken for what it sounds like; confirm it."""
    for mention in reading.mentions:
        hit = mention.hits[0]
        if hit.how in ("heard", "risky"):
            span = reading.span(mention.start, mention.end)
            yield Flag(
                code="heard-as", category=_part(reading, mention), severity="note", spans=(span,),
                message=f"'{reading.text[span[0] : span[1]]}' is understood as {mention.term.name}.",
            )  # fmt: skip
    for part, standing in reading.scores.parts.items():
        if standing.heard and standing.value is not None:
            yield Flag(
                code="heard-as", category=part, severity="note", spans=tuple(standing.spans),
                message=f"The {part} score is understood as {_figure(standing.value)}; confirm it.",
            )  # fmt: skip
    if reading.scores.total_heard:
        yield Flag(
            code="heard-as", category=None, severity="note", spans=tuple(reading.scores.total_spans),
            message=f"The total is understood as {_figure(reading.scores.total)}; confirm it.",
        )  # fmt: skip


def unknown_word(reading: Reading, covered) -> Iterator[Flag]:
    """unknown-word: a word stands where a sensation stands, and no lexicon holds it."""
    from notes2sheet.explain import nearest_terms

    for mention in reading.mentions:
        words = reading.words[mention.start : mention.end]
        everyday = mention.hits[0].how == "context" and everyday_words().issuperset(words)
        if not mention.known and mention.state != "mentioned" and not everyday:
            span = reading.span(mention.start, mention.end)
            said = reading.text[span[0] : span[1]]
            near = nearest_terms(said, reading.lexicon)
            yield Flag(
                code="unknown-word", category=_part(reading, mention), severity="note", spans=(span,),
                message=f"I don't know '{said}'" + (f"; nearest: {', '.join(near)}." if near else "."),
            )  # fmt: skip


def off_style(reading: Reading, covered) -> Iterator[Flag]:
    """off-style: a descriptor that the style forbids, does not want, or wants at another level."""
    from notes2sheet.expectations import SCALED, mismatches

    if reading.style.style is None:
        return
    seen = set()
    for mention, text in mismatches(reading):
        scaled = mention.term.kind in SCALED and not mention.flaw
        key = (_part(reading, mention), mention.term.kind if scaled else mention.flaw or mention.term.name)
        if key in seen:
            continue
        seen.add(key)
        yield Flag(
            code="off-style", category=_part(reading, mention), severity="note",
            spans=(reading.span(mention.start, mention.end),), message=text,
        )  # fmt: skip


def fraction(reading: Reading, covered) -> Iterator[Flag]:
    """fraction: a score is finer than the house rules allow."""
    points = reading.house.points if reading.house else None
    if points is None:
        return
    said = [(part, s.value, s.spans) for part, s in reading.scores.parts.items()]
    for part, value, spans in [*said, (None, reading.scores.total, reading.scores.total_spans)]:
        if value is not None and float(value) % STEPS[points]:
            yield Flag(
                code="fraction", category=part, severity="warning", spans=tuple(spans),
                message=f"{_figure(value)} is given for {part or 'the total'}; the house rules allow {points} points.",
            )  # fmt: skip


def required_prompt(reading: Reading, covered) -> Iterator[Flag]:
    """required-prompt: a prompt that the house rules require is not answered."""
    for prompt, severity in (reading.house.prompts if reading.house else {}).items():
        part, _, aspect = prompt.partition(".")
        if not covered.get(part, {}).get(aspect, True):
            yield Flag(
                code="required-prompt", category=part, severity=severity,
                message=f"The house rules require {aspect} in {part}, and the notes say nothing of it.",
            )  # fmt: skip


def declared(reading: Reading, covered) -> Iterator[Flag]:
    """declared: what the entrant declares of the drink, as the notes open with it; what counts where they do not."""
    opening = [s for s in reading.sentences if s.category == "opening"]
    told, spans = [], []
    for item in reading.sheet.declared:
        index = index_of(item.values)
        found = [(s, index.find(reading.words[s.start : s.end])) for s in opening]
        hits = [(s.start + a, s.start + b, value) for s, hits in found for a, b, value in hits]
        if hits:
            spans.append(reading.span(*hits[0][:2]))
        default = f"not said, counts as {item.default}" if item.default else "not said"
        told.append(f"{item.name} {hits[0][2] if hits else default}")
    if told:
        yield Flag(
            code="declared", severity="note", spans=tuple(spans), message=f"Declared by the entrant: {'; '.join(told)}."
        )


CHECKS = (
    no_tasting, not_english, several_beers, other_scale, no_score, unsure, over_cap, sum_differs, sum_unreachable,
    losses_differ, band_differs, no_style, style_unclear, no_comment, unexplained, unpunished, missing_prompts,
    heard_as, unknown_word, off_style, recited_wrong, caps_differ, bands_differ, fraction, required_prompt, declared,
)  # fmt: skip


def _drink(reading: Reading) -> str:
    return reading.sheet.drink[0]


def _part(reading: Reading, mention) -> str | None:
    category = reading.sentences[mention.sentence].category
    return category if category in reading.scores.parts else None


def _figure(value) -> str:
    return f"{float(value):g}"


def _described(reading: Reading, spans) -> str:
    """The words of the spans, each once, with their verb: "'corn' is", "'corn' and 'butter' are"."""
    *others, last = dict.fromkeys(f"'{' '.join(reading.text[a:b].split())}'" for a, b in spans)
    return f"{', '.join(others)} and {last} are" if others else f"{last} is"
