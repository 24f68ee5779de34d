"""What the stage tests share: tables of cases, and whole notes with one piece exchanged."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from notes2sheet.lexicon import read_toml
from notes2sheet.model import Sheet
from notes2sheet.pipeline import draft_sheet

HERE = Path(__file__).parent

# One tasting in pieces; a case exchanges some of them. Each part has what is said of the beer and its score.
SPOKEN = {
    "opening": "Hello everyone. This is Copper Gate from Mill Lane Brewing, "
    "and we are judging it as an American IPA, 21A.",
    "appearance_begins": "Let's start with the appearance.",
    "appearance": "It pours a clear gold with a tall white head that lasts.",
    "appearance_score": "Three out of three for appearance.",
    "aroma_begins": "Now the aroma.",
    "aroma": "I get a strong grapefruit, medium pine, low bread from the malt, and no esters at all.",
    "aroma_score": "Ten out of twelve for the aroma.",
    "flavor_begins": "On to the flavor.",
    "flavor": "The bitterness is high, there's a low caramel malt behind the citrus hops, "
    "the fermentation is clean, the balance leans bitter and the finish is dry.",
    "flavor_score": "Seventeen out of twenty for flavor.",
    "mouthfeel_begins": "Now for the mouthfeel.",
    "mouthfeel": "It has a medium-light body with medium carbonation, no alcohol warmth, no astringency, "
    "and it's not creamy.",
    "mouthfeel_score": "Four out of five for mouthfeel.",
    "overall_begins": "Overall impression.",
    "overall": "It is a fine example of the style, well made, with no faults anywhere.",
    "overall_score": "Eight out of ten overall.",
    "closing": "That's a total of forty-two out of fifty. Cheers.",
}
PARTS = ("appearance", "aroma", "flavor", "mouthfeel", "overall")


def notes(**pieces: str) -> str:
    """The spoken notes, one paragraph a part, with `pieces` put in place of those of the same name."""
    unknown = pieces.keys() - SPOKEN.keys()
    assert not unknown, f"no such pieces: {unknown}"
    said = SPOKEN | pieces
    parts = (" ".join(said[part + kind] for kind in ("_begins", "", "_score") if said[part + kind]) for part in PARTS)
    paragraphs = [said["opening"], *parts, said["closing"]]
    return "\n\n".join(paragraph for paragraph in paragraphs if paragraph)


def draft(**pieces: str) -> Sheet:
    return draft_sheet(notes(**pieces))


def codes(sheet: Sheet) -> set[str]:
    """The flags as 'code' or 'code:category'."""
    return {flag.code + (f":{flag.category}" if flag.category else "") for flag in sheet.flags}


def cases(name: str, table: str = "case") -> list[Any]:
    """The [[table]] cases of tests/cases/<name>.toml as parameters; a case with `gap` is a visible, strict xfail."""
    out = []
    for number, case in enumerate(read_toml(HERE / "cases" / f"{name}.toml").get(table, ()), 1):
        gap = case.get("gap")
        marks = [pytest.mark.xfail(reason=gap, strict=True)] if gap else []
        label = str(case.get("said") or case.get("name") or number)
        out.append(pytest.param(case, id=f"{number}-{label[:50]}", marks=marks))
    return out
