"""Fuzzing at length: `python -m tests.fuzz.run --inputs 1000000 --minutes 60 [TARGET ...]`, whichever is reached first.

Inputs come in rounds, each with a seed of its own, so that memory stays small. Prints the smallest input of a failure.
"""

from __future__ import annotations

import argparse
import time

from hypothesis import HealthCheck, given, seed, settings

from tests.fuzz.targets import TARGETS, attempt

ROUND = 10_000  # inputs


def run(name: str, inputs: int, minutes: float = float("inf"), first: int = 0) -> int:
    """Up to `inputs` made-up inputs to one target, for `minutes` at most; how many there were.

    Rounds are seeded `first`, `first` + 1, … Raises with the smallest input that fails.
    """
    end, tried = time.monotonic() + minutes * 60, 0
    while tried < inputs and time.monotonic() < end:
        tried += _round(name, min(ROUND, inputs - tried), end, first)
        first += 1
    return tried


def _round(name: str, inputs: int, end: float, number: int) -> int:
    tried = 0

    @seed(number)
    @settings(max_examples=inputs, deadline=None, database=None, suppress_health_check=list(HealthCheck))
    @given(TARGETS[name][1])
    def one(made: object) -> None:
        nonlocal tried
        if time.monotonic() < end:  # what is left of a round when the time is up is passed over
            tried += 1
            attempt(name, made)

    one()
    return tried


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--inputs", type=int, default=10_000)
    parser.add_argument("--minutes", type=float, default=float("inf"), help="at most, for each target")
    parser.add_argument("--seed", type=int, default=0, help="of the first round")
    parser.add_argument("targets", nargs="*", help=f"of: {', '.join(TARGETS)}")
    options = parser.parse_args()
    for target in options.targets or TARGETS:
        began = time.monotonic()
        done = run(target, options.inputs, options.minutes, options.seed)
        print(f"{target}: {done:,} inputs in {(time.monotonic() - began) / 60:.0f} min, no failure", flush=True)
