"""Where results are written: below the output folder and nowhere else, each file whole or not there."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

RESERVED = {"con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(1, 10))}
FORBIDDEN = '<>:"|?*\\'  # no part of a file's name on some system


def safe_name(name: str) -> str:
    """`name`, a path below the output folder with /, made one that every system takes, by the least change."""
    return "/".join(_safe_part(part) for part in name.split("/"))


def _safe_part(part: str) -> str:
    kept = "".join("-" if c in FORBIDDEN or not c.isprintable() else c for c in part).rstrip(". ")
    return f"_{kept}" if not kept or kept.split(".")[0].casefold().strip() in RESERVED else kept


def inside(folder: Path, name: str) -> Path:
    """The path of `name` below `folder`. ValueError when it leads out of it, also by way of a link."""
    path = folder / name
    home = folder.resolve()
    if "\0" in name or Path(name).name in ("", "..") or home not in (path.parent.resolve() / path.name).parents:
        raise ValueError(f"{name} leads out of the folder")
    return path


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
