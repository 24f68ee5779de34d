"""One review: a draft, its journal, and what the judge may do to them. Knows no web."""

from __future__ import annotations

import json
import os
from pathlib import Path

from pydantic import ValidationError

from notes2sheet.errors import Notes2SheetError, NotesError
from notes2sheet.lexicon import LEVELS, load_lexicon
from notes2sheet.model import Flag, Sheet, why_refused
from notes2sheet.outputs.html import flag_id
from notes2sheet.review.corrections import DROPPED, Corrected, apply, flag_key, rests_on, value_in
from notes2sheet.review.journal import Change, Journal, Value, journal_path, merged, now

STATES = ("present", "absent", "mentioned", DROPPED)
NEED_SCORE = ("no-score", "unsure", "over-cap")  # no reason settles these: only a score does
LIMIT = 100 * 1024 * 1024  # bytes of a draft
TEXT_LIMIT = 20_000  # characters of a comment


class Refused(Exception):
    """The judge's entry cannot be taken; the message says why."""


def open_desk(
    path: Path,
    judge: str | None = None,
    style: str | None = None,
    sheet: str | None = None,
    lexicon: Path | None = None,
    house: str | None = None,
    entry: int | None = None,
) -> Desk:
    """The desk of a draft's JSON (or a finished sheet's), or of a notes file; where several judges speak, `judge` says
    whose sheet, and of several beers `entry`, from 1, says which. Raises Notes2SheetError."""
    if path.suffix.lower() == ".json":
        draft = read_draft(path)
        return Desk(path, draft, judge or _author(draft) or _user())
    from notes2sheet.drafting import draft_notes, house_of, judge_path, picked, split_entries
    from notes2sheet.readers import read_all

    whole = picked(split_entries(read_all(str(path)), sheet, lexicon), entry)
    beers = max(notes.entry or 1 for notes in whole)
    if entry is None and beers > 1:
        raise NotesError("holds the notes of several beers", str(path), f"give --entry, a number from 1 to {beers}")
    at = _speaker(path, [notes.speaker or "" for notes in whole], judge)
    whose, draft = draft_notes(whole, style, sheet, lexicon, house_of(str(path), house))[at]
    return Desk(judge_path(path, whose), draft, judge or _author(draft) or _user())


def _author(draft: Sheet) -> str | None:
    return draft.house.author if draft.house else None


def _speaker(path: Path, speakers: list[str], judge: str | None) -> int:
    """The place of the speaker whose sheet is asked for."""
    if len(speakers) == 1:
        return 0
    asked = (judge or "").casefold()
    found = next((n for n, name in enumerate(speakers) if name.casefold() == asked), None)
    if found is None:
        what = f"{judge} is none of the judges in it" if judge else "holds the notes of several judges"
        raise NotesError(what, str(path), f"give --judge, one of: {', '.join(speakers)}")
    return found


def _user() -> str:
    import getpass

    try:
        return getpass.getuser()
    except (OSError, KeyError):
        return "judge"


def read_draft(path: Path) -> Sheet:
    """The draft in a JSON file, or a finished sheet's. Raises NotesError."""
    try:
        with path.open("rb") as file:
            content = file.read(LIMIT + 1)
        if len(content) > LIMIT:
            raise NotesError(f"is over {LIMIT >> 20} MB", str(path), "give one draft sheet")
        data = json.loads(content)
        return Sheet.model_validate(data["sheet"] if isinstance(data.get("sheet"), dict) else data)
    except OSError as error:
        raise NotesError(f"cannot be read: {error.strerror}", str(path), "check the name") from None
    except ValidationError as error:
        what, hint = why_refused(error)
        raise NotesError(f"is no draft sheet: {what}", str(path), hint) from None
    except (ValueError, AttributeError, TypeError, RecursionError):
        raise NotesError(
            "is no draft sheet", str(path), "give a file written by `notes2sheet draft --format json`"
        ) from None


class Desk:
    """The draft under review. Every entry is in the journal before the method returns."""

    def __init__(self, source: Path, draft: Sheet, judge: str) -> None:
        self.source, self.draft, self.judge = source, draft, judge
        self.journal = Journal(journal_path(source))
        self._corrected: tuple[int, Corrected] | None = None

    @property
    def corrected(self) -> Corrected:
        """The draft with the corrections so far."""
        changes = self.journal.changes()
        if self._corrected is None or self._corrected[0] != len(changes):
            self._corrected = (len(changes), apply(self.draft, changes))
        return self._corrected[1]

    def value(self, what: str) -> Value:
        """The value in force. Raises Refused where there is no such value."""
        change = self.corrected.values.get(what)
        try:
            return change.new if change else value_in(self.draft, what)
        except (KeyError, StopIteration):
            raise Refused(f"There is no {what} on this sheet.") from None

    def edit(self, what: str, entered: str, why: str = "") -> None:
        """Set a value to what the judge entered; an entry that changes nothing is not noted."""
        old = self.value(what)
        new = _parsed(what.partition(":")[0], entered)
        if new != old:
            words, context = rests_on(self.draft, what)
            self._note(what, old, new, why, words, context)

    def decide(self, key: str, how: str, why: str) -> None:
        """Settle or dismiss the flag with the page id `key` for a reason, or open it again."""
        settled = dict(self.corrected.settled)
        flag = next((f for f in (*self.corrected.sheet.flags, *settled) if flag_id(f) == key), None)
        if flag is None:
            raise Refused("That flag no longer stands.")
        if how not in ("settled", "dismissed", "open"):
            raise Refused("A flag is settled, dismissed or opened again.")
        if how != "open" and flag.code in NEED_SCORE:
            raise Refused("Only a score within the cap settles that.")
        if how != "open" and not why.strip():
            raise Refused("Say why, in a word or two.")
        what, words, message = flag_key(self.corrected.sheet, flag)
        old = settled[flag].new if flag in settled else "open"
        if old != how:
            self._note(what, old, how, why, words, message)

    def finish(self, judge: str) -> Path:
        """Sign the sheet and write it beside the draft; Refused while a blocker stands."""
        if not judge.strip():
            raise Refused("Say who signs the sheet.")
        if self.corrected.blockers:
            raise Refused("Not finished. Still standing: " + " ".join(f.message for f in self.corrected.blockers))
        sheet = self.corrected.sheet
        self.judge = judge.strip()
        self._note("finish", None, self.judge, "", (), "")
        changes = self.journal.changes()
        whole = {
            "sheet": sheet.model_dump(mode="json"), "judge": self.judge, "finished_at": changes[-1].when,
            "journal": [change.model_dump(mode="json") for change in merged(changes)],
        }  # fmt: skip
        target = self.source.with_name(f"{self.source.stem}.finished.json")
        part = target.with_name(target.name + ".part")
        part.write_text(json.dumps(whole, ensure_ascii=False, indent=1) + "\n", encoding="utf-8")
        os.replace(part, target)
        return target

    @property
    def finished(self) -> Change | None:
        """The signature, while nothing was changed after it."""
        changes = self.journal.changes()
        return changes[-1] if changes and changes[-1].what == "finish" else None

    def may_settle(self, flag: Flag) -> bool:
        return flag.code not in NEED_SCORE

    def _note(self, what: str, old: Value, new: Value, why: str, words: tuple[str, ...], context: str) -> None:
        change = Change(
            who=self.judge,
            when=now(),
            what=what,
            old=old,
            new=new,
            why=why.strip()[:TEXT_LIMIT],
            words=words,
            context=context,
        )
        try:
            self.journal.add(change)
        except OSError as error:
            raise Notes2SheetError(
                f"cannot be written: {error.strerror}", str(self.journal.path), "make room there"
            ) from None


def _parsed(kind: str, entered: str) -> Value:
    text = entered.replace("\r\n", "\n").strip()
    if len(text) > TEXT_LIMIT:
        raise Refused(f"That is over {TEXT_LIMIT} characters.")
    if kind in ("score", "total"):
        return _number(text)
    if kind == "state" and text not in STATES:
        raise Refused(f"Words are {', '.join(STATES[:-1])} or {STATES[-1]}.")
    if kind == "level" and text and text not in LEVELS:
        raise Refused(f"A level is one of {', '.join(LEVELS)}.")
    if kind == "term" and text and text not in load_lexicon().terms:
        raise Refused(f"'{text}' is no term of the lexicon.")
    return text if text or kind == "comment" else None


def _number(text: str) -> float | None:
    if not text:
        return None
    try:
        value = float(text.replace(",", "."))
    except ValueError:
        raise Refused(f"'{text[:40]}' is no number.") from None
    if not 0 <= value <= 1000:
        raise Refused("A score is a number from 0 up.")
    return value
