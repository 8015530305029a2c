"""Hostile pictures, PDFs and names of files, made when they are asked for."""

import io
import random
import zlib
from collections.abc import Callable, Iterator

MB = 1_000_000
SVG = b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'
SCRIPT = b"1 0 obj<</OpenAction<</S/JavaScript/JS(app.alert(1))>>>>endobj\n"
NAMES = (
    ("climbs out", "../../../x.jpg"),
    ("is a device", "con.jpg"),
    ("has 300 bytes", "x" * 296 + ".jpg"),
    ("turns its direction", "a\u202egpj.exe.jpg"),
    ("has a line break", "a\r\nb.jpg"),
    ("is a script", "<script>alert(1)</script>.jpg"),
)


def all_pictures(archive: bytes) -> Iterator[tuple[str, str, Callable[[], bytes], str]]:
    """What is wrong, the file's name, its bytes, and the words of the answer."""
    yield "50,000 × 50,000 declared", "a.png", lambda: _png(50_000, 50_000), "pixels"
    yield "cut off", "a.jpg", lambda: _jpeg((900, 900))[:-400], "cut off"
    yield "moving", "a.png", _moving, "animated"
    yield "a drawing with a script", "a.svg", lambda: SVG, "SVG"
    yield "a drawing named as a photo", "a.jpg", lambda: SVG, "SVG"
    yield "a picture and an archive", "a.jpg", lambda: _jpeg() + archive, "in one"
    yield "a picture and a PDF", "a.jpg", lambda: _jpeg() + b"%PDF-1.7\n%%EOF", "in one"
    yield "tags with a place and a script", "a.jpg", _tagged, ""
    yield "packed text of 100 MB", "a.png", _much_text, "cut off"
    yield "pixels that aren't there", "a.png", lambda: _png(5_000, 5_000), "cut off"
    yield "27 MB", "a.jpg", lambda: _jpeg() + b"\0" * 27 * MB, "at most 25 MB"
    yield "52 million pixels", "a.jpg", lambda: _noise(7_200, "JPEG", quality=30), ""
    yield "36 million in steps", "a.jpg", lambda: _noise(6_000, "JPEG", progressive=True), ""
    yield "13 million as WebP", "a.webp", lambda: _noise(3_600, "WEBP", quality=20), ""
    yield "a PDF with a script", "a.pdf", lambda: b"%PDF-1.7\n" + SCRIPT + b"%%EOF\n", ""
    yield "a PDF cut off", "a.pdf", lambda: b"%PDF-1.7\n1 0 obj", "doesn't end"
    yield "a PDF with a page behind it", "a.pdf", lambda: b"%PDF-1.7\n%%EOF\n<a>", "doesn't end"
    for number, (what, name) in enumerate(NAMES):
        yield f"a name that {what}", name, lambda n=number: _jpeg((64, 40 + n)), ""


def _jpeg(size=(64, 48), **options) -> bytes:
    from PIL import Image

    out = io.BytesIO()
    Image.new("RGB", size, (90, 120, 60)).save(out, "JPEG", **options)
    return out.getvalue()


def _noise(side: int, kind: str, **options) -> bytes:
    """A square picture that packs badly."""
    from PIL import Image

    out = io.BytesIO()
    tile = Image.frombytes("RGB", (512, 512), random.Random(1).randbytes(512 * 512 * 3))
    whole = Image.new("RGB", (side, side))
    for x in range(0, side, 512):
        for y in range(0, side, 512):
            whole.paste(tile, (x, y))
    whole.save(out, kind, **{"quality": 20, **options})
    return out.getvalue()


def _png(width: int, height: int, *more: tuple[bytes, bytes]) -> bytes:
    """A picture of so many pixels by its head, of which few are there."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return len(data).to_bytes(4) + kind + data + zlib.crc32(kind + data).to_bytes(4)

    head = width.to_bytes(4) + height.to_bytes(4) + b"\x08\x02\0\0\0"
    body = zlib.compress(b"\0" * (3 * 64 + 1) * 64)
    parts = [(b"IHDR", head), *more, (b"IDAT", body), (b"IEND", b"")]
    return b"\x89PNG\r\n\x1a\n" + b"".join(chunk(*part) for part in parts)


def _much_text() -> bytes:
    return _png(64, 64, (b"zTXt", b"a\0\0" + zlib.compress(b"a" * 100 * MB)))


def _moving() -> bytes:
    from PIL import Image

    out = io.BytesIO()
    frames = [Image.new("RGB", (40, 40), (n, 0, 0)) for n in (0, 90)]
    frames[0].save(out, "PNG", save_all=True, append_images=frames[1:])
    return out.getvalue()


def _tagged() -> bytes:
    from PIL import Image

    tags = Image.Exif()
    tags[0x010E] = "<script>alert(1)</script>"
    tags.get_ifd(0x8825).update({1: "N", 2: (46.0, 30.0, 0.0), 3: "E", 4: (7.0, 54.0, 0.0)})
    return _jpeg(exif=tags)
