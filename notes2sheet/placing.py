"""Where results are written: below the output folder and nowhere else, each file whole or not there."""

from __future__ import annotations

import os
import tempfile
from collections import Counter
from collections.abc import Iterable
from pathlib import Path

from notes2sheet.errors import OutputError
from notes2sheet.outputs import is_output

RESERVED = {"con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(1, 10))}
GATHERED = "sheets"  # the table of all sheets of a run with --format csv, without its ending
LARGEST = 100 << 20  # bytes; no sheet is larger
FORBIDDEN = '<>:"|?*\\'  # no part of a file's name on some system


def safe_name(name: str) -> str:
    """`name`, a path below the output folder with /, made one that every system takes, by the least change."""
    return "/".join(_safe_part(part) for part in name.split("/"))


def _safe_part(part: str) -> str:
    kept = "".join("-" if c in FORBIDDEN or not c.isprintable() else c for c in part).rstrip(". ")
    return f"_{kept}" if not kept or kept.split(".")[0].casefold().strip() in RESERVED else kept


def stems(folder: Path, files: Iterable[Path]) -> dict[Path, str]:
    """The path of each file's results below the output folder, without the ending: the file's own, with its ending
    kept only where two files would share it, or the table of all of them."""
    plain = {file: file.relative_to(folder).with_suffix("").as_posix() for file in files}
    shared = {stem for stem, times in Counter(s.casefold() for s in plain.values()).items() if times > 1} | {GATHERED}
    return {f: safe_name(f.relative_to(folder).as_posix() if s.casefold() in shared else s) for f, s in plain.items()}


def inside(folder: Path, name: str) -> Path:
    """The path of `name` below `folder`. ValueError when it leads out of it, also by way of a link."""
    path = folder / name
    home = folder.resolve()
    if "\0" in name or Path(name).name in ("", "..") or home not in (path.parent.resolve() / path.name).parents:
        raise ValueError(f"{name} leads out of the folder")
    return path


def check_free(path: Path, notes: Iterable[Path] = ()) -> None:
    """Raise OutputError where a sheet at `path` would take the place of `notes`, or of a file that is no sheet of ours.
    A link is replaced and what it leads to is kept, so that only one that leads to notes is refused."""
    if not os.path.lexists(path):
        return
    if any(same(path, note) for note in notes):
        raise OutputError(
            "is read as notes, and the sheet would take its place", str(path), "choose another --out folder"
        )
    if not path.is_symlink() and path.is_file() and not _holds_output(path):
        raise OutputError(
            "stands there already and is no sheet of ours", str(path), "move it, or choose another --out folder"
        )


def _holds_output(path: Path) -> bool:
    with path.open("rb") as file:
        content = file.read(LARGEST + 1)
    return len(content) <= LARGEST and is_output(content)


def check_apart(folder: Path, out: Path, names: dict[Path, str]) -> None:
    """Raise OutputError where the results of {file: stem} would go into a folder whose files are read as notes,
    whatever links lead to it: they would take the place of notes, or be taken for notes by the next run."""
    read = {_identity(place) for place in {folder, *(file.parent for file in names)}} - {None}
    for place in dict.fromkeys((out, *((out / stem).parent for stem in names.values()))):
        if _identity(place) in read:
            hint = f"choose another --out folder, such as {folder / 'sheets'}"
            raise OutputError("notes are read there, so that sheets cannot go there", str(place), hint)


def _identity(path: Path) -> tuple[int, int] | None:
    try:
        state = path.stat()
    except OSError:
        return None
    return state.st_dev, state.st_ino


def same(one: Path, two: Path) -> bool:
    """Whether two paths lead to one file or folder, by whatever links and names."""
    try:
        return one.samefile(two)
    except OSError:
        return False


def write_whole(folder: Path, name: str, content: bytes) -> None:
    """Write a file below `folder`; a link that stands at its name is replaced, not followed.

    Raises ValueError for a name that leads out of the folder, OSError where it cannot be written.
    """
    path = inside(folder, name)
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, part = tempfile.mkstemp(dir=path.parent, prefix=".", suffix=".part")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
        os.chmod(part, 0o666 & ~_umask())
        os.replace(part, path)
    except BaseException:
        os.unlink(part)
        raise


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
