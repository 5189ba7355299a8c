"""The wheel by itself, in an environment of its own: all that is served, drawn and read with is in it.

The libraries that it asks for are lent by the environment of the tests, so that nothing is fetched.
"""

from __future__ import annotations

import os
import subprocess
import sys
import sysconfig
import zipfile
from pathlib import Path

import pytest

TOP = Path(__file__).resolve().parents[1]
CLEAN = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}


def run(*words: str | Path, cwd: Path, given: str = "") -> str:
    done = subprocess.run(
        list(map(str, words)), cwd=cwd, env=CLEAN, input=given, capture_output=True, text=True, timeout=240
    )
    assert done.returncode == 0, done.stderr[-2000:]
    return done.stdout


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    pytest.importorskip("hatchling")
    folder = tmp_path_factory.mktemp("wheel")
    options = ("--no-deps", "--no-build-isolation", "--no-index", "-q", "-w", folder)
    run(sys.executable, "-m", "pip", "wheel", *options, TOP, cwd=folder)
    (made,) = folder.glob("doorsheet-*.whl")
    return made


@pytest.fixture(scope="module")
def python(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An interpreter with the wheel installed, and the tests' libraries behind it."""
    home = tmp_path_factory.mktemp("venv")
    run(sys.executable, "-m", "venv", home, cwd=home)
    own = home / ("Scripts" if os.name == "nt" else "bin") / "python"
    run(own, "-m", "pip", "install", "-q", "--no-deps", "--no-index", wheel, cwd=home)
    site = run(own, "-c", "import sysconfig; print(sysconfig.get_path('purelib'))", cwd=home).strip()
    (Path(site) / "lent.pth").write_text(sysconfig.get_path("purelib"))
    return own


def test_what_is_no_code_is_in_it_too(wheel: Path) -> None:
    names = zipfile.ZipFile(wheel).namelist()
    source = TOP / "diagrams" / "doorsheet"
    data = {path for path in source.rglob("*.*") if path.suffix not in (".py", ".pyc") and path.is_file()}
    assert {"page.html", "page.css", "page.js", "py.typed"} <= {path.name for path in data}
    assert {f"doorsheet/{path.relative_to(source).as_posix()}" for path in data} <= set(names)
    assert not [name for name in names if not name.startswith(("doorsheet/", "doorsheet_cli/", "doorsheet-"))]


def test_a_job_is_begun_drawn_and_opened_with_it(python: Path, tmp_path: Path) -> None:
    command = (python, "-m", "doorsheet_cli")
    answers = "\n".join(("Saw", *[""] * 8, "DI1", *[""] * 3, "COM"))
    assert "first sheet, the bench, is saw.svg" in run(
        *command, "start", "saw.toml", cwd=tmp_path, given=answers
    )
    assert "Read the label" in run(*command, "next", "saw.toml", cwd=tmp_path)
    run(*command, "next", "saw.toml", "--page", cwd=tmp_path)
    assert (tmp_path / "saw-step.pdf").read_bytes().startswith(b"%PDF")
    page = """if True:
        import doorsheet, sys
        from pathlib import Path
        from doorsheet.bench_page import Bench, PageServer
        assert Path(doorsheet.__file__).is_relative_to(sys.prefix)
        server = PageServer(Bench(Path("saw.toml")), "127.0.0.1", 0, print)
        print(*(len(data) > 1000 for _, data in server.files.values()))
    """
    assert run(python, "-c", page, cwd=tmp_path).split() == ["True"] * 4
    assert run(python.with_name("doorsheet"), "explain", "O201", cwd=tmp_path).startswith("O201")
