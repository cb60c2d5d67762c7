"""What stands at the door: who may come in, how much may be sent, what a page may load.

A page on another site must not be able to drive this server through the reader's browser. So the
Host header must name this machine (a name that was bent to point here is refused), and a request
that changes something must come from a page of this server (Origin). When the page is shared on
the network, every request needs the token of the link.
"""

from __future__ import annotations

import hmac
from collections.abc import Awaitable, Callable, MutableMapping
from dataclasses import dataclass
from http.cookies import CookieError, SimpleCookie
from typing import Any
from urllib.parse import parse_qs, urlsplit

Scope = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[MutableMapping[str, Any]]]
Send = Callable[[MutableMapping[str, Any]], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

LARGEST_BODY = 16 * 1024 * 1024 + 64 * 1024
COOKIE = "timbrel-token"
LOOPBACK = frozenset({"127.0.0.1", "localhost", "::1"})
SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS"})

IMPORT_MAP = (
    '{"imports": {"three": "/static/vendor/three.module.min.js", '
    '"orbit": "/static/vendor/OrbitControls.js", "timbrel/solid": "/static/solid.js", '
    '"timbrel/flat": "/static/flat.js", "timbrel/vault": "/static/vault.js"}}'
)
"""The one inline script of a page; the policy knows it by its hash."""


def _policy() -> str:
    import base64
    import hashlib

    mark = base64.b64encode(hashlib.sha256(IMPORT_MAP.encode()).digest()).decode()
    return (
        f"default-src 'none'; script-src 'self' 'sha256-{mark}'; style-src 'self'; "
        "img-src 'self' data: blob:; connect-src 'self'; font-src 'self'; form-action 'self'; "
        "frame-src 'self'; base-uri 'none'; frame-ancestors 'none'"
    )


HEADERS = [
    (b"content-security-policy", _policy().encode()),
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"same-origin"),
    (b"x-frame-options", b"DENY"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
]


@dataclass(frozen=True)
class Door:
    """Who may come in. hosts: names this server answers to (empty: any); token: of a shared link;
    address: where others on the network find it, ``http://name:port`` (empty: as the reader does)."""

    hosts: frozenset[str] = LOOPBACK
    token: str = ""
    address: str = ""


class Guard:
    """ASGI middleware: door, size of what is sent, and headers of what is answered."""

    def __init__(self, app: App, door: Door) -> None:
        self.app = app
        self.door = door

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        headers = {k.lower(): v.decode("latin-1") for k, v in scope["headers"]}
        refusal = self._refusal(scope, headers)
        if refusal:
            await _answer(send, *refusal)
            return
        new_cookie = self._token_in_link(scope)
        limited = _Limited(receive)

        async def send_guarded(message: MutableMapping[str, Any]) -> None:
            if message["type"] == "http.response.start":
                own = {name.lower() for name, _ in message["headers"]}
                message["headers"] = [
                    *message["headers"],
                    *((name, value) for name, value in HEADERS if name not in own),
                ]
                if new_cookie:
                    cookie = f"{COOKIE}={self.door.token}; HttpOnly; SameSite=Strict; Path=/"
                    message["headers"].append((b"set-cookie", cookie.encode()))
            await send(message)

        try:
            await self.app(scope, limited, send_guarded)
        except _TooLargeError:
            await _answer(send, 413, "What was sent is larger than 16 MB.")

    def _refusal(self, scope: Scope, headers: dict[bytes, str]) -> tuple[int, str] | None:
        host = headers.get(b"host", "")
        name = urlsplit(f"//{host}").hostname or "" if _plain_host(host) else ""
        if self.door.hosts and name not in self.door.hosts:
            return 421, "This server does not answer to that name."
        if self.door.token and not self._has_token(scope, headers):
            return 403, "Open the link, or the QR code, that the server printed."
        if scope["method"] not in SAFE_METHODS:
            origin = headers.get(b"origin")
            site = headers.get(b"sec-fetch-site")
            other_origin = origin is not None and urlsplit_netloc(origin) != host
            if other_origin or site in ("cross-site", "same-site"):
                return 403, "A page of another site may not change a job."
        length = headers.get(b"content-length", "0")
        if not length.isdigit() or int(length) > LARGEST_BODY:
            return 413, "What was sent is larger than 16 MB."
        return None

    def _has_token(self, scope: Scope, headers: dict[bytes, str]) -> bool:
        try:
            jar = SimpleCookie(headers.get(b"cookie", ""))
        except CookieError:
            jar = SimpleCookie()
        kept = jar[COOKIE].value if COOKIE in jar else ""
        return self._same(kept) or self._token_in_link(scope)

    def _token_in_link(self, scope: Scope) -> bool:
        if not self.door.token:
            return False
        query = parse_qs(scope.get("query_string", b"").decode("latin-1"))
        return self._same(query.get("token", [""])[0])

    def _same(self, given: str) -> bool:
        return hmac.compare_digest(given.encode(), self.door.token.encode())


def urlsplit_netloc(origin: str) -> str:
    """The host and port of an origin; nothing when it is not one."""
    try:
        return urlsplit(origin).netloc
    except ValueError:
        return ""


def _plain_host(host: str) -> bool:
    try:
        urlsplit(f"//{host}").port  # noqa: B018 - reading it checks it
    except ValueError:
        return False
    return True


class _TooLargeError(Exception):
    pass


class _Limited:
    """Counts what is received, for a sender that does not say how much it will send."""

    def __init__(self, receive: Receive) -> None:
        self.receive = receive
        self.seen = 0

    async def __call__(self) -> MutableMapping[str, Any]:
        message = await self.receive()
        self.seen += len(message.get("body", b""))
        if self.seen > LARGEST_BODY:
            raise _TooLargeError
        return message


async def _answer(send: Send, status: int, sentence: str) -> None:
    body = sentence.encode()
    headers = [
        (b"content-type", b"text/plain; charset=utf-8"),
        (b"content-length", str(len(body)).encode()),
        *HEADERS,
    ]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": body})
