"""Who may ask the page for anything, how much, and what every answer carries."""

from __future__ import annotations

from collections.abc import Iterable

from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

MOST_QUERY_BYTES, MOST_BODY_BYTES = 32 * 1024, 512 * 1024

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "cache-control": "no-store",
}
_SITES = ("same-origin", "none")
"""What a browser says of a request of this page, or of one that was typed or bookmarked."""


class Guard:
    """Lets through what this machine's own page asks, and puts the headers on every answer.

    Args:
        app: what answers.
        hosts: names with port under which the page is served.
    """

    def __init__(self, app: ASGIApp, hosts: Iterable[str]) -> None:
        self.app = app
        self.hosts = frozenset(hosts)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                MutableHeaders(scope=message).update(HEADERS)
            await send(message)

        refused = self._refused(scope)
        if refused is not None:
            await PlainTextResponse(refused[1], refused[0])(scope, receive, with_headers)
            return
        await self.app(scope, _limited(receive), with_headers)

    def _refused(self, scope: Scope) -> tuple[int, str] | None:
        """Status and words for what is not let through."""
        headers = Headers(scope=scope)
        if headers.get("host", "") not in self.hosts:
            return 421, "This page answers on this machine only.\n"
        origin, site = headers.get("origin"), headers.get("sec-fetch-site")
        ours = origin in {None, *(f"http://{host}" for host in self.hosts)}
        # a form of a page that tells no referrer is sent with the origin "null"; only the browser can vouch for it
        ours = ours or (origin == "null" and site == "same-origin")
        if not ours or (site is not None and site not in _SITES):
            return 403, "Another page may not ask this one.\n"
        if len(scope["query_string"]) > MOST_QUERY_BYTES:
            return 414, "The address is too long.\n"
        length = headers.get("content-length", "0")
        if not length.isdigit() or int(length) > MOST_BODY_BYTES:
            return 413, "That is more than the page takes.\n"
        return None


def _limited(receive: Receive) -> Receive:
    """Counts what streams in, whatever the request said of its length."""
    taken = 0

    async def counted() -> Message:
        nonlocal taken
        message = await receive()
        taken += len(message.get("body", b""))
        if taken > MOST_BODY_BYTES:
            raise HTTPException(413, "That is more than the page takes.")
        return message

    return counted
