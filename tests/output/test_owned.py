"""What stands at a target is replaced only where Doorsheet made it, or where --force says so."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner

from doorsheet_cli.main import app

GALLERY = Path(__file__).parents[2] / "gallery"
FOREIGN = {
    "svg": b"<svg xmlns='http://www.w3.org/2000/svg'><text>Doorsheet mapping</text></svg>",
    "pdf": b"%PDF-1.4 a letter about Doorsheet mapping",
    "png": b"\x89PNG\r\n\x1a\n holiday",
    "toml": b'machine = "mine"\n',
    "json": b'{"title": "mine"}\n',
    "md": b"the question with its blanks filled in\n",
    "txt": b"the same\n",
}


def run(*words: str | Path) -> tuple[int, str]:
    result = CliRunner().invoke(app, [str(word) for word in words])
    return result.exit_code, result.output


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "engraver.toml").write_bytes((GALLERY / "engraver.toml").read_bytes())
    (tmp_path / "jog.toml").write_text('machine = "Jog"\n[jog]\ninput = "DI1"\ncommon = "COM"\n')
    run("draw", tmp_path / "jog.toml", "--to", tmp_path / "sheet.pdf")
    return tmp_path


COMMANDS = {
    "draw svg": ("draw jog.toml --to t.svg", "t.svg"),
    "draw pdf": ("draw jog.toml --to t.pdf", "t.pdf"),
    "draw png": ("draw jog.toml --to t.png", "t.png"),
    "default": ("draw jog.toml", "jog.svg"),
    "speeds svg": ("speeds engraver.toml --to t.svg", "t.svg"),
    "speeds pdf": ("speeds engraver.toml --to t.pdf", "t.pdf"),
    "speeds png": ("speeds engraver.toml --to t.png", "t.png"),
    "booklet": ("booklet jog.toml", "jog-booklet.pdf"),
    "recover": ("recover sheet.pdf --to t.toml", "t.toml"),
    "schema": ("schema --to t.json", "t.json"),
    "post png": ("post jog.toml", "jog-post.png"),
    "post txt": ("post jog.toml --format text", "jog-post.txt"),
    "post bbcode": ("post jog.toml --format bbcode", "jog-post.bbcode"),
}


@pytest.mark.parametrize("command, target", COMMANDS.values(), ids=COMMANDS)
def test_others_work_is_kept(
    command: str, target: str, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(folder)
    path = folder / target
    path.write_bytes(theirs := FOREIGN.get(path.suffix[1:], FOREIGN["txt"]))
    before = {other.name for other in folder.iterdir()}
    code, said = run(*command.split())
    assert code == 2 and f"Cannot write {target}" in said and "--force" in said
    assert path.read_bytes() == theirs
    assert {other.name for other in folder.iterdir()} == before  # the other files of a set too
    assert run(*command.split(), "--force")[0] == 0
    ours = path.read_bytes()
    assert ours != theirs
    for mapping in set(folder.glob("*.toml")) - {path}:
        mapping.write_text(
            mapping.read_text(encoding="utf-8").replace('machine = "', 'machine = "New '), "utf-8"
        )
    if "post" in command:  # its texts are there to be written in
        assert run(*command.split())[0] == 2
        assert path.read_bytes() == ours
    else:  # its own is replaced without a word
        assert run(*command.split())[0] == 0
        assert (path.read_bytes() != ours) is (command.split()[0] in ("draw", "speeds", "booklet"))


def test_a_post_without_its_texts_is_replaced(folder: Path) -> None:
    run("post", folder / "jog.toml")
    (folder / "jog-post.md").unlink()
    (folder / "jog.toml").write_text((folder / "jog.toml").read_text().replace("DI1", "DI7"))
    assert run("post", folder / "jog.toml")[0] == 0


def test_a_schema_of_another_version_is_ours(tmp_path: Path) -> None:
    run("schema", "--to", tmp_path / "s.json")
    ours = (tmp_path / "s.json").read_text(encoding="utf-8")
    (tmp_path / "s.json").write_text(ours.replace("machine", "machines"), encoding="utf-8")
    assert run("schema", "--to", tmp_path / "s.json")[0] == 0
    assert (tmp_path / "s.json").read_text(encoding="utf-8") == ours


@pytest.mark.parametrize("old, new", [("svg", "pdf"), ("pdf", "toml"), ("png", "json")])
def test_a_sheet_is_replaced_by_a_sheet_of_its_kind_alone(old: str, new: str, folder: Path) -> None:
    from doorsheet.output.writing import OutputError, write_files

    run("draw", folder / "jog.toml", "--to", folder / f"t.{old}")
    (folder / f"t.{old}").rename(folder / "t")
    with pytest.raises(OutputError):
        write_files([(folder / "t", FOREIGN[new])])


@pytest.mark.parametrize("force", [(), ("--force",)])
def test_a_sheet_is_never_replaced_by_its_own_mapping(force: tuple[str, ...], folder: Path) -> None:
    before = (folder / "sheet.pdf").read_bytes()
    (folder / "link.toml").symlink_to(folder / "sheet.pdf")
    for target in ("sheet.pdf", "link.toml"):
        code, said = run("recover", folder / "sheet.pdf", "--to", folder / target, *force)
        assert (code, "the sheet itself" in said) == (2, True)
    assert (folder / "sheet.pdf").read_bytes() == before


@pytest.mark.parametrize("command", ["draw", "speeds", "booklet"])
def test_a_mapping_is_never_replaced_by_what_is_made_of_it(command: str, folder: Path) -> None:
    before = (folder / "engraver.toml").read_bytes()
    (folder / "link.pdf").symlink_to(folder / "engraver.toml")
    for target in ("engraver.toml", "link.pdf"):
        assert run(command, folder / "engraver.toml", "--to", folder / target, "--force")[0] == 2
    assert (folder / "engraver.toml").read_bytes() == before
