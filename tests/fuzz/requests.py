"""Made-up requests to the addresses of a review: always an answer, never an error of ours, and no stranger let in."""

from __future__ import annotations

import asyncio
import tempfile
from functools import cache
from pathlib import Path
from typing import Any
from urllib.parse import quote, urlencode

from hypothesis import strategies as st

from notes2sheet.model import Sheet
from notes2sheet.pipeline import draft_sheet

FIELDS = st.sampled_from(
    ["score:aroma", "score:none", "comment:aroma", "total:said", "entry:name", "entry:x", "state:32-42", "term:32-42",
     "level:32-42", "state:9-1", "state:x", "flag:no-score", "finish", "why", "id", "how", "judge", ":", ""]
)  # fmt: skip
VALUES = st.one_of(
    st.sampled_from(
        ["7", "7,5", "nan", "inf", "-1", "1e400", "absent", "dropped", "mango", "high", "settled", "", "\x1b[2J"]
    ),
    st.text(max_size=12),
)
PATHS = st.one_of(
    st.sampled_from(["/", "/edit", "/flag", "/finish", "/words/aroma", "/words/x", "/sheet.json", "/sheet.html", "/sheet.exe", "/../x", "/page.js"]),
    st.text(max_size=12).map(lambda t: "/" + quote(t, errors="replace")),
)  # fmt: skip


def ask(app, method: str, path: str, headers: dict[str, str], body: bytes = b"", query: str = "") -> int:
    """The status of one request, driven through ASGI."""
    sent = []

    async def receive():
        return {"type": "http.request", "body": body, "more_body": False}

    async def send(message):
        sent.append(message)

    scope = {
        "type": "http", "http_version": "1.1", "method": method, "path": path, "raw_path": path.encode(), "scheme": "http",
        "query_string": query.encode(), "root_path": "", "server": ("127.0.0.1", 8000), "client": ("127.0.0.1", 1),
        "headers": [(k.encode(), v.encode("latin-1", "replace")) for k, v in headers.items()],
    }  # fmt: skip
    asyncio.run(app(scope, receive, send))
    assert any(name == b"content-security-policy" for name, _ in sent[0]["headers"])
    return sent[0]["status"]


@cache
def sheet() -> Sheet:
    return draft_sheet("As an American IPA. Aroma: high grapefruit, no diacetyl, thirteen out of twelve.")


def fresh(folder: str) -> Any:
    from notes2sheet.review.desk import Desk
    from notes2sheet.review.server import make_app

    return make_app(Desk(Path(folder) / "note.txt", sheet(), "Ada Probe"), 8000, "secret")


REQUESTS = st.lists(
    st.tuples(
        st.sampled_from(["GET", "POST", "POST", "PUT", "HEAD"]), PATHS, st.dictionaries(FIELDS, VALUES, max_size=5),
        st.booleans(), st.text(max_size=20),
    ), min_size=1, max_size=6,
)  # fmt: skip


def judged(requests: list[tuple[str, str, dict[str, str], bool, str]]) -> None:
    """Whatever the judge's own browser sends, in whatever order, is answered."""
    with tempfile.TemporaryDirectory() as folder:
        app = fresh(folder)
        for method, path, form, live, query in requests:
            headers = {
                "host": "127.0.0.1:8000", "origin": "http://127.0.0.1:8000", "cookie": f"{app.cookie}={app.session}",
                "content-type": "application/x-www-form-urlencoded", "x-live": "1" if live else "0",
            }  # fmt: skip
            body, asked = urlencode(form, errors="replace").encode(), urlencode({"note": query}, errors="replace")
            assert ask(app, method, path, headers, body, asked) in (200, 303, 403, 404, 405, 409)


HEADERS = st.fixed_dictionaries(
    {}, optional={k: st.text(max_size=20) for k in ("host", "origin", "cookie", "referer", "x-live")}
)
STRANGERS = st.tuples(st.sampled_from(["GET", "POST"]), PATHS, HEADERS, st.text(max_size=20))


def stranger(request: tuple[str, str, dict[str, str], str]) -> None:
    """Without the session's cookie nothing is shown and nothing changed."""
    method, path, headers, query = request
    with tempfile.TemporaryDirectory() as folder:
        app = fresh(folder)
        for host in (headers.get("host", "evil.example"), "127.0.0.1:8000"):
            asked = urlencode({"token": query}, errors="replace")
            assert ask(app, method, path, {**headers, "host": host}, b"score:aroma=1", asked) == 403
        assert not list(Path(folder).iterdir())
