"""The notes held against the style: which descriptors are outside what it calls for."""

from __future__ import annotations

from collections.abc import Iterator

from notes2sheet.coverage import aspects_of, of_head
from notes2sheet.faults import tolerated
from notes2sheet.lexicon import LEVELS
from notes2sheet.scales import far, measures
from notes2sheet.style_data import Style, kin, verdict
from notes2sheet.transcript import Reading
from notes2sheet.words import capitals, is_or_are

SCALED = {"color", "clarity", "balance", "finish"}
OPAQUE = ("opaque", "opaque")  # a range: what is clear at the edge leaves no such style
TINGES = {  # behind a color that is not the beer's
    *("edge", "edges", "highlight", "highlights", "glint", "glints", "tint", "tints", "tinge", "hint", "hints"),
    *("hue", "hues", "rim", "flash", "flashes", "reflections", "shine"),
}
FADED = "short-lived head"
LASTING = LEVELS.index("medium-high")  # the retention from which a style wants the head to last
APART = {"alcohol"}  # looked for under fermentation, but no measure of it


def mismatches(reading: Reading) -> list[tuple[object, str]]:
    """(mention, what is wrong) of the present descriptors that the style forbids or wants at another level."""
    if reading.mismatches is None:
        reading.mismatches = list(_mismatches(reading, reading.style.style)) if reading.style.style else []
    return reading.mismatches


def _mismatches(reading: Reading, style: Style):
    plain = set(_measured_plainly(reading))
    for mention in reading.mentions:
        category = reading.sentences[mention.sentence].category
        if mention.state != "present" or mention.term is None or category not in style.aspects:
            continue
        text = _wrong(reading, style, category, mention, plain)
        if text:
            yield mention, text


def _wrong(reading: Reading, style: Style, category: str, mention, plain: set[tuple[str, str]]) -> str | None:
    said = " ".join(reading.text[slice(*reading.span(mention.start, mention.end))].split())
    if mention.flaw and not tolerated(style, mention):
        found = verdict(style, category, kin(mention.term, reading.lexicon), mention.level)
        if found not in ("required", "allowed"):
            if mention.flaw in style.flaws:  # some of it is wanted
                return f"'{said}' ({capitals(mention.flaw)}) is too much for {style.name}."
            return f"{style.name} has no room for {capitals(mention.flaw)} ('{said}')."
        return None
    if mention.term.bare:
        return _level_wrong(style, category, mention, said, reading, plain)
    found = verdict(style, category, kin(mention.term, reading.lexicon), mention.level)
    if found in ("forbidden", "unwanted"):
        wants = "forbids" if found == "forbidden" else "does not want"
        return f"{style.name} {wants} {mention.term.name} in the {category} ('{said}')."
    if found == "over" and _far_over(reading, style, category, mention):
        named = f"{(mention.level or '').capitalize()} {mention.term.name}"
        return f"{named} {is_or_are(mention.term.name)} more than {style.name} wants in the {category}."
    if found is None and mention.term.kind in SCALED and category in reading.sheet.parts_of(mention.term):
        wanted = style.expectation(category, reading.sheet.aspect_of(mention.term.kind))
        span = wanted.range if wanted else None
        if tinged(reading, mention) or of_head(reading, mention):
            return None
        if span and span != OPAQUE and far(reading.lexicon, span, mention.term.kind, mention.term.name):
            told = " to ".join(dict.fromkeys(span))
            named = mention.term.name.removesuffix(f" {mention.term.kind}")
            return f"{mention.term.kind.capitalize()} is {named} ('{said}'); {style.name} calls for {told}."
    return _fades(style, category, mention, said, reading) or _level_wrong(
        style, category, mention, said, reading, plain
    )


def tinged(reading: Reading, mention) -> str:
    """The word behind a color that makes it a mere tinge: 'ruby | edges'; '' elsewhere."""
    behind = reading.words[mention.end : mention.end + 1]
    near = mention.end < reading.sentences[mention.sentence].end and not reading.breaks[mention.end].strip()
    return behind[0] if mention.term.kind == "color" and near and behind[0] in TINGES else ""


def _far_over(reading: Reading, style: Style, category: str, mention) -> bool:
    """Whether a level is more than one step above what the style wants: one is within what two judges differ by."""
    lower = LEVELS[max(LEVELS.index(mention.level) - 1, 0)]
    return verdict(style, category, kin(mention.term, reading.lexicon), lower) == "over"


def _fades(style: Style, category: str, mention, said: str, reading: Reading) -> str | None:
    """A head that is gone where the style wants it to last."""
    wanted = style.expectation(category, mention.term.kind)
    low, _, high = str(wanted.more.get("retention", "")).partition("..") if wanted else ("", "", "")
    lasts = low in LEVELS and LEVELS.index(low) >= LASTING
    if not lasts or FADED not in kin(mention.term, reading.lexicon):
        return None
    told = f"{low} to {high}" if high not in ("", low) else low
    return f"The head is gone ('{said}'); {style.name} calls for {told} retention."


def _level_wrong(
    style: Style, category: str, mention, said: str, reading: Reading, plain: set[tuple[str, str]]
) -> str | None:
    """A said level of a prompted quantity against the style's range, for terms that measure the aspect itself; where it
    is measured by its name too, that counts."""
    if mention.level is None or not measures(mention.term):
        return None
    if not mention.term.bare and mention.level != mention.term.level:
        return None  # 'a bit tingly' is no low carbonation
    for measured, wanted in _ranges(style, category, mention, reading):
        if (category, measured) in plain and not _names(reading, mention, measured):
            continue
        low, high = (LEVELS.index(x) for x in wanted)
        at = LEVELS.index(mention.level)
        # One step is within what two judges differ by (common practice), so only more than that is a mismatch.
        if at < low - 1 or at > high + 1:
            told = " to ".join(dict.fromkeys(wanted))
            found = f"{measured.capitalize()} {is_or_are(measured)} {mention.level} ('{said}')"
            return f"{found}; {style.name} calls for {told}."
    return None


def _names(reading: Reading, mention, aspect: str) -> bool:
    """Whether a mention measures a prompt by its name: 'carbonation medium-high'."""
    return mention.term.bare or aspect in reading.words[mention.start : mention.end]


def _measured_plainly(reading: Reading) -> Iterator[tuple[str, str]]:
    """(part, prompt) of those whose level is said by their name, which counts before what other words imply:
    'carbonation medium-high, prickly'."""
    for mention in reading.mentions:
        if mention.level is not None and mention.state == "present":
            for aspect in aspects_of(reading, mention):
                if _names(reading, mention, aspect):
                    yield reading.sentences[mention.sentence].category, aspect


def _ranges(style: Style, category: str, mention, reading: Reading) -> list[tuple[str, tuple[str, str]]]:
    """(what a term measures, the levels that the style wants of it): the prompts that it answers, or the term itself
    where it is but a part of what is asked for."""
    name = mention.term.name
    if name in APART:
        asked = style.aspects[category].values()
        return [(name, (w.low, w.high)) for e in asked for w in (*e.required, *e.allowed) if w.term == name]
    found = ((aspect, style.expectation(category, aspect)) for aspect in aspects_of(reading, mention))
    return [(aspect, wanted.level) for aspect, wanted in found if wanted and wanted.level]
