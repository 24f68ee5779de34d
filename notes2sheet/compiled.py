"""What is made from the lexicon's TOML, kept as JSON in the user's cache folder between runs: a cold start would else
spend more time on parsing than on the notes. A file that changes in size or time is read anew; without a writable
cache everything still works."""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

VERSION = "1"  # raise when what is stored changes its form


def folder() -> Path:
    """The cache folder: NOTES2SHEET_CACHE, or the user's own for this program."""
    if named := os.environ.get("NOTES2SHEET_CACHE"):
        return Path(named)
    from platformdirs import user_cache_path

    return user_cache_path("notes2sheet")


def compiled(name: str, roots: list[Path], build: Callable[[], Any]) -> Any:
    """`build()`, or what it gave when the TOML files under `roots` were as they are now."""
    state = [VERSION, name]
    for root in roots:
        for path in sorted(root.rglob("*.toml")) if root.is_dir() else [root] * root.is_file():
            stat = path.stat()
            state.append(f"{path}:{stat.st_size}:{stat.st_mtime_ns}")
    key = hashlib.sha256("\n".join(state).encode()).hexdigest()[:24]
    file = folder() / f"{name}-{key}.json"
    try:
        return json.loads(file.read_bytes())
    except (OSError, ValueError):
        made = build()
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        for old in file.parent.glob(f"{name}-*.json"):
            old.unlink(missing_ok=True)
        partial = file.with_suffix(f".{os.getpid()}.part")
        partial.write_text(json.dumps(made, ensure_ascii=False, separators=(",", ":")), encoding="utf-8")
        partial.replace(file)
    except OSError:
        pass
    return made
