"""schemdraw comes in without matplotlib, and whoever uses schemdraw beside us can't tell.

Each case is a fresh Python, since an import happens once.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

DIAGRAMS = Path(__file__).parents[2] / "diagrams"
HEAD = "import sys\n"
DRAW = """
import schemdraw, schemdraw.elements as elm
d = schemdraw.Drawing(**{how}, show=False)
d.add(elm.ResistorIEC())
svg = d.get_imagedata("svg")
"""


def python(code: str) -> None:
    env = {**os.environ, "PYTHONPATH": str(DIAGRAMS), "MPLBACKEND": "Agg"}
    done = subprocess.run(
        [sys.executable, "-c", HEAD + code], capture_output=True, text=True, env=env, timeout=60
    )
    assert done.returncode == 0, done.stderr


def test_no_matplotlib_after_import_and_drawing() -> None:
    python("""
from doorsheet.symbols import Earth, assemble, flatten
assert len(flatten(assemble([Earth().at((0, 0))]))) == 4
heavy = {"matplotlib", "numpy", "schemdraw.backends.mpl"} & set(sys.modules)
assert not heavy, heavy
""")


def test_plain_import_does_bring_matplotlib() -> None:
    """The control: without `bare` the case above could not fail."""
    pytest.importorskip("matplotlib")
    python("import schemdraw\nassert 'matplotlib.pyplot' in sys.modules")


def test_whoever_imported_schemdraw_before_us_is_not_disturbed() -> None:
    pytest.importorskip("matplotlib")
    python("""
import schemdraw, schemdraw.elements.elements as elements
core = sys.modules["schemdraw.schemdraw"]
before = (core.mplFigure, elements.mplFigure, schemdraw.default_canvas.default_canvas)
modules = {n: m for n, m in sys.modules.items() if "schemdraw" in n or "matplotlib" in n}
import doorsheet.symbols
assert before == (core.mplFigure, elements.mplFigure, schemdraw.default_canvas.default_canvas)
assert all(sys.modules[n] is m for n, m in modules.items())
""")


def test_with_pyplot_loaded_nothing_is_bent() -> None:
    pytest.importorskip("matplotlib")
    python("""
import matplotlib.pyplot
import doorsheet.symbols
from schemdraw.backends.mpl import Figure
assert sys.modules["schemdraw.schemdraw"].mplFigure is Figure
""")


def test_svg_canvas_works_after_us() -> None:
    python(
        "import doorsheet.symbols"
        + DRAW.replace("{how}", '{"canvas": "svg"}')
        + """
assert svg.startswith(b"<svg") or b"<svg" in svg
assert "matplotlib" not in sys.modules
"""
    )


@pytest.mark.parametrize("how", ["{}", '{"canvas": "matplotlib"}'])
def test_matplotlib_canvas_works_after_us(how: str) -> None:
    pytest.importorskip("matplotlib")
    python(
        "import doorsheet.symbols"
        + DRAW.replace("{how}", how)
        + """
assert b"matplotlib" in svg.lower()
from schemdraw.backends.mpl import Figure
assert sys.modules["schemdraw.schemdraw"].mplFigure is Figure
assert type(d.fig) is Figure
"""
    )


def test_choosing_a_canvas_and_the_backend_module_work_after_us() -> None:
    pytest.importorskip("matplotlib")
    python("""
import doorsheet.symbols, schemdraw
assert schemdraw.default_canvas.default_canvas == "matplotlib"
schemdraw.use("svg"); schemdraw.use("matplotlib")
import schemdraw.backends.mpl
assert schemdraw.backends.mpl.Figure
""")


def test_without_matplotlib_all_is_as_schemdraw_leaves_it() -> None:
    python("""
sys.modules["matplotlib"] = None
import doorsheet.symbols, schemdraw
assert schemdraw.default_canvas.default_canvas == "svg"
try:
    schemdraw.use("matplotlib")
except ValueError:
    pass
else:
    raise AssertionError("schemdraw offers a canvas that isn't there")
""")


def test_a_canvas_barred_by_the_caller_stays_barred() -> None:
    python("""
sys.modules["schemdraw.backends.mpl"] = None
import doorsheet.symbols, schemdraw
assert sys.modules["schemdraw.backends.mpl"] is None
assert schemdraw.default_canvas.default_canvas == "svg"
""")
