"""What a reader finds in a PDF: its words page by page, and its pictures."""

import io
import re

from pypdf import PdfReader


def pages_of(pdf: bytes) -> list[str]:
    """Words of each page; lines are joined, as a reader's eye joins them."""
    reader = PdfReader(io.BytesIO(pdf))
    return [" ".join(page.extract_text().split()) for page in reader.pages]


def words_of(pdf: bytes) -> str:
    return " ".join(pages_of(pdf))


def letters_of(pdf: bytes) -> str:
    """Every letter in order, without spaces: long words are broken anywhere."""
    return re.sub(r"[\s\u200b]", "", words_of(pdf))


def pictures_of(pdf: bytes) -> int:
    return sum(len(page.images) for page in PdfReader(io.BytesIO(pdf)).pages)


def longest_line_of(pdf: bytes) -> int:
    """Letters of the longest line: what runs over the edge of the sheet makes one."""
    reader = PdfReader(io.BytesIO(pdf))
    texts = (page.extract_text() for page in reader.pages)
    return max(len(line) for text in texts for line in text.splitlines())
