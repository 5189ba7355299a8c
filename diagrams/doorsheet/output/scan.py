"""Reads the mapping off a photograph or a scan of a sheet.

The symbols are found by `zxing-cpp`, a PDF's pages are made pictures by `pypdfium2`; both are wanted for this
alone, so they are an extra: ``pip install "doorsheet[scan]"``.  What is found is held against its sum in
`doorsheet.mapping.packed`.
"""

import warnings
from collections.abc import Iterator, Sequence
from io import BytesIO
from typing import TYPE_CHECKING, Final

from doorsheet.mapping.packed import PackError, unpack
from doorsheet.output.carry import Carried, CarryError, carry_error

if TYPE_CHECKING:
    from PIL.Image import Image

__all__ = ["scan"]

_FORMATS: Final = ("PNG", "JPEG", "TIFF", "WEBP", "BMP")
_MOST_PIXELS: Final = 60_000_000
"""The largest cameras of telephones take 50 million and more; larger is cut down by the reader."""
_MOST_PAGES: Final = 20
_DPI: Final = 300
_SCALES: Final = (1.0, 2.0, 0.5)
"""Sizes at which symbols are sought: small ones of a coarse scan are read larger, blurred ones smaller."""
_MISSING: Final = (
    'Reading a picture of a sheet takes two packages that are not installed: pip install "doorsheet[scan]". '
    "A file that Doorsheet wrote gives its mapping back without them."
)


def scan(files: Sequence[bytes], otherwise: CarryError | None = None) -> Carried:
    """Put together the mapping that the symbols in pictures hold.

    Raises CarryError: `otherwise` where no file is a picture, else what keeps the mapping from being whole.
    """
    texts: dict[str, None] = {}
    trouble: CarryError | None = None
    for number, data in enumerate(files):
        for picture in _pictures(data, otherwise):
            for found in _read(picture, otherwise):
                texts |= dict.fromkeys(found)
                if number < len(files) - 1:
                    continue
                try:
                    whole = unpack(texts)
                except PackError as error:
                    trouble = carry_error(error)
                else:
                    return Carried(whole.name, whole.text, (whole.label,))
    seen = " No symbol of a sheet is seen in it: take the picture square on, sharp, with the symbols large."
    raise (trouble if texts else None) or CarryError(f"{otherwise or 'These are pictures.'}{seen}")


def _pictures(data: bytes, otherwise: CarryError | None) -> "Iterator[Image]":
    """Yield the pictures in a file: itself, or the pages of a PDF; CarryError for any other."""
    if data.startswith(b"%PDF-"):
        yield from _pages(data, otherwise)
        return
    from PIL import Image, ImageOps, UnidentifiedImageError

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            picture = Image.open(BytesIO(data), formats=_FORMATS)
        if picture.width * picture.height > _MOST_PIXELS:
            raise CarryError("This picture is larger than 60 million pixels: make it smaller, or cut it.")
        yield ImageOps.exif_transpose(picture).convert("L")
    except UnidentifiedImageError:
        raise otherwise or CarryError("This file is no picture of a sheet.") from None
    except (OSError, SyntaxError, ValueError, Image.DecompressionBombError) as error:
        raise CarryError("This picture is damaged: it can't be opened.") from error


def _pages(data: bytes, otherwise: CarryError | None) -> "Iterator[Image]":
    try:
        import pypdfium2
    except ImportError:
        raise CarryError(f"{otherwise or 'These are pictures.'} {_MISSING}") from None
    try:
        document = pypdfium2.PdfDocument(data)
        for number in range(min(len(document), _MOST_PAGES)):
            page = document[number]
            scale = min(_DPI / 72, (_MOST_PIXELS / (page.get_width() * page.get_height())) ** 0.5)
            yield page.render(scale=scale, grayscale=True).to_pil()
    except (pypdfium2.PdfiumError, ZeroDivisionError) as error:
        raise CarryError("This PDF is damaged: its pages can't be shown.") from error


def _read(picture: "Image", otherwise: CarryError | None) -> Iterator[list[str]]:
    """Yield what the symbols in a picture say, at one size after the other."""
    try:
        import zxingcpp
    except ImportError:
        raise CarryError(f"{otherwise or 'These are pictures.'} {_MISSING}") from None
    wanted = zxingcpp.barcode_formats_from_str("QRCode")
    for scale in _SCALES:
        size = round(picture.width * scale), round(picture.height * scale)
        if min(size) < 20 or size[0] * size[1] > _MOST_PIXELS:
            continue
        sized = picture if scale == 1.0 else picture.resize(size)
        yield [found.text for found in zxingcpp.read_barcodes(sized, formats=wanted)]
