"""Run the scorer over the marked transcripts of dev/, print its table, and exit 1 when a measure is under its floor.

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


def measures() -> dict[str, float]:
    """The scorer's measures over dev/, printed as it goes."""
    with tempfile.TemporaryDirectory() as tmp:
        out = Path(tmp, "measures.json")
        command = [sys.executable, "-m", "notes2sheet", "draft"]
        run = subprocess.run(
            [sys.executable, HERE / "score.py", HERE / "dev", "--command", " ".join(command), "--json", out],
            capture_output=True,
            text=True,
        )
        print(run.stdout, run.stderr)
        return json.loads(out.read_text(encoding="utf-8"))["measures"]


def main() -> int:
    found = measures()
    floors = tomllib.loads((HERE / "floors.toml").read_text(encoding="utf-8"))
    under = {name: (found.get(name, 0.0), floor) for name, floor in floors.items() if found.get(name, 0.0) < floor}
    for name, (value, floor) in under.items():
        print(f"under its floor: {name} is {value:.3f}, floor {floor:.3f}")
    return 1 if under else 0


if __name__ == "__main__":
    sys.exit(main())
