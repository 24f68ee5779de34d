"""How a version's JSON is kept: raw deflate, primed with words that stand in every sheet.

The primer is written into each archive (table meta, name 'primer'), so that a file stays readable when this changes.
"""

from __future__ import annotations

import json
import zlib
from typing import Any

_NAMES = ("opening", "closing", "overall", "mouthfeel", "flavor", "aroma", "appearance")
_ROLES = ("prefer", "expect", "talk", "score", "observe")
_TERMS = """astringency warmth creaminess carbonation body clarity color head white head persistent head light body medium
body full body hazy clear brilliant gold amber copper brown black roast coffee chocolate caramel toffee biscuit bread toast
cracker grain malt sweet bitter bitterness sharp bitterness smooth dry finish crisp balance even balance hops noble hop floral
herbal spice pepper clove banana esters phenols pine resin citrus grapefruit lemon orange tropical fruit mango stone fruit peach
apricot berry dark fruit raisin plum sour tart acetic brett oak vanilla smoke alcohol oxidized light-struck solvent metallic
acetaldehyde dms diacetyl"""
_PROSE = """ on the nose I'm getting it's a little bit of this is the there's no with some and a touch of just a hint for me
that I would like to taste in the mouth after the swallow, and the finish is out of twelve out of twenty five points for """


def primer() -> bytes:
    """What a new archive is primed with: the rarer strings first, since deflate reaches the last ones most cheaply."""
    out = [_TERMS, _PROSE]
    out += [f'"basis":"{basis}","spans":[[' for basis in ("none", "unsure", "revised", "taken-off", "said")]
    out += [
        '"code":"thin-comment","category":"',
        '"code":"off-style","category":"',
        '"code":"missing-prompts","category":"',
    ]
    out += [
        '","severity":"blocker","message":"',
        '","severity":"warning","message":"',
        '","severity":"note","message":"Not covered in ',
    ]
    for name, cap in zip(_NAMES[2:], (10, 5, 20, 12, 3), strict=True):
        out.append(f'"{name}":{{"cap":{cap},"score":1.0,"basis":"said","spans":[[1')
        out.append(']],"covered":{"color":[[1]],"malt":[[1]],"hops":[[1')
        out.append(
            ']]},"missing":["head"],"comment":". Hops: low ","lost":[{"points":1.0,"reason":"","spans":[[1]]}]},'
        )
    out.append(
        '"total":{"sum":3.0,"said":3.0,"band":"very good","spans":[[1]]},"flags":[{"descriptors":[{"sentences":[{'
    )
    for name in _NAMES:
        for role in _ROLES:
            out.append(f'],"category":"{name}","role":"{role}","time":null}},{{"span":[')
    for name in _NAMES[2:]:
        for level in ('"none"', '"low"', '"high"', '"medium"', "null"):
            state = "absent" if level == '"none"' else "present"
            out.append(
                f'","category":"{name}","state":"{state}","level":{level},"scale":{level},"flaw":null}},{{"span":[1'
            )
            out.append('],"term":"')
    return "".join(out).encode()[-32768:]


_NESTED = (dict, list)


def _relative(data: Any, last: list[int]) -> Any:
    """The same data with every span [start, end) as [distance from the one before, length]: small, repeating numbers."""
    if isinstance(data, dict):
        return {n: _relative(v, last) if type(v) in _NESTED else v for n, v in data.items()}
    if not isinstance(data, list):
        return data
    if _is_pair(data):
        out, last[0] = [data[0] - last[0], data[1] - data[0]], data[0]
        return out
    return [_relative(v, last) if type(v) in _NESTED else v for v in data]


def _absolute(data: Any, last: list[int]) -> Any:
    """What `_relative` was given."""
    if isinstance(data, dict):
        return {n: _absolute(v, last) if type(v) in _NESTED else v for n, v in data.items()}
    if not isinstance(data, list):
        return data
    if _is_pair(data):
        last[0] += data[0]
        return [last[0], last[0] + data[1]]
    return [_absolute(v, last) if type(v) in _NESTED else v for v in data]


def _is_pair(data: list[Any]) -> bool:
    return len(data) == 2 and type(data[0]) is int and type(data[1]) is int


def pack(data: Any, primed: bytes) -> bytes:
    """JSON data as the bytes of one version's body."""
    deflate = zlib.compressobj(9, zlib.DEFLATED, -15, 9, zlib.Z_DEFAULT_STRATEGY, primed)
    text = json.dumps(_relative(data, [0]), ensure_ascii=False, separators=(",", ":"))
    return deflate.compress(text.encode()) + deflate.flush()


def unpack(body: bytes, primed: bytes, spans: bool = True) -> Any:
    """The JSON data of a body; without `spans`, faster, and no span in it is to be used.

    Raises zlib.error or ValueError when the body is damaged.
    """
    data = json.loads(zlib.decompressobj(-15, primed).decompress(body))
    return _absolute(data, [0]) if spans else data
