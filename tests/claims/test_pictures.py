"""Pictures and PDFs from outside: what is kept has only pixels; what is refused is told why."""

import datetime as dt
import io
import struct
import time
import tracemalloc
import zipfile
import zlib

import pytest
from PIL import Image

from claims import pictures
from claims.pictures import PictureError, check_document, read_picture, shrunk
from tests.factories import picture_bytes

SVG = b'<?xml version="1.0"?><svg xmlns="http://www.w3.org/2000/svg"><script>x()</script></svg>'
PDF = b"%PDF-1.4\n1 0 obj\n<< >>\nendobj\ntrailer << >>\n%%EOF\n"


def png_header(width: int, height: int) -> bytes:
    """A PNG that declares a size and holds next to nothing."""

    def chunk(kind, data):
        body = kind + data
        return struct.pack(">I", len(data)) + body + struct.pack(">I", zlib.crc32(body))

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(b"\0" * 1000))
        + chunk(b"IEND", b"")
    )


def with_tags(orientation=None, comment=b"", **saved) -> bytes:
    """A JPEG, left half white, that says when and where it was taken."""
    picture = Image.new("RGB", (80, 40), "black")
    picture.paste("white", (0, 0, 40, 40))
    tags = Image.Exif()
    if orientation:
        tags[0x0112] = orientation
    tags[0x010E] = "<script>alert(1)</script>"
    more = tags.get_ifd(0x8769)
    more[0x9003], more[0x9011] = "2031:05:03 09:15:00", "+02:00"
    place = tags.get_ifd(0x8825)
    place[1], place[2] = "S", (46.0, 30.0, 4.5)
    place[3], place[4] = "W", (7.0, 54.0, 12.0)
    out = io.BytesIO()
    picture.save(out, "JPEG", exif=tags, comment=comment, **saved)
    return out.getvalue()


def frames(fmt: str) -> bytes:
    out = io.BytesIO()
    first, second = Image.new("RGB", (20, 20), "red"), Image.new("RGB", (20, 20), "blue")
    first.save(out, fmt, save_all=True, append_images=[second], duration=100)
    return out.getvalue()


def archive() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as packed:
        packed.writestr("index.html", "<script>alert(1)</script>")
    return out.getvalue()


@pytest.mark.parametrize("fmt", ["JPEG", "PNG", "WEBP"])
def test_a_picture_comes_out_as_a_jpeg_of_the_same_size(fmt):
    read = read_picture(picture_bytes((64, 48), fmt))
    assert (read.width_px, read.height_px) == (64, 48)
    assert read.jpeg.startswith(b"\xff\xd8\xff")
    assert (read.taken_at, read.position) == (None, None)


def test_a_large_picture_is_shrunk_and_gets_a_small_one():
    read = read_picture(picture_bytes((4000, 1000)))
    assert (read.width_px, read.height_px) == (2000, 500)
    with Image.open(io.BytesIO(read.small_jpeg)) as small:
        assert small.size == (480, 120)


def test_place_and_time_are_read_and_nothing_of_the_tags_stays():
    read = read_picture(with_tags(comment=b"<script>alert(2)</script>"))
    # 46° 30' 4.5" is 46.501250°, 7° 54' 12" is 7.903333°, by hand
    assert read.position == (-46_501_250, -7_903_333)
    assert read.taken_at == dt.datetime(2031, 5, 3, 7, 15, tzinfo=dt.UTC)
    for kept in (read.jpeg, read.small_jpeg):
        assert b"Exif" not in kept
        assert b"script" not in kept
        with Image.open(io.BytesIO(kept)) as image:
            assert dict(image.getexif()) == {}
            assert "comment" not in image.info


def test_a_picture_taken_on_its_side_stands_upright():
    read = read_picture(with_tags(orientation=6))  # turned a quarter to the right
    assert (read.width_px, read.height_px) == (40, 80)
    with Image.open(io.BytesIO(read.jpeg)) as image:
        assert image.getpixel((20, 10))[0] > 200  # white was on the left, now on top
        assert image.getpixel((20, 70))[0] < 50


@pytest.mark.parametrize("mode", ["RGBA", "LA", "P", "L", "1", "CMYK", "I;16"])
def test_every_way_of_storing_colours_is_read(mode):
    fmt = "JPEG" if mode == "CMYK" else "PNG"
    out = io.BytesIO()
    Image.new(mode, (30, 20)).save(out, fmt)
    with Image.open(io.BytesIO(read_picture(out.getvalue()).jpeg)) as image:
        assert image.mode == "RGB"


def test_what_is_see_through_becomes_white():
    out = io.BytesIO()
    Image.new("RGBA", (30, 20), (0, 0, 0, 0)).save(out, "PNG")
    with Image.open(io.BytesIO(read_picture(out.getvalue()).jpeg)) as image:
        assert min(image.getpixel((5, 5))) > 250


def test_a_phones_jpeg_with_a_second_picture_behind_is_taken():
    out = io.BytesIO()
    first, second = Image.new("RGB", (40, 20), "red"), Image.new("RGB", (10, 10), "blue")
    first.save(out, "MPO", save_all=True, append_images=[second])
    read = read_picture(out.getvalue())
    assert (read.width_px, read.height_px) == (40, 20)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "empty"),
        (b"plain words", "JPEG, PNG or WebP"),
        (SVG, "SVG"),
        (b"\xef\xbb\xbf \n" + SVG, "SVG"),
        (b"GIF89a" + b"\0" * 50, "GIF"),
        (b"\0\0\0\x18ftypheic" + b"\0" * 40, "camera to JPEG"),
        (b"\0\0\0\x18ftypavif" + b"\0" * 40, "camera to JPEG"),
        (b"II*\x00" + b"\0" * 40, "TIFF"),
        (PDF, "PDF"),
        (picture_bytes()[:200], "cut off"),
        (picture_bytes((900, 900))[:-400], "cut off"),
        (b"\xff\xd8\xff" + b"\0" * 500, "cut off"),
        (picture_bytes(fmt="PNG")[:60], "cut off"),
        (frames("PNG"), "animated"),
        (frames("WEBP"), "animated"),
        (picture_bytes() + archive(), "another kind of file"),
        (picture_bytes() + PDF, "another kind of file"),
        (png_header(50_000, 50_000), "At most 25 million pixels"),
        (png_header(12_000, 5_000), "12000 × 5000 pixels"),
        (png_header(25_000, 3), "20000 on a side"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_what_is_no_picture_is_refused_with_a_reason(content, words):
    with pytest.raises(PictureError) as refused:
        read_picture(content)
    assert words in str(refused.value)
    assert len(str(refused.value).split()) > 5


def test_a_jpeg_built_up_in_steps_may_have_fewer_pixels(monkeypatch):
    monkeypatch.setitem(pictures.MOST_PIXELS, "stepped", 1000)
    assert read_picture(picture_bytes()).width_px == 64
    with pytest.raises(PictureError, match="64 × 48 pixels"):
        read_picture(picture_bytes(progressive=True))


def test_script_behind_a_picture_does_not_come_along():
    read = read_picture(picture_bytes() + b"<html><script>alert(1)</script></html>")
    assert b"script" not in read.jpeg


def test_a_picture_of_too_many_bytes_is_refused_unread(monkeypatch):
    monkeypatch.setattr(pictures, "MAX_PHOTO_BYTES", 100)
    with pytest.raises(PictureError, match="smaller copy"):
        read_picture(picture_bytes())


def test_declared_pixels_cost_neither_time_nor_memory():
    tracemalloc.start()
    began = time.process_time()
    with pytest.raises(PictureError):
        read_picture(png_header(50_000, 50_000))
    took, peak = time.process_time() - began, tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert took < 2
    assert peak < 20_000_000


def test_text_packed_into_a_picture_is_not_unpacked():
    def chunk(kind, data):
        body = kind + data
        return struct.pack(">I", len(data)) + body + struct.pack(">I", zlib.crc32(body))

    packed = zlib.compress(b"a" * 50_000_000)
    whole = picture_bytes(fmt="PNG")
    bomb = whole[:33] + chunk(b"zTXt", b"note\0\0" + packed) + whole[33:]
    with pytest.raises(PictureError, match="damaged"):
        read_picture(bomb)


@pytest.mark.parametrize(
    "tags",
    [
        {2: (46.0, 30.0, 4.5)},
        {1: "N", 2: (999.0, 0.0, 0.0), 3: "E", 4: (7.0, 0.0, 0.0)},
        {1: "N", 2: (0.0, 0.0, 0.0), 3: "E", 4: (0.0, 0.0, 0.0)},
    ],
)
def test_a_position_that_cannot_be_is_no_position(tags):
    exif = Image.Exif()
    exif.get_ifd(0x8825).update(tags)
    assert read_picture(picture_bytes(exif=exif)).position is None


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "empty"),
        (b"MZ\x90 a program", "isn't a PDF"),
        (b"GIF89a %PDF-1.4 %%EOF", "isn't a PDF"),
        (PDF[:-10], "cut off"),
        (PDF + archive(), "hangs behind"),
        (PDF + b"<script>alert(1)</script>", "hangs behind"),
    ],
)
def test_what_is_no_whole_pdf_is_refused(content, words):
    with pytest.raises(PictureError, match=words):
        check_document(content)


def test_a_whole_pdf_passes():
    check_document(PDF)
    check_document(PDF.rstrip(b"\n") + b"\r\n\0")


def test_a_copy_for_print_is_no_larger_than_asked():
    kept = read_picture(picture_bytes((1600, 800))).jpeg
    with Image.open(io.BytesIO(shrunk(kept, 400))) as image:
        assert image.size == (400, 200)
    assert shrunk(kept, 5000) == kept
