"""The local review page: loopback only, behind a one-time link, every entry noted before it is answered."""

from __future__ import annotations

import secrets
import socket
from collections.abc import Callable
from contextlib import suppress
from typing import Any
from urllib.parse import parse_qsl, urlencode

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import HTMLResponse, PlainTextResponse, RedirectResponse, Response
from starlette.routing import Route

from notes2sheet.errors import Notes2SheetError
from notes2sheet.lexicon import load_lexicon
from notes2sheet.outputs.html import asset
from notes2sheet.review.desk import Desk, Refused
from notes2sheet.review.pages import Pages

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; form-action 'self'; base-uri 'none'; "
    "frame-ancestors 'none'"
)
HEADERS = {
    "content-security-policy": POLICY, "x-content-type-options": "nosniff", "referrer-policy": "same-origin",
    "cache-control": "no-store", "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
}  # fmt: skip
BODY_LIMIT = 256 * 1024  # bytes
MEDIA = {
    "html": "text/html", "json": "application/json", "csv": "text/csv", "md": "text/markdown", "txt": "text/plain",
    "pdf": "application/pdf",
}  # fmt: skip


class Guard:
    """Lets in only the browser that opened the one-time link, on this address, from this very page."""

    def __init__(self, app: Any, port: int, token: str) -> None:
        self.app, self.token = app, token
        self.hosts = (f"127.0.0.1:{port}", f"localhost:{port}")
        self.cookie, self.session = f"review-{port}", secrets.token_urlsafe(32)

    async def __call__(self, scope: Any, receive: Any, send: Any) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        request = Request(scope, receive)

        async def with_headers(message: Any) -> None:
            if message["type"] == "http.response.start":
                message["headers"] = [*message["headers"], *((k.encode(), v.encode()) for k, v in HEADERS.items())]
            await send(message)

        answer = self._refusal(request)
        await (answer or self.app)(scope, receive, with_headers)

    def _refusal(self, request: Request) -> Response | None:
        host = request.headers.get("host", "")
        if host not in self.hosts:
            return PlainTextResponse("Wrong host.", 403)
        if request.method not in ("GET", "HEAD") and request.headers.get("origin") != f"http://{host}":
            return PlainTextResponse("Wrong origin.", 403)
        given = request.query_params.get("token")
        if given is not None and request.url.path == "/":
            return self._admit(given)
        if not secrets.compare_digest(request.cookies.get(self.cookie, "").encode(), self.session.encode()):
            return PlainTextResponse("This page opens only from the link that `notes2sheet review` gave, once.", 403)
        return None

    def _admit(self, given: str) -> Response:
        if not self.token or not secrets.compare_digest(given.encode(), self.token.encode()):
            return PlainTextResponse("This link has been used. Start `notes2sheet review` again for a new one.", 403)
        self.token = ""
        answer = RedirectResponse("/", 303)
        answer.set_cookie(self.cookie, self.session, httponly=True, samesite="strict", path="/")
        return answer


async def _form(request: Request) -> dict[str, str]:
    """The values of an urlencoded body by name. Raises Refused."""
    if not request.headers.get("content-type", "").startswith("application/x-www-form-urlencoded"):
        raise Refused("Not a form.")
    body = b""
    async for chunk in request.stream():
        body += chunk
        if len(body) > BODY_LIMIT:
            raise Refused("That is too long.")
    return dict(parse_qsl(body.decode("utf-8", "replace"), keep_blank_values=True))


class Endpoints:
    """What the page asks for, one method an address. All run in turn on one loop, so that entries keep their order."""

    def __init__(self, desk: Desk) -> None:
        self.desk, self.pages = desk, Pages(desk, sorted(load_lexicon().terms))

    async def page(self, request: Request) -> Response:
        return HTMLResponse(self.pages.whole(request.query_params.get("note", "")[:500]))

    async def words(self, request: Request) -> Response:
        part = request.path_params["part"]
        if part not in self.desk.draft.categories:
            return PlainTextResponse("Not found.", 404)
        return HTMLResponse(self.pages.words(part, request.headers.get("x-live") == "1"))

    async def file(self, request: Request) -> Response:
        name = request.path_params["name"]
        if name in ("page.js", "review.js"):
            return Response(asset(name), media_type="text/javascript")
        if name == "style.css":
            return Response(asset("page.css") + "\n" + asset("review.css"), media_type="text/css")
        return _handed_on(self.desk, name)

    async def edit(self, request: Request) -> Response:
        return await self._act(request, self._edit_all)

    async def flag(self, request: Request) -> Response:
        return await self._act(
            request, lambda given: self.desk.decide(*(given.get(k, "") for k in ("id", "how", "why")))
        )

    async def finish(self, request: Request) -> Response:
        return await self._act(request, lambda given: self.desk.finish(given.get("judge", "")))

    def _edit_all(self, given: dict[str, str]) -> None:
        """Take every value of a form; one that is refused does not hold up the others."""
        why, refused = given.pop("why", ""), []
        for what, entered in given.items():
            try:
                self.desk.edit(what, entered, why)
            except Refused as error:
                refused.append(str(error))
        if refused:
            raise Refused(" ".join(refused[:5]))

    async def _act(self, request: Request, act: Callable[[dict[str, str]], object]) -> Response:
        """Do it, then answer with the changed pieces, or lead a browser without script back to the page."""
        live = request.headers.get("x-live") == "1"
        try:
            act(await _form(request))
        except (Refused, Notes2SheetError) as error:
            told = urlencode({"note": str(error)})
            return PlainTextResponse(str(error), 409) if live else RedirectResponse(f"/?{told}", 303)
        return HTMLResponse(self.pages.live()) if live else RedirectResponse("/", 303)


def make_app(desk: Desk, port: int, token: str) -> Guard:
    """The ASGI application of one review."""
    at = Endpoints(desk)
    routes = [
        Route("/", at.page),
        Route("/edit", at.edit, methods=["POST"]),
        Route("/flag", at.flag, methods=["POST"]),
        Route("/finish", at.finish, methods=["POST"]),
        Route("/words/{part}", at.words),
        Route("/{name}", at.file),
    ]
    return Guard(Starlette(routes=routes), port, token)


def _handed_on(desk: Desk, name: str) -> Response:
    """The corrected sheet in one of the forms in which it is handed on, as a download."""
    from importlib import import_module

    head, _, kind = name.rpartition(".")
    if head != "sheet" or kind not in MEDIA:
        return PlainTextResponse("Not found.", 404)
    signed = desk.finished
    try:
        render = import_module(f"notes2sheet.outputs.{'text' if kind == 'txt' else kind}").render
        body = render(desk.corrected.sheet, judge=str(signed.new) if signed else None)
    except Notes2SheetError as error:
        return PlainTextResponse(str(error), 404)
    return Response(
        body, media_type=MEDIA[kind], headers={"content-disposition": f'attachment; filename="sheet.{kind}"'}
    )


def listen() -> socket.socket:
    """A socket on a free port of the loopback address."""
    opened = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    opened.bind(("127.0.0.1", 0))
    return opened


def serve(desk: Desk, opened: Any = None) -> None:
    """Serve the review until stopped; `opened(link)` is told the one-time link."""
    import uvicorn

    sock, token = listen(), secrets.token_urlsafe(24)
    port = sock.getsockname()[1]
    app = make_app(desk, port, token)
    server = uvicorn.Server(
        uvicorn.Config(app, log_level="error", access_log=False, lifespan="off", server_header=False)
    )
    sock.listen(16)
    if opened is not None:
        opened(f"http://127.0.0.1:{port}/?token={token}")
    with suppress(KeyboardInterrupt):
        server.run(sockets=[sock])
