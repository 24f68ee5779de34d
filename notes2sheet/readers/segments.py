"""JSON transcripts: segments or words with start, end, text and, where there is one, speaker and probability."""

from __future__ import annotations

import json
import re
from bisect import bisect_right
from collections.abc import Iterable
from json.scanner import py_make_scanner  # type: ignore[attr-defined]
from typing import Any, NamedTuple

from notes2sheet.errors import NotesError
from notes2sheet.readers.notes import Cue, Piece

TEXT, START, END = ("text", "word", "body", "content"), ("start", "startTime", "begin"), ("end", "endTime", "stop")
SPEAKER, ODDS = ("speaker", "speaker_name", "speakerName"), ("probability", "confidence", "score")
LISTS = ("segments", "words", "results", "cues", "monologues", "transcript")
PLACE = "\0place"
PAUSE, LONG_PAUSE = 0.7, 2.5  # seconds of silence that end a line: in words without stops, and in any
STOPS = (".", "!", "?", "…")
LONGEST = 1e8  # seconds; no recording comes near it
PUNCTUATED = 1 / 40  # stops a word, from which words count as written with stops
CLOCK = re.compile(r"(?:(?:(\d{1,5}):)?(\d{1,7}):)?(\d{1,9}(?:[.,]\d+)?)s?$")


def is_json(text: str) -> bool:
    """Whether the text is meant as JSON: an object, or a list of objects."""
    return bool(re.match(r'\s*(?:\{\s*["}]|\[\s*[{\]])', text))


class Word(NamedTuple):
    """One recognized word: as written with its leading space, source line, seconds, speaker, probability."""

    raw: str
    line: int
    start: float | None
    end: float | None
    speaker: str | None
    odds: float | None


class _Placing(json.JSONDecoder):
    """A decoder whose objects remember where in the text they begin."""

    def __init__(self) -> None:
        super().__init__()
        self.parse_object = self._object
        self.scan_once = py_make_scanner(self)

    def _object(self, s_and_end: tuple[str, int], *rest: Any) -> tuple[dict[str, Any], int]:
        value, end = json.decoder.JSONObject(s_and_end, *rest)  # type: ignore[attr-defined]
        value[PLACE] = s_and_end[1]
        return value, end


def json_cues(text: str, where: str) -> list[Cue]:
    """The cues of a JSON transcript. Raises NotesError for broken JSON and for JSON that is no transcript."""
    hint = "give segments or words with start, end and text"
    try:
        data = _Placing().decode(text.strip(" \t\n\r\ufeff"))
    except json.JSONDecodeError as error:
        raise NotesError(f"line {error.lineno} is broken JSON: {error.msg}", where, "export it again") from None
    except RecursionError:
        raise NotesError("is JSON nested too deep for a transcript", where, hint) from None
    except ValueError as error:
        raise NotesError(f"is broken JSON: {error}", where, "export it again") from None
    items = _items(data)
    if not items:
        raise NotesError("is JSON without a transcript in it", where, hint)
    lead = len(text) - len(text.lstrip(" \t\n\r\ufeff"))
    lines = [m.start() + 1 - lead for m in re.finditer("\n", text)]
    read = [_Item(item, bisect_right(lines, item[PLACE]) + 1, where) for item in items]
    if all(item.is_word for item in read):
        return word_cues(Word(i.raw, i.line, i.start, i.end, i.speaker, i.odds) for i in read)
    return [cue for item in read if (cue := item.cue())]


def _items(data: Any) -> list[dict[str, Any]]:
    """The list of segments or words in the data; segments win where there are both."""
    if isinstance(data, dict):
        data = next((data[key] for key in LISTS if isinstance(data.get(key), list) and data[key]), None)
    if not isinstance(data, list):
        return []
    return [item for item in data if isinstance(item, dict) and isinstance(_first(item, TEXT), str)]


def _first(item: dict[str, Any], keys: tuple[str, ...]) -> Any:
    return next((item[key] for key in keys if item.get(key) is not None), None)


class _Item:
    """One segment or word."""

    def __init__(self, item: dict[str, Any], line: int, where: str) -> None:
        self.raw = _clean(_first(item, TEXT))
        self.line, self.where = line, where
        self.start, self.end = self._time(_first(item, START)), self._time(_first(item, END))
        speaker = _first(item, SPEAKER)
        self.speaker = " ".join(_clean(str(speaker)).split()) or None if isinstance(speaker, (str, int)) else None
        odds = _first(item, ODDS)
        self.odds = float(odds) if isinstance(odds, (int, float)) and 0 <= odds <= 1 else None
        self.is_word = "word" in item or (len(self.raw.split()) <= 1 and "words" not in item and self.odds is not None)
        self.words = _items(item) if isinstance(item.get("words"), list) else []

    def _time(self, value: Any) -> float | None:
        if isinstance(value, str) and (match := CLOCK.match(value.strip())):
            value = int(match[1] or 0) * 3600 + int(match[2] or 0) * 60 + float(match[3].replace(",", "."))
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, (int, float)) or not 0 <= value <= LONGEST:
            raise NotesError(f"line {self.line} has a time that is none", self.where, "give seconds from the start")
        return float(value)

    def cue(self) -> Cue | None:
        words = " ".join(self.raw.split())
        heard = tuple(
            (_clean(_first(w, TEXT)).strip(), float(odds))
            for w in self.words
            if isinstance(odds := _first(w, ODDS), (int, float)) and 0 <= odds <= 1
        )
        return Cue((Piece(words, self.line, self.speaker, heard),), self.start, self.end, self.line) if words else None


def _clean(text: str) -> str:
    """Without NULs and without halves of surrogate pairs, which no output can hold."""
    return re.sub("[\ud800-\udfff]", "\ufffd", text).replace("\0", "")


def word_cues(words: Iterable[Word]) -> list[Cue]:
    """Words to lines: a new one after a stop, a pause or a change of speaker.

    Where words carry their own leading space, one without belongs to the word before ("1" + ".5").
    """
    words = list(words)
    spaced = any(w.raw[:1].isspace() for w in words)
    stops = sum(w.raw.rstrip().endswith(STOPS) for w in words)
    pause = LONG_PAUSE if stops >= PUNCTUATED * len(words) else PAUSE
    cues: list[Cue] = []
    run: list[Word] = []
    for word in words:
        if run and _ends(run[-1], word, pause) and (not spaced or word.raw[:1].isspace()):
            cues.append(_run(run, spaced))
            run = []
        if word.raw.strip():
            run.append(word)
    if run:
        cues.append(_run(run, spaced))
    return cues


def _ends(before: Word, word: Word, pause: float) -> bool:
    paused = before.end is not None and word.start is not None and word.start - before.end >= pause
    return paused or before.speaker != word.speaker or before.raw.rstrip().endswith(STOPS)


def _run(run: list[Word], spaced: bool) -> Cue:
    text = ""
    for word in run:
        glued = not word.raw[:1].isspace() if spaced else word.raw[0] in ",.;:!?%…'’" and len(word.raw) < 4
        text += word.raw.strip() if glued or not text else " " + word.raw.strip()
    heard = tuple((w.raw.strip(), w.odds) for w in run if w.odds is not None)
    return Cue((Piece(text, run[0].line, run[0].speaker, heard),), run[0].start, run[-1].end, run[0].line)
