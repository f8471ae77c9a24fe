"""Pictures as phones and people send them, drawn here: no file of one is kept with the tests."""

import io
import struct
import zlib
from typing import Any

from django.core.files.storage import default_storage
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image, ImageDraw

ORIENTATION = 0x0112
HEIC = b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic" + b"\x00" * 400
ENGLISH_TEXT = b"The belt rubs on the frame at R5.\n" * 40


def drawn(width: int = 400, height: int = 300) -> Image.Image:
    """Red in the upper left quarter, blue elsewhere: tells which way is up."""
    image = Image.new("RGB", (width, height), (20, 40, 200))
    red = (0, 0, width // 2 - 1, max(height // 2 - 1, 0))
    ImageDraw.Draw(image).rectangle(red, fill=(210, 30, 20))
    return image


def written(image: Image.Image, kind: str = "JPEG", **how: Any) -> bytes:
    kept = io.BytesIO()
    image.save(kept, kind, **how)
    return kept.getvalue()


def a_jpeg(width: int = 400, height: int = 300, **how: Any) -> bytes:
    return written(drawn(width, height), **how)


def a_png_claiming(width: int, height: int) -> bytes:
    """A small file whose header claims any size."""

    def chunk(name: bytes, content: bytes) -> bytes:
        check = struct.pack(">I", zlib.crc32(name + content))
        return struct.pack(">I", len(content)) + name + content + check

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    body = zlib.compress(b"\x00" * 1000)
    parts = (chunk(b"IHDR", head), chunk(b"IDAT", body), chunk(b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(parts)


def a_webp_claiming(kind: bytes, width: int, height: int) -> bytes:
    if kind == b"VP8X":
        size = (width - 1).to_bytes(3, "little") + (height - 1).to_bytes(3, "little")
        body = b"\x00" * 4 + size
    elif kind == b"VP8L":
        body = b"\x2f" + (width - 1 | height - 1 << 14).to_bytes(4, "little")
    else:
        body = b"\x00\x00\x00\x9d\x01\x2a" + struct.pack("<HH", width, height)
    chunk = kind + struct.pack("<I", len(body)) + body + b"\x00" * 40
    return b"RIFF" + struct.pack("<I", len(chunk) + 4) + b"WEBP" + chunk


def file(content: bytes | None = None, name: str = "IMG_0001.jpg") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, a_jpeg() if content is None else content, "image/jpeg")


def files_kept(folder: str = "") -> list[str]:
    folders, files = default_storage.listdir(folder)
    inside = [name for one in folders for name in files_kept(f"{folder}/{one}".lstrip("/"))]
    return sorted([f"{folder}/{name}" for name in files] + inside)
