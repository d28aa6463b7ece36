"""A built site as a browser meets it: under a sub-path of a server, and from a plain folder."""

from __future__ import annotations

import functools
import sys
import threading
from contextlib import contextmanager
from dataclasses import dataclass
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import quote

from chromium import missing

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from playwright.sync_api import Page

ROOT = Path(__file__).parents[2]
REFRESH = '<meta http-equiv="refresh"'
PACKAGES = Path(__file__).parent / "node_modules"


def package(path: str) -> Path:
    """A file of the packages in `package.json`, which `npm ci` puts here."""
    found = PACKAGES / path
    if not found.is_file():
        missing(f"{path.partition('/')[0]} (run `npm ci --ignore-scripts` in tests/browser)")
    return found


@dataclass(frozen=True)
class Served:
    """A built site: its `site.toml` read, its folder, and its address, ending in a slash."""

    settings: Mapping[str, object]
    folder: Path
    address: str

    @property
    def pages(self) -> list[str]:
        """Every page but the one for wrong addresses, at home at every depth, and what leads on."""
        found = (path.relative_to(self.folder).as_posix() for path in self.folder.rglob("*.html"))
        return sorted(page for page in found if page not in ("404.html", *self.moved))

    @property
    def moved(self) -> list[str]:
        """The old addresses of pages, at which something leads on to them."""
        found = (path for path in self.folder.rglob("*.html") if REFRESH in path.read_text("utf-8"))
        return sorted(path.relative_to(self.folder).as_posix() for path in found)

    def pages_with(self, text: str) -> list[str]:
        """The pages in whose markup a text stands: the others need no browser to have nothing."""
        return [page for page in self.pages if text in (self.folder / page).read_text("utf-8")]

    def url(self, page: str) -> str:
        return self.address + quote(page)


@contextmanager
def serve(settings: Mapping[str, object], folder: Path) -> Iterator[Served]:
    """Serve a folder on loopback, below `/cubes/` and nowhere else."""

    class Below(SimpleHTTPRequestHandler):
        def translate_path(self, path: str) -> str:
            below = path.removeprefix("/cubes")
            return super().translate_path(below if below != path else "/nothing-is-here")

        def log_message(self, format: str, *args: object) -> None:  # noqa: A002 - its name there
            pass

    class Server(ThreadingHTTPServer):
        def handle_error(self, request: object, client_address: object) -> None:
            if not isinstance(sys.exception(), ConnectionError):  # of a page that was left
                super().handle_error(request, client_address)  # type: ignore[arg-type]

    handler = functools.partial(Below, directory=str(folder))
    with Server(("127.0.0.1", 0), handler) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield Served(settings, folder, f"http://127.0.0.1:{server.server_port}/cubes/")
        server.shutdown()


def open_steps(page: Page) -> None:
    """Begin to go through every figure that can be gone through."""
    start = page.get_by_role("button", name="Step by step", exact=True)
    start.evaluate_all("buttons => buttons.forEach(button => button.click())")


def unfold(page: Page) -> None:
    """Open all that is folded at once, as the reader's own buttons would one by one."""
    page.evaluate("document.querySelectorAll('details').forEach(fold => { fold.open = true; })")
