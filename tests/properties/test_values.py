"""What holds of every sheet: spans, evidence, sums, the same sheet in every process."""

from __future__ import annotations

import os
import subprocess
import sys
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

sys.path.insert(0, str(Path(__file__).parent))

from variants import CHANGES, TEXTS, changed, without_places  # noqa: E402

from notes2sheet.numbers import misheard_unit, number_at  # noqa: E402
from notes2sheet.pipeline import draft_sheet, read_notes  # noqa: E402

SOME = list(TEXTS)[::15]


@pytest.mark.parametrize("name", list(TEXTS)[::7])
def test_every_figure_has_its_words(name: str) -> None:
    made = draft_sheet(TEXTS[name])
    for part, out in made.categories.items():
        assert out.score is None or out.spans, part
        assert all(lost.spans for lost in out.lost), part
        if out.basis == "said":
            assert out.score in _said(made, out.spans), part
    assert made.total.said is None or made.total.said in _said(made, made.total.spans)
    scores = [out.score for out in made.categories.values()]
    if made.total.sum is not None:
        assert Decimal(str(made.total.sum)) == sum(Decimal(str(score)) for score in scores)
    else:
        assert None in scores
    if made.entry.abv is not None:
        assert made.entry.abv in _said(made, [(0, len(made.text))])


def _said(made, spans) -> set[float]:
    """The numbers that the words of the spans say, mis-heard words included."""
    words = [read_notes(made.text[a:b], until="numbers").words for a, b in spans]
    found = [(w, n) for w in words for at in range(len(w)) if (n := number_at(w, at, heard=True))]
    every = {float(n.value) for _, n in found}
    units = ((n.value, misheard_unit(w[n.end])) for w, n in found if n.end < len(w) and n.value % 10 == 0)
    every |= {float(ten + unit) for ten, unit in units if unit}  # 'thirty ate'
    full = {float(cap) for cap in (50, *(part.cap for part in made.categories.values()))}
    # 'can't take anything off'
    whole = {"full", "perfect", "max", "maximum", "all", "top", "nothing", "anything", "lot"}
    every |= {cap / 2 for cap in full if any({"half", "marks"} <= set(w) for w in words)}  # 'half the marks'
    return every | (full if any(set(w) & whole for w in words) else set())


@settings(max_examples=25, deadline=None)
@given(st.lists(st.sampled_from([s for name in SOME for s in TEXTS[name].splitlines()]), min_size=1, max_size=25))
def test_any_mixture_gives_a_sheet_that_hangs_together(lines: list[str]) -> None:
    made = draft_sheet("\n".join(lines))  # spans inside the text: the model itself refuses others
    assert type(made).model_validate_json(made.model_dump_json()) == made


def test_the_same_sheet_in_every_process() -> None:
    code = (
        "import sys; from notes2sheet.pipeline import draft_sheet; "
        "print(hash('x')); print(draft_sheet(sys.stdin.read()).model_dump_json())"
    )
    text = "\n\n".join(TEXTS[name] for name in SOME[:3])
    out = []
    for seed in ("0", "1", "31337"):
        env = {**os.environ, "PYTHONHASHSEED": seed}
        made = subprocess.run(
            [sys.executable, "-c", code], input=text, env=env, capture_output=True, text=True, timeout=120
        )
        assert made.returncode == 0, made.stderr
        out.append(made.stdout.split("\n", 1))
    assert len({seen for seen, _ in out}) == 3 and len({sheet for _, sheet in out}) == 1


@pytest.mark.parametrize("change", ["trailing space", "breaks at the end", "doubled spaces"])
def test_space_says_nothing(change: str) -> None:
    assert changed(SOME, CHANGES[change], without_places) == []


def test_and_no_diacetyl_never_adds_diacetyl() -> None:
    for name in SOME:
        before, after = (_diacetyl(text) for text in (TEXTS[name], TEXTS[name].rstrip() + " And no diacetyl.\n"))
        assert after <= before, name


def _diacetyl(text: str) -> int:
    return sum(d.flaw == "diacetyl" and d.state == "present" for d in draft_sheet(text).descriptors)
