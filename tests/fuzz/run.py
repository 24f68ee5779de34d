"""Fuzzing at length: `python -m tests.fuzz.run --inputs 1000000 [TARGET ...]`. Prints the smallest input of a failure."""

from __future__ import annotations

import argparse

from hypothesis import HealthCheck, given, settings

from tests.fuzz.targets import TARGETS, attempt


def run(name: str, inputs: int) -> None:
    """`inputs` made-up inputs to one target; raises with the smallest that fails."""

    @settings(max_examples=inputs, deadline=None, database=None, suppress_health_check=list(HealthCheck))
    @given(TARGETS[name][1])
    def tried(made) -> None:
        attempt(name, made)

    tried()


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--inputs", type=int, default=10_000)
    parser.add_argument("targets", nargs="*", help=f"of: {', '.join(TARGETS)}")
    options = parser.parse_args()
    for target in options.targets or TARGETS:
        run(target, options.inputs)
        print(f"{target}: {options.inputs:,} inputs, no failure", flush=True)
