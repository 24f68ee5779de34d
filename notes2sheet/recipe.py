"""Lines of a recipe among typed notes: malts and hops with their amounts, gravities, process. They are no findings."""

from __future__ import annotations

import re
from bisect import bisect_left
from itertools import pairwise
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from notes2sheet.transcript import Reading

FIGURE = r"(?:\d+(?:[.,]\d+)?(?:\s*/\s*\d+)?|[½¼¾⅓⅔])"
LEAD = r"[\s\-–•*]*"
WEIGHT = (
    r"(?:lbs?|pounds?|oz|ounces?|kg|kilos?|g|gr|grams?|tsp|tbsp|teaspoons?|ea|packs?|packets?|pkg|sachets?|tablets?)"
)
UNIT = (
    r"(?:ibus?|srm|ebc|lovibond|°\s*[fcl]?|[fcl]|degrees|min|mins|minutes|days?|weeks?|gal|gallons?|liters?|%|ppm|psi)"
)
STATED = (
    r"(?:original|final|terminal|starting|est\.?|estimated|target|anticipated|actual|measured|pre-?boil|post-?boil)"
)
SURE = r"(?:gravity|og|fg|tg|sg|ibus?|srm|ebc|efficiency|attenuation|boil time|batch size|total grain|calories)"
OPEN = r"(?:boil|mash|size|water|pitch|ferment|fermented|primary|secondary|colou?r|bitterness|hops?|malts?)"
FORMS = [
    re.compile(rf"{LEAD}(?:{FIGURE}\s*%\s*[-–:]?\s*)?~?{FIGURE}\s*(?:x\s*)?{WEIGHT}\b\.?\s*\S", re.I),  # '6 lb malt'
    re.compile(rf"{LEAD}{FIGURE}\s*%\s+\S.*\b(?:malts?|barley|wheat|oats|rye|sugar|munich|pilsner|crystal)\b", re.I),
    re.compile(rf"{LEAD}(?:{STATED}\s+)*{SURE}\s*[:=–-]\D{{0,20}}\d", re.I),  # 'Original gravity: 1.048'
    re.compile(rf"{LEAD}(?:{STATED}\s+)*{OPEN}\b[^:=–-]{{0,20}}[:=–-]\D{{0,20}}{FIGURE}\s*{UNIT}(?!\w)", re.I),
    re.compile(rf"{LEAD}{FIGURE}\s*{UNIT}(?!\w).{{0,30}}\b(?:mash|boil|sparge|rest|min|pitch\w*|60m?)\b", re.I),
    re.compile(
        rf"{LEAD}(?:yeast:\s*)?(?:wyeast|white ?labs|wlp|safale|saflager|fermentis|lallemand|omega)\b.*\d", re.I
    ),
]
TITLE = re.compile(  # a line that leads to such lines
    r"[\s*#]*(?:(?:the|my|malt|grain|hop|mash|water|kettle|yeast|boil|recipe|beer)\s+)*"
    r"(?:recipe|bill|grist|profile|treatment|additions?|schedule|specifics|ingredients|stats|vitals|hops|malts?|yeast|mash|boil)"
    r"\s*:?\s*",
    re.I,
)
SERVED = re.compile(r"\b(?:bottles?|cans?|bombers?|growlers?|glass|poured|pours|pint|snifter|draft|draught)\b", re.I)
PLAIN = re.compile(r"[^.:;!?]{1,40}")  # one such line may stand between: 'Very soft tap water'
LAST = "."  # ends the last run
FEWEST = 2  # such lines in a row; one alone may be a remark
LONGEST = 110  # characters of one


def recipe_words(reading: Reading) -> set[int]:
    """The words that stand in lines of a recipe; found once."""
    if reading.recipe is None:
        reading.recipe = set()
        for begin, end in [] if reading.running else _blocks(reading.text):
            reading.recipe.update(range(bisect_left(reading.starts, begin), bisect_left(reading.starts, end)))
    return reading.recipe


def _blocks(text: str) -> list[tuple[int, int]]:
    """(begin, end) of the runs of recipe lines, with the empty lines and titles between them."""
    out: list[tuple[int, int]] = []
    begin = end = at = count = odd = 0
    for line in [*text.split("\n"), LAST, LAST]:
        if len(line) <= LONGEST and _of_recipe(line):
            begin, end, count, odd = (begin if count else at), at + len(line), count + 1, 0
        elif line.strip() and not (count and TITLE.fullmatch(line)):
            odd += 1 if PLAIN.fullmatch(line) else 2
            if odd > 1:
                out += [(begin, end)] if count >= FEWEST else []
                count = odd = 0
        at += len(line) + 1
    return out


def _of_recipe(line: str) -> bool:
    return not SERVED.search(line) and any(form.match(line) for form in FORMS)


def leave_recipe(reading: Reading) -> None:
    """Let the sentences of a recipe be talk, before the tasting or behind it; a sentence goes by its first word."""
    inside = recipe_words(reading)
    if not inside:
        return
    parts = reading.caps
    for before, sentence in pairwise([None, *reading.sentences]):
        if sentence is None or sentence.start not in inside:
            continue
        sentence.role = "talk"
        sentence.role_odds = {role: float(role == "talk") for role in sentence.role_odds}
        behind = before is not None and before.category in (*parts, "closing")
        sentence.category = "closing" if behind else "opening"
