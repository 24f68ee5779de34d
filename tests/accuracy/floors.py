"""Run the scorer over the marked transcripts of dev/ and of unseen/, print its tables, and exit 1 when a measure is
under its floor (floors.toml).

python tests/accuracy/floors.py
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from pathlib import Path

if sys.version_info >= (3, 11):
    import tomllib
else:
    import tomli as tomllib

HERE = Path(__file__).parent


def measures(folder: str) -> dict[str, float]:
    """The scorer's measures over a folder of marked transcripts, printed as it goes."""
    with tempfile.TemporaryDirectory() as tmp:
        out = Path(tmp, "measures.json")
        command = [sys.executable, "-m", "notes2sheet", "draft"]
        run = subprocess.run(
            [sys.executable, HERE / "score.py", HERE / folder, "--command", " ".join(command), "--json", out],
            capture_output=True,
            text=True,
        )
        print(f"{folder}/\n{run.stdout}{run.stderr}")
        return json.loads(out.read_text(encoding="utf-8"))["measures"]


def main() -> int:
    under = False
    for folder, floors in tomllib.loads((HERE / "floors.toml").read_text(encoding="utf-8")).items():
        found = measures(folder)
        for name, floor in floors.items():
            if found.get(name, 0.0) < floor:
                under = True
                print(f"under its floor in {folder}/: {name} is {found.get(name, 0.0):.3f}, floor {floor:.3f}")
    return 1 if under else 0


if __name__ == "__main__":
    sys.exit(main())
