"""What the page and review tests share: notes, their drafts, axe-core's findings, a running review."""

from __future__ import annotations

import re
import subprocess
import sys
from contextlib import contextmanager
from pathlib import Path

from notes2sheet import draft_sheet
from notes2sheet.readers import parse

SPOKEN = """0:00 this is lantern fox from hollow gate brewing
0:04 a best bitter eleven b
0:08 the color is deep copper and it is clear
0:12 low off-white head
0:15 appearance two and a half of three
0:40 on the nose medium toast and low caramel
0:45 there is a slick buttery note which has no place here
0:50 no hops at all
0:54 six of 12 because of the butter
1:00 the flavor has medium biscuit and high bitterness
1:06 the balance is bitter and the finish is dry
1:10 16 of 20 take four off for the butter
1:16 medium light body low carbonation no astringency
1:20 mouthfeel four of five
1:24 overall a decent beer with a flaw six out of 10
1:30 so the total is 36 and that is excellent
"""
TYPED = """#0212, 21A American IPA
App: gold, hazy, white head. 3/3
Aroma - high grapefruit, medium pine, no dms. 10
F: medium malt, high bitterness, grapefruit again, finish dry. 16/20
MF: med body, med carb. 6/5
OI: fresh and drinkable. 8
"""
HOSTILE = (
    "<script>document.title='owned'</script> this is \"><img src=x onerror=alert(1)> by O'Neil & 'Sons' </style>\n"
    "Aroma: high grapefruit \u202egnitset\u202c and \u200fright\u200e marks {{ 7*7 }} {% raw %} 10/12 </textarea>\n"
    f"Flavor: bitter {'x' * 10_000} caramel, 14/20 javascript:alert(1)\n"
)


def draft(notes: str):
    """The draft of notes with or without times."""
    read = parse(notes)
    return draft_sheet(read.text, line_times=read.line_times)


def recording(minutes: int) -> str:
    """Timed notes of that length, 140 words a minute, made of the spoken note's lines."""
    lines = [line.split(" ", 1)[1] for line in SPOKEN.splitlines()]
    out, seconds, n = [], 0.0, 0
    while seconds < minutes * 60:
        line = lines[n % len(lines)]
        out.append(f"{int(seconds) // 3600}:{int(seconds) // 60 % 60:02d}:{int(seconds) % 60:02d} {line}")
        seconds += len(line.split()) / 140 * 60
        n += 1
    return "\n".join(out) + "\n"


def violations(page, axe: str) -> list[str]:
    """What axe-core finds against WCAG 2.2 AA and its own best practices."""
    page.evaluate(axe)
    found = page.evaluate("axe.run(document, {resultTypes: ['violations']})")["violations"]
    return [f"{v['id']}: {n['html'][:120]} {n['failureSummary'][:200]}" for v in found for n in v["nodes"][:3]]


@contextmanager
def review(source: Path, judge: str = "Ada Probe"):
    """(link, process) of `review` on a file; the process is killed at the end without warning."""
    start = "import typer; from notes2sheet.cli_review import review; typer.run(review)"
    process = subprocess.Popen(
        [sys.executable, "-c", start, str(source), "--no-browser", "--judge", judge], stdout=subprocess.PIPE, text=True
    )
    try:
        yield re.search(r"http://\S+", process.stdout.readline())[0], process
    finally:
        process.kill()
        process.wait()
        process.stdout.close()
