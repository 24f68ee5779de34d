"""What is searched, written: a sheet's row, parts, tags, flags and words, with the names that they share."""

from __future__ import annotations

import sqlite3
from functools import cache
from typing import Any

from notes2sheet.archive.fold import TOKEN, key, normal
from notes2sheet.archive.postings import Postings, Tag
from notes2sheet.archive.record import Record


def folded(text: str) -> str:
    """The text as it stands in the full-text index."""
    return " ".join(map(normal, TOKEN.findall(text)))


def indexed_words(sheet: dict[str, Any]) -> tuple[str, str]:
    """(notes, comments) of a sheet for the full-text index; a mark between comments keeps phrases inside one."""
    comments = " _ ".join(folded(part.get("comment", "")) for part in sheet["categories"].values())
    return folded(sheet["text"]), comments


@cache
def _lexicon_terms() -> dict[str, Any]:
    from notes2sheet.lexicon import load_lexicon

    return load_lexicon().terms


class Index:
    """Writes the search tables of one connection; remembers the numbers of terms, labels and styles."""

    def __init__(self, db: sqlite3.Connection) -> None:
        self.db = db
        self.labels: dict[str, int] = {}
        self.terms: dict[str, int] = {}
        self.styles: set[str] = set()
        self.broader: dict[int, list[int]] = {}
        self.postings = Postings(db)
        self.seen: int | None = None

    def begin(self) -> None:
        """At the start of a transaction: another process may have added names, and the lexicon may have changed."""
        seen = self.db.execute("PRAGMA data_version").fetchone()[0]  # moves when another connection has written
        if seen == self.seen:
            return
        self.seen = seen
        self.broader = {}
        self.labels = {name: number for number, name in self.db.execute("SELECT id, name FROM label")}
        self.terms = {name: number for number, name in self.db.execute("SELECT id, name FROM term")}
        self.styles = {code for (code,) in self.db.execute("SELECT code FROM style")}
        from notes2sheet import __version__

        if self.db.execute("SELECT value FROM meta WHERE name = 'terms of'").fetchone() != (__version__,):
            self._renew_terms()
            self.db.execute("INSERT OR REPLACE INTO meta VALUES ('terms of', ?)", (__version__,))

    def end(self) -> None:
        """Before the transaction ends: write what was gathered."""
        self.postings.write()

    def _renew_terms(self) -> None:
        """Another program version may place terms under other broader ones: enter all of that anew."""
        before = self.db.execute("SELECT * FROM broader ORDER BY 1, 2").fetchall()
        self.db.execute("DELETE FROM broader")
        known, self.terms = self.terms, {}
        for name in known:
            self.term(name, known)
        if before != self.db.execute("SELECT * FROM broader ORDER BY 1, 2").fetchall():
            self.postings.rebuild()

    def _with_broader(self, rows: list[tuple]) -> list[Tag]:
        """The rows of table tag as postings: each under its term, its flaw, and all that is broader."""
        return [
            (name, state, category, level, scale)
            for term, state, _, _, category, level, scale, flaw in rows
            for name in {*self._above(term), *(self._above(flaw) if flaw else ())}
        ]

    def _above(self, term: int) -> list[int]:
        if term not in self.broader:
            rows = self.db.execute("SELECT broader FROM broader WHERE term = ?", (term,))
            self.broader[term] = [number for (number,) in rows]
        return self.broader[term]

    def label(self, name: str | None) -> int | None:
        """The number of a category, state, level, flag code or severity."""
        if name is not None and name not in self.labels:
            self.labels[name] = self.db.execute("INSERT INTO label (name) VALUES (?)", (name,)).lastrowid
        return None if name is None else self.labels[name]

    def term(self, name: str | None, numbers: dict[str, int] | None = None) -> int | None:
        """The number of a term; a new one is entered with where it can stand and all its broader terms.

        `numbers` are those of terms that stand in the table already and are only placed anew.
        """
        if name is None or name in self.terms:
            return None if name is None else self.terms[name]
        known = _lexicon_terms().get(name)
        row = (name, key(name), ", ".join(known.categories) if known else "")
        number = (numbers or {}).get(name)
        if number is None:
            number = self.db.execute("INSERT INTO term (name, key, categories) VALUES (?, ?, ?)", row).lastrowid
        else:
            self.db.execute("UPDATE term SET categories = ? WHERE id = ?", (row[2], number))
        self.terms[name] = number
        self.db.execute("INSERT INTO broader VALUES (?, ?)", (number, number))
        if known and known.broader and known.broader != name:
            above = self.term(known.broader, numbers)
            self.db.execute(
                "INSERT OR IGNORE INTO broader SELECT broader, ? FROM broader WHERE term = ?", (number, above)
            )
        return number

    def style(self, code: str | None, name: str | None) -> str | None:
        """The code, its style entered with name, family and tags."""
        if code is None or code in self.styles:
            return code
        from notes2sheet.errors import Notes2SheetError
        from notes2sheet.style_data import load_style

        try:
            style = load_style(code)
            row = (code, style.name, style.group, ", ".join(style.tags))
        except Notes2SheetError:  # a style of some other sheet or a later guideline
            row = (code, name or code, "", "")
        self.db.execute("INSERT INTO style VALUES (?, ?, ?, ?)", row)
        self.styles.add(code)
        return code

    def remove(self, sheet: int, old: dict[str, Any]) -> None:
        """Take the version `old` out of the search tables."""
        self.db.execute("DELETE FROM part WHERE sheet = ?", (sheet,))
        self.db.execute("DELETE FROM flag WHERE sheet = ?", (sheet,))
        rows = self._tags(sheet, old)
        self.db.executemany(
            "DELETE FROM tag WHERE term = ? AND state = ? AND sheet = ? AND n = ?", [row[:4] for row in rows]
        )
        self.postings.remove(sheet, self._with_broader(rows))
        self.db.execute(
            "INSERT INTO words (words, rowid, notes, comments) VALUES ('delete', ?, ?, ?)", (sheet, *indexed_words(old))
        )

    def put(self, sheet: int, record: Record) -> None:
        """Make the record's sheet what is found under this number."""
        made, label = record.sheet, self.label
        self._put_row(sheet, record)
        self.db.executemany(
            "INSERT INTO part VALUES (?, ?, ?, ?)",
            [(sheet, label(name), part.get("score"), part["cap"]) for name, part in made["categories"].items()],
        )
        rows = self._tags(sheet, made)
        self.db.executemany("INSERT INTO tag VALUES (?, ?, ?, ?, ?, ?, ?, ?)", rows)
        self.postings.add(sheet, self._with_broader(rows))
        self.db.executemany(
            "INSERT INTO flag VALUES (?, ?, ?, ?, ?)",
            [
                (sheet, n, label(f["code"]), label(f.get("category")), label(f["severity"]))
                for n, f in enumerate(made["flags"])
            ],
        )
        self.db.execute("INSERT INTO words (rowid, notes, comments) VALUES (?, ?, ?)", (sheet, *indexed_words(made)))

    def _tags(self, sheet: int, made: dict[str, Any]) -> list[tuple]:
        """The rows of table tag: term, state, sheet, n, category, level, scale, flaw."""
        label, term = self.label, self.term
        return [
            (
                term(d["term"] or d.get("flaw")), label(d["state"]), sheet, n,
                label(d["category"]), label(d.get("level")), label(d.get("scale")), term(d.get("flaw")),
            )
            for n, d in enumerate(made["descriptors"])
            if d["term"] or d.get("flaw")
        ]  # fmt: skip

    def _put_row(self, sheet: int, record: Record) -> None:
        made, data = record.sheet, record.data
        entry, total, style = made["entry"], made["total"], made["style"]
        basis = next((b for b in ("sum", "said") if total.get(b) is not None), None)
        self.db.execute(
            "UPDATE sheet SET status = ?, entry = ?, entry_key = ?, maker = ?, maker_key = ?, abv = ?, style = ?, "
            "judge = ?, judge_key = ?, tasted = ?, total = ?, basis = ?, band = ? WHERE id = ?",
            (
                record.status, entry.get("name"), key(entry.get("name")), entry.get("maker"), key(entry.get("maker")),
                entry.get("abv"), self.style(style.get("code"), style.get("name")), data["judge"],
                key(data["judge"]), data["tasted"], total[basis] if basis else None, basis, total.get("band"), sheet,
            ),
        )  # fmt: skip
