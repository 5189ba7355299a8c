"""Makes the pictures of tests/baseline anew, small by a palette: ``python -m tests.sheets.make_images``."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from PIL import Image

BASELINE = Path(__file__).parents[1] / "baseline"
COLOURS = 128


def main() -> None:
    """Draw each, and keep as many colours as no eye misses."""
    for path in BASELINE.glob("*.png"):
        path.unlink()
    tests = Path(__file__).with_name("test_images.py")
    command = [sys.executable, "-m", "pytest", "-q", "-n0", f"--mpl-generate-path={BASELINE}", "-k"]
    subprocess.run([*command, "test_sheet or test_speed_plot", str(tests)], check=True)
    for path in BASELINE.glob("*.png"):
        small = Image.open(path).convert("RGB").quantize(COLOURS, dither=Image.Dither.NONE)
        small.save(path, optimize=True)


if __name__ == "__main__":
    main()
