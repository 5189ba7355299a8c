"""A bench page served for a test, and requests to it as any program can send them."""

from __future__ import annotations

import http.client
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from doorsheet.bench_page import Bench, PageServer

__all__ = ["BENCH_READY", "SECRET", "Answer", "Served", "serving"]

SECRET = "Bench grinder 4"
"""Stands in the mapping, and in nothing that a stranger may see."""

BENCH_READY = f"""\
machine = "{SECRET}"     # the one by the window

[drive]
name = "Drive, 0.75 kW"
manual = "Operating manual, edition 3"
isolated = "yes"
discharge = "5 min"

[controller]
outputs = {{ voltage = "30 V", current = "50 mA" }}

[stop]
hardware = "contactor K1 in the drive's supply"

[run-forward]
input  = "DI1"
common = "COM"
output = {{ plus = "OUT1+", minus = "OUT1-" }}
wires  = {{ input = "white", common = "brown" }}

[speed]
signal = "AI1"
range  = "0-10 V"
common = "AGND"
supply = "+10V"
source = {{ signal = "AO1", common = "0V" }}

[[done]]
what = "prove-dead"
stage = "bench"

[[done]]
what = "bench"
stage = "bench"

[[done]]
what = "emergency-stop"
stage = "bench"
"""
"""A machine on the bench, wired, its emergency stop proved: the next action is a reading."""


@dataclass(frozen=True)
class Answer:
    status: int
    headers: Mapping[str, str]
    body: bytes


@dataclass
class Served:
    """A page that is served, and the cookie of a browser that was let in."""

    bench: Bench
    server: PageServer
    entered: list[str] = field(default_factory=list)
    cookie: str = ""

    @property
    def place(self) -> str:
        return self.server.door.place

    @property
    def own_headers(self) -> dict[str, str]:
        """What a browser sends that was let in, from our own page."""
        origin = f"http://{self.server.door.host}"
        kind = "application/json"
        return {
            "Host": self.server.door.host, "Origin": origin, "Sec-Fetch-Site": "same-origin",
            "Cookie": self.cookie, "Content-Type": kind,
        }  # fmt: skip

    def ask(
        self, method: str, path: str, headers: Mapping[str, str | None], body: bytes | None = None
    ) -> Answer:
        """Send exactly these headers, no others but the body's length; None leaves one out."""
        host, port = self.server.server_address[:2]
        link = http.client.HTTPConnection(str(host), port, timeout=20)
        link.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
        given = {"Content-Length": str(len(body)), **headers} if body is not None else headers
        for name, value in given.items():
            if value is not None:
                link.putheader(name, value)
        link.endheaders(body)
        try:
            reply = link.getresponse()
            return Answer(reply.status, dict(reply.getheaders()), reply.read())
        except (http.client.HTTPException, OSError):
            return Answer(0, {}, b"")
        finally:
            link.close()

    def enter(self, address: str) -> Answer:
        """Follow an address that was printed, as the address bar does."""
        path = address.removeprefix(f"http://{self.server.door.host}")
        return self.ask("GET", path, {"Host": self.server.door.host, "Sec-Fetch-Site": "none"})


@contextmanager
def serving(path: Path) -> Iterator[Served]:
    """Serve the mapping in a file, with one browser let in."""
    bench = Bench(path)
    entered: list[str] = []
    server = PageServer(bench, "127.0.0.1", 0, entered.append)
    for serve in (bench.watch, server.serve_forever):
        threading.Thread(target=serve, daemon=True).start()
    served = Served(bench, server, entered)
    served.cookie = served.enter(server.door.new_address()).headers["Set-Cookie"].partition(";")[0]
    try:
        yield served
    finally:
        server.shutdown()
        server.server_close()
        bench.end()
