"""Words of a sheet as the eye reads them, without the breaks inside long words and figures."""

from tests import pdf_reader


def pages_of(pdf: bytes) -> list[str]:
    return [_plain(page) for page in pdf_reader.pages_of(pdf)]


def words_of(pdf: bytes) -> str:
    return " ".join(pages_of(pdf))


def _plain(words: str) -> str:
    return words.replace("\u200b", "").replace("\xa0", " ")
