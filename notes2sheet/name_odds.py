"""What is said around each word of the opening tells where a name begins and ends: by a network over words, a second
opinion beside the signs of `naming.py`, which see only what stands right beside a name.

The two err apart (figures in tests/accuracy/README.md). tests/accuracy/train_names.py makes the network.
"""

from __future__ import annotations

import numpy as np

from notes2sheet.network import Network, Rows
from notes2sheet.opening import Opening
from notes2sheet.seen import Names, Seen

FILE = "names.npz"
KINDS = ("name", "maker")
PLACES = ("start", "end", "inside", "none")  # what each word speaks for; the last in the mean over all words
AGAIN, OFTEN, FAR, LATE = 3, 5, 10, 8  # largest figures of what is counted
STEP = 15  # words that count as one place
ENDS = 3  # letters of a word's beginning and end


def name_features(o: Opening) -> Seen:
    """What the network is told of each word of an opening. Linear in the words."""
    seen, rows = Seen(o.count), np.arange(o.count)
    told = {
        "w": o.seen,
        "m": o.marks,
        "g": o.gaps[:-1],
        "h": o.gaps[1:],
        "k": o.kinds,
        "e": [word[-ENDS:] for word in o.words],
        "p": [word[:ENDS] for word in o.words],
        "at": [min(k // STEP, FAR) for k in range(o.count)],
        "s": [min(n, LATE) for n in o.sentence],
        "again": [min(times, AGAIN) for times in o.again],
        "often": [min(o.times_said(word), OFTEN) for word in o.words],
        "cased": [o.cased] * o.count,
    }
    for sign, values in told.items():
        seen.add(f"{sign}:{{}}", rows, Names(map(str, values)).all())
    for name, places in (("begins", o.begins), ("style", o.styled), ("sensory", o.sensory)):
        inside = sorted(k for k in places if k < o.count)
        seen.add("{}", inside, Names([f"is:{name}"] * len(inside)).all())
    for sign, anchors in (("l", o.leads), ("t", o.trails)):
        found = [(k, table) for k, tables in anchors.items() if k < o.count for table in sorted(tables)]
        seen.add(f"{sign}:{{}}", [k for k, _ in found], Names(table for _, table in found).all())
    return seen


def name_scores(o: Opening, trained: Network) -> dict[str, Rows]:
    """For each of PLACES what each word speaks for it (words x KINDS), that for none in a single row."""
    scores = trained.scores(name_features(o))
    found = {place: scores[:, [trained.answers.index(f"{kind}:{place}") for kind in KINDS]] for place in PLACES}
    return found | {"none": found["none"].mean(0, keepdims=True) if o.count else np.zeros((1, len(KINDS)), np.float32)}
