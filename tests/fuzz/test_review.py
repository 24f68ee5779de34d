"""The review's addresses under made-up requests: always an answer, never an error of ours, and no stranger let in."""

from __future__ import annotations

import asyncio
import tempfile
from pathlib import Path
from urllib.parse import quote, urlencode

from hypothesis import given, settings
from hypothesis import strategies as st

from notes2sheet.pipeline import draft_sheet
from notes2sheet.review.desk import Desk
from notes2sheet.review.server import make_app

SHEET = draft_sheet("As an American IPA. Aroma: high grapefruit, no diacetyl, thirteen out of twelve.")
PLACE = "{}-{}".format(*SHEET.descriptors[0].span)
FIELDS = st.sampled_from(
    ["score:aroma", "score:none", "comment:aroma", "total:said", "entry:name", "entry:x", f"state:{PLACE}", f"term:{PLACE}",
     f"level:{PLACE}", "state:9-1", "state:x", "flag:no-score", "finish", "why", "id", "how", "judge", ":", ""]
)  # fmt: skip
VALUES = st.one_of(
    st.sampled_from(["7", "7,5", "nan", "inf", "-1", "1e400", "absent", "dropped", "mango", "high", "settled", "", "\x1b[2J"]), st.text(max_size=12)
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


def fresh():
    desk = Desk(Path(tempfile.mkdtemp()) / "note.txt", SHEET, "Ada Probe")
    return make_app(desk, 8000, "secret")


@settings(max_examples=120, deadline=None)
@given(st.sampled_from(["GET", "POST", "PUT", "HEAD"]), PATHS, st.dictionaries(FIELDS, VALUES, max_size=5), st.booleans(), st.text(max_size=20))
def test_the_judge_is_always_answered(method, path, form, live, query) -> None:
    app = fresh()
    headers = {
        "host": "127.0.0.1:8000", "origin": "http://127.0.0.1:8000", "cookie": f"{app.cookie}={app.session}",
        "content-type": "application/x-www-form-urlencoded", "x-live": "1" if live else "0",
    }  # fmt: skip
    body = urlencode(form, errors="replace").encode()
    assert ask(app, method, path, headers, body, urlencode({"note": query}, errors="replace")) in (200, 303, 403, 404, 405, 409)


@settings(max_examples=120, deadline=None)
@given(
    st.sampled_from(["GET", "POST"]), PATHS,
    st.fixed_dictionaries({}, optional={k: st.text(max_size=20) for k in ("host", "origin", "cookie", "referer", "x-live")}), st.text(max_size=20),
)  # fmt: skip
def test_a_stranger_is_never_let_in(method, path, headers, query) -> None:
    app = fresh()
    for host in (headers.get("host", "evil.example"), "127.0.0.1:8000"):
        assert ask(app, method, path, {**headers, "host": host}, b"score:aroma=1", urlencode({"token": query}, errors="replace")) == 403
