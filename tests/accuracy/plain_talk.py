"""Plain talk, made from plain_talk.toml: tastings in short textbook sentences whose neighbors do not tell their role.

The marked transcripts are rich in images and turns of speech; how most people say what they find, and that a recital
may stand before or behind any observation, is learned from these. Training alone reads them.
"""

from __future__ import annotations

import random
import re
from pathlib import Path

from marked import Descriptor, Marked, Sentence

from notes2sheet.lexicon import read_toml
from notes2sheet.words import split_list

DATA = read_toml(Path(__file__).with_suffix(".toml"))
PLACE = re.compile(r"\{(\w)\}")
POLARITY = {"o": "+", "n": "-", "x": "x"}
COUNT, SEED = 90, 11
WEIGHTS = {"observe": 4, "lack": 2, "expect": 4, "mixed": 2, "wonder": 0.5, "recant": 0.5, "other": 0.5, "wish": 0.4}
OBSERVING = 0.4  # of the talks recite nothing
RECITALS = ("expect", "mixed")  # tables of sentences that tell what ought to be
LABELED, BLOCKS = 0.35, ("page", "glass")  # talks with labels, and what these stand for: the style's text, this beer
REASONED = 0.3  # of the scores below the cap, with their reason said behind them
ROLES = {"expect": "expect", "wonder": "talk", "other": "talk"}  # of the sentences of a table; else observe


def made_up(count: int = COUNT) -> list[tuple[str, Marked]]:
    """(name, transcript) of `count` tastings, every third of them typed in lines, the same each time."""
    rng = random.Random(SEED)
    return [(f"plain{n}", Talk(rng, "typed" if n % 3 == 0 else "spoken").tasting()) for n in range(count)]


class Talk:
    """One tasting as it is made up."""

    def __init__(self, rng: random.Random, form: str) -> None:
        self.rng, self.form = rng, form
        self.doc = Marked({"form": form})
        self.numbers = split_list(DATA["numbers"])
        self.in_lines = form == "typed" and rng.random() < 0.5  # else a part to a line, behind its short name
        self.short, self.dash = "", rng.choice([": ", " - ", ") ", ". "])
        self.observing = rng.random() < OBSERVING
        labels = rng.random() < LABELED and not self.observing
        self.labels = {table: rng.choice(split_list(DATA["labels"][table])) for table in BLOCKS} if labels else {}
        self.mark = rng.choice([": ", ": ", ": ", ", ", ". "])  # behind a label

    def tasting(self) -> Marked:
        pick = {kind: self.rng.choice(split_list(DATA[kind])) for kind in ("names", "makers")}
        style = self.rng.choice([s.strip() for s in DATA["styles"].split(";")])
        self.say("opening", "talk", f"This is {pick['names']} from {pick['makers']}, judged as {style}", {})
        total = 0
        for part, known in DATA["parts"].items():
            total += self.part(part, known)
        said = self.number(total)
        self.say("closing", "score", self.rng.choice(lines("closing")), {"T": said})
        return self.doc

    def part(self, part: str, known: dict) -> int:
        """Speak of one part; its score."""
        score = known["cap"] - self.rng.randint(0, max(1, known["cap"] // 2))
        told = {"P": part, "C": self.number(known["cap"]), "S": self.number(score)}
        told["D"] = self.number(known["cap"] - score) if score < known["cap"] else "nothing"
        if self.form == "typed" and not self.in_lines:
            self.short = self.rng.choice(split_list(known["short"])) + self.dash
        else:
            self.say(part, "talk", self.rng.choice(lines("begin")), told)
        if "terms" not in known:
            self.say(part, "observe", self.rng.choice(lines("overall_observe")), told)
            self.say(part, "prefer", self.rng.choice(lines("prefer")), told)
        every = split_list(f"{known.get('terms', '')}, {known.get('look', '')}".strip(", "))
        if self.labels and "terms" in known:
            for table in BLOCKS:
                self.block(part, table, told, every)
        if self.observing and self.form == "typed" and "terms" in known:
            self.fragments(part, told, every)
        weights = {table: weight for table, weight in WEIGHTS.items() if not self.observing or table not in RECITALS}
        for _ in range(self.rng.randint(4, 9) if "terms" in known and not self.labels else 0):
            table = self.rng.choices(list(weights), list(weights.values()))[0]
            kind = "look" if "look" in known and self.rng.random() < 0.4 else "terms"
            pattern = self.rng.choice(lines(table, kind))
            self.say(part, ROLES.get(table, "observe"), pattern, told, split_list(known[kind]))
        typed = self.form == "typed" and self.rng.random() < 0.6
        scores = [p for p in lines("score_typed" if typed else "score") if "{o}" not in p or "terms" in known]
        self.say(part, "score", self.rng.choice(scores), told, split_list(known.get("terms", "")))
        if "terms" in known and score < known["cap"] and self.rng.random() < REASONED:
            self.say(part, "score", self.rng.choice(lines("reason")), told, split_list(known["terms"]))
        return score

    def fragments(self, part: str, told: dict[str, str], terms: list[str]) -> None:
        """Say what is there in short fragments, with no label."""
        for pattern in self.rng.choices(lines("block", "glass"), k=self.rng.randint(2, 4)):
            self.say(part, "observe", pattern, told, terms)

    def block(self, part: str, table: str, told: dict[str, str], terms: list[str]) -> None:
        """Say what the style wants, or what is there, in short fragments behind a label that alone tells which."""
        role, label = ("expect" if table == "page" else "observe"), self.labels[table]
        patterns = self.rng.choices(lines("block", table), k=self.rng.randint(1, 4))
        if self.mark == ". ":
            self.say(part, "talk", label, told)
        else:
            patterns[0] = f"{label}{self.mark}{patterns[0]}"
        for pattern in patterns:
            self.say(part, role, pattern, told, terms)

    def number(self, value: int) -> str:
        if self.form == "typed" or value > 20:
            return str(value)
        return self.numbers[value] if value else "zero"

    def say(self, part: str, role: str, pattern: str, told: dict[str, str], terms: list[str] = ()) -> None:
        """Add one sentence, its places filled; in typed notes a line, often without its stop."""
        text, marks, level, last = self.short, [], "", 0
        self.short = ""
        chosen = iter(self.rng.sample(list(terms), min(4, len(terms))))
        for place in PLACE.finditer(pattern):
            text += pattern[last : place.start()]
            last, kind = place.end(), place[1]
            if kind == "L":
                level = self.rng.choice(list(DATA["levels"]))
                word = self.rng.choice(split_list(DATA["levels"][level]))
                word = word.removesuffix(" of") if not pattern[place.end() :].startswith(" {") else word
            elif kind in POLARITY:
                word = next(chosen)
                shown = "none" if kind == "n" else level
                marks.append((len(text), word, POLARITY[kind], shown))
                level = ""
            else:
                word = told[kind]
            text += word
        text += pattern[last:]
        self.add(part, role, text, marks)

    def add(self, part: str, role: str, text: str, marks: list) -> None:
        start, doc = len(doc_text := self.doc.text), self.doc
        if self.form == "spoken" or self.rng.random() < 0.6:
            text = text[:1].upper() + text[1:]
        end = "." if self.form == "spoken" or not self.in_lines or self.rng.random() < 0.5 else ""
        end = "" if text.endswith("?") else end
        for at, words, polarity, shown in marks:
            words = text[at : at + len(words)]
            doc.descriptors.append(Descriptor(start + at, start + at + len(words), words, part, polarity, shown, ""))
        doc.sentences.append(Sentence(start, start + len(text) + len(end), part, role, None))
        breaks = self.in_lines or (role == "score" if self.form == "typed" else self.rng.random() < 0.2)
        doc.text = doc_text + text + end + ("\n" if breaks else " ")


def lines(table: str, kind: str = "said") -> list[str]:
    return DATA[table][kind].strip().splitlines()
