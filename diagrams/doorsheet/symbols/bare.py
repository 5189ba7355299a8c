"""The one door through which schemdraw comes in, without matplotlib.

``import schemdraw`` imports ``matplotlib.pyplot`` when matplotlib is installed
(0.3 s and a settled backend) for a canvas that we never draw on.  What else is
here makes good for that: whoever imports schemdraw after us finds it as if we
had never touched it.  No symbols in this module.
"""

import importlib.util
import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

    from schemdraw.backends.mpl import Figure as MplFigure

_CANVAS = "schemdraw.backends.mpl"


def _mpl_figure(*args: object, **kwargs: object) -> "MplFigure":
    """Stand in for schemdraw's matplotlib canvas until somebody draws on it, then become it."""
    from schemdraw.backends.mpl import Figure

    _give_canvas(Figure)
    return Figure(*args, **kwargs)  # type: ignore[no-untyped-call]


def _give_canvas(figure: "Callable[..., MplFigure]") -> None:
    # schemdraw looks the canvas up by these two names, and only ever calls it
    for name in ("schemdraw.schemdraw", "schemdraw.elements.elements"):
        vars(sys.modules[name])["mplFigure"] = figure


def _import_schemdraw() -> None:
    """Import schemdraw; leave `sys.modules` and the default canvas as a plain import leaves them."""
    if "schemdraw" in sys.modules or "matplotlib.pyplot" in sys.modules:
        import schemdraw  # nothing left to save, so nothing is bent

        return
    # None is Python's own way to say "this module cannot be imported"; schemdraw is written to
    # take that ImportError (matplotlib is optional to it), and then offers its SVG canvas alone.
    barred_already = _CANVAS in sys.modules
    sys.modules.setdefault(_CANVAS, None)  # type: ignore[arg-type]
    try:
        import schemdraw
    finally:
        if not barred_already:
            del sys.modules[_CANVAS]
    if not barred_already and importlib.util.find_spec("matplotlib") is not None:
        _give_canvas(_mpl_figure)
        schemdraw.use("matplotlib")  # the default that a plain import sets; our own code draws on no canvas


_import_schemdraw()

from schemdraw import Drawing, drawing_stack  # noqa: E402
from schemdraw.elements import Element  # noqa: E402
from schemdraw.segments import Segment, SegmentArc, SegmentCircle, SegmentPoly  # noqa: E402
from schemdraw.transform import Transform  # noqa: E402
from schemdraw.types import BBox  # noqa: E402
from schemdraw.util import Point  # noqa: E402

__all__ = [
    "BBox", "Drawing", "Element", "Point", "Segment", "SegmentArc", "SegmentCircle", "SegmentPoly",
    "Transform", "drawing_stack",
]  # fmt: skip
