"""What the server refuses, and what nobody can make it wait for."""

from __future__ import annotations

import asyncio
import re
import resource
import socket
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, Final

import pytest

from preview.previewing import PAGE, PATIENCE, Preview, fill, until
from sitegen.preview import server as serving
from sitegen.preview.edition import Copied, Edition, Item, Rest

if TYPE_CHECKING:
    from collections.abc import Awaitable, Callable, Iterator

    from preview.previewing import Start

LARGE: Final = 50_000_000

PIECES: Final = bytes(range(256)) * 1001
"""A file that is sent in several pieces, the last one shorter."""

FEW_FILES: Final = 256
"""What a process may open on macOS where nobody has raised it (launchd; from memory)."""


@contextmanager
def few_files() -> Iterator[None]:
    """What is started within may open few files, unless it asks for more."""
    least, most = resource.getrlimit(resource.RLIMIT_NOFILE)
    resource.setrlimit(resource.RLIMIT_NOFILE, (FEW_FILES, most))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_NOFILE, (least, most))


@pytest.fixture(scope="module")
def preview(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Preview]:
    """One for all of these tests: whatever was asked of it, it goes on answering.

    It may open as few files as where systems are careful.
    """
    content = fill(tmp_path_factory.mktemp("hardening") / "content")
    with few_files():
        begun = Preview.start(content, "--port", "0")
    begun.built()
    least, _ = resource.prlimit(begun.process.pid, resource.RLIMIT_NOFILE)
    assert least >= 2 * serving.MOST_CONNECTIONS, "it asks for more"
    yield begun
    begun.stop()


def test_it_listens_on_loopback_alone(preview: Preview) -> None:
    # 127.0.0.2 is loopback too on Linux, and another address than the one bound
    table = [row.split() for row in open("/proc/net/tcp", encoding="ascii")]  # noqa: SIM115, PTH123
    port = f":{preview.port:04X}"
    listening = [row[1] for row in table if row[1].endswith(port) and row[3] == "0A"]
    assert listening == [f"0100007F{port}"]  # 127.0.0.1, as proc(5) writes it


@pytest.mark.parametrize("name", ["127.0.0.1", "localhost", "LOCALHOST"])
def test_its_own_names_are_answered(preview: Preview, name: str) -> None:
    assert preview.get("/", host=f"{name}:{preview.port}").status == 200


@pytest.mark.parametrize(
    "host",
    [
        "evil.example",
        "evil.example:{port}",
        "127.0.0.1",
        "localhost:1",
        "127.0.0.1:{port}.evil.example",
        "127.0.0.1.evil.example:{port}",
        "localhost.:{port}",
        "localhost:0{port}",
        "localhost:{port},evil.example",
        "evil.example@localhost:{port}",
        "[::1]:{port}",
        "127.1:{port}",
        "2130706433:{port}",
        "0x7f.0.0.1:{port}",
        "0.0.0.0:{port}",
    ],
)
def test_any_other_host_is_refused(preview: Preview, host: str) -> None:
    """DNS rebinding: a foreign name that leads to loopback (421: RFC 9110, 15.5.20)."""
    for target in ("/", "/page.html", "/.preview/events"):
        answer = preview.get(target, host=host.format(port=preview.port))
        assert answer.status == 421
        assert b"Four turns" not in answer.body


def test_no_host_or_two_are_refused(preview: Preview) -> None:
    own = f"Host: 127.0.0.1:{preview.port}\r\n"
    for hosts in ("", own * 2, own + "Host: evil.example\r\n"):
        answer = preview.raw(f"GET / HTTP/1.1\r\n{hosts}Connection: close\r\n\r\n".encode())
        assert answer.status in (400, 421), hosts


@pytest.mark.parametrize(
    "target",
    [
        "/../secret.txt",
        "/sub/../../secret.txt",
        "/%2e%2e/secret.txt",
        "/%2E%2E%2Fsecret.txt",
        "/..%2fsecret.txt",
        "/..%5csecret.txt",
        "/..\\secret.txt",
        "/%252e%252e%252fsecret.txt",
        "/%c0%ae%c0%ae/secret.txt",
        "/%c0%ae%c0%ae%c0%afsecret.txt",
        "/%uff0e%uff0e/secret.txt",
        "/....//secret.txt",
        "/.%00./secret.txt",
        "/secret.txt%00.html",
        "//secret.txt",
        "/./../secret.txt",
        "{whole}",
        "/{whole}",
        "/file://{whole}",
        "http://127.0.0.1/../secret.txt",
        "/site.toml",
        "/page.md",
        "/.preview/../page.md",
        "/.preview/panel.html",
        "/sub/a%20name.txt/..",
        "http://evil.example/page.html",
        "//evil.example/page.html",
        "page.html",
        "*",
        "/sub/..%2f..%2f..%2fsecret.txt",
        "/{long}secret.txt",
        "/%",
        "/%00",
        "/.sitegen-files",
    ],
)
def test_nothing_outside_the_site_is_served(preview: Preview, target: str) -> None:
    secret = preview.folder.parent / "secret.txt"
    answer = preview.get(target.format(whole=secret, long="../" * 3000))
    assert answer.status in (400, 404)
    assert b"a secret" not in answer.body
    assert b'Lantern Lane"' not in answer.body


def test_a_file_made_a_link_out_of_the_folder_is_not_served(
    start: Start, content: Path, tmp_path: Path
) -> None:
    preview = start().built()
    named = content / "sub" / "a name.txt"
    assert preview.text_of("/sub/a%20name.txt") == "beside\n"
    named.unlink()
    named.symlink_to(tmp_path / "secret.txt")
    for _ in range(20):  # before the change is seen, and after
        assert b"a secret" not in preview.get("/sub/a%20name.txt").body
        time.sleep(0.01)
    until(lambda: "out of the content folder" in preview.text, "the problem told")


MARK: Final = "<x-mark onclick=go>"

HOSTILE: Final = f"""# Hostile {MARK}

```moves {MARK}
title: {MARK}
moves: R U R' U // {MARK}
{MARK}: {MARK}
check: {MARK}
```

```moves one
moves: R U R' U // {MARK}
check: order 6
```

`R U R3 {MARK}` [x]({MARK.replace(" ", "")})
"""


def test_what_is_laid_over_a_page_is_text(start: Start, content: Path) -> None:
    """What is quoted of a broken page, there and on others, as HTML escapes it."""
    (content / "page.md").write_text(HOSTILE, "utf-8")
    (content / "other.md").write_text(HOSTILE.replace("Hostile", "Other"), "utf-8")
    preview = start().built()
    for address in ("/page.html", "/sub/", "/", "/nowhere"):
        text = preview.get(address).body.decode()
        assert "<x-mark" not in text, address
    text = preview.get("/page.html").body.decode()
    assert text.count("&lt;x-mark") > 4, "it is all quoted there"
    assert "Other &lt;x-mark" in text, "and told of the other page"


def test_folders_lead_to_their_index(preview: Preview) -> None:
    assert ">Below</h1>" in preview.text_of("/sub/")
    moved = preview.get("/sub")
    assert moved.status == 307
    assert "location: /sub/\r\n" in moved.head.lower() + "\r\n"
    assert "Lantern Lane" in preview.text_of("/")


def test_a_page_that_stands_in_for_another_finds_what_it_links_to(preview: Preview) -> None:
    page = preview.get("/nowhere")
    assert page.status == 404
    linked = re.findall(r'(?:href|src)="(/[^"]*)"', page.body.decode())
    assert any(target.endswith(".css") for target in linked)
    assert {target: preview.get(target).status for target in linked} == dict.fromkeys(linked, 200)


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "OPTIONS", "PATCH", "TRACE", "BREW"])
def test_only_reading_is_allowed(preview: Preview, method: str) -> None:
    answer = preview.get("/", method=method)
    assert answer.status == 405
    assert "allow: get, head" in answer.head.lower()


def test_head_answers_as_get_does_without_the_body(preview: Preview) -> None:
    got, head = preview.get("/page.html"), preview.get("/page.html", method="HEAD")
    assert (head.status, head.body) == (200, b"")

    def fields(text: str) -> list[str]:
        return [line for line in text.split("\r\n") if not line.startswith("date:")]

    assert fields(head.head) == fields(got.head)


@pytest.mark.parametrize("target", ["/", "/nowhere", "/search-index.js", "/.preview/preview.js"])
def test_every_answer_is_strict(preview: Preview, target: str) -> None:
    """CSP level 3; Fetch (`Cross-Origin-Resource-Policy`, `nosniff`); Referrer Policy."""
    head = preview.get(target, "Origin: http://evil.example").head.lower()
    fields = dict(line.split(": ", 1) for line in head.split("\r\n")[1:])
    closed = ("base-uri", "form-action", "frame-ancestors", "object-src")
    policy = fields["content-security-policy"].split("; ")
    assert sorted(policy) == sorted(["default-src 'self'", *(f"{one} 'none'" for one in closed)])
    assert fields["cross-origin-resource-policy"] == "same-origin"
    assert fields["referrer-policy"] == "same-origin"
    assert fields["cache-control"] == "no-store"
    assert fields["x-content-type-options"] == "nosniff"
    assert "access-control-" not in head


@pytest.mark.parametrize(
    "header",
    [
        "Origin: http://evil.example",
        "Origin: null",
        "Sec-Fetch-Site: cross-site",
        "Sec-Fetch-Site: same-site",
    ],
)
def test_no_foreign_page_listens(preview: Preview, header: str) -> None:
    assert preview.get("/.preview/events", header).status == 403


def test_a_head_too_long_is_refused(preview: Preview) -> None:
    answer = preview.get("/", "X: " + "x" * 200_000)
    assert answer.status in (0, 400, 431)
    assert preview.get("/").status == 200


def opened(preview: Preview, first: bytes) -> socket.socket:
    client = socket.create_connection(("127.0.0.1", preview.port), PATIENCE)
    client.sendall(first)
    return client


def test_clients_that_never_ask_do_not_stall_it(preview: Preview) -> None:
    """More of them than it has room for: half-open, half a request, and nobody who reads."""
    beginnings = (b"", b"GET / HTTP/1.1\r\nHost:", b"G")
    clients = [opened(preview, beginnings[number % 3]) for number in range(400)]
    try:
        for _ in range(5):
            assert preview.get("/page.html").status == 200
    finally:
        for client in clients:
            client.close()


def test_a_client_that_does_not_read_stalls_nobody(preview: Preview) -> None:
    ask = f"GET /page.html HTTP/1.1\r\nHost: 127.0.0.1:{preview.port}\r\n\r\n".encode()
    clients = [opened(preview, ask * 50) for _ in range(20)]
    try:
        assert preview.get("/page.html").status == 200
    finally:
        for client in clients:
            client.close()


def test_clients_that_read_nothing_of_a_large_file(start: Start, content: Path) -> None:
    """More of them than it has room for, and of the file than the memory is to hold so often."""
    with (content / "large.bin").open("wb") as file:
        file.truncate(LARGE)
    (content / "pieces.bin").write_bytes(PIECES)
    with few_files():
        preview = start()
    preview.built()
    ask = f"GET /large.bin HTTP/1.1\r\nHost: 127.0.0.1:{preview.port}\r\n\r\n".encode()
    clients = []

    def is_answered() -> bool:
        with suppress(ConnectionError):
            return preview.get("/page.html").status == 200
        return False

    try:
        for _ in range(3):  # the first ones wait already when the next come
            clients += [opened(preview, ask) for _ in range(300)]
            until(is_answered, "a page, as soon as it is seen that nobody reads")
        # proc(5); a site of three pages takes some 70 MB
        status = Path(f"/proc/{preview.process.pid}/status").read_text("ascii")
        held = int(status.split("VmRSS:")[1].split()[0]) * 1024
        assert held < 4 * LARGE
    finally:
        for client in clients:
            client.close()
    assert preview.get("/pieces.bin").body == PIECES
    head = preview.get("/large.bin", method="HEAD")
    assert (head.status, head.body) == (200, b"")
    assert f"content-length: {LARGE}" in head.head.lower()


def served(folder: Path, meet: Callable[[serving.Server, int], Awaitable[None]]) -> None:
    """Serve one large file from this very process, and meet the server as a client."""
    large = folder / "large.bin"
    with large.open("wb") as file:
        file.truncate(LARGE)
    item = Item(Copied(large, (0, 0)), None, 1)

    async def serve() -> None:
        listening = serving.open_port(0)
        port = listening.getsockname()[1]
        pages = serving.Pages(folder, port)
        pages.publish(Edition(1, {"large.bin": item}))
        server = serving.server(pages)
        serves = asyncio.create_task(server.serve(sockets=[listening]))
        await meet(server, port)
        server.should_exit = True
        pages.end()
        await serves

    # a browser that other tests have open keeps an event loop running in the main thread
    with ThreadPoolExecutor(1) as thread:
        thread.submit(asyncio.run, asyncio.wait_for(serve(), PATIENCE)).result()


def test_what_is_being_made_for_a_client_keeps_no_preview_from_ending(content: Path) -> None:
    begun, enough, done = threading.Event(), threading.Event(), threading.Event()

    def make() -> dict[str, bytes]:
        begun.set()
        enough.wait(PATIENCE)
        done.set()
        return {}

    async def serve() -> None:
        listening = serving.open_port(0)
        port = listening.getsockname()[1]
        pages = serving.Pages(content, port)
        pages.publish(Edition(1, {}, Rest("", make)))
        serves = asyncio.create_task(serving.server(pages).serve(sockets=[listening]))
        _, client = await asyncio.open_connection("127.0.0.1", port)
        client.write(f"GET /cards.html HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\n\r\n".encode())
        await asyncio.to_thread(begun.wait, PATIENCE)
        serves.cancel()

    with ThreadPoolExecutor(1) as thread:
        thread.submit(asyncio.run, asyncio.wait_for(serve(), PATIENCE)).result()
    assert not done.is_set()
    enough.set()


async def become(server: serving.Server, is_so: Callable[[int], bool]) -> None:
    """Wait until the server has so many connections."""
    while not is_so(len(server.server_state.connections)):  # noqa: ASYNC110 - it has no event
        await asyncio.sleep(0.01)


LEFT: Final = {
    "half-open": "",
    "half a request": "GET / HTTP/1.1\r\nHost:",
    "reads nothing": "GET /large.bin HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\n\r\n",
}


@pytest.mark.parametrize("client", LEFT)
def test_whoever_takes_too_long_is_left(
    client: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Also where there is room for more: nobody keeps a connection for nothing."""
    monkeypatch.setattr(serving, "LONGEST_WAIT", 0.2)

    async def meet(server: serving.Server, port: int) -> None:
        with socket.create_connection(("127.0.0.1", port)) as waiting:
            waiting.sendall(LEFT[client].format(port=port).encode())
            await become(server, lambda count: count == 1)
            await become(server, lambda count: count == 0)

    served(tmp_path, meet)


def test_the_crowd_makes_room_and_open_pages_stay(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """However long it may take: there are never more connections than there may be."""
    monkeypatch.setattr(serving, "LONGEST_WAIT", 10 * PATIENCE)
    ask = "GET /.preview/events HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\n\r\n"
    seen: list[serving.Patient] = []
    taken_in = serving.Patient.connection_made

    def counted(one: serving.Patient, transport: asyncio.Transport) -> None:
        seen.append(one)
        taken_in(one, transport)

    monkeypatch.setattr(serving.Patient, "connection_made", counted)

    async def meet(server: serving.Server, port: int) -> None:
        def come(what: str, count: int) -> list[socket.socket]:
            clients = [socket.create_connection(("127.0.0.1", port)) for _ in range(count)]
            for client in clients:
                client.sendall(what.format(port=port).encode())
            return clients

        streams = come(ask, 100)
        await become(server, lambda count: count == len(streams))
        crowd = []
        for what in (*LEFT.values(), ask, ask):
            crowd += come(what, 150)
            while len(seen) < len(streams) + len(crowd):  # noqa: ASYNC110 - it has no event
                await asyncio.sleep(0.01)
            await become(server, lambda count: count <= serving.MOST_CONNECTIONS)
        for stream in streams:
            stream.setblocking(False)
            assert b"event: site" in stream.recv(LARGE)
            with pytest.raises(BlockingIOError):  # more may come: it is still open
                stream.recv(1)
        for client in (*streams, *crowd):
            client.close()

    served(tmp_path, meet)


def test_a_hundred_streams_are_told(start: Start, content: Path) -> None:
    preview = start().built()
    ask = f"GET /.preview/events HTTP/1.1\r\nHost: 127.0.0.1:{preview.port}\r\n\r\n".encode()
    streams = [opened(preview, ask) for _ in range(100)]
    try:
        heard = [b""] * len(streams)

        def listen(what: bytes) -> None:
            for number, stream in enumerate(streams):
                while what not in heard[number]:
                    piece = stream.recv(4096)
                    assert piece, "a stream ended"
                    heard[number] += piece

        listen(b"data: 1\n")
        (content / "page.md").write_text(PAGE.replace("first", "second"), "utf-8")
        # a hundred of them, and one more who asks
        listen(b"data: 2\n")
        late = [b"nothing new" in one.partition(b"data: 2\n")[0][-60:] for one in heard]
        assert not all(late), "told at once, not when next they look up"
        assert "second state" in preview.text_of("/page.html")
    finally:
        for stream in streams:
            stream.close()
