"""requirements.lock holds every dependency of pyproject.toml, at a version that it allows, by hash.

Made anew, with pip-tools, from the top folder (then without the line that names notes2sheet itself):
    pip-compile --all-extras --allow-unsafe --unsafe-package notes2sheet --generate-hashes --strip-extras --no-header \\
        --no-annotate -o tests/security/requirements.lock pyproject.toml
Installed with `pip install --require-hashes -r`; audited with `pip-audit --disable-pip --require-hashes -r`.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from notes2sheet.lexicon import read_toml

ROOT = Path(__file__).parents[2]
PROJECT = read_toml(ROOT / "pyproject.toml")["project"]
NEEDED = [*PROJECT["dependencies"], *(line for extra in PROJECT["optional-dependencies"].values() for line in extra)]


def locked() -> dict[str, str]:
    """{name: version} of the lock file, each of whose entries has a hash."""
    text = (ROOT / "tests" / "security" / "requirements.lock").read_text(encoding="utf-8")
    entries = re.split(r"\n(?! )", re.sub(r"^#.*\n", "", text).strip())
    out = {}
    for entry in entries:
        first, *hashes = [line.strip().removesuffix("\\").strip() for line in entry.split("\n")]
        name, _, version = first.partition("==")
        assert version and hashes and all(re.fullmatch(r"--hash=sha256:[0-9a-f]{64}", line) for line in hashes), entry
        out[canonicalize_name(name)] = version.partition(" ")[0]
    return out


@pytest.mark.parametrize("line", sorted({*NEEDED}))
def test_every_dependency_is_locked(line: str) -> None:
    needed = Requirement(line)
    if needed.name == PROJECT["name"] or (needed.marker and not needed.marker.evaluate({"python_version": "3.11"})):
        pytest.skip("notes2sheet itself, or not needed on the locked Python")
    version = locked().get(canonicalize_name(needed.name))
    assert version is not None and needed.specifier.contains(version, prereleases=True), (line, version)


def test_nothing_comes_from_elsewhere() -> None:
    text = (ROOT / "tests" / "security" / "requirements.lock").read_text(encoding="utf-8")
    assert not re.search(r"://|^-|^notes2sheet", text, re.MULTILINE)
    assert len(locked()) > len(PROJECT["dependencies"])
