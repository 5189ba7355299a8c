"""Whoever opens a file of ours asks nobody for anything, whatever the names in it say: a socket listens."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from io import BytesIO
from pathlib import Path

from pypdf import PdfReader

from doorsheet import draw_text
from doorsheet.booklet import make_booklet
from doorsheet.mapping.reading import parse_mapping
from doorsheet.output.pdf import to_pdf
from doorsheet.output.svg import to_inline_svgs, to_svg
from tests.judges.tools import browser


@contextmanager
def listening() -> Iterator[tuple[str, list[str]]]:
    """Yield an address of this machine and the requests that came there."""
    asked: list[str] = []

    class Trip(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            asked.append(self.path)
            self.send_response(200)
            self.end_headers()

        def log_message(self, *_: object) -> None:
            pass

    server = ThreadingHTTPServer(("127.0.0.1", 0), Trip)
    running = threading.Thread(target=server.serve_forever, daemon=True)
    running.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}", asked
    finally:
        server.shutdown()
        running.join()


def hostile(to: str) -> str:
    """Return a mapping whose every free word tries to make a viewer ask for something."""
    words = (
        f"<img src='{to}/1'>", f"]]><script>fetch('{to}/2')</script>", f"&lt;image href='{to}/3'/>",
        f"</style><style>@import '{to}/4'", f"</title><script src='{to}/5'>", f"/URI ({to}/6)",
        f"</text><use href='{to}/7#a'/>", f"![x]({to}/8)",
    )  # fmt: skip
    notes = ", ".join(f'"{word}"' for word in words)
    return (
        f'# <!ENTITY x SYSTEM "{to}/9"> ]]>\nmachine = "<img src={to}/a>"\n'
        f'[drive]\nname = "<b onload=fetch(1)>"\nserial = "<svg/onload=1>"\n'
        '[controller]\nname = "</svg><img src=x>"\n'
        f"[jog]\ninput = '<img/src=x>'\ncommon = \"'><a>\"\n[sheet]\nnotes = [{notes}]\n"
    )


def test_files_of_ours_ask_for_nothing(tmp_path: Path) -> None:
    with listening() as (to, asked), browser() as chromium:
        text = hostile(to)
        read = parse_mapping(text, "<img src=x>.toml")
        sheet = draw_text(text, name="<img src=x>.toml")
        leaves = make_booklet(read).pages
        inlined = "".join(to_inline_svgs(*sheet.pages))
        files = {
            "sheet.svg": sheet.to_svg().encode(),
            "leaf.svg": to_svg(leaves[-1]).encode(),
            "sheet.pdf": sheet.to_pdf(),
            "booklet.pdf": to_pdf(*leaves),
            "inlined.html": f"<!doctype html><meta charset=utf-8>{sheet.to_svg()}{inlined}".encode(),
        }
        wanted: list[str] = []
        for name, data in files.items():
            path = tmp_path / name
            path.write_bytes(data)
            page = chromium.new_page()
            page.on("request", lambda request: wanted.append(request.url))
            if name.endswith(
                ".pdf"
            ):  # headless Chromium has no viewer: it is embedded, and its words looked at
                reader = PdfReader(BytesIO(data))
                assert {"/OpenAction", "/AA"}.isdisjoint(reader.root_object)
                assert set(reader.root_object["/Names"]) <= {"/EmbeddedFiles", "/Dests"}  # type: ignore[arg-type]
                assert not any({"/Annots", "/AA"} & each.keys() for each in reader.pages)
                page.set_content(f"<embed src='{path.as_uri()}' type='application/pdf'>")
            else:
                page.goto(path.as_uri())
            page.wait_for_timeout(150)
        own = {(tmp_path / name).as_uri() for name in files}
        assert asked == [] and {url for url in wanted if not url.startswith("data:")} <= own


def test_a_request_would_be_heard(tmp_path: Path) -> None:
    with listening() as (to, asked), browser() as chromium:
        page = chromium.new_page()
        (tmp_path / "a.html").write_text(f"<!doctype html><img src='{to}/heard'>", encoding="utf-8")
        page.goto((tmp_path / "a.html").as_uri())
        page.wait_for_timeout(150)
        assert asked == ["/heard"]
