"""A recorder drops files into a folder; each content is drafted once."""

from __future__ import annotations

import threading
import time
from pathlib import Path

import pytest

from notes2sheet.batch import Settings
from notes2sheet.watch import watch_folder

pytest.importorskip("watchfiles", reason="the extra 'watch' is not installed")


def wait_for(condition, seconds: float = 20) -> None:
    end = time.monotonic() + seconds
    while not condition():
        assert time.monotonic() < end, "nothing happened in time"
        time.sleep(0.02)


def test_new_and_changed_notes_are_drafted_once(tmp_path: Path) -> None:
    folder, out, seen, stop = tmp_path / "notes", tmp_path / "notes" / "sheets", [], threading.Event()
    folder.mkdir()
    (folder / "before.txt").write_text("aroma 9 of 12, floral")
    thread = threading.Thread(target=watch_folder, args=(folder, out, Settings(), seen.append, stop, 0.2))
    thread.start()
    try:
        wait_for(lambda: len(seen) == 1)
        (folder / "talk.txt.part").write_text("aroma 8")
        with (folder / "talk.vtt").open("w") as file:  # written slowly, as recorders do
            for k, piece in enumerate(("WEBVTT\n\n", "00:01.000 --> 00:02.000\n", "aroma 8 of 12\n\n")):
                file.write(piece)
                file.flush()
                time.sleep(0.05 * k)
        wait_for(lambda: len(seen) == 2)
        (folder / "bad.txt").write_bytes(b"gold\0")
        wait_for(lambda: len(seen) == 3)
        (folder / "talk.vtt").write_text("WEBVTT\n\n00:01.000 --> 00:02.000\naroma 7 of 12\n")
        wait_for(lambda: len(seen) == 4)
        (folder / "before.txt").touch()
        time.sleep(0.8)
    finally:
        stop.set()
        thread.join(10)
    assert [done.source for done in seen] == ["before.txt", "talk.vtt", "bad.txt", "talk.vtt"]
    assert [bool(done.error) for done in seen] == [False, False, True, False]
    assert sorted(p.name for p in out.glob("*.json")) == ["before.json", "talk.json"]
    assert '"score":7.0' in (out / "talk.json").read_text().replace(" ", "")
