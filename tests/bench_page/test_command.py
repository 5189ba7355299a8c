"""The command `open` in a terminal: what it prints, whom it lets in, how it ends."""

from __future__ import annotations

import http.client
import json
import re
import socket
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

import pytest

from tests.bench_page.served import BENCH_READY

if TYPE_CHECKING:
    import pexpect

ADDRESS = re.compile(r"http://[0-9.]+:[0-9]+/enter\?code=[\w-]+")


@contextmanager
def terminal(file: Path, *options: str) -> Iterator[pexpect.spawn]:
    pexpect = pytest.importorskip("pexpect")
    command = ["-m", "doorsheet_cli", "open", str(file), "--no-browser", *options]
    child = pexpect.spawn(sys.executable, command, encoding="utf-8", timeout=60, dimensions=(60, 120))
    child.expect("Ctrl-C ends this")
    yield child
    child.close(force=True)


def get(address: str, path: str = "", cookie: str = "", body: str | None = None) -> http.client.HTTPResponse:
    parts = urlsplit(address)
    link = http.client.HTTPConnection(parts.netloc, timeout=20)
    headers = {"Cookie": cookie, "Origin": f"http://{parts.netloc}", "Content-Type": "application/json"}
    link.request("POST" if body else "GET", path or f"{parts.path}?{parts.query}", body, headers)
    return link.getresponse()


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "grinder.toml"
    path.write_text(BENCH_READY)
    return path


def test_it_ends_with_what_was_written(file: Path) -> None:
    with terminal(file) as child:
        address = ADDRESS.search(child.before)
        assert address is not None and address[0].startswith("http://127.0.0.1:")
        entered = get(address[0])
        place, cookie = str(entered.getheader("Location")), str(entered.getheader("Set-Cookie")).split(";")[0]
        assert get(address[0]).status == 403  # the code is used up
        said = json.dumps({"words": "red on DI1, black on COM: 24.1 V, open", "remark": "motor off"})
        told = json.load(get(address[0], f"{place}note", cookie, said))
        assert told["written"] and not told["danger"]
        child.sendline()
        child.expect(ADDRESS)
        assert get(child.after).status == 303  # another browser
        child.sendintr()
        child.expect("Ended. Written to")
        child.expect(r"red on DI1, black on COM: 24.1 V, open, .*\(motor off\)")
        child.wait()
        assert child.exitstatus == 0


def test_a_telephone_comes_in_once_by_the_code(file: Path) -> None:
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        if probe.connect_ex(("192.0.2.1", 9)):
            pytest.skip("this computer is on no network")
    with terminal(file, "--lan") as child:
        addresses = ADDRESS.findall(child.before)
        assert "Nothing is" in child.before and "█" in child.before
        assert child.before.index("What --lan means") < child.before.index("█")
        assert len(addresses) == 2 and not addresses[1].startswith("http://127.")
        entered = get(addresses[1])
        assert entered.status == 303
        assert get(addresses[1]).status == 403
        child.expect("has come in; the code is used up")
        cookie = str(entered.getheader("Set-Cookie")).split(";")[0]
        assert get(addresses[1], str(entered.getheader("Location")), cookie).status == 200
        code = urlsplit(addresses[0]).query  # of this computer alone
        assert get(addresses[1], f"/enter?{code}").status == 403
        child.sendintr()
        child.expect("Ended. Nothing was written to")


@pytest.mark.parametrize("options", [["nowhere.toml"], ["{file}", "--port", "70000"], ["{folder}"]])
def test_what_can_not_be_opened(file: Path, options: list[str]) -> None:
    from typer.testing import CliRunner

    from doorsheet_cli.main import app

    given = [option.format(file=file, folder=file.parent) for option in options]
    assert CliRunner().invoke(app, ["open", *given, "--no-browser"]).exit_code == 2
