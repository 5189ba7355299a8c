"""The page over HTTP: fixed addresses, nothing of the disk.

The standard library's server is enough: one page for a few browsers at once.  It speaks HTTP/1.0, so that
every answer ends its connection and nothing left over of one request is taken for the next.
"""

import json
import threading
from collections.abc import Callable
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from importlib.resources import files
from socket import socket
from typing import Final, TypeAlias

from pydantic import BaseModel, ConfigDict, ValidationError

from doorsheet.bench_page.bench import Bench
from doorsheet.bench_page.door import ENTRANCE, Door
from doorsheet.output.svg import every_rule

__all__ = ["LARGEST_BODY", "PageServer"]

LARGEST_BODY: Final = 4096
"""Bytes of what is written down at once; a reading has a hundred."""
_AT_ONCE: Final = 32
"""Connections served at the same time; a browser has one open for news, and some while it loads."""
_SLOWEST_S: Final = 10.0
_PULSE_S: Final = 15.0
"""How often a word goes out to a page without news: a browser that has left is noticed by it."""
_HEADERS: Final = {
    "Content-Security-Policy": "default-src 'none'; script-src 'self'; style-src 'self'; "
    "connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
    "Cache-Control": "no-store",
}
_Address: TypeAlias = tuple[str, int]
_Request: TypeAlias = socket | tuple[bytes, socket]


def _files(place: str) -> dict[str, tuple[str, bytes]]:
    """Return what is served besides news: by path, the kind and the bytes; all of it read beforehand."""
    own = files("doorsheet.bench_page") / "files"
    return {
        place: ("text/html", (own / "page.html").read_bytes()),
        f"{place}page.css": ("text/css", (own / "page.css").read_bytes()),
        f"{place}sheet.css": ("text/css", every_rule().encode()),
        f"{place}page.js": ("text/javascript", (own / "page.js").read_bytes()),
    }


class _Said(BaseModel):
    """What the page sends to be written down."""

    model_config = ConfigDict(extra="forbid", strict=True)

    words: str
    remark: str = ""


class PageServer(ThreadingHTTPServer):
    """Serves one bench at one address, which `door` guards."""

    daemon_threads = True
    block_on_close = False
    allow_reuse_address = False

    def __init__(self, bench: Bench, host: str, port: int, entered: Callable[[str], None]) -> None:
        """Bind; OSError when the address can't be had.  `entered` is told from where a browser came in."""
        super().__init__((host, port), _Handler)
        self.bench, self.entered = bench, entered
        self.door = Door(f"{host}:{self.server_address[1]}")
        self.files = _files(self.door.place)
        self._free = threading.BoundedSemaphore(_AT_ONCE)

    def process_request(self, request: _Request, client_address: _Address) -> None:
        """Give each connection a thread, but not more than there may be."""
        if self._free.acquire(blocking=False):
            super().process_request(request, client_address)
        else:
            self.shutdown_request(request)

    def process_request_thread(self, request: _Request, client_address: _Address) -> None:
        """Serve one connection."""
        try:
            super().process_request_thread(request, client_address)
        finally:
            self._free.release()

    def handle_error(self, request: _Request, client_address: _Address) -> None:
        """Say nothing of a browser that went away in the middle; anything else is a fault of ours."""
        import sys

        if not isinstance(sys.exception(), OSError):
            super().handle_error(request, client_address)


class _Handler(BaseHTTPRequestHandler):
    server: PageServer
    timeout = _SLOWEST_S

    def do_GET(self) -> None:
        door = self.server.door
        if not door.ours(self.headers, writes=False):
            self._refuse(HTTPStatus.FORBIDDEN)
        elif self.path.startswith(ENTRANCE):
            self._enter(self.path.removeprefix(ENTRANCE))
        elif not door.knows(self.headers):
            self._refuse(HTTPStatus.FORBIDDEN)
        elif self.path == f"{door.place}news":
            self._news()
        elif (file := self.server.files.get(self.path)) is not None:
            self._send(*file)
        else:
            self._refuse(HTTPStatus.NOT_FOUND)

    def do_POST(self) -> None:
        door = self.server.door
        if not door.ours(self.headers, writes=True) or not door.knows(self.headers):
            self._refuse(HTTPStatus.FORBIDDEN)
        elif self.path != f"{door.place}note":
            self._refuse(HTTPStatus.NOT_FOUND)
        elif (body := self._body()) is not None:
            try:
                said = _Said.model_validate_json(body)
            except ValidationError:
                self._refuse(HTTPStatus.BAD_REQUEST)
                return
            written = self.server.bench.write(said.words, said.remark)
            self._send("application/json", json.dumps(written._asdict()).encode())

    def _body(self) -> bytes | None:
        """Return what was sent; None after refusing what is no JSON, too long or of unknown length."""
        length = self.headers.get("Content-Length", "")
        if self.headers.get_content_type() != "application/json":
            self._refuse(HTTPStatus.UNSUPPORTED_MEDIA_TYPE)
        elif "Transfer-Encoding" in self.headers or not (length.isascii() and length.isdigit()):
            self._refuse(HTTPStatus.LENGTH_REQUIRED)
        elif len(length) > 9 or int(length) > LARGEST_BODY:
            self._refuse(HTTPStatus.REQUEST_ENTITY_TOO_LARGE)
        else:
            return self.rfile.read(int(length))
        return None

    def _enter(self, code: str) -> None:
        cookie = self.server.door.enter(code)
        if cookie is None:
            self._refuse(HTTPStatus.FORBIDDEN)
            return
        self.send_response(HTTPStatus.SEE_OTHER)
        self.send_header("Location", self.server.door.place)
        self.send_header("Set-Cookie", cookie)
        self.end_headers()
        self.server.entered(self.client_address[0])

    def _news(self) -> None:
        """Tell the page what the file says now, and again whenever that changes, until it goes away."""
        self._head("text/event-stream")
        seen = -1
        while True:
            state = self.server.bench.after(seen, _PULSE_S)
            if state is None:
                self.wfile.write(b":\n\n")
            else:
                seen = state.number
                self.wfile.write(b"data: " + state.json + b"\n\n")

    def _send(self, kind: str, data: bytes) -> None:
        self._head(kind, len(data))
        self.wfile.write(data)

    def _head(self, kind: str, length: int | None = None) -> None:
        self.send_response(HTTPStatus.OK)
        self.send_header("Content-Type", f"{kind}; charset=utf-8")
        if length is not None:
            self.send_header("Content-Length", str(length))
        self.end_headers()

    def _refuse(self, status: HTTPStatus) -> None:
        """Answer with the bare status; a person who sees it reads what to do."""
        words = (
            f"{status.phrase}. Use the address that doorsheet open printed: each lets one browser in, once."
        )
        self.send_response(status)
        self.send_header("Content-Type", "text/plain; charset=utf-8")
        self.end_headers()
        self.wfile.write(words.encode())

    def send_error(self, code: int, message: str | None = None, explain: str | None = None) -> None:
        """Refuse what the standard library itself can't read: no method of ours, a line without end."""
        self._refuse(HTTPStatus(code))

    def end_headers(self) -> None:
        """Send with every answer what keeps other pages away from it."""
        for name, value in _HEADERS.items():
            self.send_header(name, value)
        super().end_headers()

    def version_string(self) -> str:
        """Tell nobody which server of which version this is."""
        return "doorsheet"

    def log_message(self, format: str, *args: object) -> None:
        """Keep the terminal for what the person must read."""
