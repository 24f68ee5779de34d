"""Words as the lexicon knows them: spelling norms, rule-made forms, and phrases found in a list of words.

Own code instead of spaCy's PhraseMatcher because building that for a whole lexicon costs more than the rest of a
cold start; this index is built in a tenth of the time and is as linear (figures in DEVELOPERS.md).
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator
from functools import lru_cache
from typing import Any

CONTRACTION = re.compile(r"(n't|'s|'re|'ve|'ll|'d|'m)$")


@lru_cache(maxsize=1)
def _spelling() -> tuple[list[tuple[str, str]], dict[str, str]]:
    from notes2sheet.lexicon import cue_file

    data = cue_file("spelling")
    return list(data["begins"].items()), data["whole"]


@lru_cache(maxsize=65536)
def norm(word: str) -> str:
    """The word in lower case, without accents, in American spelling, abbreviations written out."""
    word = word.lower().replace("’", "'")
    if not word.isascii():
        word = "".join(c for c in unicodedata.normalize("NFKD", word) if not unicodedata.combining(c) or c in "½¼¾")
        word = word.replace("1⁄2", "½").replace("1⁄4", "¼").replace("3⁄4", "¾")
    begins, whole = _spelling()
    if word in whole:
        return whole[word]
    for old, new in begins:
        if word.startswith(old):
            return new + word[len(old) :]
    return word


def phrase_words(phrase: str) -> tuple[str, ...]:
    """A lexicon phrase cut into normal words the way the tokenizer cuts notes; hyphens equal spaces."""
    out: list[str] = []
    for raw in phrase.lower().replace("’", "'").replace("-", " ").split():
        word = norm(raw)
        match = CONTRACTION.search(word)
        if match and match.start():
            out += [word[: match.start()], match[1]]
        else:
            out.append(word)
    return tuple(out)


def base_forms(word: str) -> Iterator[str]:
    """What `word` may be a form of, likeliest first: breads, bready, nuttier, sweetish, dryness → bread, nut …"""
    n = len(word)
    if n > 4 and word.endswith("ies"):
        yield word[:-3] + "y"
    if n > 3 and word.endswith("s") and not word.endswith("ss"):
        yield word[:-1]
        if word.endswith("es"):
            yield word[:-2]
    if n > 5 and word.endswith("iness"):
        yield word[:-5] + "y"
        yield word[:-5]
    for ending in ("ness", "like", "ish", "est", "er", "ed", "ey", "ly", "y"):
        if n > len(ending) + 2 and word.endswith(ending):
            stem = word[: -len(ending)]
            yield stem
            yield stem + "e"
            if stem.endswith("i"):
                yield stem[:-1] + "y"
            if len(stem) > 3 and stem[-1] == stem[-2]:
                yield stem[:-1]


class PhraseIndex:
    """Phrases with payloads, found in lists of normal words; the longest phrase at each place wins."""

    def __init__(self) -> None:
        self._by_first: dict[str, list[tuple[tuple[str, ...], Any]]] = {}
        self.known: set[str] = set()
        self._alone: set[str] = set()
        self._resolved: dict[str, str] = {}

    def add(self, phrase: str, payload: Any) -> None:
        """Store `phrase`; several payloads under the same phrase are kept in order."""
        words = phrase_words(phrase)
        if not words:
            return
        self._by_first.setdefault(words[0], []).append((words, payload))
        self.known.update(words)
        if len(words) == 1:
            self._alone.add(words[0])

    def freeze(self) -> None:
        for entries in self._by_first.values():
            entries.sort(key=lambda entry: -len(entry[0]))

    def resolve(self, word: str) -> str:
        """`word` as the index knows it: itself, or the base form that it is made from by rule."""
        known = self._resolved.get(word)
        if known is None:
            known = word
            if word not in self._alone:
                forms = [form for form in base_forms(word) if len(form) > 2]
                known = next((form for form in forms if form in self._alone), None)
                if known is None:
                    known = word if word in self.known else next((f for f in forms if f in self.known), word)
            self._resolved[word] = known
        return known

    def get(self, phrase: str) -> list[Any]:
        """The payloads stored under exactly this phrase."""
        words = phrase_words(phrase)
        return [payload for stored, payload in self._by_first.get(words[0] if words else "", ()) if stored == words]

    def find(self, words: list[str], overlapping: bool = False) -> list[tuple[int, int, Any]]:
        """(start, end, payload) of the phrases in `words`; all of them when `overlapping`, else leftmost-longest."""
        forms = [self.resolve(word) for word in words]
        found: list[tuple[int, int, Any]] = []
        at, last = 0, len(words)
        by_first = self._by_first
        while at < last:
            step = 1
            word = words[at]
            for form in (word, forms[at]) if forms[at] != word else (word,):
                entries = by_first.get(form)
                if not entries:
                    continue
                longest = 0
                for phrase, payload in entries:
                    size = len(phrase)
                    if size < longest or at + size > last:
                        continue
                    if all(phrase[k] in (words[at + k], forms[at + k]) for k in range(1, size)):
                        found.append((at, at + size, payload))
                        longest = 0 if overlapping else size
                if longest:
                    step = longest
                    break
            at += 1 if overlapping else step
        return found


def split_list(text: str) -> list[str]:
    """A lexicon list (one comma-separated string) as its parts."""
    return [part.strip() for part in text.split(",") if part.strip()]


def index_of(groups: dict[str, Iterable[str]]) -> PhraseIndex:
    """An index from {payload: phrases}."""
    index = PhraseIndex()
    for payload, phrases in groups.items():
        for phrase in phrases:
            index.add(phrase, payload)
    index.freeze()
    return index
