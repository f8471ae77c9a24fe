"""A picture as it is kept: what is refused, what is turned, what is left out."""

import io
from typing import Any

import pytest
from PIL import Image
from PIL.TiffImagePlugin import IFDRational

from plant import pictures
from plant.jpeg_scans import scans_of
from plant.pictures import PictureRefused, read_picture
from tests.plant.drawn_pictures import (
    ENGLISH_TEXT,
    HEIC,
    ORIENTATION,
    a_jpeg,
    a_png_claiming,
    a_webp_claiming,
    drawn,
    written,
)

# Orientation as the camera notes it: how the upright picture is laid down to be stored so.
LAID_DOWN = {
    1: None,
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_90,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_270,
}


def opened(content: bytes) -> Image.Image:
    image = Image.open(io.BytesIO(content))
    image.load()
    return image


def is_red(image: Image.Image, x: float, y: float) -> bool:
    red, _green, blue = image.getpixel((int(image.width * x), int(image.height * y)))
    return red > 150 and blue < 100


def exif_of_a_phone() -> Image.Exif:
    exif = Image.Exif()
    exif[0x010F] = "Maker of phones"
    exif.get_ifd(0x8769)[0x9003] = "2026:11:01 09:15:30"
    place = exif.get_ifd(0x8825)
    place[1], place[2] = "N", (IFDRational(44), IFDRational(38), IFDRational(52))
    return exif


@pytest.mark.parametrize(("kind", "how"), [("JPEG", {}), ("PNG", {}), ("WEBP", {})])
def test_pictures_of_each_kind_become_a_jpeg_and_a_small_one(kind: str, how: dict[str, Any]):
    picture = read_picture(written(drawn(2000, 1000), kind, **how))

    full, small = opened(picture.full), opened(picture.small)
    assert (full.format, full.size) == ("JPEG", (1600, 800))
    assert (small.format, small.size) == ("JPEG", (320, 160))
    assert (picture.width, picture.height) == (1600, 800)
    assert is_red(full, 0.25, 0.25)
    assert not is_red(full, 0.75, 0.25)


def test_a_small_picture_stays_as_small_as_it_is():
    picture = read_picture(a_jpeg(200, 90))

    assert opened(picture.full).size == opened(picture.small).size == (200, 90)


def test_a_strip_one_pixel_high_is_kept():
    assert opened(read_picture(a_jpeg(4000, 1)).full).size == (1600, 1)


@pytest.mark.parametrize("size", [(400, 300), (4000, 3000)])
@pytest.mark.parametrize("orientation", LAID_DOWN)
def test_a_picture_is_turned_upright(orientation: int, size: tuple[int, int]):
    laid = LAID_DOWN[orientation]
    stored = drawn(*size) if laid is None else drawn(*size).transpose(laid)
    exif = Image.Exif()
    exif[ORIENTATION] = orientation

    picture = read_picture(written(stored, exif=exif))

    for content in (picture.full, picture.small):
        image = opened(content)
        assert image.width > image.height
        corners = [(0.2, 0.2), (0.8, 0.2), (0.2, 0.8), (0.8, 0.8)]
        assert [is_red(image, *corner) for corner in corners] == [True, False, False, False]
        assert ORIENTATION not in image.getexif()


@pytest.mark.parametrize("orientation", [0, 9, 200])
def test_an_orientation_nobody_knows_leaves_the_picture_as_it_stands(orientation: int):
    exif = Image.Exif()
    exif[ORIENTATION] = orientation

    assert read_picture(written(drawn(), exif=exif)).width == 400


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_nothing_but_the_picture_is_kept(kind: str):
    secret = b"Dana Ferreira, gate 4"
    how: dict[str, Any] = {"exif": exif_of_a_phone(), "xmp": b"<x>" + secret + b"</x>"}
    if kind == "JPEG":
        how["comment"] = secret
    content = written(drawn(), kind, icc_profile=b"profile of " + secret, **how)
    # The bytes sent do hold it, or this test would show nothing.
    assert secret in content or kind == "PNG"
    assert opened(content).getexif().get_ifd(0x8825)

    picture = read_picture(content)

    for kept in (picture.full, picture.small):
        image = opened(kept)
        assert not image.getexif()
        assert set(image.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}
        for marked in (secret, b"Exif", b"http://ns.adobe.com", b"ICC_PROFILE", b"Maker"):
            assert marked not in kept


@pytest.mark.parametrize("size", [(400, 300), (4000, 3000)])
@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
def test_when_the_camera_took_it_is_told(kind: str, size: tuple[int, int]):
    picture = read_picture(written(drawn(*size), kind, exif=exif_of_a_phone()))

    assert str(picture.camera_time) == "2026-11-01 09:15:30"


@pytest.mark.parametrize("said", ["yesterday", "0000:00:00 00:00:00", ""])
def test_a_camera_time_that_is_none_is_unknown(said: str):
    exif = Image.Exif()
    exif.get_ifd(0x8769)[0x9003] = said

    assert read_picture(a_jpeg(exif=exif)).camera_time is None


def test_camera_data_that_cannot_be_read_spoil_no_picture():
    content = a_jpeg(exif=b"Exif\x00\x00II*\x00\xff\xff\xff\xff" + b"\x00" * 20)

    assert read_picture(content).width == 400


def test_what_is_transparent_becomes_white():
    image = Image.new("RGBA", (50, 50), (0, 0, 0, 0))

    kept = opened(read_picture(written(image, "PNG")).full)

    assert min(kept.getpixel((25, 25))) > 250


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "RGBA", "I;16"])
def test_a_png_of_any_depth_is_kept(mode: str):
    image = Image.new(mode, (60, 40), 30_000 if mode == "I;16" else None)

    assert opened(read_picture(written(image, "PNG")).full).mode == "RGB"


def test_grey_of_sixteen_bits_keeps_its_brightness():
    image = Image.new("I;16", (60, 40), 32_768)

    red, _green, _blue = opened(read_picture(written(image, "PNG")).full).getpixel((20, 20))

    assert red == pytest.approx(128, abs=3)


def test_a_jpeg_for_print_is_kept():
    assert read_picture(written(drawn().convert("CMYK"))).width == 400


def test_a_phones_jpeg_with_a_second_picture_behind_it_is_kept():
    two = written(drawn(), "MPO", save_all=True, append_images=[drawn(100, 100)])
    assert opened(two).format == "MPO"

    assert read_picture(two).width == 400


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"\x00",
        ENGLISH_TEXT,
        b"<svg xmlns='http://www.w3.org/2000/svg'><script>1</script></svg>",
        b"%PDF-1.7\n" + ENGLISH_TEXT,
        written(drawn(), "GIF"),
        written(drawn(), "TIFF"),
        written(drawn(), "BMP"),
    ],
    ids=["empty", "byte", "text", "svg", "pdf", "gif", "tiff", "bmp"],
)
def test_what_is_no_picture_of_the_kinds_is_refused(content: bytes):
    with pytest.raises(PictureRefused, match=r"JPEG, PNG and WebP are taken"):
        read_picture(content)


@pytest.mark.parametrize("brand", [b"heic", b"heix", b"mif1", b"avif"])
def test_heic_is_refused_with_what_to_do(brand: bytes):
    with pytest.raises(PictureRefused, match=r"HEIC.*Set the camera.*JPEG"):
        read_picture(HEIC.replace(b"ftypheic", b"ftyp" + brand))


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
@pytest.mark.parametrize("share", [0.3, 0.6, 0.95])
def test_a_picture_cut_off_on_its_way_is_refused(kind: str, share: float):
    noise = Image.effect_noise((300, 200), 90).convert("RGB")
    content = written(noise, kind)

    with pytest.raises(PictureRefused, match="broken or was cut off"):
        read_picture(content[: int(len(content) * share)])


@pytest.mark.parametrize("head", [b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", b"RIFF0000WEBP"])
def test_text_that_begins_like_a_picture_is_refused(head: bytes):
    with pytest.raises(PictureRefused, match="broken or was cut off"):
        read_picture(head + ENGLISH_TEXT)


def test_a_file_too_large_is_refused_with_its_size():
    with pytest.raises(PictureRefused, match=r"has 10\.1 MB; at most 10 MB"):
        read_picture(a_jpeg() + b"\x00" * 10_100_000)


def test_more_than_forty_megapixels_are_refused_and_just_forty_read():
    with pytest.raises(PictureRefused, match="has 41 megapixels; at most 40"):
        read_picture(a_png_claiming(8200, 5000))

    picture = read_picture(written(Image.new("L", (8000, 5000)), "PNG"))

    assert picture.width == 1600


@pytest.mark.parametrize(("width", "height"), [(20_000, 20_000), (60_000, 60_000)])
@pytest.mark.filterwarnings("error::PIL.Image.DecompressionBombWarning")
def test_a_bomb_is_refused_by_what_it_claims(width: int, height: int, monkeypatch):
    monkeypatch.setattr(pictures, "_decoded", lambda _image: pytest.fail("It was decoded."))

    with pytest.raises(PictureRefused, match="megapixels"):
        read_picture(a_png_claiming(width, height))


@pytest.mark.parametrize("kind", [b"VP8X", b"VP8L", b"VP8 "])
def test_a_webp_is_not_even_opened_when_it_claims_too_much(kind: bytes, monkeypatch):
    monkeypatch.setattr(pictures, "_opened", lambda _content: pytest.fail("It was opened."))

    with pytest.raises(PictureRefused, match="has 64 megapixels"):
        read_picture(a_webp_claiming(kind, 8000, 8000))


@pytest.mark.parametrize("how", [{}, {"lossless": True}, {"exif": exif_of_a_phone()}])
def test_the_size_of_a_webp_is_read_from_its_head(how: dict[str, Any]):
    assert pictures._size_of_webp(written(drawn(401, 302), "WEBP", **how)) == (401, 302)


def test_spoilt_bytes_are_a_picture_or_refused_and_nothing_else():
    whole = [written(drawn(64, 48), kind) for kind in ("JPEG", "PNG", "WEBP")]

    refused = 0
    for content in whole:
        for at in range(0, len(content), 3):
            spoilt = content[:at] + bytes([content[at] ^ 0xA5]) + content[at + 1 :]
            try:
                read_picture(spoilt)
            except PictureRefused:
                refused += 1

    assert refused > 20


def test_a_jpeg_that_passes_over_itself_without_end_is_refused_before_it_is_decoded(monkeypatch):
    content = written(drawn(), progressive=True)
    last_scan = content[content.rfind(b"\xff\xda") : -2]
    monkeypatch.setattr(Image, "open", None)

    with pytest.raises(PictureRefused, match="broken"):
        read_picture(content[:-2] + last_scan * 100 + b"\xff\xd9")


def test_a_long_row_of_fill_bytes_is_counted_in_one_go():
    assert scans_of(b"\xff\xd8" + b"\xff" * 2_000_000 + b"\x00", 60) == 0


@pytest.mark.parametrize("how", [{}, {"progressive": True}])
def test_marks_of_scans_behind_or_beside_the_picture_do_not_count(how: dict[str, Any]):
    content = written(drawn(), comment=b"\xff\xda" * 100, **how) + b"\xff\xda\x00\x02" * 100

    assert read_picture(content).width == 400
