"""Writes `advances.txt` of the room `trade` from the fonts that matplotlib ships.

Run `python -m tests.trade.make_advances` after a new matplotlib.
"""

from pathlib import Path
from typing import NamedTuple

from doorsheet.trade import lettering
from doorsheet.trade.lettering import refusal

__all__ = ["ADVANCES_FILE", "advances_source", "font_files"]

ADVANCES_FILE = Path(lettering.__file__).with_name("advances.txt")


class _Face(NamedTuple):
    version: str
    units_per_em: int
    cap_height: int
    advances: dict[int, int]  # by code point


def font_files() -> tuple[Path, Path]:
    """Find DejaVu Sans inside matplotlib: regular, bold."""
    import matplotlib

    folder = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
    return folder / "DejaVuSans.ttf", folder / "DejaVuSans-Bold.ttf"


def advances_source() -> str:
    """Write the text of `advances.txt` for the fonts that are installed."""
    regular, bold = (_read_face(path) for path in font_files())
    if regular[:3] != bold[:3]:
        raise ValueError(f"regular and bold differ: {regular[:3]}, {bold[:3]}")
    both = sorted(regular.advances.keys() & bold.advances.keys())
    runs: list[list[int]] = []
    for code in both:
        if refusal(chr(code)):
            continue
        if runs and runs[-1][-1] == code - 1:
            runs[-1].append(code)
        else:
            runs.append([code])
    if runs[0] != list(range(0x20, 0x7F)):
        raise ValueError("the font lacks a character of ASCII")
    pairs = [[f"{regular.advances[code]},{bold.advances[code]}" for code in run] for run in runs]
    lines = (f"{run[0]:x} {' '.join(widths)}\n" for run, widths in zip(runs, pairs, strict=True))
    return f"{regular.units_per_em} {regular.cap_height} {regular.version}\n{''.join(lines)}"


def _read_face(path: Path) -> _Face:
    from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

    with TTFont(path) as font:
        names = font.getBestCmap()
        advances = {code: font["hmtx"][name][0] for code, name in names.items()}
        # The font has no cap height of its own on record: an H is as high as its outline.
        cap_height = font["glyf"][names[ord("H")]].yMax
        return _Face(font["name"].getDebugName(5), font["head"].unitsPerEm, cap_height, advances)


if __name__ == "__main__":
    ADVANCES_FILE.write_text(advances_source(), encoding="utf-8")
