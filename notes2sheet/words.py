"""Words as the lexicon knows them: spelling norms, rule-made forms, and phrases found in a list of words.

Own code instead of spaCy's PhraseMatcher because building that for a whole lexicon costs more than the rest of a
cold start, and because these phrases also match words through their rule-made forms (figures in DEVELOPERS.md).
"""

from __future__ import annotations

import re
import unicodedata
from bisect import bisect_left
from collections.abc import Callable, Iterable, Iterator
from functools import lru_cache
from typing import Any

ENDINGS = ("s", "ness", "like", "ish", "est", "er", "ed", "ey", "ly", "y")
SINGULAR = ("ss", "us", "is", "as", "os", "dms", "molasses")  # how names end that look like plurals and are none
CONTRACTION = re.compile(r"(n't|'s|'re|'ve|'ll|'d|'m)$")


@lru_cache(maxsize=1)
def _spelling() -> tuple[list[tuple[str, str]], dict[str, str]]:
    from notes2sheet.lexicon import cue_file

    data = cue_file("spelling")
    return list(data["begins"].items()), data["whole"]


@lru_cache(maxsize=1)
def _no_forms() -> frozenset[str]:
    from notes2sheet.lexicon import cue_file

    return frozenset(split_list(cue_file("spelling")["no_form"]["said"]))


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
    if not word.endswith(ENDINGS) or word in _no_forms():
        return
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
    for ending in ENDINGS[1:]:
        if n > len(ending) + 2 and word.endswith(ending):
            stem = word[: -len(ending)]
            yield stem
            yield stem + "e"
            if stem.endswith("i"):
                yield stem[:-1] + "y"
            if len(stem) > 3 and stem[-1] == stem[-2]:
                yield stem[:-1]


@lru_cache(maxsize=65536)
def _forms(word: str) -> tuple[str, ...]:
    """The base forms of a word that are long enough to be told apart."""
    return tuple(form for form in base_forms(word) if len(form) > 2)


class Kept(dict[str, Any]):
    """What `make` gives for a word, made when it is first asked for."""

    def __init__(self, make: Callable[[str], Any]) -> None:
        super().__init__()
        self._make = make

    def __missing__(self, word: str) -> Any:
        made = self[word] = self._make(word)
        return made


LETTERS = {"dms", "vdk", "ekg", "co2"}  # written in capitals
END = ""  # the key under which a node of the trie holds its payloads


class PhraseIndex:
    """Phrases with payloads, found in lists of normal words; the longest phrase at each place wins.

    A trie of words: finding is linear in the words whatever the number of phrases. Payloads are strings or lists, so
    that the whole index can be stored as JSON.
    """

    def __init__(
        self, data: dict[str, Any] | None = None, revive: Callable[[Any], Any] = lambda payload: payload
    ) -> None:
        """An empty index, or one from its `data`; `revive` turns a stored payload into what is handed out."""
        self._revive = revive
        self._trie: dict[str, Any] = data["trie"] if data else {}
        self.known: set[str] = set(data["known"]) if data else set()
        self._alone: set[str] = {word for word, node in self._trie.items() if END in node}
        self._resolved = Kept(self._resolve)
        self._begun = Kept(self._begin)

    @property
    def data(self) -> dict[str, Any]:
        """The index as JSON-able data."""
        return {"trie": self._trie, "known": sorted(self.known)}

    def add(self, phrase: str, payload: Any) -> None:
        """Store `phrase`; several payloads under the same phrase are kept in order."""
        words = phrase_words(phrase)
        if not words:
            return
        node = self._trie
        for word in words:
            node = node.setdefault(word, {})
        node.setdefault(END, []).append(payload)
        self.known.update(words)
        self._resolved.clear()
        self._begun.clear()
        if len(words) == 1:
            self._alone.add(words[0])

    def resolve(self, word: str) -> str:
        """`word` as the index knows it: itself, or the base form that it is made from by rule."""
        known: str = self._resolved[word]
        return known

    def _resolve(self, word: str) -> str:
        if word in self._alone:
            return word
        forms = _forms(word)
        for form in forms:
            if form in self._alone:
                return form
        if word not in self.known:
            for form in forms:
                if form in self.known:
                    return form
        return word

    def get(self, phrase: str) -> list[Any]:
        """The payloads stored under exactly this phrase."""
        node = self._trie
        for word in phrase_words(phrase):
            if word not in node:
                return []
            node = node[word]
        return [self._revive(payload) for payload in node.get(END, ())]

    def find(self, words: list[str], overlapping: bool = False) -> list[tuple[int, int, Any]]:
        """(start, end, payload) of the phrases in `words`; all of them when `overlapping`, else leftmost-longest."""
        found: list[tuple[int, int, Any]] = []
        resolved, revive = self._resolved, self._revive
        free, last = 0, len(words)
        for at, begun in enumerate(map(self._begun.__getitem__, words)):
            if begun is None or at < free:
                continue
            nodes, alone, following = begun
            after = at + 1
            if after < last and ((word := words[after]) in following or resolved[word] in following):
                ends = self._ends(nodes, words, after, last)
            elif alone:
                ends = [(after, alone)]
            else:
                continue
            if overlapping:
                found += [(at, end, revive(payload)) for end, payloads in ends for payload in payloads]
            elif ends:
                free, payloads = ends[-1]
                found += [(at, free, revive(payload)) for payload in payloads]
        return found

    def _begin(self, word: str) -> tuple[list[dict[str, Any]], list[Any] | None, Any] | None:
        """The nodes of the phrases that begin with `word` or its base form, the payloads of it alone, and the words
        that can follow; None for most words, which begin no phrase."""
        form = self._resolved[word]
        nodes = [self._trie[word]] if word in self._trie else []
        if form != word and form in self._trie:
            nodes.append(self._trie[form])
        if not nodes:
            return None
        alone = next((node[END] for node in nodes if END in node), None)
        return nodes, alone, nodes[0] if len(nodes) == 1 else set().union(*nodes)

    def _ends(self, nodes: list[dict[str, Any]], words: list[str], at: int, last: int) -> list[tuple[int, list[Any]]]:
        """(end, payloads) of the phrases that go on from `nodes` at word `at`, shortest first; as said before base."""
        out: list[tuple[int, list[Any]]] = []
        while nodes:
            for node in nodes:
                if END in node:
                    out.append((at, node[END]))
                    break
            if at == last:
                break
            word, form = words[at], self.resolve(words[at])
            following = [node[word] for node in nodes if word in node]
            if form != word:
                following += [node[form] for node in nodes if form in node]
            nodes, at = following, at + 1
        return out


def longest(hits: list[tuple[int, int, Any]], begin: int, end: int) -> list[tuple[int, int, Any]]:
    """Of all hits of a text, in order: what `find` gives for its words `begin` to `end` alone."""
    out: list[tuple[int, int, Any]] = []
    free = begin
    for at in range(bisect_left(hits, begin, key=_start), bisect_left(hits, end, key=_start)):
        hit = hits[at]
        if hit[1] > end:
            continue
        if out and out[-1][0] == hit[0] and out[-1][1] <= hit[1]:
            while out and out[-1][0] == hit[0] and out[-1][1] < hit[1]:
                out.pop()
        elif hit[0] < free:
            continue
        out.append(hit)
        free = hit[1]
    return out


def _start(hit: tuple[int, int, Any]) -> int:
    return hit[0]


def split_list(text: str) -> list[str]:
    """A lexicon list (one comma-separated string) as its parts."""
    return [part.strip() for part in text.split(",") if part.strip()]


def index_of(groups: dict[str, Iterable[str]]) -> PhraseIndex:
    """An index from {payload: phrases}."""
    index = PhraseIndex()
    for payload, phrases in groups.items():
        for phrase in phrases:
            index.add(phrase, payload)
    return index


def is_or_are(name: str) -> str:
    """The verb that goes with the name of a prompt or term: 'bitterness is', 'hops are', 'citrus is'."""
    one = not name.endswith("s") or name.endswith(SINGULAR)
    return "is" if one else "are"


def capitals(word: str) -> str:
    """A word as it is written: 'DMS'."""
    return word.upper() if word in LETTERS else word
