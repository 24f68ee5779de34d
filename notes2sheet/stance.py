"""Whether this beer has a descriptor, lacks it, or the words are only mentioned; decided per clause."""

from __future__ import annotations

from bisect import bisect_left

from notes2sheet.cues import ROLE_FILE
from notes2sheet.descriptors import CLAUSE_BREAK, Mention
from notes2sheet.features import function_words, level_words
from notes2sheet.tagger import odds, tag
from notes2sheet.transcript import Reading

SURE = 0.6  # a descriptor is this beer's only when that is likely; in doubt it is a mere mention
STATES = {"P": "present", "A": "absent", "M": "mentioned", "O": "none"}
UNSEEN = {"observe": "present", "score": "present", "expect": "mentioned"}  # words no lexicon holds, in a sure place
WANTED, NEAR, REACH = ("modal", "compare"), 3, 6  # cues; words between, and of the longest cue
CONTRAST = {"but", "though", "although", "whereas", "however", "except", "yet", "while", "instead", "and"}


def _clause(reading: Reading, mention: Mention) -> tuple[int, int]:
    """The word bounds of the clause around a mention: from a break or a contrast to the next one."""
    sentence = reading.sentences[mention.sentence]
    start, end = mention.start, mention.end
    while start > sentence.start and not (
        CLAUSE_BREAK.search(reading.breaks[start]) or reading.words[start] in CONTRAST
    ):
        start -= 1
    while end < sentence.end and not (CLAUSE_BREAK.search(reading.breaks[end]) or reading.words[end] in CONTRAST):
        end += 1
    return start, end


def stance_features(reading: Reading) -> list[list[str]]:
    """One list of feature strings a mention."""
    hits = reading.cues[ROLE_FILE]
    starts = [h[0] for h in hits]
    levels = {i: level_words(reading, reading.sentences[i]) for i in {m.sentence for m in reading.mentions}}
    rows = []
    for i, m in enumerate(reading.mentions):
        sentence = reading.sentences[m.sentence]
        own = hits[bisect_left(starts, sentence.start) : bisect_left(starts, sentence.end)]
        feats = _own_features(reading, sentence, m) + _word_features(reading, sentence, m)
        feats += _cue_features(reading, sentence, m, own) + _nearest_cues(own, m)
        feats += _shape_around(reading, sentence, m, levels.get(m.sentence, ()))
        feats += _neighbor_features(reading, i, m)
        rows.append(list(dict.fromkeys(feats)))
    return rows


def _own_features(reading: Reading, sentence, m: Mention) -> list[str]:
    """What is known of the sentence and of the lexicon's reading of the words."""
    feats = ["bias", f"role:{sentence.role}", f"cat:{sentence.category}", f"role:{sentence.role}:{sentence.category}"]
    feats += [f"odds:{role}:{int(odd * 4)}" for role, odd in sentence.role_odds.items()]
    if m.term is not None:
        fits = sentence.category in reading.sheet.parts_of(m.term) or sentence.category in ("overall", "closing")
        feats += [f"kind:{m.term.kind}", f"term:{m.term.name}", f"how:{m.hits[0].how}", f"bare:{m.term.bare}"]
        feats += [f"fits:{fits}", f"bare:{m.term.bare}:level:{m.level is not None}"]
    return [*feats, f"flaw:{m.flaw is not None}", f"level:{m.level}"]


def _word_features(reading: Reading, sentence, m: Mention) -> list[str]:
    """The words themselves and those around them."""
    words, breaks = reading.words, reading.breaks
    feats = ["phrase:" + "_".join(words[m.start : m.end])]
    for k in range(1, 5):
        before = words[m.start - k] if m.start - k >= sentence.start else "<"
        after = words[m.end + k - 1] if m.end + k - 1 < sentence.end else ">"
        feats += [f"w-{k}:{before}", f"w+{k}:{after}"]
        if k <= 2:
            feats.append(f"role:{sentence.role}:w-{k}:{before}")
    feats.append("b-:" + "_".join(words[max(sentence.start, m.start - 2) : m.start]))
    feats.append("b+:" + "_".join(words[m.end : min(sentence.end, m.end + 2)]))
    feats.append("break-:" + (breaks[m.start].strip() or "_"))
    feats.append("break+:" + (breaks[m.end].strip() if m.end < len(words) else "."))
    if sentence.end < len(words) and "?" in breaks[sentence.end]:
        feats.append("asks")
    return feats


def _cue_features(reading: Reading, sentence, m: Mention, hits) -> list[str]:
    """The cues of the sentence by place, those of the mention's own clause told apart."""
    low, high = _clause(reading, m)
    feats = []
    for start, end, cue in hits:
        place = "before" if end <= m.start else "after" if start >= m.end else "inside"
        scope = "clause" if low <= start < high else "sentence"
        feats.append(f"{scope}:{place}:{cue}")
        if cue in ("negation", "after_negation", "pseudo_negation") and scope == "clause":
            gap = m.start - end if place == "before" else start - m.end
            feats.append(f"near:{place}:{cue}:{min(max(gap, 0), 4)}")
            feats.append(f"{scope}:{place}:{cue}:{sentence.role}")
    return feats


def _neighbor_features(reading: Reading, i: int, m: Mention) -> list[str]:
    """The roles of the sentences around, and how far the mention before is."""
    feats = []
    for step in (-1, 1):
        if 0 <= m.sentence + step < len(reading.sentences):
            near = reading.sentences[m.sentence + step]
            feats += [f"expects{step}:{int(near.role_odds.get('expect', 0) * 4)}", f"role{step}:{near.role}"]
    if i and reading.mentions[i - 1].sentence == m.sentence:
        gap = m.start - reading.mentions[i - 1].end
        return [*feats, f"prev:{min(gap, 5)}:{'break' if CLAUSE_BREAK.search(reading.breaks[m.start]) else 'run'}"]
    return [*feats, "prev:none"]


TELLING = {"modal", "permit", "rubric", "here", "on_target", "fails", "compare", "hypothesis", "negation", "taste"}


def _nearest_cues(hits, mention: Mention) -> list[str]:
    """The cue that stands nearest before a mention, and the nearest behind it, in its sentence."""
    before, after = "none", "none"
    for start, end, cue in hits:
        if cue not in TELLING:
            continue
        if end <= mention.start:
            before = f"{cue}:{min((mention.start - end) // 3, 3)}"
        elif start >= mention.end:
            after = f"{cue}:{min((start - mention.end) // 3, 3)}"
            break
    return [f"last:{before}", f"next:{after}", f"last-next:{before.split(':')[0]}:{after.split(':')[0]}"]


def _shape_around(reading: Reading, sentence, mention: Mention, levels) -> list[str]:
    """The function words around a mention, with L for a level and _ for all others: 'a L * _', 'the * is L'."""
    function = function_words()
    level_at = {k for start, end, _ in levels for k in range(start, end)}

    def symbol(k: int) -> str:
        if not sentence.start <= k < sentence.end:
            return "$"
        return "L" if k in level_at else reading.words[k] if reading.words[k] in function else "_"

    left = [symbol(mention.start - k) for k in (3, 2, 1)]
    right = [symbol(mention.end + k) for k in (0, 1, 2)]
    return [
        f"left3:{' '.join(left)}", f"left2:{' '.join(left[1:])}", f"right2:{' '.join(right[:2])}",
        f"right3:{' '.join(right)}", f"around:{left[-1]} * {right[0]}",
        f"around2:{' '.join(left[1:])} * {' '.join(right[:2])}",
    ]  # fmt: skip


def _called_for(reading: Reading, mention: Mention) -> bool:
    """Whether a word for what ought to be, or for another beer, stands right before, nothing between: 156 to 6 and 64
    to 5 of such are mere mentions in the marked transcripts, whatever the sentence around them does."""
    hits = reading.cues[ROLE_FILE]
    at = bisect_left(hits, mention.start, key=lambda hit: hit[0]) - 1
    begin = max(reading.sentences[mention.sentence].start, mention.start - NEAR - REACH)
    before = []
    while at >= 0 and hits[at][0] >= begin:
        if hits[at][1] <= mention.start:
            before.append(hits[at])
        at -= 1
    if not before:
        return False
    _, end, cue = max(before, key=lambda hit: (hit[1], hit[0] - hit[1]))
    broken = any(CLAUSE_BREAK.search(reading.breaks[k]) for k in range(end, mention.start + 1))
    return cue in WANTED and mention.start - end <= NEAR and not broken


def find_stances(reading: Reading) -> None:
    """Set the state of every mention; words that turn out to be no sensory words here are dropped."""
    rows = stance_features(reading)
    labels = tag("stance", rows, reading.running)
    present = odds("stance", "P", len(rows), reading.running)
    for mention, label, p in zip(reading.mentions, labels, present, strict=True):
        mere = label == "P" and (p < SURE or _called_for(reading, mention))
        mention.state = "mentioned" if mere else STATES[label]
        if mention.state == "none" and mention.hits[0].how == "unknown":
            mention.state = UNSEEN.get(reading.sentences[mention.sentence].role, "none")
        if mention.state == "absent":
            mention.level = "none"
        elif mention.state == "present" and mention.level == "none":
            mention.level = None
    reading.unmarked = [m for m in reading.mentions if m.state == "none"]
    reading.mentions = [m for m in reading.mentions if m.state != "none"]
