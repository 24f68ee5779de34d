"""Expectations recited wrongly: found where they contradict the style, and hardly ever elsewhere."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from notes2sheet.pipeline import read_notes
from notes2sheet.recital import recited_wrong

sys.path.insert(0, str(Path(__file__).parent.parent / "accuracy"))
from marked import read  # noqa: E402

DEV = sorted((Path(__file__).parent.parent / "accuracy" / "dev").glob("*.marked.txt"))
NOTE = (
    "This is entry four, judged as a {style}. Appearance. {appearance} This one is pale, white head. Two out of three. "
    "Aroma. {aroma} I get some malt here. Eight out of twelve. Flavor. {flavor} It's malty. Thirteen out of twenty. "
    "Mouthfeel. {mouthfeel} Medium body. Four. Overall seven."
)
WRONG = [
    ("Kölsch", "appearance", "The style should be hazy.", "hazy"),
    ("Kölsch", "appearance", "The style should be cloudy and dark brown.", "dark brown"),
    ("Kölsch", "aroma", "A Kölsch should have roast on the nose.", "roast"),
    ("Kölsch", "flavor", "The style wants a sweet finish.", "sweet finish"),
    ("German Pils", "flavor", "The bitterness should be low in this style.", "bitterness"),
    ("Irish Stout", "appearance", "The style calls for a pale gold color.", "pale gold"),
    ("Hazy IPA", "appearance", "It is supposed to be brilliantly clear in this style.", "brilliantly clear"),
    ("Weissbier", "aroma", "Diacetyl is allowed in this style.", "Diacetyl"),
    ("Berliner Weisse", "mouthfeel", "The style wants low carbonation.", "low carbonation"),
]
RIGHT = [
    ("Kölsch", "appearance", "A Kölsch should be brilliant."),
    ("Kölsch", "appearance", "A Kölsch should not be hazy."),
    ("Kölsch", "appearance", "The style should be clear, not hazy."),
    ("German Pils", "flavor", "The bitterness should be high in this style."),
    ("German Pils", "flavor", "The bitterness should be medium to high in this style."),
    ("Irish Stout", "appearance", "The style calls for a black beer with a tan head."),
    ("Hazy IPA", "appearance", "The style should be hazy, not clear."),
    ("Czech Premium Pale Lager", "aroma", "A little diacetyl is allowed in this style."),
    ("Munich Helles", "aroma", "If it were a Weissbier you would want banana and clove."),
    ("Munich Helles", "aroma", "Banana would be a fault in this style."),
    ("American Lager", "appearance", "The style can be anything from straw to dark brown."),
]


def recited(style: str, part: str, said: str) -> list[str]:
    told = dict.fromkeys(("appearance", "aroma", "flavor", "mouthfeel"), "") | {part: said}
    reading = read_notes(NOTE.format(style=style, **told))
    place = reading.text.index(said)
    for sentence in reading.sentences:  # what counts here is the rule; the roles have their own tests
        start, end = reading.span(sentence.start, sentence.end)
        if start <= place < end:
            sentence.role = "expect"
    return [reading.text[slice(*span)] for span, _ in recited_wrong(reading)]


@pytest.mark.parametrize(("style", "part", "said", "word"), WRONG)
def test_a_wrong_recital_is_found(style, part, said, word):
    assert word in recited(style, part, said)


@pytest.mark.parametrize(("style", "part", "said"), RIGHT)
def test_a_right_or_denied_recital_is_left_alone(style, part, said):
    assert recited(style, part, said) == []


def test_it_is_silent_on_the_marked_transcripts():
    # Read by hand: of the expectations in these 44 tastings none contradicts its style plainly.
    found = {path.name: list(recited_wrong(read_notes(read(path).text))) for path in DEV}
    assert len(found) == 44
    assert {name: messages for name, messages in found.items() if messages} == {}
