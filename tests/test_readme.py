"""The readme is true: its commands, mappings, keys, codes and links are those of today's code."""

from __future__ import annotations

import re
import shlex
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from pydantic import BaseModel
from typer.main import get_command

from doorsheet.mapping import parse_mapping
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.refusals import table_at
from doorsheet_cli.main import app

TOP = Path(__file__).resolve().parents[1]
README = (TOP / "README.md").read_text(encoding="utf-8")
KEYS = (TOP / "gallery" / "mapping.md").read_text(encoding="utf-8")
CI = (TOP / ".ci" / "run").read_text(encoding="utf-8")


def blocks(language: str) -> list[str]:
    return re.findall(rf"^```{language}\n(.*?)^```$", README + KEYS, re.MULTILINE | re.DOTALL)


def commands() -> list[str]:
    return [line for block in blocks("sh") for line in block.splitlines() if line.strip()]


def test_blocks_are_found() -> None:
    assert len(blocks("toml")) >= 3
    assert len(commands()) >= 7
    assert len(blocks("python")) == 1


@pytest.mark.parametrize("text", blocks("toml"), ids=lambda text: text.splitlines()[0])
def test_every_mapping_reads_without_problems(text: str) -> None:
    mapping = parse_mapping(text, "README.md").mapping
    assert all(drive.control_names for _, drive in mapping.units())


def test_first_mapping_is_the_gallery_lathe() -> None:
    lathe = (TOP / "gallery" / "lathe.toml").read_text(encoding="utf-8")
    assert parse_mapping(blocks("toml")[0], "x").mapping == parse_mapping(lathe, "x").mapping


def test_ci_does_what_the_two_start_commands_do() -> None:
    drawing, testing = (command.split(" && ") for command in commands()[:2])
    assert drawing[0] == testing[0] == "python3 -m venv .venv"
    assert drawing[1] == testing[1] == ". .venv/bin/activate"
    install, draw = drawing[2:]
    assert install == "pip install -e ."
    assert draw.rpartition(" ")[0] in CI  # all but the target's place
    install_all, test = testing[2:]
    assert install_all.removeprefix("pip install ") in CI
    assert re.search(rf"^tests\(\) {{ {test} [^|;&]*\|", CI, re.MULTILINE)  # options may follow


@pytest.mark.parametrize(
    "line", [part for line in commands() for part in line.split(" && ") if "doorsheet " in part]
)
def test_every_command_line_exists(line: str) -> None:
    program, name, *arguments = shlex.split(line)
    assert program == "doorsheet"
    command = get_command(app).commands[name]  # type: ignore[attr-defined]
    options = {option for parameter in command.params for option in parameter.opts}
    assert {argument for argument in arguments if argument.startswith("--")} <= options
    for argument in arguments:
        if argument.startswith("gallery/"):
            assert (TOP / argument).is_file()


def test_python_block_runs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "gallery").symlink_to(TOP / "gallery")
    monkeypatch.chdir(tmp_path)
    exec(compile(blocks("python")[0], "README.md", "exec"), {})
    assert (tmp_path / "lathe-bench.pdf").read_bytes().startswith(b"%PDF")


def keys(table: type[BaseModel], path: tuple[str, ...] = ()) -> Iterator[str]:
    """Yield every key that can be written somewhere in a mapping."""
    for name, field in table.model_fields.items():
        key = field.alias or name
        yield key
        inner = table_at((*path, key))
        if inner is not None:
            yield from keys(inner, (*path, key))


def test_every_key_is_explained() -> None:
    known = set(keys(Mapping))
    assert {"machine", "earthed", "both-directions"} <= known
    code = " ".join(re.findall(r"`([^`\n]+)`", README + KEYS) + blocks("toml"))
    written = set(re.findall(r"[a-z][a-z0-9]*(?:-[a-z0-9]+)*", code))
    assert known - written == set()


def test_it_is_read_in_five_minutes() -> None:
    # at 200 to 250 words a minute (common practice, no source), less pictures and code
    assert len(README.split()) <= 2000


@pytest.mark.parametrize("page", ["README.md", "DEVELOPERS.md", "gallery/mapping.md"])
def test_links_lead_somewhere(page: str) -> None:
    text = (TOP / page).read_text(encoding="utf-8")
    headings = {
        re.sub(r"[^\w\- ]", "", heading).strip().lower().replace(" ", "-")
        for heading in re.findall(r"^#+ (.+)$", text, re.MULTILINE)
    }
    links = re.findall(r"\]\(([^)]+)\)", text)
    assert links
    for link in links:
        if link.startswith("#"):
            assert link[1:] in headings
        else:
            assert ((TOP / page).parent / link).exists(), link


def test_python_version_is_the_one_supported() -> None:
    assert "Python 3.11 or later" in README
    assert 'requires-python = ">=3.11"' in (TOP / "pyproject.toml").read_text(encoding="utf-8")
    assert sys.version_info >= (3, 11)
