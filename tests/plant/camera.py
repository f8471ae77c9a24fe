"""Reads codes off printed sheets, as a telephone's camera does."""

import io

import pypdfium2
import zxingcpp
from PIL import Image

# Dots of a plain office printer's picture are finer.
_DOTS_PER_INCH = 150
_ONE_ROW_DOTS = 40


def codes_on(picture: Image.Image) -> list[str]:
    """What the codes hold, row by row from the top."""
    found = zxingcpp.read_barcodes(picture, formats=zxingcpp.BarcodeFormat.QRCode)
    by_place = sorted(found, key=lambda one: _place(one.position))
    return [one.text for one in by_place]


def _place(corners: zxingcpp.Position) -> tuple[int, int]:
    """Row and column; middles of one row differ by a few dots."""
    middle_y = (corners.top_left.y + corners.bottom_right.y) / 2
    return round(middle_y / _ONE_ROW_DOTS), corners.top_left.x


def pages_of(pdf: bytes) -> list[Image.Image]:
    document = pypdfium2.PdfDocument(pdf)
    return [page.render(scale=_DOTS_PER_INCH / 72).to_pil() for page in document]


def codes_of_pdf(pdf: bytes) -> list[list[str]]:
    """Codes of each page."""
    return [codes_on(page) for page in pages_of(pdf)]


def codes_of_png(png: bytes) -> list[str]:
    return codes_on(Image.open(io.BytesIO(png)))
