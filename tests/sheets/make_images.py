"""Makes the pictures of tests/baseline anew: ``python -m tests.sheets.make_images``."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

BASELINE = Path(__file__).parents[1] / "baseline"


def main() -> None:
    """Draw each."""
    for path in BASELINE.glob("*.png"):
        path.unlink()
    tests = Path(__file__).with_name("test_images.py")
    command = [sys.executable, "-m", "pytest", "-q", "-n0", f"--mpl-generate-path={BASELINE}", "-k"]
    subprocess.run([*command, "test_sheet", str(tests)], check=True)


if __name__ == "__main__":
    main()
