"""The judge whom a line of typed notes names: 'Judge: Wim Karrel'."""

from __future__ import annotations

from notes2sheet.cues import cue_words

LONGEST = 4  # words of a judge's name
MARKS = " \t>*#-"  # of layout, around a label and its name
WITHIN = ".-'’"  # beside letters in a name


def named_judge(text: str) -> str | None:
    """The judge named by the first such line; None where there is none."""
    return next((name for name in map(judge_of, text.splitlines()) if name), None)


def judge_of(line: str) -> str | None:
    """The judge that a line names by itself."""
    label, colon, rest = line.partition(":")
    if not colon or label.strip(MARKS).casefold() not in cue_words("entry_words", "judge"):
        return None
    words = rest.split(",")[0].strip(MARKS).split()
    lettered = all(all(c.isalpha() or c in WITHIN for c in word) for word in words)
    return " ".join(words) if 0 < len(words) <= LONGEST and lettered and words[0][0].isupper() else None
