"""A preview as an author runs it: a process of its own, its answers read from raw sockets."""

from __future__ import annotations

import os
import re
import signal
import socket
import subprocess
import sys
import threading
import time
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple, Protocol

if TYPE_CHECKING:
    from collections.abc import Callable

ROOT = Path(__file__).parents[2]
PATIENCE = 60
"""Seconds after which what has not happened never will: a bound, not a measure."""

PAGE = """# Four turns

Words of the first state.

```moves four-turns
moves: R U R' U'
after:
  F: GGY
     GGW
     GGG
check: order 6
```
"""

OTHER = """# Other

```moves
from: page.md#four-turns
moves: U R U' R'
check: solved
```
"""

BROKEN = PAGE.replace("R U R' U'", "R U R' U")


def fill(folder: Path) -> Path:
    """Make a content folder of pages, a draft and a file, with a secret beside it."""
    (folder / "sub").mkdir(parents=True)
    (folder / "site.toml").write_text('title = "Lantern Lane"\n', "utf-8")
    (folder / "page.md").write_text(PAGE, "utf-8")
    (folder / "other.md").write_text(OTHER, "utf-8")
    (folder / "later.md").write_text("---\ndraft: true\n---\n\n# Later\n", "utf-8")
    (folder / "sub" / "index.md").write_text("# Below\n", "utf-8")
    (folder / "sub" / "a name.txt").write_text("beside\n", "utf-8")
    (folder.parent / "secret.txt").write_text("a secret\n", "utf-8")
    return folder


def until(check: Callable[[], object], what: str) -> None:
    """Wait for something to become true."""
    end = time.monotonic() + PATIENCE
    while not check():
        if time.monotonic() > end:
            raise AssertionError(f"never came: {what}")
        time.sleep(0.02)


class Answer(NamedTuple):
    """What a server said: status, the head as it came, the body."""

    status: int
    head: str
    body: bytes


@dataclass
class Preview:
    """A running `sitegen preview`; everything it prints is kept in `said`."""

    folder: Path
    process: subprocess.Popen[str]
    said: list[str] = field(default_factory=list)
    port: int = 0

    @classmethod
    def start(cls, content: Path, *arguments: str) -> Preview:
        process = subprocess.Popen(
            [sys.executable, "-m", "sitegen", "preview", str(content), *arguments],
            cwd=content.parent,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            encoding="utf-8",
        )
        preview = cls(content, process)
        threading.Thread(target=preview._listen, daemon=True).start()
        until(lambda: preview.port or process.poll() is not None, "an address")
        return preview

    def _listen(self) -> None:
        assert self.process.stdout
        for line in self.process.stdout:
            self.said.append(line.rstrip("\n"))
            found = re.match(r"http://127\.0\.0\.1:(\d+)/ ", line)
            if found:
                self.port = int(found[1])

    @property
    def text(self) -> str:
        return "\n".join(self.said)

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}/"

    def built(self) -> Preview:
        """Wait for the first build."""
        until(lambda: "block" in self.text, "a first build")
        return self

    def stop(self, how: int = signal.SIGINT) -> int:
        self.process.send_signal(how)
        return self.process.wait(PATIENCE)

    def raw(self, request: bytes) -> Answer:
        """Send bytes, read all that comes back; of a stream of news, which never ends, its head."""
        with socket.create_connection(("127.0.0.1", self.port), PATIENCE) as opened:
            opened.sendall(request)
            data = b""
            with suppress(ConnectionResetError):  # refused before it was heard out
                while not _is_stream(data) and (piece := opened.recv(65536)):
                    data += piece
        head, _, body = data.partition(b"\r\n\r\n")
        found = re.match(rb"HTTP/1\.1 (\d{3})", head)
        return Answer(int(found[1]) if found else 0, head.decode("latin-1"), body)

    def get(self, target: str, *headers: str, method: str = "GET", host: str = "") -> Answer:
        """Ask for a target as it is written, without a client's tidying up."""
        lines = [
            f"{method} {target} HTTP/1.1",
            f"Host: {host or f'127.0.0.1:{self.port}'}",
            "Connection: close",
            *headers,
        ]
        return self.raw("".join(f"{line}\r\n" for line in [*lines, ""]).encode("latin-1"))

    def text_of(self, target: str) -> str:
        return self.get(target).body.decode()


class Start(Protocol):
    """Starts a preview: on a port that is free, or with the arguments given."""

    def __call__(self, *arguments: str) -> Preview: ...


def _is_stream(data: bytes) -> bool:
    head, end, _ = data.partition(b"\r\n\r\n")
    return bool(end) and b"text/event-stream" in head.lower()
