"""The site on loopback, served from one state of it in memory, and the stream that tells of news.

The only door to uvicorn and starlette. Nothing is looked for on the disk by an address: an address
is a key of a table, or there is nothing there.
"""

from __future__ import annotations

import asyncio
import mimetypes
import os
import resource
import secrets
import socket
from contextlib import nullcontext
from typing import TYPE_CHECKING, Final
from urllib.parse import quote

import uvicorn
from starlette.requests import Request
from starlette.responses import Response, StreamingResponse
from uvicorn.protocols.http.h11_impl import H11Protocol

from sitegen.pages.files import open_inside
from sitegen.preview.edition import Copied, Edition, Later
from sitegen.preview.overlay import EVENTS, laid_over, own_files, stand_in
from sitegen.preview.panel import Panel
from sitegen.preview.thread import in_thread

if TYPE_CHECKING:
    from collections.abc import AsyncIterator
    from contextlib import AbstractContextManager
    from pathlib import Path

    from starlette.types import Receive, Scope, Send

LOOPBACK: Final = "127.0.0.1"

PORTS: Final = 50
"""How many ports are tried, one after another."""

LARGEST_HEAD: Final = 16 * 1024
"""Bytes of a request's line and headers."""

LONGEST_WAIT: Final = 10
"""Seconds that a client may take to send them, and to take anything of an answer."""

PIECE: Final = 64 * 1024
"""Bytes of a file that are sent at a time."""

MOST_CONNECTIONS: Final = 240
"""Connections at a time: a hundred pages that listen, and as many that load."""

OPEN_FILES: Final = 1024
"""Files that the process may open, if the system lets it: where systems are careful it is 256, and
of many clients that come at once all are taken in before the first can be left."""

BEAT: Final = 15
"""Seconds after which a stream with no news says so, and finds out who has gone."""

SAFE: Final = {
    "Cache-Control": "no-store",
    "Content-Security-Policy": "default-src 'self'; base-uri 'none'; form-action 'none'; "
    "frame-ancestors 'none'; object-src 'none'",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Referrer-Policy": "same-origin",
    "X-Content-Type-Options": "nosniff",
}
"""Headers of every answer. No header lets another origin read it."""


class PortsTaken(Exception):  # noqa: N818 - what happened
    """Every port tried is taken."""


def open_port(first: int) -> socket.socket:
    """A socket on loopback, at a port or the next one that is free.

    Args:
        first: the port; 0 is any that is free.

    Raises:
        PortsTaken: none of `PORTS` ports is.
    """
    for port in range(first, min(first + PORTS, 65536)):
        opened = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        # a port that this program has just left may be taken again at once
        opened.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        # else the system takes megabytes before it is seen that a client reads nothing
        opened.setsockopt(socket.SOL_SOCKET, socket.SO_SNDBUF, PIECE)
        try:
            opened.bind((LOOPBACK, port))
            opened.listen(128)
        except OSError:
            opened.close()
        else:
            return opened
    raise PortsTaken


class Pages:
    """Answers requests; an ASGI application.

    Attributes:
        edition: what is served; replaced whole.
    """

    def __init__(self, root: Path, port: int) -> None:
        """Serve nothing yet.

        Args:
            root: the content folder; no file outside it is read.
            port: the port it is served at.
        """
        self.edition = Edition()
        self._root = root
        self._hosts = {f"{name}:{port}" for name in (LOOPBACK, "localhost")}
        # an open page is of this run of the program, or has to be loaded anew
        self._run = secrets.token_hex(4)
        self._own = own_files()
        self._news = asyncio.Event()
        self._ended = False

    def publish(self, edition: Edition) -> None:
        """Serve another edition from now on, and tell every stream."""
        self.edition = edition
        self._wake_streams()

    def end(self) -> None:
        """End every stream."""
        self._ended = True
        self._wake_streams()

    def _wake_streams(self) -> None:
        self._news.set()
        self._news = asyncio.Event()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] == "http":
            answer = await self._answer(Request(scope))
            answer.headers.update(SAFE)
            await answer(scope, receive, send)

    async def _answer(self, request: Request) -> Response:
        # whoever calls this server by another name was sent by a page of another origin
        hosts = request.headers.getlist("host")
        if len(hosts) != 1 or hosts[0].lower() not in self._hosts:
            return Response("This server answers to its own name only.\n", 421)
        if request.method not in ("GET", "HEAD"):
            return Response("Only GET and HEAD.\n", 405, {"Allow": "GET, HEAD"})
        path = request.scope["path"]
        address = path.removeprefix("/")
        if not path.startswith("/"):
            return self._missing()
        if address == EVENTS:
            return self._stream(request)
        if address in self._own:
            return Response(self._own[address], media_type=_media_type(address))
        return await self._file(request, address)

    async def _file(self, request: Request, address: str) -> Response:
        edition = self.edition
        if address == "" or address.endswith("/"):
            address += "index.html"
        # what is not made yet is made now, which may take a moment
        item = await in_thread(lambda: edition.find(address))
        if item is None:
            if edition.find(f"{address}/index.html"):
                return Response(status_code=307, headers={"Location": f"/{quote(address)}/"})
            return self._missing()
        if isinstance(item.content, Copied):
            return await self._copied(request, address, item.content.path)
        content = item.content
        if isinstance(content, Later):
            content = await in_thread(content.make)
        if item.panel is None:
            return Response(content, media_type=_media_type(address))
        version = f"{self._run}.{item.since}"
        if content:
            page = laid_over(content, item.panel, version)
        else:
            page = stand_in("unread", item.panel, version)
        return Response(page, media_type="text/html", headers={"ETag": f'"{version}"'})

    async def _copied(self, request: Request, address: str, path: Path) -> Response:
        length = await asyncio.to_thread(_length, path, self._root)
        if length is None:
            return self._missing()
        head = {"Content-Length": str(length)}
        if request.method == "HEAD":
            return Response(headers=head, media_type=_media_type(address))
        pieces = _pieces(path, self._root, length)
        return StreamingResponse(pieces, headers=head, media_type=_media_type(address))

    def _missing(self) -> Response:
        """A page for an address with nothing to show."""
        kind, status, panel = "missing", 404, Panel()
        if self.edition.number == 0:
            kind, status = "starting", 503
        elif self.edition.other:
            panel = self.edition.other
        version = f"{self._run}.{kind}"
        page = stand_in(kind, panel, version)
        return Response(page, status, {"ETag": f'"{version}"'}, "text/html")

    def _stream(self, request: Request) -> Response:
        """News of new editions, to pages of this site alone."""
        origin = request.headers.get("origin")
        own = {f"http://{host}" for host in self._hosts}
        site = request.headers.get("sec-fetch-site", "same-origin")
        if (origin is not None and origin not in own) or site not in ("same-origin", "none"):
            return Response("Only pages of this server may listen.\n", 403)
        if request.method == "HEAD":
            return Response(media_type="text/event-stream")
        return StreamingResponse(self._events(), media_type="text/event-stream")

    async def _events(self) -> AsyncIterator[bytes]:
        """The number of each edition; whoever is slow gets the last one only."""
        yield b"retry: 500\n\n"
        told = None
        while not self._ended:
            news, number = self._news, self.edition.number
            if number != told:
                told = number
                yield b"event: site\ndata: %d\n\n" % number
                continue
            try:
                await asyncio.wait_for(news.wait(), BEAT)
            except TimeoutError:
                yield b": nothing new\n\n"


def _length(path: Path, root: Path) -> int | None:
    """Bytes of a file of the content folder; None where there is none, or none any more."""
    try:
        with open_inside(root, path.relative_to(root).as_posix()) as file:
            return os.fstat(file.fileno()).st_size
    except OSError:
        return None


def _piece(path: Path, root: Path, at: int, most: int) -> bytes:
    """A piece of a file, opened anew for each piece: a process may hold few files open."""
    try:
        with open_inside(root, path.relative_to(root).as_posix()) as file:
            file.seek(at)
            return file.read(most)
    except OSError:
        return b""


async def _pieces(path: Path, root: Path, length: int) -> AsyncIterator[bytes]:
    """A file piece by piece, so that slow clients fill no memory; it ends early if it was cut."""
    at = 0
    while at < length:
        piece = await asyncio.to_thread(_piece, path, root, at, min(PIECE, length - at))
        if not piece:
            return
        yield piece
        at += len(piece)


def _media_type(address: str) -> str:
    """What a file is, by its name."""
    return mimetypes.guess_type(address)[0] or "application/octet-stream"


class Patient(H11Protocol):
    """A connection that has its time to ask and to listen, and makes way when there are too many.

    It waits for its client until that has asked for something, and again where the system takes no
    more of an answer, since the client reads nothing.
    """

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Give a new client its time."""
        super().connection_made(transport)
        self._patience: asyncio.TimerHandle | None = None
        self._is_stuck = False
        self._wait()
        if len(self.connections) > MOST_CONNECTIONS:
            # whoever has been waited for longest, or else been answered longest; this one itself
            # makes way for pages that listen, and for nobody else
            known = [one for one in self.connections if isinstance(one, Patient)]
            others = [one for one in known if one.may_go and one is not self]
            first = min(others, key=lambda one: (not one.is_waiting, one.since), default=self)
            first.transport.abort()

    def connection_lost(self, exc: Exception | None) -> None:
        """Wait for this client no longer."""
        if self._patience:
            self._patience.cancel()
        super().connection_lost(exc)

    def on_response_complete(self) -> None:
        """Give the client its time for the next request."""
        super().on_response_complete()
        self._wait()

    def pause_writing(self) -> None:
        """Give a client that reads nothing its time."""
        super().pause_writing()
        self._is_stuck = True
        self._wait()

    def resume_writing(self) -> None:
        """Go on with a client that reads again."""
        super().resume_writing()
        self._is_stuck = False

    @property
    def is_waiting(self) -> bool:
        """Whether it is the client's turn: nothing is being answered, or nothing more is taken."""
        # None before the first request, whatever its type says
        is_idle = self.cycle is None or self.cycle.response_complete  # type: ignore[redundant-expr]
        return is_idle or self._is_stuck

    @property
    def may_go(self) -> bool:
        """Whether it is neither gone already nor an open page that listens."""
        listens = not self.is_waiting and self.cycle.scope["path"] == f"/{EVENTS}"
        return not listens and not self.transport.is_closing()

    def give_up(self) -> None:
        """Leave a client that has had its time."""
        if self.is_waiting:
            self.transport.abort()

    def _wait(self) -> None:
        if self._patience:
            self._patience.cancel()
        self.since = self.loop.time()
        self._patience = self.loop.call_later(LONGEST_WAIT, self.give_up)


class Server(uvicorn.Server):
    """A server with room for its clients, that leaves the signals to whoever started it."""

    async def serve(self, sockets: list[socket.socket] | None = None) -> None:
        """Serve, with room for every client."""
        least, most = resource.getrlimit(resource.RLIMIT_NOFILE)
        wanted = OPEN_FILES if most == resource.RLIM_INFINITY else min(OPEN_FILES, most)
        if 0 <= least < wanted:
            resource.setrlimit(resource.RLIMIT_NOFILE, (wanted, most))
        await super().serve(sockets)

    def capture_signals(self) -> AbstractContextManager[None]:  # type: ignore[override]
        """Leave the signals alone."""
        return nullcontext()


def server(pages: Pages) -> Server:
    """A server for these pages; `serve` it with a socket of `open_port`."""
    return Server(
        uvicorn.Config(
            pages,
            http=Patient,
            ws="none",
            loop="asyncio",
            lifespan="off",
            log_config=None,
            log_level="critical",
            access_log=False,
            proxy_headers=False,
            server_header=False,
            h11_max_incomplete_event_size=LARGEST_HEAD,
            timeout_graceful_shutdown=1,
        )
    )
