"""Hits and false alarms of near matches for style names, by scorer and threshold: the tables in THRESHOLDS.md.

`python thresholds.py` prints both. Garbles are the `heard` entries (matched as if the index did not have them) and one
random slip in each name; what is no style comes from the lexicon's terms and from windows of the marked transcripts.
"""

from __future__ import annotations

import random
import sys
from pathlib import Path

from rapidfuzz import fuzz, process

from notes2sheet.lexicon import load_lexicon
from notes2sheet.style_data import name_index, style_names
from notes2sheet.words import phrase_words, split_list

DEV = Path(__file__).parent.parent / "accuracy" / "dev"
SHORTEST = 6  # characters; shorter names are near to too much


def said_names(aliases: bool = True) -> dict[str, str]:
    """{what people say: code}."""
    out = {}
    for code, entry in style_names().items():
        for phrase in (entry["name"], *(split_list(entry["aliases"]) if aliases else ())):
            out[" ".join(phrase_words(phrase))] = code
    return out


def garbles() -> list[tuple[str, str]]:
    return [
        (" ".join(phrase_words(h)), code) for code, e in style_names().items() for h in split_list(e.get("heard", ""))
    ]


def typos(seed: int = 3) -> list[tuple[str, str]]:
    """Each name with one letter lost, doubled or swapped with the next."""
    chance, out = random.Random(seed), []
    for code, entry in style_names().items():
        word = " ".join(phrase_words(entry["name"]))
        at, kind = chance.randrange(1, len(word) - 1), chance.randrange(3)
        middle = ("", word[at] * 2, word[at + 1] + word[at])[kind]
        out.append((word[:at] + middle + word[at + (2 if kind == 2 else 1) :], code))
    return out


def named(pool: dict[str, str], said: str, scorer=fuzz.ratio, cutoff: float = 80, limit: int = 3) -> list[str]:
    """The codes of the nearest names at or above `cutoff`, nearest first."""
    return [
        pool[key] for key, _, _ in process.extract(said, list(pool), scorer=scorer, limit=limit, score_cutoff=cutoff)
    ]


def suggestion_rates(pool: dict[str, str], scorer, cutoff: float, step: int = 5) -> tuple[float, float, float]:
    """Shares: garbles and typos with the right style among three, and sensory terms that get any suggestion."""
    heard, slips = garbles()[::step], typos()
    others = [name for name in load_lexicon().terms if not name_index().get(name)][::step]
    return (
        sum(code in named(pool, said, scorer, cutoff) for said, code in heard) / len(heard),
        sum(code in named(pool, said, scorer, cutoff) for said, code in slips) / len(slips),
        sum(bool(named(pool, said, scorer, cutoff, 1)) for said in others) / len(others),
    )


def window_scores(notes: int = 44) -> list[tuple[float, str, str, str]]:
    """(score, window, code of the nearest name, file) of windows of one to four words outside any known style name."""
    sys.path.insert(0, str(DEV.parent))
    from marked import read

    from notes2sheet.pipeline import read_notes

    pool = {name: code for name, code in said_names().items() if len(name) >= SHORTEST}
    keys, out = list(pool), []
    for path in sorted(DEV.glob("*.marked.txt"))[:notes]:
        marked = read(path)
        words = read_notes(marked.text, until="numbers").words
        taken = {at for start, end, _ in name_index().find(words) for at in range(start, end)}
        spans = [range(at, at + size) for size in (1, 2, 3, 4) for at in range(len(words) - size + 1)]
        windows = dict.fromkeys(" ".join(words[at] for at in span) for span in spans if not taken & set(span))
        for window in windows:
            best = (
                process.extractOne(window, keys, scorer=fuzz.ratio, score_cutoff=80)
                if len(window) >= SHORTEST
                else None
            )
            if best and pool[best[0]] != marked.header["style"]:
                out.append((best[1], window, pool[best[0]], path.name))
    return out


def detection_hits(cutoff: float) -> float:
    """The share of garbles whose nearest name, at or above `cutoff`, is the right style."""
    pool = {name: code for name, code in said_names().items() if len(name) >= SHORTEST}
    heard = garbles()
    return sum(named(pool, said, fuzz.ratio, cutoff, 1) == [code] for said, code in heard) / len(heard)


def main() -> None:
    print("suggestions: scorer, names, threshold, garbles, typos, no style")
    for scorer in (fuzz.WRatio, fuzz.ratio, fuzz.token_sort_ratio):
        for aliases in (False, True):
            for cutoff in (60, 70, 75, 80, 85, 90):
                rates = suggestion_rates(said_names(aliases), scorer, cutoff)
                print(scorer.__name__, "aliases" if aliases else "names", cutoff, *(f"{rate:.2f}" for rate in rates))
    print("in notes: threshold, garbles, false windows, notes with one")
    windows = window_scores()
    for cutoff in (80, 85, 88, 90, 92, 95):
        over = [w for w in windows if w[0] >= cutoff]
        print(cutoff, f"{detection_hits(cutoff):.2f}", len(over), len({w[3] for w in over}))


if __name__ == "__main__":
    main()
