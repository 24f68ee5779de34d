"""Folders of notes for the tests: the marked transcripts under new names, and files that are no notes."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import typer

sys.path.insert(0, str(Path(__file__).parent.parent / "accuracy"))
from marked import read  # noqa: E402

from notes2sheet import cli_bulk  # noqa: E402

DEV = Path(__file__).parent.parent / "accuracy" / "dev"
TEXTS = sorted((read(path).text for path in DEV.glob("*.marked.txt")), key=len)  # the short ones first
BROKEN = {
    "cut.vtt": b"WEBVTT\n\n00:01.000 --> 00:02.000\ngold\n\n00:03.000 --> 00:0",
    "backwards.srt": b"1\n00:00:09,000 --> 00:00:10,000\ngold\n\n2\n00:00:03,000 --> 00:00:04,000\ntan\n",
    "nul.txt": b"gold\n\0tan",
    "deep.json": b'{"a":' * 100_000,
    "tag.txt": b"[SPEAKER_00] the head is [SPEAKER_01] tan",
    "picture.png": b"\x89PNG\r\n\x1a\n\xff\xfe",
    "empty.txt": b"",
}

app = typer.Typer(add_completion=False, pretty_exceptions_enable=False)
for command in (cli_bulk.batch, cli_bulk.watch, cli_bulk.panel):
    app.command()(command)


def fill(folder: Path, notes: int) -> Path:
    """`notes` notes, all different, in two levels of folders."""
    for k in range(notes):
        path = folder / f"flight{k % 3}" / f"note{k:05d}.txt"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(f"Beer {k + 1} of the day.\n" + TEXTS[k % len(TEXTS)], encoding="utf-8")
    return folder


def break_some(folder: Path) -> Path:
    """One file of each kind of bad input, and loops of links."""
    for name, data in BROKEN.items():
        (folder / name).write_bytes(data)
    (folder / "long.txt").write_bytes(b"hoppy " * (40 * 1024 * 1024 // 6))
    os.symlink("loop.txt", folder / "loop.txt")
    os.symlink(folder, folder / "around", target_is_directory=True)
    return folder


def content(out: Path) -> dict[str, bytes]:
    return {p.relative_to(out).as_posix(): p.read_bytes() for p in sorted(out.rglob("*")) if p.is_file()}
