"""Requests that are not our page's own: each gets nothing of the mapping, and writes nothing."""

from __future__ import annotations

import json
import socket
from collections.abc import Iterator
from pathlib import Path

import pytest

from doorsheet.bench_page.server import LARGEST_BODY
from tests.bench_page.served import BENCH_READY, SECRET, Served, serving

READING = {
    "kind": "reading", "red": "DI1", "black": "COM", "value": "24.1", "unit": "V", "state": "open",
}  # fmt: skip


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    file = tmp_path_factory.mktemp("bench") / "grinder.toml"
    file.write_text(BENCH_READY)
    with serving(file) as served:
        yield served


def gets_nothing(
    page: Served, method: str, path: str, headers: dict[str, str | None], body: bytes | None
) -> int:
    before = page.bench.path.read_bytes()
    answer = page.ask(method, path, headers, body)
    assert page.bench.path.read_bytes() == before
    for secret in (SECRET, "DI1", page.place.strip("/"), "<script"):
        assert secret.encode() not in answer.body
    assert "Set-Cookie" not in answer.headers and "Location" not in answer.headers
    assert "Access-Control-Allow-Origin" not in answer.headers
    return answer.status


def changed(page: Served, **headers: str | None) -> dict[str, str | None]:
    return {**page.own_headers, **{name.replace("_", "-"): value for name, value in headers.items()}}


FOREIGN = {
    "another origin": {"Origin": "http://evil.example"},
    "another port of this computer": {"Origin": "http://127.0.0.1:1", "Sec_Fetch_Site": "same-site"},
    "a frame without origin": {"Origin": "null"},
    "https": {"Origin": "https://127.0.0.1"},
    "another site, says the browser": {"Sec_Fetch_Site": "cross-site"},
    "another port, says the browser": {"Sec_Fetch_Site": "same-site"},
    "a foreign name for this address": {"Host": "evil.example"},
    "another name for this computer": {"Host": "localhost"},
    "no host": {"Host": None},
    "no cookie": {"Cookie": None},
    "a cookie that was guessed": {"Cookie": "bench=AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA"},
    "an empty cookie": {"Cookie": "bench="},
    "a cookie that is none": {"Cookie": "\x01=;;;=bench"},
}


@pytest.mark.parametrize("who", FOREIGN)
@pytest.mark.parametrize("name", ["", "news", "page.js"])
def test_a_stranger_reads_nothing(page: Served, who: str, name: str) -> None:
    headers = changed(page, **FOREIGN[who])
    assert gets_nothing(page, "GET", page.place + name, headers, None) == 403


@pytest.mark.parametrize("who", [*FOREIGN, "no origin"])
def test_a_stranger_writes_nothing(page: Served, who: str) -> None:
    headers = changed(page, **FOREIGN.get(who, {"Origin": None}))
    assert gets_nothing(page, "POST", f"{page.place}note", headers, json.dumps(READING).encode()) == 403


def test_the_port_belongs_to_the_host(page: Served) -> None:
    port = page.server.server_address[1]
    for host in (
        "127.0.0.1",
        f"127.0.0.1:{port + 1}",
        f"localhost:{port}",
        f"127.1:{port}",
        f"127.0.0.1:{port}.",
    ):
        assert gets_nothing(page, "GET", page.place, changed(page, Host=host), None) == 403


@pytest.mark.parametrize(
    "path",
    [
        "/", "/favicon.ico", "/page.js", "{place}page.html", "{place}../page.js", "{place}../../etc/passwd",
        "{place}%2e%2e/%2e%2e/etc/passwd", "{place}..\\..\\grinder.toml", "/etc/passwd", "//etc/passwd",
        "{place}grinder.toml", "{place}page.js/", "{place}page.js?x", "{place}PAGE.JS", "file:///etc/passwd",
        "{place}note", "{place}page.js%00", "*",
    ],
)  # fmt: skip
def test_nothing_else_is_served(page: Served, path: str) -> None:
    asked = path.format(place=page.place)
    assert gets_nothing(page, "GET", asked, {**page.own_headers, "Content-Type": None}, None) == 404


@pytest.mark.parametrize(
    "method", ["PUT", "DELETE", "PATCH", "OPTIONS", "HEAD", "TRACE", "CONNECT", "get", "X"]
)
def test_no_other_method(page: Served, method: str) -> None:
    for path in (page.place, f"{page.place}note"):
        assert gets_nothing(page, method, path, dict(page.own_headers), b"{}") == 501


def test_a_form_of_another_page_is_no_json(page: Served) -> None:
    for kind in ("text/plain", "application/x-www-form-urlencoded", "multipart/form-data; boundary=x", None):
        headers = changed(page, Content_Type=kind)
        body = json.dumps(READING).encode()
        assert gets_nothing(page, "POST", f"{page.place}note", headers, body) == 415


def test_a_huge_body_is_not_even_read(page: Served) -> None:
    large = json.dumps(READING | {"remark": "x" * LARGEST_BODY}).encode()
    assert gets_nothing(page, "POST", f"{page.place}note", dict(page.own_headers), large) == 413
    for length in (str(LARGEST_BODY + 1), "9" * 30):
        headers = changed(page, Content_Length=length)
        assert gets_nothing(page, "POST", f"{page.place}note", headers, b"") == 413


@pytest.mark.parametrize("length", ["-1", "1_0", "٣", "", "0x10"])
def test_a_length_that_is_none(page: Served, length: str) -> None:
    headers = changed(page, Content_Length=length.encode().decode("latin-1"))
    assert gets_nothing(page, "POST", f"{page.place}note", headers, b"") == 411


def test_a_body_in_pieces(page: Served) -> None:
    headers = changed(page, Transfer_Encoding="chunked")
    assert gets_nothing(page, "POST", f"{page.place}note", headers, json.dumps(READING).encode()) == 411


def test_a_code_lets_one_browser_in_once(page: Served) -> None:
    address = page.server.door.new_address()
    before = len(page.entered)
    first = page.enter(address)
    assert first.status == 303 and first.headers["Location"] == page.place
    assert {"HttpOnly", "SameSite=Strict", f"Path={page.place}"} <= set(
        first.headers["Set-Cookie"].split("; ")
    )
    path = address.removeprefix(f"http://{page.server.door.host}")
    headers: dict[str, str | None] = {"Host": page.server.door.host}
    assert gets_nothing(page, "GET", path, headers, None) == 403
    assert gets_nothing(page, "GET", path[:-1], headers, None) == 403
    assert gets_nothing(page, "GET", "/enter?code=", headers, None) == 403
    assert len(page.entered) == before + 1


def test_a_code_shown_to_a_foreign_page_is_not_used_up(page: Served) -> None:
    address = page.server.door.new_address()
    path = address.removeprefix(f"http://{page.server.door.host}")
    foreign: dict[str, str | None] = {"Host": page.server.door.host, "Sec-Fetch-Site": "cross-site"}
    assert gets_nothing(page, "GET", path, foreign, None) == 403
    assert page.enter(address).status == 303


def test_a_cookie_of_another_run_opens_nothing(page: Served, tmp_path: Path) -> None:
    file = tmp_path / "other.toml"
    file.write_text(BENCH_READY)
    with serving(file) as other:
        assert gets_nothing(page, "GET", page.place, changed(page, Cookie=other.cookie), None) == 403
        assert gets_nothing(other, "GET", other.place, changed(other, Cookie=page.cookie), None) == 403


def test_every_answer_keeps_other_pages_away(page: Served) -> None:
    for path in (page.place, f"{page.place}page.js", "/no", f"{page.place}no"):
        headers = page.ask("GET", path, page.own_headers).headers
        assert headers["Content-Security-Policy"].startswith("default-src 'none'; script-src 'self'")
        assert headers["X-Content-Type-Options"] == "nosniff"
        assert headers["Cross-Origin-Resource-Policy"] == "same-origin"
        assert headers["Cache-Control"] == "no-store"
        assert "Python" not in headers["Server"]


def test_only_the_loopback_address_is_bound(page: Served) -> None:
    assert page.server.socket.getsockname()[0] == "127.0.0.1"
    port = page.server.server_address[1]
    for family, host in ((socket.AF_INET, "127.0.0.2"), (socket.AF_INET6, "::1")):
        with socket.socket(family, socket.SOCK_STREAM) as other, pytest.raises(OSError):
            other.settimeout(2)
            other.connect((host, port))


def test_who_says_nothing_holds_up_nobody(page: Served) -> None:
    idle = [socket.create_connection(page.server.server_address[:2]) for _ in range(20)]
    try:
        assert page.ask("GET", page.place, page.own_headers).status == 200
    finally:
        for each in idle:
            each.close()


def test_a_page_of_rubbish_is_refused(page: Served) -> None:
    endless = b"GET /" + b"a" * 70_000 + b" HTTP/1.0"
    for head in (b"", b"GET", b"\x16\x03\x01\x02\x00\x01\x00", b"GET / HTTP/9.9", endless):
        with socket.create_connection(page.server.server_address[:2]) as link:
            link.settimeout(20)
            link.sendall(head + b"\r\n\r\n")
            link.shutdown(socket.SHUT_WR)
            told = b""
            while piece := link.recv(4096):
                told += piece
            assert SECRET.encode() not in told and b"Python" not in told
    assert page.ask("GET", page.place, page.own_headers).status == 200
