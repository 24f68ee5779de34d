"""Figures beside a score that give none: what was said before, bounds of a band, what only explains."""

from __future__ import annotations

from notes2sheet.score_view import Expression, SentenceView, score_words


def without_recalled(view: SentenceView, found: list[Expression]) -> list[Expression]:
    """Without the values that recall what was said before ('sixteen, I know I said 15'), where another one stands."""
    recalled = [
        e
        for e in found
        if e.kind == "value"
        and e.start > view.sentence.start
        and (view.words[e.start - 1] == "said" or view.words[max(0, e.start - 3) : e.start] == ["know", "it", "'s"])
    ]
    values = sum(e.kind in ("value", "share") for e in found)
    return [e for e in found if e not in recalled] if values > len(recalled) else found


def without_ranges(view: SentenceView, found: list[Expression]) -> list[Expression]:
    """Without the bounds of a band ('30 to 37 is very good'); 'from nine to six' changes a score and stays."""
    out: list[Expression] = []
    for e in found:
        low = out[-1] if out else None
        if low and low.kind == e.kind == "value" and low.over is e.over is None and e.value - low.value > 2:
            between = view.words[low.end : e.start]
            spread = between == ["to"] or (not between and view.reading.breaks[e.start].strip() in ("-", "–"))
            if spread and view.words[low.start - 1] != "from":
                out.pop()
                continue
        out.append(e)
    return out


def without_explanations(view: SentenceView, found: list[Expression]) -> list[Expression]:
    """After a score with its cap, plain figures in the same sentence only explain it, unless it is taken back."""
    out: list[Expression] = []
    capped: Expression | None = None
    off: Expression | None = None
    for expression in found:
        if expression.kind == "off":
            off = off or expression
        elif (
            off is not None and expression.kind == "value" and expression.over is None and expression.value < off.value
        ):
            leads = set(view.words[max(off.end, expression.start - 2) : expression.start]) & {
                "so",
                "is",
                "makes",
                "leaves",
                "=",
                "that's",
            }
            if not leads and not expression.named:
                continue
        given = out[-1] if out else None
        if given is not None and given.kind == expression.kind == "value" and expression.over is None:
            between = view.words[given.end : expression.start]
            if (
                {"because", "since"} & set(between[-3:])
                and not expression.named
                and not score_words("take_back").intersection(between)
            ):
                continue  # 'three and a half, because three is not enough'
        if expression.over is not None and expression.over != view.reading.sheet.total:
            capped = expression
        elif (
            capped is not None
            and expression.kind == "value"
            and expression.over is None
            and expression.part in (None, capped.part)
        ):
            between = view.words[capped.end : expression.start]
            if not any(w in score_words("take_back") for w in between[-6:]):
                continue
        out.append(expression)
    return out
