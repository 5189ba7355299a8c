"""Our drawings and other people's schemdraw, in one process: nobody disturbs anybody."""

from __future__ import annotations

import threading

import pytest
import schemdraw
from schemdraw import drawing_stack, elements

from doorsheet.symbols import Earth, Piece, assemble, flatten
from tests.symbols.catalogue import everything


def ours() -> tuple[Piece, ...]:
    return flatten(assemble(s.at((n, -n)) for n, s in enumerate(everything())))


def test_an_open_drawing_of_the_caller_swallows_nothing() -> None:
    expected = ours()
    with schemdraw.Drawing(show=False) as theirs:
        first = elements.ResistorIEC()
        assert ours() == expected
        Earth()
        second = elements.Line()
    assert theirs.elements == [first, second]
    assert not drawing_stack.drawing_stack and drawing_stack.pause is False


def test_the_caller_may_add_a_symbol_by_hand() -> None:
    with schemdraw.Drawing(show=False) as theirs:
        elements.Line()
        earth = Earth().at((1, 1))
        theirs.add(earth)
    assert [type(e).__name__ for e in theirs.elements] == ["Earth", "Line"]
    assert b"<svg" in theirs.get_imagedata("svg")


def test_threads_draw_the_same_beside_an_open_drawing() -> None:
    expected = ours()
    results: list[tuple[Piece, ...]] = []
    errors: list[BaseException] = []

    def work() -> None:
        try:
            results.extend(ours() for _ in range(3))
        except BaseException as error:  # a thread's error would be lost otherwise
            errors.append(error)

    with schemdraw.Drawing(show=False) as theirs:
        threads = [threading.Thread(target=work) for _ in range(4)]
        for thread in threads:
            thread.start()
        made = [elements.ResistorIEC() for _ in range(50)]
        for thread in threads:
            thread.join()
    assert not errors
    assert len(results) == 12 and all(result == expected for result in results)
    assert theirs.elements == made
    assert drawing_stack.pause is False


def test_settings_of_the_caller_do_not_reach_our_geometry(monkeypatch: pytest.MonkeyPatch) -> None:
    expected = ours()
    style = schemdraw.schemdraw.schemdrawstyle
    monkeypatch.setattr(schemdraw.schemdraw, "schemdrawstyle", dict(style))
    schemdraw.config(unit=9, inches_per_unit=2, lw=7, color="red", fill="blue")
    schemdraw.theme("dark")
    assert ours() == expected
