"""A transcript, (seconds, speaker or None, words) a row, written in each format that the readers know."""

from __future__ import annotations

import html
import json

Rows = list[tuple[float, str | None, str]]


def stamp(seconds: float, point: str = ".") -> str:
    ms = round(seconds * 1000)
    return f"{ms // 3600000:02d}:{ms // 60000 % 60:02d}:{ms // 1000 % 60:02d}{point}{ms % 1000:03d}"


def _named(rows: Rows) -> list[str]:
    return [f"{name}: {words}" if name else words for _, name, words in rows]


def plain(rows: Rows) -> str:
    return "".join(f"{line}\n" for line in _named(rows))


def markdown(rows: Rows) -> str:
    return "".join(
        f"[{int(t) // 60}:{int(t) % 60:02d}] {line}\n" for (t, _, _), line in zip(rows, _named(rows), strict=True)
    )


def bare_times(rows: Rows) -> str:
    times = (f"{int(t) // 3600}:{int(t) // 60 % 60:02d}:{int(t) % 60:02d}" for t, _, _ in rows)
    return "".join(f"{time} {line}\n" for time, line in zip(times, _named(rows), strict=True))


def webvtt(rows: Rows) -> str:
    cues = ["WEBVTT\n\nNOTE made by a recorder\n\nSTYLE\n::cue { color: gold }\n"]
    for k, (t, name, words) in enumerate(rows):
        safe = html.escape(words, quote=False)
        voice = f"<v {html.escape(name, quote=False)}>" if name else ""
        cues.append(f"cue {k}\n{stamp(t)} --> {stamp(t + 4)} align:start line:90%\n{voice}<i>{safe}</i>\n")
    return "\n".join(cues)


def subrip(rows: Rows) -> str:
    lines = _named(rows)
    return "\n".join(
        f"{k + 1}\n{stamp(t, ',')} --> {stamp(t + 4, ',')}\n{lines[k]}\n" for k, (t, _, _) in enumerate(rows)
    )


def segments(rows: Rows) -> str:
    return json.dumps(
        {
            "language": "en",
            "segments": [
                {"start": t, "end": t + 4, "text": " " + words, **({"speaker": name} if name else {})}
                for t, name, words in rows
            ],
        },
        indent=1,
    )


def bare_list(rows: Rows) -> str:
    return json.dumps([{"start": t, "end": t + 4, "text": words, "speaker": name} for t, name, words in rows])


SHAPES = {f.__name__: f for f in (plain, markdown, bare_times, webvtt, subrip, segments, bare_list)}
