"""How often a JPEG passes over its whole picture, told without decoding it."""

import re

# ITU-T T.81, B.1.1: a marker is 0xFF and a byte that is neither 0, nor 0xFF again, nor, inside a
# scan, one of the restarts. One 0xFF only: a long row of them must not be tried from every start.
_MARKER = re.compile(rb"\xff([^\x00\xff\xd0-\xd7])", re.DOTALL)
_SCAN, _END = 0xDA, 0xD9
_WITHOUT_LENGTH = frozenset({0x01, 0xD8})


def scans_of(content: bytes, most: int) -> int:
    """Scans up to the end of the first picture; counting stops one above `most`."""
    found, at = 0, 0
    while found <= most and (marker := _MARKER.search(content, at)) is not None:
        kind, at = marker[1][0], marker.end()
        if kind == _END:
            break
        found += kind == _SCAN
        if kind not in _WITHOUT_LENGTH:
            at += int.from_bytes(content[at : at + 2])
    return found
