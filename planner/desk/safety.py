"""Who may speak to the desk: a browser on this computer that was given the address with its token, and nobody else."""

import secrets

from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.requests import cookie_parser
from starlette.responses import HTMLResponse, PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

COOKIE = "desk"
SAFE_METHODS = ("GET", "HEAD")
OWN_SITE = ("same-origin", "none")  # of Sec-Fetch-Site: our own pages, or the coach's own hand
# our choice: above the largest log that is read, so that its reader says what is wrong; recordings are larger
UPLOAD_BYTES_MOST, RECORDINGS_BYTES_MOST = 12_000_000, 400_000_000
OWN = ("style-src", "script-src", "img-src", "connect-src", "form-action")
OURS = " ".join(f"{what} 'self';" for what in OWN)
PAGES = f"default-src 'none'; {OURS} base-uri 'none'; frame-ancestors 'none'"
# A PDF is shown by the browser's own viewer; a paper that stands in for one carries its style, fonts and drawings.
PAPERS = "default-src 'none'; object-src 'self'; style-src 'unsafe-inline'; img-src data:; font-src data:; frame-ancestors 'none'"
# Referrer-Policy: with no-referrer a browser sends no Origin that can be checked
SAME_ORIGIN = ("Cross-Origin-Opener-Policy", "Cross-Origin-Resource-Policy", "Referrer-Policy")
HEADERS = {"Cache-Control": "no-store", "X-Content-Type-Options": "nosniff"}
HEADERS |= dict.fromkeys(SAME_ORIGIN, "same-origin")
NOT_YOURS = "This page is the coach's alone. Open the address that `planner desk` printed; it opens once."
# A page, not a redirect: its own next request is the same site's wherever the first one was clicked.
WELCOME = """<!doctype html><meta charset="utf-8"><link rel="icon" href="/desk.svg">
<meta http-equiv="refresh" content="0;url=/"><a href="/">To the desk</a>"""


class Guard:
    """ASGI middleware: Host, origin, token and cookie, size, headers (issue of a local server's safety). `host`: host
    and port that the server is bound to. The token opens once and gives the cookie."""

    def __init__(self, app: ASGIApp, host: str, token: str) -> None:
        self.app, self.host = app, host
        self.token: str | None = token
        self.key = secrets.token_urlsafe(32)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through, or answer it here."""
        if scope["type"] != "http":
            return
        headers, send = Headers(scope=scope), _with_headers(send)
        keys = [cookie_parser(text).get(COOKIE, "") for text in headers.getlist("cookie")]
        if headers.getlist("host") != [self.host] or not self._same_site(scope["method"], headers):
            await PlainTextResponse(NOT_YOURS, 403)(scope, receive, send)
        elif scope["method"] == "GET" and self._same(str(scope["path"]).removeprefix("/open/"), self.token):
            self.token = None
            page = HTMLResponse(WELCOME)
            page.set_cookie(COOKIE, self.key, httponly=True, samesite="strict", path="/")
            await page(scope, receive, send)
        elif not any(self._same(key, self.key) for key in keys):
            await PlainTextResponse(NOT_YOURS, 403)(scope, receive, send)
        else:
            await self._limited(scope, receive, send)

    def _same_site(self, method: str, headers: Headers) -> bool:
        if method in SAFE_METHODS:
            return True
        site = headers.get("sec-fetch-site")
        return site in OWN_SITE if site is not None else headers.get("origin") == f"http://{self.host}"

    @staticmethod
    def _same(given: str, secret: str | None) -> bool:
        return secret is not None and secrets.compare_digest(given.encode(), secret.encode())

    async def _limited(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Hand the request on, counting what it brings."""
        taken, recordings = 0, scope["path"].startswith("/measure/")
        most = RECORDINGS_BYTES_MOST if recordings else UPLOAD_BYTES_MOST

        async def counted() -> Message:
            nonlocal taken
            message = await receive()
            taken += len(message.get("body", b""))
            if taken > most:
                raise HTTPException(413, f"More than {most // 1_000_000} MB: nothing was taken in.")
            return message

        await self.app(scope, counted, send)


def _with_headers(send: Send) -> Send:
    """Set the headers of every answer, whoever makes it; a paper is shown with the policy for papers."""

    async def sent(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            headers.update(HEADERS)
            headers["Content-Security-Policy"] = PAPERS if "Content-Disposition" in headers else PAGES
        await send(message)

    return sent
