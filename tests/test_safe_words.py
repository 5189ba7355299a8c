"""Every output of every command has the cautions that belong there, and no claim that may never be made."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from xml.etree import ElementTree

import pytest
from pypdf import PdfReader

from doorsheet_cli.main import app
from tests.bench_page.served import serving
from tests.bench_page.test_command import terminal
from tests.cli.inside import run

TOP = Path(__file__).resolve().parents[1]
MAPPING = TOP / "gallery" / "engraver.toml"

CLAIMS = (
    r"\b(?:is|are|be|now|makes?\b[^.]*) (?:completely |fully )?safe\b",
    r"\bsafe to (?:touch|use|connect|work|run)\b",
    r"\bcertified\b",
    r"\bcertificat(?:e|ion)\b",
    r"\bcompl(?:iant|ies)\b",
    r"\bin compliance\b",
    r"\bguarante\w+",
    r"\bapproved (?:for|to)\b",
)
"""Of the user's machine none of these may be said."""
DENIED = r"(?:does not|doesn't|never|no check|nothing here|not)\b[^.]*$"
"""Words before a claim in its sentence that deny it."""


def claims(said: str) -> Iterator[str]:
    """Yield the sentences of a text that claim what nobody here may."""
    for sentence in re.split(r"(?<=[.!?])\s+|\n\s*\n", said):
        flat = " ".join(sentence.split())
        for pattern in CLAIMS:
            for found in re.finditer(pattern, flat, re.IGNORECASE):
                if not re.search(DENIED, flat[: found.end()], re.IGNORECASE):
                    yield flat


def words_in(data: bytes) -> str:
    """Return what a person reads in a file."""
    if data.startswith(b"%PDF"):
        return "\n".join(page.extract_text() for page in PdfReader(BytesIO(data)).pages)
    if data.startswith(b"<svg"):
        carried = "{urn:doorsheet:mapping}mapping"
        return "\n".join(e.text or "" for e in ElementTree.fromstring(data).iter() if e.tag != carried)
    return data.decode("utf-8-sig")


KILL = "Mains and stored charge can kill"
SHOCK = "electric shock can kill"
RUNS: dict[str, tuple[str, ...]] = {
    "draw": ("draw", "m.toml", "--to", "out.svg"),
    "draw bench": ("draw", "m.toml", "--to", "out.pdf", "--stage", "bench"),
    "check": ("check", "m.toml"),
    "speeds": ("speeds", "m.toml"),
    "booklet": ("booklet", "m.toml", "--to", "out.pdf"),
    "post": ("post", "m.toml"),
    "wires": ("wires", "m.toml"),
    "wires marks": ("wires", "m.toml", "--marks", "out.pdf"),
    "speeds plot": ("speeds", "m.toml", "--to", "out.svg"),
    "next page": ("next", "m.toml", "--page"),
    "next": ("next", "m.toml"),
    "start": ("start", "new.toml"),
    "start nothing": ("start", "new.toml"),
    "note": ("note", "m.toml", "red on DI1, black on COM: 24.1 V"),
    "note danger": ("note", "m.toml", "red on DI1, black on COM: 240 V"),
    "compare": ("compare", "m.toml", "m.toml"),
    "current": ("current", "m.toml", "out.svg"),
    "recover": ("recover", "out.svg"),
}
CAUTIONED = {
    "draw": (KILL, SHOCK), "draw bench": (KILL, SHOCK), "check": (KILL,), "speeds": (KILL,),
    "booklet": (KILL, SHOCK), "post": (KILL,), "wires": (KILL,), "next": (KILL,), "note": (KILL,),
    "next page": (KILL, SHOCK.capitalize()), "start": (KILL, SHOCK), "start nothing": (KILL,),
}  # fmt: skip
"""Which cautions a command's words and files have: in a terminal's words, on paper."""
GIVEN = {"start": "\n".join(("Saw", *[""] * 8, "DI1")), "start nothing": "Saw"}
"""What comes in by a pipe."""
SILENT = {"explain", "schema", "recover", "compare", "current"}
"""Commands that give no advice at the machine, or are asked about elsewhere."""


def test_every_command_is_read() -> None:
    names = {
        command.name or command.callback.__name__ for command in app.registered_commands if command.callback
    }
    assert {name.replace("_", "-") for name in names} <= {name.split()[0] for name in RUNS} | SILENT | {
        "open"
    }


@pytest.mark.parametrize("name", RUNS)
def test_cautions_are_there_and_no_claim_is_made(name: str, tmp_path: Path) -> None:
    (tmp_path / "m.toml").write_bytes(MAPPING.read_bytes())
    if "out.svg" in RUNS[name] and "--to" not in RUNS[name]:
        run(*RUNS["draw"], cwd=tmp_path)
    before = {path.name for path in tmp_path.iterdir()}
    ended = run(*RUNS[name], given=GIVEN.get(name, "").encode(), cwd=tmp_path)
    assert ended.returncode in (0, 1), ended.stderr.decode()
    files = [path for path in tmp_path.iterdir() if path.name not in before and path.suffix != ".png"]
    said = "\n".join(
        [ended.stdout.decode(), ended.stderr.decode(), *(words_in(p.read_bytes()) for p in files)]
    )
    assert list(claims(said)) == []
    for caution in CAUTIONED.get(name, ()):
        assert caution in " ".join(said.split()), caution


def test_open_says_it_in_the_terminal_and_on_the_page(tmp_path: Path) -> None:
    path = tmp_path / "m.toml"
    path.write_bytes(MAPPING.read_bytes())
    with terminal(path, "--lan") as child:
        told = child.before
        child.expect(KILL)
    with serving(path) as served:
        pages = [served.ask("GET", served.place, served.own_headers).body]
        news = served.bench.after(-1, 10)
        assert news is not None
        pages.append(news.json)
    for said in (told, *(page.decode() for page in pages)):
        assert list(claims(said)) == []
    assert all(SHOCK in page.decode().casefold() for page in pages)  # the page has it before any news


@pytest.mark.parametrize(
    "page", ["README.md", "gallery/README.md", "gallery/mapping.md", "gallery/findings.md"]
)
def test_no_page_claims_it(page: str) -> None:
    assert list(claims((TOP / page).read_text(encoding="utf-8"))) == []


def test_no_code_and_no_word_of_the_schema_claims_it() -> None:
    said = run("explain").stdout.decode() + json.dumps(json.loads(run("schema").stdout))
    assert list(claims(said)) == []


@pytest.mark.parametrize(
    "claim",
    [
        "The machine is safe.",
        "Your wiring is compliant.",
        "This sheet is certified.",
        "It is now safe to touch.",
    ],
)
def test_a_claim_would_be_seen(claim: str) -> None:
    assert list(claims(f"Well. {claim} Go on."))
    assert not list(claims("A clean check does not make a machine safe."))
