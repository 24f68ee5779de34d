"""Corrections on a draft and on a later draft of changed notes; the checks run again after an edit."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st
from web_help import SPOKEN, TYPED, draft

from notes2sheet.drafting import carry_over, draft_file
from notes2sheet.errors import Notes2SheetError
from notes2sheet.review.corrections import apply, value_in
from notes2sheet.review.desk import Desk, Refused, open_desk, read_draft
from notes2sheet.review.journal import Change, Journal, merged
from notes2sheet.review.recheck import recheck


def desk(folder, notes: str = SPOKEN, name: str = "b.txt") -> Desk:
    file = folder / name
    file.write_text(notes, encoding="utf-8")
    return open_desk(file, "Ada")


def at(sheet, words: str) -> str:
    span = next(d.span for d in sheet.descriptors if sheet.quote(d.span) == words)
    return f"{span[0]}-{span[1]}"


def codes(sheet) -> set[str]:
    return {f"{f.code}:{f.category}" if f.category else f.code for f in sheet.flags}


@pytest.mark.parametrize("notes", [SPOKEN, TYPED])
def test_an_untouched_sheet_keeps_exactly_its_flags(notes):
    sheet = draft(notes)
    assert sheet.flags and sorted(map(repr, recheck(sheet, sheet))) == sorted(map(repr, sheet.flags))


@pytest.mark.parametrize(
    ("notes", "edits", "gone", "come"),
    [
        (SPOKEN, {"total:said": "34.5"}, {"sum-differs"}, set()),
        (SPOKEN, {"score:aroma": "7.5"}, {"sum-differs"}, set()),
        (SPOKEN, {"score:aroma": ""}, {"sum-differs"}, {"no-score:aroma"}),
        (SPOKEN, {"score:aroma": "13"}, set(), {"over-cap:aroma"}),
        (TYPED, {"score:mouthfeel": "4"}, {"over-cap:mouthfeel"}, set()),
        (TYPED, {"score:overall": "4"}, set(), {"unexplained:overall"}),
        (TYPED, {"score:overall": "4", "comment:overall": "Stale and thin."}, set(), set()),
        (TYPED, {"comment:appearance": ""}, set(), {"no-comment:appearance"}),
    ],
)
def test_checks_run_again(tmp_path, notes, edits, gone, come):
    review = desk(tmp_path, notes)
    before = codes(review.draft)
    for what, entered in edits.items():
        review.edit(what, entered)
    after = codes(review.corrected.sheet)
    assert gone <= before
    assert after == before - gone | come


@pytest.mark.parametrize(
    ("line", "edits", "flagged"),
    [
        ("3 off for papery. 18/20", {}, True),
        ("3 off for papery. 18/20", {"score:flavor": "17"}, False),
        ("3 off for papery. 17/20", {"score:flavor": "18"}, True),
        ("20 - 1.5 (papery) = 18", {"score:aroma": "9"}, True),
        ("20 - 1.5 (papery) = 18", {"score:flavor": "18.5"}, False),
    ],
)
def test_losses_are_held_against_an_edited_score(tmp_path, line, edits, flagged):
    review = desk(
        tmp_path, f"21A American IPA\nAroma: pine. 10/12\nFlavor: high bitterness. {line}\nOverall: good. 8/10\n"
    )
    for what, entered in edits.items():
        review.edit(what, entered)
    assert ("losses-differ:flavor" in codes(review.corrected.sheet)) is flagged


def test_over_cap_worded_as_in_the_first_run(tmp_path):
    review = desk(tmp_path, TYPED)
    told = next(f for f in review.draft.flags if f.code == "over-cap")
    review.edit("score:mouthfeel", "7")
    again = next(f for f in review.corrected.sheet.flags if f.code == "over-cap")
    assert again.message == told.message.replace("6", "7", 1)


def test_dropping_words_opens_their_prompt(tmp_path):
    review = desk(tmp_path)
    review.edit(f"state:{at(review.draft, 'clear')}", "dropped")
    sheet = review.corrected.sheet
    assert "clarity" in sheet.categories["appearance"].missing
    assert "missing-prompts:appearance" in codes(sheet)
    assert len(sheet.descriptors) == len(review.draft.descriptors) - 1
    review.edit(f"state:{at(review.draft, 'clear')}", "present")
    assert review.corrected.sheet == review.draft


CHANGES = [
    ("score:aroma", "7", None),
    ("score:aroma", "7", ("six of 12 because", "seven and a half of 12 because")),
    ("comment:flavor", "Biscuit, then butter.", None),
    ("comment:flavor", "Biscuit, then butter.", ("medium biscuit", "medium cracker")),
    ("total:said", "34.5", None),
    ("total:said", "34.5", ("the total is 36", "the total is 37")),
    ("state:clear", "mentioned", None),
    ("state:clear", "mentioned", ("it is clear", "it is hazy")),
    ("level:toast", "high", None),
    ("level:toast", "high", ("medium toast", "medium caramel")),
]


@pytest.mark.parametrize(("what", "entered", "change"), CHANGES)
def test_corrections_follow_their_words_into_a_fresh_draft(tmp_path, what, entered, change):
    review = desk(tmp_path)
    kind, _, name = what.partition(":")
    review.edit(f"{kind}:{at(review.draft, name)}" if kind in ("state", "level") else what, entered)
    notes = SPOKEN.replace("0:04 a best bitter", "0:02 good morning from the third table\n0:04 a best bitter")
    if change:
        assert change[0] in notes
        notes = notes.replace(*change)
    fresh = draft(notes)
    kept = carry_over(fresh, review.source)
    lost = [f for f in kept.flags if f.code == "correction-lost"]
    if change:
        assert len(lost) == 1 and lost[0].severity == "warning" and "Ada" in lost[0].message
        assert kept.categories == fresh.categories and kept.descriptors == fresh.descriptors
    else:
        assert lost == []
        what = f"{kind}:{at(kept, name)}" if kind in ("state", "level") else what
        assert str(value_in(kept, what)) == (f"{float(entered)}" if kind in ("score", "total") else entered)


def test_a_dismissed_flag_stays_dismissed_only_while_it_says_the_same(tmp_path):
    from notes2sheet.outputs.html import flag_id

    review = desk(tmp_path)
    flag = next(f for f in review.draft.flags if f.code == "band-differs")
    review.decide(flag_id(flag), "dismissed", "said in jest")
    assert flag not in review.corrected.sheet.flags
    assert flag not in carry_over(draft(SPOKEN + "1:40 thanks for listening\n"), review.source).flags
    assert "band-differs" in codes(carry_over(draft(SPOKEN.replace("is excellent", "is outstanding")), review.source))
    review.decide(flag_id(flag), "open", "")
    assert flag in review.corrected.sheet.flags


@pytest.mark.parametrize(("code", "why"), [("over-cap", "it was that good"), ("missing-prompts", "  ")])
def test_some_decisions_are_refused(tmp_path, code, why):
    from notes2sheet.outputs.html import flag_id

    review = desk(tmp_path, TYPED)
    flag = next(f for f in review.draft.flags if f.code == code)
    with pytest.raises(Refused):
        review.decide(flag_id(flag), "dismissed", why)
    assert not review.journal.path.exists()


def test_journal_outlives_a_torn_line_and_another_writer(tmp_path):
    review = desk(tmp_path)
    review.edit("score:aroma", "7")
    with review.journal.path.open("a", encoding="utf-8") as file:
        file.write('{"who":"Ada","when":"2026-')
    other = Desk(review.source, review.draft, "Bo")
    other.edit("score:flavor", "15")
    assert [c.who for c in review.journal.changes()] == ["Ada", "Bo"]
    assert review.corrected.sheet.categories["flavor"].score == 15
    review.journal.path.write_text('{"who": 1}\n' + review.journal.path.read_text(encoding="utf-8"), encoding="utf-8")
    with pytest.raises(Notes2SheetError, match="journal.jsonl:1"):
        Journal(review.journal.path).changes()


def test_merged_journal_holds_one_change_for_a_run_of_typing():
    typed = [Change(who="A", when=str(n), what="comment:aroma", old="abc"[:n], new="abc"[: n + 1]) for n in range(3)]
    back = [
        Change(who="A", when="9", what="score:aroma", old=1.0, new=2.0),
        Change(who="A", when="9", what="score:aroma", old=2.0, new=1.0),
    ]
    assert [(c.old, c.new) for c in merged([*typed, *back])] == [("", "abc")]


@given(
    st.lists(st.tuples(st.sampled_from(["score:aroma", "score:flavor", "total:said"]), st.integers(0, 60)), max_size=8)
)
def test_last_entry_wins_and_the_sum_is_always_right(entries):
    sheet = SHEET
    words = {"total:said": tuple(sheet.quote(s) for s in sheet.total.spans)}
    words |= {f"score:{n}": tuple(sheet.quote(s) for s in p.spans) for n, p in sheet.categories.items()}
    made = [Change(who="A", when="", what=w, new=float(v), words=words[w]) for w, v in entries]
    out = apply(sheet, made).sheet
    for what, value in dict(entries).items():
        assert value_in(out, what) == value
    assert out.total.sum == sum(p.score for p in out.categories.values())
    assert ("sum-differs" in codes(out)) == (out.total.sum != out.total.said)


SHEET = draft(SPOKEN)


def test_finished_file_reads_back(tmp_path):
    review = desk(tmp_path, TYPED)
    review.edit("score:mouthfeel", "4")
    target = review.finish("Ada Probe")
    whole = json.loads(target.read_text(encoding="utf-8"))
    assert set(whole) == {"sheet", "judge", "finished_at", "journal"}
    assert read_draft(target) == review.corrected.sheet
    assert review.finished and review.finished.new == "Ada Probe"
    review.edit("score:mouthfeel", "3")
    assert review.finished is None


@pytest.mark.parametrize("content", ["{", "[]", "{}", '{"sheet": {}}', "\udcff"])
def test_what_is_no_draft_is_refused(tmp_path, content):
    file = tmp_path / "x.json"
    file.write_text(content, encoding="utf-8", errors="surrogateescape")
    with pytest.raises(Notes2SheetError, match="is no draft sheet"):
        read_draft(file)


PANEL = "21A\nAda: gold and clear\nBo: amber and hazy\nAda: aroma 9 of 12\nBo: aroma 7 of 12\n"


def test_of_several_judges_one_is_reviewed(tmp_path):
    file = tmp_path / "talk.txt"
    file.write_text(PANEL, encoding="utf-8")
    for judge in (None, "Cy"):
        with pytest.raises(Notes2SheetError, match="one of: Ada, Bo"):
            open_desk(file, judge)
    review = open_desk(file, "bo")
    assert review.draft.categories["aroma"].score == 7
    review.edit("score:aroma", "8")
    assert open_desk(file, "Ada").corrected.sheet.categories["aroma"].score == 9
    assert [sheet.categories["aroma"].score for _, sheet in draft_file(str(file))] == [9, 8]
    assert sorted(p.name for p in tmp_path.iterdir()) == ["talk.bo.journal.jsonl", "talk.txt"]
