"""A file is written whole or not at all; real disks where the machine lets us make one."""

from __future__ import annotations

import errno
import os
import signal
import stat
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from doorsheet.output.writing import OutputError, write_set, write_whole
from tests.judges.tools import python

WITH_NAMES = "if hasattr(os, 'O_TMPFILE'): del os.O_TMPFILE\n"
OLD, NEW = b"what stood there", b"new" * 1000


def names(folder: Path) -> list[str]:
    return [path.name for path in folder.iterdir()]


def refused(path: Path) -> str:
    with pytest.raises(OutputError) as caught:
        write_whole(path, NEW)
    return str(caught.value)


def test_new_file_gets_usual_permissions(tmp_path: Path) -> None:
    path = tmp_path / "a.svg"
    mask = os.umask(0o027)
    try:
        write_whole(path, NEW)
    finally:
        os.umask(mask)
    assert path.read_bytes() == NEW
    assert stat.S_IMODE(path.stat().st_mode) == 0o640
    assert names(tmp_path) == ["a.svg"]


def test_replaced_file_keeps_its_permissions(tmp_path: Path) -> None:
    path = tmp_path / "a.svg"
    path.write_bytes(OLD)
    path.chmod(0o604)
    write_whole(path, NEW)
    assert path.read_bytes() == NEW
    assert stat.S_IMODE(path.stat().st_mode) == 0o604


def test_a_reader_never_sees_half_a_file(tmp_path: Path) -> None:
    path = tmp_path / "a.svg"
    path.write_bytes(OLD)
    with path.open("rb") as reader:
        write_whole(path, NEW)
        assert reader.read() == OLD, "the old file stays whole for whoever reads it"


def test_link_is_followed(tmp_path: Path) -> None:
    (tmp_path / "there").mkdir()
    target, link = tmp_path / "there" / "a.svg", tmp_path / "link.svg"
    target.write_bytes(OLD)
    link.symlink_to(target)
    write_whole(link, NEW)
    assert link.is_symlink()
    assert target.read_bytes() == NEW
    assert names(tmp_path / "there") == ["a.svg"]


def test_plain_sentences(tmp_path: Path) -> None:
    file = tmp_path / "file"
    file.write_bytes(OLD)
    (tmp_path / "loop").symlink_to(tmp_path / "loop")
    (tmp_path / "folder").mkdir()
    assert refused(tmp_path / "no" / "a.svg").endswith("/no/a.svg: the folder does not exist.")
    assert "a folder stands there" in refused(tmp_path / "folder")
    assert "not a folder" in refused(file / "a.svg")
    assert "too long" in refused(tmp_path / ("x" * 300))
    assert "circle" in refused(tmp_path / "loop")
    assert refused(tmp_path / "a\0b").startswith("Cannot write ")
    assert file.read_bytes() == OLD


def test_folder_that_may_not_be_written(tmp_path: Path) -> None:
    folder = tmp_path / "closed"
    folder.mkdir()
    path = folder / "a.svg"
    path.write_bytes(OLD)
    folder.chmod(0o555)
    try:
        if os.access(folder, os.W_OK):
            pytest.skip("this user may write everywhere")
        assert "you may not write in this folder" in refused(path)
    finally:
        folder.chmod(0o755)
    assert path.read_bytes() == OLD


@pytest.mark.parametrize(
    ("code", "words"),
    [
        (errno.EACCES, "you may not write in this folder"),
        (errno.EROFS, "the disk is read-only"),
        (errno.EIO, "Input/output error"),
    ],
)
def test_what_the_system_answers_in_plain_words(
    code: int, words: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(**_: object) -> None:
        raise OSError(code, os.strerror(code))

    monkeypatch.setattr("tempfile.mkstemp", fail)
    monkeypatch.delattr("os.O_TMPFILE", raising=False)
    assert refused(tmp_path / "a.svg").endswith(f"/a.svg: {words}.")


def test_a_pipe_is_written_to_and_stays_a_pipe(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    reader = os.open(pipe, os.O_RDONLY | os.O_NONBLOCK)
    write_whole(pipe, NEW)
    assert os.read(reader, 10_000) == NEW
    os.close(reader)
    assert pipe.is_fifo()
    link = tmp_path / "null"
    link.symlink_to("/dev/null")
    write_whole(link, NEW)
    assert Path("/dev/null").is_char_device()


def test_a_file_marked_read_only_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "a.svg"
    path.write_bytes(OLD)
    path.chmod(0o444)
    assert "marked read-only" in refused(path)
    assert path.read_bytes() == OLD
    assert names(tmp_path) == ["a.svg"]


def test_a_file_with_other_names_is_refused(tmp_path: Path) -> None:
    path, other = tmp_path / "a.svg", tmp_path / "b.svg"
    path.write_bytes(OLD)
    other.hardlink_to(path)
    assert "hard links" in refused(path)
    assert path.read_bytes() == other.read_bytes() == OLD


def test_a_file_stays_its_owners(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "a.svg"
    path.write_bytes(OLD)
    if os.geteuid() == 0:
        os.chown(path, 12345, 23456)
        write_whole(path, NEW)
        assert (path.stat().st_uid, path.stat().st_gid) == (12345, 23456)

    def not_yours(*_: object) -> None:
        raise PermissionError(errno.EPERM, "Operation not permitted")

    monkeypatch.setattr("os.chown", not_yours)
    real = Path.stat
    foreign = os.stat_result((*real(path)[:4], 12345, 23456, *real(path)[6:]))
    monkeypatch.setattr(Path, "stat", lambda p, **k: foreign if p.name == "a.svg" else real(p, **k))
    assert "another user or group" in refused(path)
    assert [name for name in names(tmp_path) if name != "a.svg"] == []


def test_parts_of_killed_writes_are_swept_when_nobody_writes_them_any_more(tmp_path: Path) -> None:
    old, young, foreign = (tmp_path / name for name in (".doorsheet-1.part", ".doorsheet-2.part", "x.part"))
    for part in (old, young, foreign):
        part.write_bytes(OLD)
    for part in (old, foreign):
        os.utime(part, (0, 0))
    write_whole(tmp_path / "a.svg", NEW)
    assert sorted(names(tmp_path)) == [".doorsheet-2.part", "a.svg", "x.part"]


@pytest.mark.parametrize(
    ("number", "first"),
    [(signal.SIGTERM, ""), (signal.SIGTERM, WITH_NAMES), (signal.SIGKILL, "")],
)
def test_an_end_while_a_file_is_written_leaves_no_part(number: int, first: str, tmp_path: Path) -> None:
    """The process is stopped before its part takes its place."""
    if number == signal.SIGKILL and not hasattr(os, "O_TMPFILE"):
        pytest.skip("a file has a name from the start here")
    script = (
        "import os, sys\n"
        f"os.chmod = lambda *_: os.kill(os.getpid(), {number:d})\n{first}"
        "sys.argv = ['doorsheet', 'schema', '--to', sys.argv[1]]\n"
        "from doorsheet_cli.main import main\nmain()\n"
    )
    ended = subprocess.run(
        [sys.executable, "-c", script, str(tmp_path / "s.json")],
        env={**os.environ, "PYTHONPATH": os.pathsep.join(part for part in sys.path if part)},
        check=False,
    )
    assert ended.returncode == (128 + number if number == signal.SIGTERM else -number)
    assert names(tmp_path) == []


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A real file system of 16 kB."""
    disk = tmp_path / "disk"
    disk.mkdir()
    made = subprocess.run(["mount", "-t", "tmpfs", "-o", "size=16k", "tmpfs", str(disk)], capture_output=True)
    if made.returncode:
        pytest.skip("this user may not mount a disk")
    try:
        yield disk
    finally:
        subprocess.run(["umount", str(disk)], check=True)


def test_full_disk(small_disk: Path) -> None:
    path = small_disk / "a.svg"
    path.write_bytes(OLD)
    with pytest.raises(OutputError, match="the disk is full"):
        write_whole(path, b"x" * 100_000)
    assert path.read_bytes() == OLD
    assert names(small_disk) == ["a.svg"]


@pytest.mark.parametrize("has_name", [False, True])
@pytest.mark.parametrize("step", ["os.fsync", "os.link", "os.chmod", "pathlib.Path.replace"])
def test_failure_at_any_step_leaves_the_old_file(
    step: str, has_name: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    if has_name:
        monkeypatch.delattr("os.O_TMPFILE", raising=False)
    if step == "os.link" and not hasattr(os, "O_TMPFILE"):
        pytest.skip("nothing is linked")
    path = tmp_path / "a.svg"
    path.write_bytes(OLD)

    def fail(*_: object, **__: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(step, fail)
    assert "the disk is full" in refused(path)
    monkeypatch.undo()
    assert path.read_bytes() == OLD
    assert names(tmp_path) == ["a.svg"]


def test_interrupt_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "a.svg"
    path.write_bytes(OLD)

    def interrupt(_handle: int) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("os.fsync", interrupt)
    with pytest.raises(KeyboardInterrupt):
        write_whole(path, NEW)
    assert path.read_bytes() == OLD
    assert names(tmp_path) == ["a.svg"]


def test_a_write_that_really_breaks_off(tmp_path: Path) -> None:
    """The system stops the write after 64 kB: no patching, no rights needed."""
    path = tmp_path / "a.svg"
    path.write_bytes(OLD)
    script = (
        "import resource, signal, sys; from pathlib import Path;"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN);"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (65536, 65536));"
        "from doorsheet.output.writing import write_whole, OutputError\n"
        "try: write_whole(Path(sys.argv[1]), bytes(1 << 20))\n"
        "except OutputError as error: print(error)"
    )
    assert "larger than the disk or the account allows" in python(
        script, str(path), PYTHONDONTWRITEBYTECODE="1"
    )
    assert path.read_bytes() == OLD
    assert names(tmp_path) == ["a.svg"]


# --- sets ----------------------------------------------------------------


def stood(folder: Path) -> list[Path]:
    paths = [folder / name for name in ("a-1.svg", "a-2.svg", "a-3.svg")]
    for path in paths[:2]:
        path.write_bytes(OLD)
    return paths


def test_a_set_is_written(tmp_path: Path) -> None:
    write_set((path, NEW) for path in stood(tmp_path))
    assert {path.read_bytes() for path in tmp_path.iterdir()} == {NEW}
    assert sorted(names(tmp_path)) == ["a-1.svg", "a-2.svg", "a-3.svg"]


@pytest.mark.parametrize("last", [0, 1, 2])
def test_a_set_is_written_whole_or_not_at_all(
    last: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The last step fails at the first, second or third file: those before it are as they were."""
    paths = stood(tmp_path)
    names_given = iter(range(10))
    real = Path.replace, os.link

    def fail() -> None:
        if next(names_given) == last:
            raise OSError(errno.EIO, os.strerror(errno.EIO))

    def replace(self: Path, target: Path) -> Path:
        fail()
        return real[0](self, target)

    def link(source: str, name: Path, **more: int) -> None:
        if name == paths[2]:  # a place that is free is taken without a name in between
            fail()
        real[1](source, name, **more)

    monkeypatch.setattr("pathlib.Path.replace", replace)
    monkeypatch.setattr("os.link", link)
    with pytest.raises(OutputError, match=f"a-{last + 1}.svg"):
        write_set((path, NEW) for path in paths)
    assert sorted(names(tmp_path)) == ["a-1.svg", "a-2.svg"]
    assert {path.read_bytes() for path in tmp_path.iterdir()} == {OLD}


def test_a_set_of_which_one_cannot_be_written(tmp_path: Path) -> None:
    paths = stood(tmp_path)
    paths[2].mkdir()
    with pytest.raises(OutputError, match="a folder stands there"):
        write_set((path, NEW) for path in paths)
    assert [path.read_bytes() for path in paths[:2]] == [OLD, OLD]
    assert sorted(names(tmp_path)) == ["a-1.svg", "a-2.svg", "a-3.svg"]
