"""The same page gives the same bytes: again, and in another process with another hash seed."""

from __future__ import annotations

from hashlib import sha256

from doorsheet.output.figure import to_png
from doorsheet.output.pdf import to_pdf
from doorsheet.output.svg import to_svg
from tests.judges.tools import python
from tests.output.sample import sample_page

SCRIPT = "from tests.output.test_same_bytes import sums; print(sums())"


def sums() -> str:
    page = sample_page()
    files = (to_svg(page).encode(), to_pdf(page), to_png(page, dpi=72))
    return " ".join(sha256(file).hexdigest() for file in files)


def test_same_bytes_twice_and_in_other_processes() -> None:
    here = sums()
    assert sums() == here
    for seed, zone in (("1", "UTC"), ("4711", "Asia/Tokyo")):
        assert python(SCRIPT, PYTHONHASHSEED=seed, TZ=zone) == here
