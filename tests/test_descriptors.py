"""Sensory words found by the lexicon: term, words, level, the off-flavor named; and everyday words that are none."""

from __future__ import annotations

import pytest
from frames import cases, draft

from notes2sheet.lexicon import CONTRACT_LEVEL, LEVELS, load_lexicon


def found(sheet, said: str) -> dict[str, object]:
    """{words: descriptor} of those that stand inside `said`."""
    begin = sheet.text.index(said)
    return {sheet.quote(d.span): d for d in sheet.descriptors if begin <= d.span[0] < begin + len(said)}


@pytest.mark.parametrize("case", cases("descriptors"))
def test_term_words_and_level(case) -> None:
    got = found(draft(**{case["part"]: case["said"]}), case["said"])
    for words, (term, level) in case["finds"].items():
        assert words in got, list(got)
        # "" leaves the level open for words whose term holds a level of its own; else it must be unsaid.
        own = load_lexicon().terms[term].level
        assert (got[words].term, got[words].level) == (term, level or (CONTRACT_LEVEL[own] if own else None))
        assert got[words].category == case["part"] and got[words].state == "present"
    assert not got.keys() & set(case.get("not", ()))


@pytest.mark.parametrize("case", cases("descriptors", "flaw"))
def test_off_flavor_in_other_words(case) -> None:
    got = found(draft(**{case["part"]: case["said"]}), case["said"])
    assert case["words"] in got, list(got)
    assert (got[case["words"]].flaw, got[case["words"]].state) == (case["flaw"], "present")


@pytest.mark.parametrize("case", cases("descriptors", "never"))
def test_everyday_words(case) -> None:
    """Beside a real observation, words that describe no beer are not taken for this beer's."""
    said = f"I get grapefruit in the aroma. {case['said']}"
    got = found(draft(aroma=said), said)
    assert "grapefruit" in got
    assert {w for w, d in got.items() if d.state != "mentioned"}.isdisjoint(case["not"])


@pytest.mark.parametrize("level", [level for level in LEVELS if level != "none"])
def test_every_level_word_is_read(level: str) -> None:
    said = f"I get {level} grapefruit here."
    grapefruit = found(draft(aroma=said), said)["grapefruit"]
    assert (grapefruit.scale, grapefruit.level) == (level, CONTRACT_LEVEL[level])


def test_every_term_is_found_by_what_is_said_for_it() -> None:
    """Each phrase of the lexicon leads back to its own term, so no phrase is lost to another."""
    from notes2sheet.words import phrase_words, split_list

    lost, phrases = [], 0
    for term in load_lexicon().terms.values():
        lexicon = load_lexicon(sheet=term.sheets[0] if term.sheets else None)
        for phrase in split_list(term.data.get("said", "")):
            phrases += 1
            words = list(phrase_words(phrase))
            hits = [h.term.name for s, e, h in lexicon.phrases.find(words) if (s, e) == (0, len(words))]
            if term.name not in hits:
                lost.append((phrase, term.name, hits))
    assert not lost and phrases > 2000


def test_descriptors_never_overlap() -> None:
    sheet = draft(aroma="Dark chocolate, milk chocolate, orange peel, orange blossom honey and stone fruit.")
    spans = [d.span for d in sheet.descriptors]
    assert all(a[1] <= b[0] for a, b in zip(spans, spans[1:], strict=False))
