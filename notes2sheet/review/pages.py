"""The HTML of a review: the whole page once, and after each entry the pieces of it that can have changed."""

from __future__ import annotations

from bisect import bisect_right
from typing import Any

from markupsafe import Markup

from notes2sheet.lexicon import LEVELS
from notes2sheet.model import DescriptorOut, Flag
from notes2sheet.outputs.html import environment, evidence, flag_id, parts_of, view
from notes2sheet.review.corrections import overlaid
from notes2sheet.review.desk import STATES, Desk

WORDS_INLINE = 150  # words of a part that stand on the page itself; more are fetched when asked for


class Pages:
    """Renders one desk. The notes are laid out once, from the draft; the sheet beside them as corrected."""

    def __init__(self, desk: Desk, terms: list[str]) -> None:
        self.desk, self.terms = desk, terms
        self._base = view(desk.draft)
        self._starts = [s.span[0] for s in desk.draft.sentences]
        self._ids: dict[tuple, list[str]] = {}
        for key, spans in evidence(desk.draft).items():
            self._ids.setdefault(spans, self._base["places"].get(key, []))
        self._lines: dict[Flag, Any] = {}

    def whole(self, note: str = "") -> str:
        """The page; `note` is a message to show on it."""
        corrected = self.desk.corrected
        shown = self._shown()
        flags = (*corrected.sheet.flags, *(flag for flag, _ in corrected.settled))
        laid_out = view(self.desk.draft.model_copy(update={"descriptors": shown, "flags": flags}))
        words = {name: self._words(shown, name) for name in self.desk.draft.categories}
        return self._render("review.html", laid_out, note=note, terms=self.terms, words=words, inline=WORDS_INLINE)

    def words(self, part: str, live: bool) -> str:
        """The form for the words used in one part, as a page of its own or (`live`) to put into the page."""
        return self._render("words.html", self._base, part=part, pairs=self._words(self._shown(), part), live=live)

    def _shown(self) -> tuple[DescriptorOut, ...]:
        values = self.desk.corrected.values
        return overlaid(self.desk.draft, {what: change.new for what, change in values.items()})

    def _words(self, shown: tuple[DescriptorOut, ...], part: str) -> list[tuple[int, DescriptorOut]]:
        return [(n, d) for n, d in enumerate(shown) if d.category == part]

    def live(self) -> str:
        """The pieces that an entry can change, each with the id of what it replaces."""
        return self._render("_live.html", self._base)

    def _render(self, template: str, laid_out: dict[str, Any], **more: Any) -> str:
        desk = self.desk
        corrected = desk.corrected
        v = {**laid_out, "sheet": corrected.sheet, "parts": parts_of(corrected.sheet)}
        return environment().get_template(template).render(
            v=v, desk=desk, corrected=corrected, line=self.line, value=desk.value, draft=desk.draft, states=STATES,
            levels=LEVELS, signed=desk.finished, **more,
        )  # fmt: skip

    def line(self, flag: Flag) -> Any:
        """A flag as a list item, worked out once for each flag."""
        if flag not in self._lines:
            v = {**self._base, "places": {flag_id(flag): self._place(flag)}}
            made = (
                environment().get_template("_flag.html").render(v=v, flag=flag, settleable=self.desk.may_settle(flag))
            )
            self._lines[flag] = Markup(made)
        return self._lines[flag]

    def _place(self, flag: Flag) -> list[str]:
        """Where on the page a flag's words are: as marked, or the sentences that hold them."""
        if flag.spans in self._ids and self._ids[flag.spans]:
            return self._ids[flag.spans]
        return [f"s{max(0, bisect_right(self._starts, start) - 1)}" for start, _ in flag.spans]
