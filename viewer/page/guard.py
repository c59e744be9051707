"""Who may talk to the page: this machine's own browser with this run's token, and nobody else.

Every answer carries a strict content-security policy: scripts, styles and pictures come from the
server itself, nothing stands inline, no address outside is ever asked.
"""

import hmac
import secrets
from collections.abc import Awaitable, Callable
from dataclasses import dataclass, field
from typing import Final

from starlette.requests import Request
from starlette.responses import JSONResponse, PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

POLICY: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; "
    "connect-src 'self'; font-src 'self'; form-action 'none'; base-uri 'none'; "
    "frame-ancestors 'none'"
)
PAPER_POLICY: Final = (  # a book carries its own style; it runs nothing and asks for nothing
    "default-src 'none'; style-src 'unsafe-inline'; img-src 'self' data:; sandbox; "
    "form-action 'none'; base-uri 'none'; frame-ancestors 'none'"
)
HEADERS: Final = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
    "Cache-Control": "no-cache",
}
MOST_BYTES: Final = 1_000_000  # of an ask
MOST_PHOTO_BYTES: Final = 20_000_000
LOOPBACK: Final = ("127.0.0.1", "localhost")
NO_TOKEN: Final = (
    "This page belongs to the coaming that printed its address: open the address it printed."
)
Next = Callable[[Request], Awaitable[Response]]


@dataclass(frozen=True, slots=True)
class Guard:
    """What one run lets in."""

    port: int
    token: str = field(default_factory=lambda: secrets.token_urlsafe(24))

    @property
    def cookie(self) -> str:
        """The cookie's name: each run of a machine has its own port."""
        return f"coaming_{self.port}"

    @property
    def address(self) -> str:
        """What the browser opens first."""
        return f"http://127.0.0.1:{self.port}/?token={self.token}"

    def refusal(self, request: Request) -> Response | None:
        """Why a request is not let in; None where it is."""
        host = request.headers.get("host", "")
        if host not in {f"{name}:{self.port}" for name in LOOPBACK}:
            return PlainTextResponse("This server answers its own machine only.", 421)
        origin = request.headers.get("origin")
        if origin is not None and origin != f"http://{host}":
            return PlainTextResponse("Asked from another page: refused.", 403)
        if request.headers.get("sec-fetch-site", "same-origin") not in ("same-origin", "none"):
            return PlainTextResponse("Asked from another page: refused.", 403)
        given = request.query_params.get("token")
        if request.method == "GET" and request.url.path == "/" and given is not None:
            return self._welcome(given)
        if not self._same(request.cookies.get(self.cookie, "")):
            if request.url.path == "/":
                return PlainTextResponse(NO_TOKEN, 403)
            return JSONResponse({"words": [NO_TOKEN]}, 403)
        return None

    def _same(self, given: str) -> bool:
        return hmac.compare_digest(given.encode("utf-8"), self.token.encode("utf-8"))

    def _welcome(self, given: str) -> Response:
        if not self._same(given):
            return PlainTextResponse(NO_TOKEN, 403)
        answer = RedirectResponse("/", 303)
        answer.set_cookie(self.cookie, self.token, httponly=True, samesite="strict", path="/")
        return answer


@dataclass(slots=True)
class Guarded:
    """The application behind its guard."""

    app: ASGIApp
    guard: Guard

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request in or refuse it; every answer gets the headers."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                have = {k.lower() for k, _ in message["headers"]}
                message["headers"] = [
                    *message["headers"],
                    *(
                        (k.lower().encode(), v.encode())
                        for k, v in HEADERS.items()
                        if k.lower().encode() not in have
                    ),
                ]
            await send(message)

        refused = self.guard.refusal(Request(scope))
        if refused is not None:
            await refused(scope, receive, with_headers)
            return
        await self.app(scope, receive, with_headers)


async def body_of(request: Request, most: int = MOST_BYTES) -> bytes | None:
    """The body of a request; None for one that is too large, which is read no further."""
    said = request.headers.get("content-length", "0")
    if not said.isdigit() or int(said) > most:
        return None
    data = bytearray()
    async for part in request.stream():
        data += part
        if len(data) > most:
            return None
    return bytes(data)
