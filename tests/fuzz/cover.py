"""Fuzzing that follows the branches taken (atheris): `python -m tests.fuzz.cover number -runs=1000000 -max_total_time=3600`.

Options with one dash are libFuzzer's. It prints how many inputs there were, and keeps one that fails as `crash-…`.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

import atheris

with atheris.instrument_imports(include=["notes2sheet"]):
    import notes2sheet.archive.query
    import notes2sheet.explain
    import notes2sheet.lexicon_check
    import notes2sheet.pipeline
    import notes2sheet.readers  # noqa: F401

from tests.fuzz.targets import WORDS, attempt  # noqa: E402

MADE: dict[str, Callable[[bytes], object]] = {  # what a target is given, from the bytes of one input
    "read": bytes,
    "number": lambda data: data.decode("utf-8", "replace"),
    "draft": lambda data: data.decode("utf-8", "replace"),
    "lexicon": bytes,
    "query": lambda data: tuple(data.decode("utf-8", "surrogateescape").partition("\n")[::2]),
}


def dictionary() -> str:
    """The words that the other fuzzer puts inputs together from, in libFuzzer's form."""
    quoted = ("".join(f"\\x{byte:02x}" for byte in word.encode("utf-8", "surrogatepass")) for word in WORDS)
    return "\n".join(f'"{word}"' for word in quoted)


if __name__ == "__main__":
    name, options = sys.argv[1], sys.argv[2:]
    with tempfile.NamedTemporaryFile("w", suffix=".dict", delete=False) as file:
        file.write(dictionary())
    atheris.Setup(
        [sys.argv[0], f"-dict={Path(file.name)}", "-max_len=400", "-print_final_stats=1", "-verbosity=0", *options],
        lambda data: attempt(name, MADE[name](data)),
    )
    atheris.Fuzz()
