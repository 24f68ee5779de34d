"""House rules: a club's own steps, bands, prompts and severities, from a file `notes2sheet.toml`.

The nearest file counts: the one in the folder of the notes, else the one in the user's configuration folder.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, get_args

from notes2sheet.errors import HouseError, LexiconError, Notes2SheetError

if TYPE_CHECKING:
    from notes2sheet.model import Flag, House, Sheet

FILE = "notes2sheet.toml"
NONE = "none"  # in place of a file's name: no house rules
KEYS = ("points", "author", "style", "model", "bands", "prompts", "flags")
STEPS = {"whole": 1.0, "half": 0.5, "quarter": 0.25}
LATER = ("unsure-hearing", "correction-lost")  # raised after the checks


@dataclass(frozen=True)
class HouseFile:
    """One file: its rules, and what it puts in place of options: `style` for notes that don't say it, and the folder
    of the speech `model`."""

    path: Path
    rules: House
    style: str | None = None
    model: str | None = None

    def key(self) -> str:
        """Tells whether two files ask for the same."""
        return f"{self.rules.model_dump_json()} {self.style} {self.model}"


def find_house(folder: Path, named: str | None = None, top: Path | None = None) -> HouseFile | None:
    """The house rules for notes in `folder`; None where there are none.

    `named` is a file, or 'none' to go without; otherwise the folder is looked at, then those above it up to `top`,
    then the user's configuration folder. Raises HouseError.
    """
    if named == NONE:
        return None
    if named:
        return load_house(Path(named))
    from platformdirs import user_config_path

    folders = [folder]
    while top is not None and folders[-1] != top and top in folders[-1].parents:
        folders.append(folders[-1].parent)
    found = next((f / FILE for f in (*folders, user_config_path("notes2sheet")) if (f / FILE).is_file()), None)
    return load_house(found) if found else None


def load_house(path: Path) -> HouseFile:
    """A file of house rules, checked. Raises HouseError: file, key, what is wrong, what to do."""
    try:
        stat = path.absolute().stat()
    except OSError as error:
        raise HouseError(f"cannot be read: {error.strerror}", str(path), "check the name, or --house none") from None
    return _load(path, path.absolute(), stat.st_mtime_ns, stat.st_size)


@lru_cache(maxsize=64)
def _load(path: Path, *_state: object) -> HouseFile:
    from notes2sheet.lexicon import read_toml
    from notes2sheet.model import House

    try:
        data = read_toml(path)
    except LexiconError as error:
        raise HouseError(error.what, str(path), error.hint) from None
    read = _Reader(path)
    for key in data:
        read.known(key, KEYS, key)
    if (points := data.get("points")) is not None:
        read.known(points, STEPS, "points")
    rules = House(
        points=points, bands=read.bands(data), prompts=read.prompts(data), author=read.text(data, "author"),
        **read.flags(data),
    )  # fmt: skip
    model = read.text(data, "model")
    folder = str(path.parent / Path(model).expanduser()) if model else None
    return HouseFile(path, rules, read.style(data), folder)


class _Reader:
    """Reads one file's values; each one that is wrong is a HouseError with the file, the key and a hint."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def fail(self, key: str, what: str, hint: str) -> HouseError:
        return HouseError(what, f"{self.path}: {key}", hint)

    def known(self, value: Any, names: Iterable[str], key: str) -> None:
        names = list(names)
        if value not in names:
            raise self.fail(key, f"unknown {value!r}", _nearest(value, names))

    def text(self, data: dict[str, Any], key: str) -> str | None:
        value = data.get(key)
        if value is not None and (not isinstance(value, str) or not value.strip()):
            raise self.fail(key, "is no text", f'write {key} = "..."')
        return value.strip() if value else None

    def table(self, data: dict[str, Any], key: str) -> dict[str, Any]:
        value = data.get(key, {})
        if not isinstance(value, dict):
            raise self.fail(key, "is no table", f"write [{key}] and its lines below")
        return value

    def style(self, data: dict[str, Any]) -> str | None:
        from notes2sheet.style_data import resolve_style

        style = self.text(data, "style")
        try:
            return resolve_style(style) if style else None
        except Notes2SheetError as error:
            raise self.fail("style", error.what, error.hint) from None

    def bands(self, data: dict[str, Any]) -> tuple[tuple[float, str], ...]:
        limit = max(sheet.total for sheet in _sheets())
        out: dict[float, str] = {}
        for name, low in self.table(data, "bands").items():
            key = f"bands.{name}"
            if not isinstance(low, (int, float)) or isinstance(low, bool) or not 0 <= low <= limit:
                raise self.fail(key, f"{low!r} is no total", f"give the lowest total of the band, 0 to {limit}")
            if low in out:
                raise self.fail(key, f"begins at {low:g} like {out[low]!r}", "give each band a total of its own")
            out[float(low)] = name
        return tuple(sorted(out.items()))

    def prompts(self, data: dict[str, Any]) -> dict[str, str]:
        known = [f"{c.id}.{aspect}" for sheet in _sheets() for c in sheet.categories for aspect in c.aspects]
        out = {}
        for name, value in self.table(data, "prompts").items():
            inner = value if isinstance(value, dict) else {None: value}  # flavor.balance may stand without quotes
            for aspect, severity in inner.items():
                prompt = f"{name}.{aspect}" if aspect else name
                self.known(prompt, known, f"prompts.{prompt}")
                self.known(severity, _severities(), f"prompts.{prompt}")
                out[prompt] = severity
        return out

    def flags(self, data: dict[str, Any]) -> dict[str, dict[str, str]]:
        """{'severities': …, 'off': …} of the table [flags]: a severity, or a table with the reason for `off`."""
        parts = list(dict.fromkeys(c.id for sheet in _sheets() for c in sheet.categories))
        severities, off = {}, {}
        for name, value in self.table(data, "flags").items():
            key, (code, _, part) = f"flags.{name}", name.partition(":")
            self.known(code, _codes(), key)
            if part:
                self.known(part, parts, key)
            if isinstance(value, dict):
                self.known(next((k for k in value if k != "off"), "off"), ["off"], key)
                reason = value.get("off")
                if not isinstance(reason, str) or not reason.strip():
                    raise self.fail(key, "is off without a reason", 'write { off = "the reason" }')
                off[name] = " ".join(reason.split())
            elif value == "off":
                raise self.fail(key, "is off without a reason", 'write { off = "the reason" }')
            else:
                self.known(value, _severities(), key)
                severities[name] = value
        return {"severities": severities, "off": off}


def _nearest(value: Any, names: list[str]) -> str:
    from rapidfuzz import fuzz, process

    near = process.extractOne(str(value), names, scorer=fuzz.ratio, score_cutoff=60)
    return f"did you mean {near[0]!r}?" if near else f"one of: {', '.join(names)}"


def _codes() -> list[str]:
    from notes2sheet.checks import CHECKS

    return [*(check.__name__.replace("_", "-") for check in CHECKS), *LATER]


def _severities() -> tuple[str, ...]:
    from notes2sheet.model import Severity

    return get_args(Severity)


def _sheets() -> list[Any]:
    from notes2sheet.lexicon import load_sheet, shipped

    return [load_sheet(path.stem) for path in sorted((shipped() / "sheets").glob("*.toml"))]


def _rule(rules: dict[str, str], flag: Flag) -> str | None:
    """What the rules say of a flag: of it in this part, else of it anywhere."""
    return rules.get(f"{flag.code}:{flag.category}", rules.get(flag.code))


def under_house(sheet: Sheet) -> Sheet:
    """The sheet with its flags under its house rules: in their severity here, worst first; those switched off apart.

    The same sheet again for a sheet that is so already, and for one without house rules.
    """
    house = sheet.house
    if house is None:
        return sheet
    from notes2sheet.checks import SEVERITY

    order = {name: n for n, name in enumerate(sheet.categories)}
    standing, silenced = [], []
    for flag in (*sheet.flags, *sheet.silenced):
        if _rule(house.off, flag) is not None:
            silenced.append(flag)
        else:
            severity = _rule(house.severities, flag) or flag.severity
            standing.append(flag if severity == flag.severity else flag.model_copy(update={"severity": severity}))
    standing.sort(key=lambda f: (SEVERITY[f.severity], order.get(f.category or "", 9)))
    return sheet.model_copy(update={"flags": tuple(standing), "silenced": tuple(silenced)})


def silenced_lines(sheet: Sheet) -> list[str]:
    """A line for each kind of flag that the house rules keep off this sheet, with how many and why."""
    counts: dict[tuple[str, str], int] = {}
    for flag in sheet.silenced:
        key = flag.code, _rule(sheet.house.off, flag) or ""
        counts[key] = counts.get(key, 0) + 1
    return [f"Off by house rules: {n} × {code} ({why})" for (code, why), n in counts.items()]
