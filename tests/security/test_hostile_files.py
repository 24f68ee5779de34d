"""Hostile drafts and lexicon folders: one line and exit 2; hostile words: shown, never obeyed."""

from __future__ import annotations

import copy
import csv
import io
import json
import re
from importlib import import_module

import pytest
from typer.testing import CliRunner

from notes2sheet.cli import app
from notes2sheet.model import Sheet
from notes2sheet.pipeline import draft_sheet

GOOD = draft_sheet("As an American IPA. Aroma: high grapefruit, ten out of twelve.").model_dump(mode="json")
EVIL = (
    "=cmd|'/c calc'!A1 \x1b]0;owned\x07\x1b[2J\x9b31m [red]x[/red] [link=http://x]y[/link] "
    "<script>alert(1)</script> \u202etxt |`a`|"
)
CONTROL = re.compile("[\x00-\x09\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")


def with_(*path, value):
    made = copy.deepcopy(GOOD)
    at = made
    for step in path[:-1]:
        at = at[step]
    at[path[-1]] = value
    return json.dumps(made)


BAD = {
    "NaN": with_("total", "sum", value=float("nan")),
    "infinity": with_("categories", "aroma", "score", value=float("inf")),
    "huge": with_("categories", "aroma", "score", value=1e300),
    "huge cap": with_("categories", "aroma", "cap", value=10**400),
    "digits": '{"text": ' + "9" * 6000 + "}",
    "span beyond": with_("descriptors", 0, "span", value=[0, 10**6]),
    "span backwards": with_("sentences", 0, "span", value=[9, 2]),
    "span negative": with_("style", "spans", value=[[-3, 2]]),
    "type": with_("text", value=["no"]),
    "key": with_("__class__", value="no"),
    "key that steers": with_("\x1b[2Jno\n\u202e", value="no"),
    "schema": with_("schema_version", value=10**30),
    "schema as words": with_("schema_version", value=EVIL),
    "part": with_("flags", value=[{"code": "over-cap", "category": "\x1b[2Jno", "severity": "blocker", "message": "m"}]),
    "band": with_("total", "band", value=EVIL),
    "prompt": with_("categories", "aroma", "missing", value=[EVIL]),
    "sheet": with_("sheet", value="../../etc"),
    "deep": '{"sheet":' * 50_000,
    "deep list": '{"text":' + "[" * 50_000 + "]" * 50_000 + "}",
    "list": "[1, 2]",
    "empty": "",
    "cut": json.dumps(GOOD)[:200],
    "latin": b"\xff\xfe{",
}  # fmt: skip


@pytest.mark.parametrize("name", BAD)
@pytest.mark.parametrize("command", ["review", "panel", "add"])
def test_a_hostile_draft(tmp_path, name: str, command: str, monkeypatch) -> None:
    monkeypatch.setattr("notes2sheet.review.server.serve", lambda *_: None)
    path = tmp_path / "draft.json"
    path.write_bytes(BAD[name] if isinstance(BAD[name], bytes) else BAD[name].encode())
    if (command, name) in (("panel", "sheet"), ("add", "sheet"), ("add", "list")):
        pytest.skip("a sheet's definition is needed by a review only; a list may be notes")
    args = {
        "review": ["review", str(path), "--no-browser"],
        "panel": ["panel", str(path), str(path)],
        "add": ["archive", "add", str(path), "--archive", str(tmp_path / "a.sqlite")],
    }[command]
    made = CliRunner().invoke(app, args)
    assert made.exit_code == 2, (made.exception, made.output)
    assert len(made.stderr.strip().splitlines()) == 1 and not CONTROL.search(made.stderr.strip())


LEXICONS = {
    "deep": b"a = " + b"[" * 100_000,
    "deep keys": b"[" + b".".join([b"a"] * 20_000) + b"]\n",
    "big": b"# " + b"x" * 5_000_000,
    "bytes": b"\xff\xfe",
    "digits": b"[a]\nkind = " + b"9" * 6000,
    "types": b'[a]\nkind = "hop"\naspects = [1]',
    "date": b'[a]\nkind = "hop"\nsaid = 2020-01-01',
    "infinity": b'[a]\nkind = "hop"\nsrm = [1, inf]',
    "kind": b"[a]\nkind = {}",
}


@pytest.mark.parametrize("name", LEXICONS)
def test_a_hostile_lexicon(tmp_path, name: str) -> None:
    (tmp_path / "own" / "descriptors").mkdir(parents=True)
    (tmp_path / "own" / "descriptors" / "x.toml").write_bytes(LEXICONS[name])
    (tmp_path / "n.txt").write_text("gold")
    for args in (["draft", str(tmp_path / "n.txt")], ["lexicon", "mango"]):
        made = CliRunner().invoke(app, [*args, "--lexicon", str(tmp_path / "own")])
        assert made.exit_code == 2 and len(made.stderr.strip().splitlines()) == 1, (made.exception, made.output[:300])
    assert CliRunner().invoke(app, ["lexicon", "--check", str(tmp_path / "own")]).exit_code == 2


def test_a_lexicon_that_is_a_folder_or_endless(tmp_path) -> None:
    (tmp_path / "descriptors" / "x.toml").mkdir(parents=True)
    made = CliRunner().invoke(app, ["lexicon", "mango", "--lexicon", str(tmp_path)])
    assert made.exit_code == 2 and "cannot be read" in made.stderr


def test_a_term_cannot_steer_the_terminal(tmp_path) -> None:
    (tmp_path / "descriptors").mkdir()
    text = '["x\\u001b[31mred"]\nkind = "hop"\nsaid = "zzyx"\nsource = "a\\u001b]0;owned\\u0007 [red]b[/red]"\n'
    (tmp_path / "descriptors" / "x.toml").write_text(text)
    made = CliRunner().invoke(app, ["lexicon", "zzyx", "--lexicon", str(tmp_path)])
    assert made.exit_code == 0 and not CONTROL.search(made.stdout) and "[red]b[/red]" in made.stdout
    unknown = CliRunner().invoke(app, ["lexicon", "\x1b[2Jqqqq\x07"])
    assert unknown.exit_code == 2 and not CONTROL.search(unknown.stderr.rstrip("\n"))


def hostile() -> Sheet:
    made = copy.deepcopy(GOOD)
    made["entry"] |= {"name": EVIL, "maker": EVIL}
    made["categories"]["aroma"] |= {"comment": EVIL, "lost": [{"points": 1, "reason": EVIL, "spans": []}]}
    made["style"]["name"] = EVIL
    made["flags"] = [{"code": "x", "category": None, "severity": "note", "message": EVIL, "spans": []}]
    made["suggestions"] = [EVIL]
    return Sheet.model_validate(made)


@pytest.mark.parametrize("form", ["text", "md", "html", "csv"])
def test_outputs_obey_nothing(form: str) -> None:
    out = import_module(f"notes2sheet.outputs.{form}").render(hostile())
    assert "alert(1)" in out.replace("\\", "") and not CONTROL.search(out)
    if form == "html":
        assert "<script>alert" not in out and "Content-Security-Policy" in out
    if form == "md":
        assert "<script>" not in out and "](http" not in out
    if form == "text":
        assert "[red]x[/red]" in out
    if form == "csv":
        cells = [cell for row in csv.reader(io.StringIO(out)) for cell in row]
        assert not [cell for cell in cells if cell[:1] in ("=", "+", "@", "\t", "\r") and len(cell) > 1]


MARKS = ["=1", "+1x", "-1+1", "@SUM(1)", "\t=1", "\r=1", " =1", "\n=1", "＝1+1", "＋1x", "－1x", "＠x", "<img src=x onerror=y>",
         "![x](http://e/x.png)", "[x](javascript:y)", "<http://evil.example>", "# head", "---", "> q", "</style><script>y", "\u200ex"]  # fmt: skip


@pytest.mark.parametrize("mark", MARKS)
def test_a_mark_stays_a_mark(mark: str) -> None:
    """What begins a formula, a heading, a link or a tag is shown as it was said."""
    made = copy.deepcopy(GOOD)
    made["entry"] |= {"name": mark, "maker": mark}
    made["categories"]["aroma"]["comment"] = made["style"]["name"] = mark
    made["suggestions"], made["house"] = [mark], {"author": mark, "bands": [[0, mark]], "off": {"x": mark}}
    out = {
        f: import_module(f"notes2sheet.outputs.{f}").render(Sheet.model_validate(made)) for f in ("md", "html", "csv")
    }
    cells = [cell for row in csv.reader(io.StringIO(out["csv"])) for cell in row]
    assert not [c for c in cells if c[:1] in tuple("=+-@＝＋－＠\t\r\n") and len(c) > 1]
    assert not re.search(r"(?<!\\)<(img|http|/style)|(?<!\\)\]\((http|java)|^(# head|---|> q)", out["md"], re.MULTILINE)
    assert not re.search(r"<img src=x|<script>y|href=.javascript", out["html"])


def test_the_archive_obeys_nothing(tmp_path) -> None:
    path, archive = tmp_path / "x.json", str(tmp_path / "a.sqlite")
    path.write_text(hostile().model_dump_json())
    run = CliRunner().invoke
    assert run(app, ["archive", "add", str(path), "--archive", archive, "--judge", EVIL]).exit_code == 0
    for args in (
        ["find", "owned"],
        ["find", "--tag", EVIL],
        ["tags"],
        ["tags", EVIL],
        ["like", "1"],
        ["find", "--style", EVIL],
    ):
        for form in ("text", "csv"):
            made = run(app, ["archive", *args, "--archive", archive, "--format", form])
            assert made.exit_code == 0 and not CONTROL.search(made.stdout + made.stderr), (args, form, made.output)
            assert form == "text" or not re.search(r"(^|,)\"?[=+@]", made.stdout, re.MULTILINE)
