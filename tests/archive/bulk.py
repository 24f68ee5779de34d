"""Sheets in bulk, made with Faker: as long, as tagged and as flagged as drafts of real spoken and typed notes.

Measured on 92 marked transcripts: 2,800 characters of notes, 42 descriptors, 14 KB of JSON a sheet on average.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

from faker import Faker

from notes2sheet.lexicon import load_lexicon, load_sheet
from notes2sheet.style_data import load_style, style_names
from notes2sheet.words import split_list

STYLES = (
    "1A",
    "2A",
    "4A",
    "5D",
    "7A",
    "10A",
    "11B",
    "12C",
    "13C",
    "15B",
    "16A",
    "18B",
    "20A",
    "20C",
    "21A",
    "21C",
    "22C",
    "23A",
    "25B",
    "26C",
)
LEVELS = {"very low": "low", "low": "low", "medium": "medium", "high": "high", "very high": "high"}
SAID = {
    "very low": "a trace of",
    "low": "a touch of",
    "medium": "moderate",
    "high": "plenty of",
    "very high": "massive",
}
FRAMES = (
    "I get {} there.",
    "There is {} coming through.",
    "Then {} as it warms.",
    "What I notice is {}.",
    "{}, I'd call it.",
    "With that, {}.",
)
FLAWS = (
    "diacetyl",
    "dms",
    "acetaldehyde",
    "oxidized",
    "light-struck",
    "phenolic",
    "solvent",
    "metallic",
    "musty",
    "grassy",
)
TALK = [
    "well",
    "now",
    "the",
    "pen",
    "this",
    "one",
    "glass",
    "again",
    "pour",
    "second",
    "sniff",
    "bottle",
    "table",
    "steward",
    "café",
    "flight",
    "slow",
    "fresh",
    "hand",
    "note",
    "tasting-room",
    "première",
    "naïve",
    "colour",
    "flavour",
    "judge's",
    "water",
    "palate",
    "cracker",
    "break",
    "Müller",
    "wait",
    "hold",
    "swirl",
    "moment",
    "before",
    "after",
    "while",
    "really",
    "quite",
    "maybe",
    "whether",
    "through",
    "against",
    "toward",
    "between",
    "honest",
    "careful",
    "steady",
    "patient",
    "evening",
    "morning",
    "cellar",
    "kettle",
    "barrel",
    "keg",
    "tap",
    "line",
    "cool",
    "warmer",
    "window",
    "light",
    "shade",
    "paper",
    "pencil",
    "number",
    "score",
    "column",
    "sheet",
    "page",
    "row",
    "candle",
]
PARTS = ("aroma", "appearance", "flavor", "mouthfeel", "overall")


class Bulk:
    """A reproducible stream of sheets from `judges` judges with their own strictness, spread and drift."""

    def __init__(self, seed: int = 8, judges: int = 12) -> None:
        self.random, self.fake = random.Random(seed), Faker(["en_US", "en_GB", "de_DE", "fr_FR"])
        self.fake.seed_instance(seed)
        self.terms = load_lexicon().terms
        self.definition = load_sheet("beer-50")
        self.judges = {
            self.fake.unique.name(): (self.random.gauss(0, 1.5), self.random.uniform(2, 5), self.random.gauss(0, 0.8))
            for _ in range(judges)
        }
        self.makers = [self.fake.company() for _ in range(300)]
        self.names = [f"{self.fake.word().capitalize()} {self.fake.last_name()}" for _ in range(900)]
        self.talk = [self.fake.sentence(9, ext_word_list=TALK) for _ in range(4000)]
        self.pools = {code: {part: self._pool(code, part) for part in PARTS} for code in STYLES}
        self.said = {name: split_list(term.data.get("said", "")) or [name] for name, term in self.terms.items()}

    def _pool(self, code: str, part: str) -> list[str]:
        """What a taster of this style tends to say in this part: the wanted twice as often as the unwanted, and
        strays."""
        out: list[str] = []
        for expectation in load_style(code).aspects.get(part, {}).values():
            for kind, times in (("required", 6), ("allowed", 3), ("unwanted", 1), ("forbidden", 1)):
                out += [wanted.term for wanted in getattr(expectation, kind) if wanted.term in self.terms] * times
        here = [
            t.name
            for t in self.terms.values()
            if (part if part != "overall" else "flavor") in t.categories and not t.flaw
        ]
        return out + self.random.sample(here, min(15, len(here)))

    def wrapped(self, count: int) -> Iterator[dict[str, Any]]:
        """`count` finished sheets and drafts; two or three judges taste each beer on the same day."""
        made = 0
        while made < count:
            day = date(2022, 1, 1) + timedelta(days=self.random.randrange(1460))
            entry = {"name": self.random.choice(self.names), "maker": self.random.choice(self.makers), "abv": None}
            code, quality = self.random.choice(STYLES), self.random.gauss(33, 5)
            for judge in self.random.sample(list(self.judges), self.random.choice((1, 2, 3))):
                if made == count:
                    return
                bias, spread, drift = self.judges[judge]
                aim = quality + bias + drift * (day - date(2024, 1, 1)).days / 365 + self.random.gauss(0, spread)
                sheet = _Draft(self, code, entry, aim).sheet(made)
                made += 1
                wrapper = {"sheet": sheet, "judge": judge, "tasted": day.isoformat()}
                if self.random.random() < 0.8:
                    wrapper |= {
                        "finished_at": f"{day.isoformat()}T20:{made % 60:02d}:00+00:00",
                        "journal": [{"set": "total"}],
                    }
                yield wrapper


class _Draft:
    """One sheet in the making: the text grows, spans point into it."""

    def __init__(self, bulk: Bulk, code: str, entry: dict[str, Any], aim: float) -> None:
        self.bulk, self.random, self.code, self.entry, self.aim = bulk, bulk.random, code, entry, aim
        self.text, self.sentences, self.descriptors, self.flags = "", [], [], []

    def say(self, words: str, part: str, role: str) -> list[int]:
        start = len(self.text)
        self.text += words
        self.sentences.append({"span": [start, len(self.text)], "category": part, "role": role, "time": None})
        self.text += self.random.choice((" ", " ", "\n"))
        return [start, start + len(words)]

    def observe(self, part: str) -> None:
        frame = self.random.choice(FRAMES)
        at, pieces = len(self.text) + frame.index("{}"), []
        for k in range(self.random.choice((1, 2, 2, 3))):
            pieces.append(self._tag(part, at, first=k == 0))
            at += len(pieces[-1]) + len(" and ")
        self.say(frame.format(" and ".join(pieces)), part, "observe")

    def _tag(self, part: str, at: int, first: bool) -> str:
        roll, flaw, level = self.random.random(), None, None
        term = self.random.choice(self.bulk.pools[self.code][part])
        if part in ("aroma", "flavor") and self.random.random() < 0.07:
            term = self.random.choice(FLAWS)
        flaw = self.bulk.terms[term].flaw if term in self.bulk.terms else term
        phrase = self.random.choice(self.bulk.said.get(term, [term]))
        state = "absent" if roll < (0.5 if flaw else 0.08) else "mentioned" if roll > 0.97 else "present"
        lead = ""
        if state == "absent":
            lead, level = "no ", "none"
        elif self.random.random() < 0.45:
            level = self.random.choice(list(LEVELS))
            lead = SAID[level] + " "
        start = at + len(lead)
        contract = "none" if level == "none" else LEVELS.get(level)
        self.descriptors.append(
            {"span": [start, start + len(phrase)], "term": term, "category": part, "state": state, "level": contract, "scale": level, "flaw": flaw}
        )  # fmt: skip
        return lead + phrase

    def part(self, name: str, cap: int) -> dict[str, Any]:
        for _ in range(self.random.randint(2, 6)):
            self.observe(name)
            if self.random.random() < 0.9:
                self.say(self.random.choice(self.bulk.talk), name, "talk")
        score = float(min(cap, max(1, round(cap * self.aim / 50 + self.random.gauss(0, cap / 14)))))
        span = self.say(f"For {name} that is {score:g} of {cap}.", name, "score")
        here = [d for d in self.descriptors if d["category"] == name]
        comment = "; ".join(f"{d['scale'] or ''} {d['term']}".strip() for d in here).capitalize() + "."
        lost = (
            [{"points": cap - score, "reason": "for the finish", "spans": [span]}]
            if score < cap and self.random.random() < 0.3
            else []
        )
        if self.random.random() < 0.7:
            self.flags.append({"code": self.random.choice(("missing-prompts", "off-style", "thin-comment")), "category": name,
                               "severity": self.random.choice(("note", "warning")), "message": f"Look again at the {name}.", "spans": [span]})  # fmt: skip
        return {"cap": cap, "score": score, "basis": "said", "spans": [span], "covered": {"malt": [d["span"] for d in here[:3]], "hops": [d["span"] for d in here[3:5]]},
                "missing": ["head"], "comment": comment, "lost": lost}  # fmt: skip

    def sheet(self, number: int) -> dict[str, Any]:
        style = style_names()[self.code]["name"]
        said = self.say(
            f"Entry {number}, {self.entry['name']} from {self.entry['maker']}, judged as {style}.", "opening", "talk"
        )
        parts = {c.id: self.part(c.id, c.cap) for c in self.bulk.definition.categories}
        total = sum(p["score"] for p in parts.values())
        span = self.say(f"That makes {total:g} in all.", "closing", "score")
        return {
            "text": self.text, "sheet": "beer-50", "entry": self.entry,
            "style": {"code": self.code, "name": style, "basis": "said", "spans": [said]},
            "sentences": self.sentences, "categories": parts,
            "total": {"sum": total, "said": total, "band": self.bulk.definition.band(total), "spans": [span]},
            "descriptors": self.descriptors, "flags": self.flags,
        }  # fmt: skip
