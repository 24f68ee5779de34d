"""Words that stand where a sensory word stands though no lexicon holds them: repaired by sound, or kept as unknown."""

from __future__ import annotations

from functools import cache, lru_cache

from notes2sheet.cues import cue_index, cue_words
from notes2sheet.lexicon import Hit, Lexicon, Term, cue_file
from notes2sheet.own_files import own_file
from notes2sheet.tagger import MODELS
from notes2sheet.transcript import Reading
from notes2sheet.words import split_list

UNKNOWN = Term("", "unknown", (), ("aroma", "flavor"))
REACH = 4  # words behind a lead
KEY_SHARE, SHORTEST_KEY = 0.6, 4
CLOSE = 0.7  # of phonetic keys that are looked at further
LIKENESS, ALONE = 0.76, 0.82  # of a run of words, of one word (often a plain English one); set on half of the voices
ENOUGH = 10  # words from which on their language can be told
ENGLISH = 0.5  # share of common English words: in 1700 English notes, terse ones too, 0.8 and more; in others 0 to 0.3
JOINTS = ("and", "or", "&", "+", "with")


@cache
def common_words() -> frozenset[str]:
    """Words that several transcripts share, written by the training script; names and rarer sensations are others."""
    path = MODELS / "common_words.txt"
    with own_file(path):
        return frozenset(path.read_text(encoding="utf-8").split())


def in_english(reading: Reading) -> bool:
    """Whether enough of the words are common English ones; a few words never tell."""
    words = [word for word in reading.words if word.isalpha()]
    return len(words) < ENOUGH or sum(word in common_words() for word in words) >= ENGLISH * len(words)


@cache
def stop_words() -> frozenset[str]:
    """Words that are no sensory words by themselves."""
    from spacy.lang.en.stop_words import STOP_WORDS  # here, since the checks need no spaCy

    return frozenset(STOP_WORDS - {"full", "empty", "bottom"})


@cache
def everyday_words() -> frozenset[str]:
    """Words that need no asking after: common ones, and the most frequent of written English."""
    return common_words() | cue_words("ordinary", "ordinary") | cue_words("ordinary", "manner")


@cache
def _plain_words() -> frozenset[str]:
    return common_words() | stop_words()


def find_unlisted(reading: Reading, taken: set[int], breaks, levels) -> list[tuple[int, int, Hit]]:
    """(start, end, hit) of the words in sensory places that stand in `taken` nowhere.

    `breaks` is the pattern of punctuation that ends a clause, `levels` the hits of the level words that lead.
    """
    plain = _plain_words()
    rare = {
        k for k, word in enumerate(reading.words)
        if word not in plain and k not in taken and len(word) > 2 and word.isalpha()
    }  # fmt: skip
    if not rare:
        return []
    near = {j for k in rare for j in range(k - REACH, k + 2)}
    strange = {k for k in rare if reading.words[k] not in everyday_words()}
    places = _led(reading, near, levels, breaks) + _listed(reading, rare, taken, breaks)
    found: dict[int, tuple[int, int, Hit]] = {}
    for start, limit, how in places:
        hit = _by_sound(reading, start, limit, rare, taken) or (how and _as_unknown(start, limit, strange, how))
        if hit and not any(k in found for k in range(hit[0], hit[1])):
            found.update(dict.fromkeys(range(hit[0], hit[1]), hit))
    return sorted({hit[:2]: hit for hit in found.values()}.values(), key=lambda hit: hit[0])


def _led(reading: Reading, near: set[int], levels, breaks) -> list[tuple[int, int, str]]:
    """(start, limit, how) of the words behind a lead or a level, and of those before a trail, inside their clause."""
    words, skipped, out = reading.words, cue_words("slots", "skip"), []
    for begin, end, kind in (*cue_index("slots").find(words, overlapping=True), *levels):
        if kind in ("skip", "sound"):
            continue
        if kind == "trail":
            if begin and begin - 1 in near and not breaks.search(reading.breaks[begin]):
                out.append((begin - 1, begin, "unknown"))
            continue
        start = end
        while start < len(words) and words[start] in skipped and start - end < REACH:
            start += 1
        if start in near and not any(breaks.search(reading.breaks[k]) for k in range(end, min(start + 1, len(words)))):
            out.append((start, _clause_end(reading, start, breaks), "unknown" if kind == "lead" else ""))
    return out


def _listed(reading: Reading, rare: set[int], taken: set[int], breaks) -> list[tuple[int, int, str]]:
    """(start, limit, how) of the rare words that continue a list of sensory words: 'pine, sawdust and lemon'."""
    words, out = reading.words, []
    for k in sorted(rare):
        comma = "," in reading.breaks[k] or "/" in reading.breaks[k]
        before = (comma and k - 1 in taken) or (k >= 2 and words[k - 1] in JOINTS and k - 2 in taken)
        closed = k + 1 == len(words) or breaks.search(reading.breaks[k + 1]) or words[k + 1] in JOINTS
        if before and closed:
            out.append((k, k + 1, "listed"))
    return out


def _clause_end(reading: Reading, start: int, breaks) -> int:
    end = start + 1
    while end < min(len(reading.words), start + REACH) and not breaks.search(reading.breaks[end]):
        end += 1
    return end


def _as_unknown(start: int, limit: int, strange: set[int], how: str) -> tuple[int, int, Hit] | None:
    """The run of strange words at `start`, or right behind one common word."""
    first = start if start in strange else start + 1
    end = first
    while end < limit and end in strange:
        end += 1
    return (first, end, Hit(UNKNOWN, how)) if end > first else None


def _by_sound(reading: Reading, start: int, limit: int, rare: set[int], taken: set[int]) -> tuple[int, int, Hit] | None:
    """The longest run from `start` that sounds like a trade word, none of it known and at least one word rare."""
    for end in range(limit, start, -1):
        run = range(start, end)
        if rare.isdisjoint(run) or not taken.isdisjoint(run):
            continue
        meant = sounds_like(" ".join(reading.words[start:end]))
        if meant and (hit := trade_word(reading.lexicon, meant)):
            return start, end, hit
    return None


def trade_word(lexicon: Lexicon, phrase: str) -> Hit | None:
    """The lexicon's hit for a repaired phrase, marked as heard."""
    hits = lexicon.phrases.get(phrase)
    return Hit(hits[0].term, "heard") if hits else None


@cache
def _keys() -> dict[str, str]:
    """{trade word: phonetic key} of the words that recognizers do not know."""
    return {phrase: _key(phrase) for phrase in split_list(cue_file("slots")["sound"]["said"])}


@lru_cache(maxsize=256)
def _keys_near(size: int) -> dict[str, str]:
    """Those of the keys that can be as like a key of `size` letters as CLOSE asks for."""
    return {
        name: key
        for name, key in _keys().items()
        if max(size, len(key)) - min(size, len(key)) <= (1 - CLOSE) * max(size, len(key)) + 1e-9
    }


def _key(phrase: str) -> str:
    import jellyfish

    return jellyfish.metaphone(phrase.replace("-", "").replace(" ", ""))


def sounds_like(phrase: str) -> str | None:
    """The trade word that `phrase` sounds like, or None: metaphone keys compared, letters counted too."""
    from rapidfuzz import fuzz, process
    from rapidfuzz.distance import DamerauLevenshtein

    key, joined = _key(phrase), phrase.replace(" ", "")
    if len(key) < SHORTEST_KEY:
        return None
    close = process.extract(
        key, _keys_near(len(key)), scorer=DamerauLevenshtein.normalized_similarity, limit=3, score_cutoff=CLOSE
    )
    scored = [
        (KEY_SHARE * score + (1 - KEY_SHARE) * fuzz.ratio(joined, meant.replace(" ", "")) / 100, meant)
        for _, score, meant in close
    ]
    best = max(scored, default=(0.0, ""))
    return best[1] if best[0] >= (LIKENESS if " " in phrase else ALONE) else None
