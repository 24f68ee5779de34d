"""How strong the notes say the beer is: its alcohol in percent by volume."""

from __future__ import annotations

from notes2sheet.numbers import begins_number, number_at
from notes2sheet.transcript import Reading

MOST = 20  # percent; what is higher is a share of something
ALCOHOL = ("abv", "alcohol", "alc", "vol", "volume")
TOLD = frozenset((*ALCOHOL, "strength", "%", "percent", "cent"))  # no strength is said without one of these
LINKS = ("is", "at", "of", "by", "about", "around", "just", "it's", "'s")
OTHER = ("of", "more", "less", "off", "sure", "gone", "humidity", "barrel", "young", "old")  # behind: a share
VOLUMES = ("vol", "volume")  # of alcohol, or, without a percentage, of gas
GAS = frozenset({"co2", "co₂", "carbonation", "carbonated", "carb", "carbed", "gas", "dioxide"})
NEAR = 5  # words before a figure, in which its gas is named
CLAUSE = frozenset(",;.\n")
STOPS = frozenset(".;|\n")
RANGES = ("to", "or")  # between two figures: neither is the strength
DASHES = ("-", "–", "—")
CLOSE = 1.5  # two figures with a dash and spaces between are a range where they differ by less than this factor
BOUNDS = ("than", "below", "under", "over", "above")  # before: no figure of this beer
MEASURED = ("ibu", "ibus", "og", "fg", "srm", "ebc", "gravity", "ph")  # before the figure of something else


def strength(reading: Reading) -> float | None:
    """The first percentage said of alcohol ('6.2% ABV', 'alcohol is five'), else the first one that is no share."""
    words, bare = reading.words, None
    at, last = 0, None
    if TOLD.isdisjoint(words):
        return None
    while at < len(words):
        if not begins_number(words[at]):
            at += 1
            continue
        value, end = _figure(words, at)
        if value is None:
            at += 1
            continue
        percent = _percent(words, end)
        behind = words[percent] if percent < len(words) else ""
        ranged, last = last and _ranged(reading, *last, value, at), (value, end)
        gas = percent == end and _of_gas(reading, at, end)
        if not (ranged or gas) and value < MOST and not (at and words[at - 1] in BOUNDS + MEASURED):
            if (behind in ALCOHOL and not _begins_anew(reading, percent)) or (
                _of_alcohol(reading, at) and not (behind in OTHER and percent > end)
            ):
                return value
            if bare is None and percent > end and behind not in OTHER:
                bare = value
        at = end
    return bare


def _begins_anew(reading: Reading, at: int) -> bool:
    """Whether word `at` begins a line or a sentence: 'IBU: 14 / Alcohol by volume: 4'."""
    return not STOPS.isdisjoint(reading.breaks[at])


def _ranged(reading: Reading, low: float, end: int, high: float, at: int) -> bool:
    """Whether the figure before, which ends at `end`, and this one bound a range: '4.4-4.6', 'five to six'."""
    if at == end + 1:
        return reading.words[end] in RANGES
    between = reading.text[reading.ends[end - 1] : reading.starts[end]] + reading.raw[end][:1]
    dashed = any(sign in between for sign in DASHES)
    return at == end and dashed and low < high and (" " not in between or high < CLOSE * low)


def _of_gas(reading: Reading, at: int, end: int) -> bool:
    """Whether a figure of volumes is one of carbonation in its clause: 'CO2 2.5 vol', '2.5 volumes of CO2'."""
    words = reading.words
    if words[end : end + 1] == [] or words[end] not in VOLUMES:
        return False
    first, last = max(0, at - NEAR), min(len(words), end + 3)
    parted = [k for k in range(first + 1, last) if not CLAUSE.isdisjoint(reading.breaks[k])]
    first = max([first, *(k for k in parted if k <= at)])
    last = min([last, *(k for k in parted if k > end)])
    return not GAS.isdisjoint(words[first:last])


def _figure(words: list[str], at: int) -> tuple[float | None, int]:
    """(value, end) of the number at `at`; 'nought comma four' is 0.4, 'half a' before 'percent' 0.5."""
    if words[at : at + 2] == ["half", "a"] and _percent(words, at + 2) > at + 2:
        return 0.5, at + 2
    number = number_at(words, at)
    if not number or number.over is not None:
        return None, at
    if words[number.end : number.end + 1] == ["comma"]:
        part = number_at(words, number.end + 1)
        if part and part.value < 10 and part.value == int(part.value) and number.value == int(number.value):
            return float(number.value) + float(part.value) / 10, part.end
    return float(number.value), number.end


def _percent(words: list[str], at: int) -> int:
    """Where the words go on behind 'percent' at `at`; `at` where there is none."""
    if words[at : at + 1] in (["%"], ["percent"]):
        return at + 1
    return at + 2 if words[at : at + 2] == ["per", "cent"] else at


def _of_alcohol(reading: Reading, at: int) -> bool:
    """Whether 'ABV', 'alcohol is', 'alcohol:' and the like stand right before `at`."""
    words, back = reading.words, at - 1
    while back > 0 and at - back <= 2 and words[back] in LINKS:
        back -= 1
    if back >= 0 and words[back] == "abv":
        return True
    by_volume = words[back] != "volume" or words[back - 1] == "by"  # not 'a volume of five gallons'
    linked = back < at - 1 or ":" in reading.breaks[at]
    return back >= 0 and linked and words[back] in ("alcohol", "volume", "strength") and by_volume
