"""Starting the page: on this machine only, or shared on the network with a link that holds a token."""

from __future__ import annotations

import io
import secrets
import socket
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlencode

from timbrel.web.guard import LOOPBACK, Door
from timbrel.words import Message, TimbrelError, say

PORT = 8470
LAST_PORT = PORT + 20


@dataclass(frozen=True)
class Place:
    """Where the page answers. link: what a reader opens; token: in it, when it is shared."""

    host: str
    port: int
    link: str
    token: str

    @property
    def door(self) -> Door:
        """Who may come in here: anyone with the token, or this machine's own names."""
        if not self.token:
            return Door(LOOPBACK)
        return Door(frozenset(), self.token, self.link.partition("/?")[0])

    @property
    def at_home(self) -> str:
        """The same page for this machine's own browser, where the master sits."""
        return f"http://127.0.0.1:{self.port}/?{urlencode({'token': self.token})}"


def place_of(share: bool, port: int | None) -> Place:
    """Where to answer. Raises TimbrelError when the port is taken."""
    host = "0.0.0.0" if share else "127.0.0.1"
    chosen = _free_port(host, port)
    token = secrets.token_urlsafe(24) if share else ""
    seen = _own_address() if share else "127.0.0.1"
    query = f"?{urlencode({'token': token})}" if token else ""
    return Place(host, chosen, f"http://{seen}:{chosen}/{query}", token)


def qr_text(link: str) -> str:
    """The link as a QR code of letters, for the terminal."""
    import segno

    out = io.StringIO()
    segno.make(link, error="m").terminal(out, compact=True)
    return out.getvalue()


def told(place: Place) -> tuple[Message, ...]:
    """What is said when the page opens."""
    opened = say("The page is open: {link}", link=place.link)
    if not place.token:
        return (opened, say("It answers this machine only. Stop it with Ctrl-C."))
    return (
        opened,
        say(
            "Whoever has this link, or the code below, can read and change the jobs while the "
            "page is open. It is not encrypted: share it on a network that you trust."
        ),
        say(
            "At this machine open {link}: there one is the master of the records, and makes the "
            "links for the crew.",
            link=place.at_home,
        ),
    )


def serve(jobs: Path, place: Place) -> None:
    """Answer until stopped."""
    import uvicorn

    from timbrel.web.server import create_app

    app = create_app(jobs, place.door)
    uvicorn.run(app, host=place.host, port=place.port, log_level="warning", server_header=False)


def _free_port(host: str, port: int | None) -> int:
    for tried in (port,) if port else range(PORT, LAST_PORT):
        with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                probe.bind((host, tried))
            except OSError:
                continue
            return tried
    raise TimbrelError(
        say("Port {port} is taken; give another with --port.", port=port or PORT), key="port"
    )


def _own_address() -> str:
    """This machine's address on its network; no packet is sent to find it (RFC 5737 address)."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))
        except OSError:
            return "127.0.0.1"
        return str(probe.getsockname()[0])
