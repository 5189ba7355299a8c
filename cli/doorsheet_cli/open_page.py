"""The command `open`: the page for the bench, served on this computer."""

import sys
import threading
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from doorsheet_cli.say import CAUTION, MappingFile, give_up

if TYPE_CHECKING:
    from doorsheet.bench_page import Bench, PageServer

__all__ = ["open_page"]

_LAN_WORDS = """\
What --lan means: everybody on this network can reach this computer at the address below. Nothing is
encrypted: who listens reads along, and may take the page over and write into the file. The code lets one
browser in, once. Use it on a network that is yours, and end it when the work is done. Where the telephone
finds nothing, a firewall on this computer keeps it out."""


def open_page(
    file: MappingFile,
    browser: Annotated[
        bool, typer.Option("--browser/--no-browser", help="Open the page in the browser.")
    ] = True,
    port: Annotated[
        int,
        typer.Option(min=0, max=65535, help="Port to serve at.  [default: a free one]", show_default=False),
    ] = 0,
    lan: Annotated[
        bool,
        typer.Option(
            "--lan", help="Also for a telephone or tablet on the same network; says what that means."
        ),
    ] = False,
) -> None:
    """Open the page for the bench: sheet, next step, findings, and a field for the reading."""
    import gc

    from doorsheet.bench_page import Bench

    _need_file(file)
    bench = Bench(file)
    gc.freeze()  # what is loaded by now stays
    gc.enable()  # this command goes on for hours
    servers = [_server(bench, "127.0.0.1", port)]
    if lan:
        servers.append(_server(bench, _lan_address(), port))
    for serve in (bench.watch, *(server.serve_forever for server in servers)):
        threading.Thread(target=serve, daemon=True).start()
    _welcome(file, servers, browser)
    with suppress(KeyboardInterrupt):
        _wait(servers[-1])
    for server in servers:
        server.shutdown()
    bench.end()
    end = f"Written to {bench.path}:" if bench.written else f"Nothing was written to {bench.path}."
    print("\n  ".join((f"\nEnded. {end}", *bench.written)))


def _need_file(file: Path) -> None:
    """Give up on a file that isn't there; what is wrong in one that is, the page says."""
    from doorsheet.mapping import MappingError, read_mapping

    if not file.is_file():
        try:
            read_mapping(file)
        except MappingError as error:
            give_up(error, file)


def _server(bench: "Bench", host: str, port: int) -> "PageServer":
    from doorsheet.bench_page import PageServer

    try:
        return PageServer(bench, host, port, _entered)
    except OSError as error:
        give_up(OSError(f"port {port} can't be had: {error.strerror}; leave --port out, or name another"))


def _entered(where: str) -> None:
    if where != "127.0.0.1":
        print(f"{where} has come in; the code is used up. Not yours? End this with Ctrl-C.", flush=True)


def _lan_address() -> str:
    """Return this computer's address on its network; nothing is sent for that."""
    import socket

    try:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
            probe.connect(("192.0.2.1", 9))  # an address for examples, which nobody has
            return str(probe.getsockname()[0])
    except OSError:
        give_up(OSError("this computer is on no network that a telephone could reach it by: leave --lan out"))


def _welcome(file: Path, servers: "list[PageServer]", browser: bool) -> None:
    address = servers[0].door.new_address()
    print(f"{file}: the page for the bench is at\n\n  {address}\n")
    print("That address lets one browser in, once, and only on this computer.")
    for server in servers[1:]:
        print(f"\n{_LAN_WORDS}\n")
        _show_code(server)
    more = "Enter gives another address, " if sys.stdin.isatty() else ""
    print(f"{more}Ctrl-C ends this.\n{CAUTION}", flush=True)
    if browser:
        import webbrowser

        webbrowser.open(address)


def _show_code(server: "PageServer") -> None:
    import segno

    address = server.door.new_address()
    print("For the telephone:\n")
    segno.make(address, micro=False).terminal(compact=True)
    print(f"\n  {address}\n", flush=True)


def _wait(server: "PageServer") -> None:
    """Wait for Ctrl-C; whoever presses Enter gets another address."""
    import time

    while sys.stdin.isatty() and sys.stdin.readline():
        if server.door.host.startswith("127."):
            print(f"  {server.door.new_address()}", flush=True)
        else:
            _show_code(server)
    while True:
        time.sleep(3600)
