"""Which descriptors are faults in this beer: by the lexicon, by the style, and by the words around them."""

from __future__ import annotations

from notes2sheet.descriptors import Mention
from notes2sheet.excuses import liked
from notes2sheet.lexicon import LEVELS, Hit, Term
from notes2sheet.likeness import blamed, likeness, meant_by
from notes2sheet.style_data import Style, kin, verdict
from notes2sheet.transcript import Reading
from notes2sheet.words import split_list

FELT, FELT_AS = "astringent", "astringency"  # the off-flavor and the prompt of the mouthfeel for it
LOOKED_AT = "appearance"  # the part in which nothing is smelled or tasted
BITTERNESS = "bitterness"  # the kind of such words
BITTER = {"bitterness", "bitter"}  # names of what they are said of
SOUR = "sour"  # the off-flavor that sharp bitterness is not
LIKE, LED = "like", 5  # words between it and what something is likened to
TEXTURES = {"creaminess", "body"}  # kinds that hint at an off-flavor only beside other words for it: 'slick'


def find_faults(reading: Reading) -> None:
    """Set or clear each mention's off-flavor name, now that style and parts are known.

    A sure fault word keeps its name whatever the style tolerates. A doubtful one (butter, banana, sherry) is a fault
    unless the style has room for it.
    """
    style, renamed = reading.style.style, blamed(reading)
    for i, mention in enumerate(reading.mentions):
        looked_at = reading.sentences[mention.sentence].category == LOOKED_AT
        told = [hit for hit in mention.hits if hit.term.flaw] or mention.hits
        if looked_at and all(LOOKED_AT not in hit.term.categories for hit in told):
            mention.flaw = None  # 'white like a salt pan', 'brown like tea', 'a bit dull'
            continue
        if mention.flaw is None and not _take_likeness(reading, i):
            continue
        strong = (phrase for hit in mention.hits for phrase in split_list(hit.term.data.get("strong", "")))
        mention.strong = " ".join(reading.words[mention.start : mention.end]) in strong
        mention.flaw = next((renamed[h.term.name] for h in mention.hits if h.term.name in renamed), mention.flaw)
        if _no_fault_here(reading, style, mention) or _is_bitterness(reading, i):
            mention.flaw = None
    named = {m.flaw for m in reading.mentions if m.term.kind not in TEXTURES and m.state == "present"}
    for mention in reading.mentions:
        if mention.term.kind in TEXTURES and mention.flaw not in named:
            mention.flaw = None


def _is_bitterness(reading: Reading, i: int) -> bool:
    """Whether words that may be sourness are said of the bitterness before them: 'bitterness medium, and sharp'."""
    mention, before = reading.mentions[i], reading.mentions[max(0, i - 2) : i]
    doubtful = mention.term.kind == BITTERNESS and mention.flaw == SOUR
    doubtful = doubtful and all(hit.how == "maybe" for hit in mention.hits if hit.term.flaw)
    return doubtful and any(one.term.name in BITTER and one.sentence == mention.sentence for one in before)


def _image_of(reading: Reading, i: int) -> Term | None:
    """The off-flavor that was named just before what it is likened to: 'there's TCP, it's like a bathroom cabinet'."""
    mention, before = reading.mentions[i], reading.mentions[i - 1] if i else None
    if before is None or before.sentence != mention.sentence or before.state != "present":
        return None
    if LIKE not in reading.words[max(before.end, mention.start - LED) : mention.start]:
        return None
    return next((hit.term for hit in before.hits if hit.term.flaw and hit.how != "maybe"), None)


def _take_likeness(reading: Reading, i: int) -> bool:
    """Give a mention the off-flavor that its term may be, or that its words are likened to; whether there is one."""
    mention = reading.mentions[i]
    flaw = likeness(reading.lexicon).doubts.get(mention.term.name) if mention.term else None
    if flaw is not None:
        mention.hits = [*mention.hits, Hit(flaw, "maybe")]
    elif not mention.known and (flaw := _image_of(reading, i) or meant_by(reading, mention.start, mention.end)):
        mention.term, mention.hits = flaw, [Hit(flaw, mention.hits[0].how)]
    mention.flaw = flaw.flaw if flaw else None
    return flaw is not None


def _no_fault_here(reading: Reading, style: Style | None, mention: Mention) -> bool:
    """Whether words that are a fault only in some beers are none in this one."""
    faults = [hit for hit in mention.hits if hit.term.flaw]
    if len(faults) == len(mention.hits) or any(hit.how != "maybe" for hit in faults):
        return False
    if liked(reading, mention):
        return True
    if style is None:
        return mention.state == "present" and likeness(reading.lexicon).alone.isdisjoint(
            hit.term.name for hit in mention.hits if not hit.term.flaw
        )
    return names_it(style, reading.sentences[mention.sentence].category, mention)


def names_it(style: Style, category: str, mention: Mention) -> bool:
    """Whether the style requires or allows just this descriptor, not only something broader."""
    parts = (category,) if category in style.aspects else tuple(style.aspects)
    return any(
        verdict(style, part, [hit.term.name], mention.level) in ("required", "allowed")
        for hit in mention.hits
        for part in parts
    )


def has_room(style: Style, category: str, mention: Mention, reading: Reading) -> bool:
    """Whether the style allows or requires the descriptor, or tolerates the fault at the level that is said."""
    if mention.flaw and tolerated(style, mention):
        return True
    parts = (category,) if category in style.aspects else tuple(style.aspects)
    for hit in mention.hits:
        names = kin(hit.term, reading.lexicon)
        if any(verdict(style, part, names, mention.level) in ("required", "allowed") for part in parts):
            return True
    return False


def tolerated(style: Style, mention: Mention) -> bool:
    """Whether the style tolerates this off-flavor up to at least the level that is said; unsaid counts as low, but for
    words that are strong by themselves."""
    names = {mention.flaw, *(h.term.name for h in mention.hits if h.term.flaw)}
    limit = next((style.flaws[name] for name in names if name in style.flaws), None)
    if limit is None and mention.flaw == FELT and (felt := style.aspects["mouthfeel"].get(FELT_AS)) and felt.level:
        limit = felt.level[1] if felt.level[1] != "none" else None  # what may be felt may be tasted
    if limit is None:
        return False
    level = mention.level or ("high" if mention.strong else "low")
    return LEVELS.index(level) <= max(LEVELS.index(limit), LEVELS.index("low"))
