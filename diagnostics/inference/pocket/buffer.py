"""One buffer of a JSON header and typed arrays, as a browser reads it without copying.

Little endian throughout: an unsigned 32-bit mark that ends in the version, one with the length of
the header, the header in UTF-8 padded with spaces, then the arrays one behind the other, each at a
multiple of 8 bytes. The header's `arrays` names type, first byte after the header, and number of
values of each.
"""

import json
import struct
from collections.abc import Mapping
from typing import Any

import numpy as np

# "LWT" and the version of the format: changes whenever an older reader would misread it.
MARK = 0x4C575401
_ALIGNED = 8
_TYPES = {np.dtype("<f8"): "f8", np.dtype("<f4"): "f4", np.dtype("<u2"): "u2"}


def packed(header: Mapping[str, Any], arrays: Mapping[str, np.ndarray]) -> bytes:
    """Header and arrays in one buffer.

    Parameters
    ----------
    header : mapping
        JSON values; `arrays` is added.
    arrays : mapping of str to array
        Of little-endian float64, float32 or uint16.
    """
    places: dict[str, list[Any]] = {}
    body = b""
    for name, values in arrays.items():
        places[name] = [_TYPES[values.dtype], len(body), values.size]
        body += _padded(values.tobytes(), b"\0")
    text = json.dumps({**header, "arrays": places}, separators=(",", ":"), allow_nan=False)
    told = _padded(text.encode(), b" ")
    return struct.pack("<II", MARK, len(told)) + told + body


def _padded(content: bytes, with_byte: bytes) -> bytes:
    return content + with_byte * (-len(content) % _ALIGNED)
