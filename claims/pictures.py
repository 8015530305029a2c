"""Bytes from outside → a picture that holds nothing but pixels, or a sentence about why not.

No Django in here. Types are told by content, never by name. A picture is decoded and written
anew as JPEG, so that nothing else in the file (position, scripts, another file behind it)
survives. Sizes are checked on the declared numbers, before anything is decoded.
"""

import datetime as dt
import io
import math
import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from trips.calc.words import marked, say

MAX_PHOTO_BYTES = 25 * 1024 * 1024
MAX_DOCUMENT_BYTES = 20 * 1024 * 1024
# What decoding may cost is bounded by these to about 250 MB: a plain JPEG can be read at a fraction
# of its size, one built up in steps needs six bytes a pixel, PNG two copies of four, WebP four.
MOST_PIXELS = {
    "jpeg": 52_000_000,
    "stepped": 36_000_000,
    "png": 25_000_000,
    "webp": 13_000_000,
}
MAX_SIDE_PX = 20_000
LONG_SIDE_PX = 2000
SMALL_SIDE_PX = 480
QUALITY = 82
AGAIN = marked("Open it in a picture program and save it anew as JPEG.")

EXIF_IFD, GPS_IFD = 0x8769, 0x8825
TAKEN_TAG, TAKEN_OFFSET_TAG, CHANGED_TAG = 0x9003, 0x9011, 0x0132


class PictureError(ValueError):
    """A file that isn't kept; the message says what is wrong and what to do."""


@dataclass(frozen=True)
class Picture:
    """A picture ready to keep: two JPEGs, and what the file told about itself.

    `taken_at` has a time zone only if the file says which; `position` is latitude and longitude
    in millionths of a degree.
    """

    jpeg: bytes
    small_jpeg: bytes
    width_px: int
    height_px: int
    taken_at: dt.datetime | None
    position: tuple[int, int] | None


def kind_of(content: bytes) -> str:
    """What a file is by its first bytes: jpeg, png, webp, pdf, heic, gif, svg, tiff or ""."""
    head = content[:32]
    if head.startswith(b"\xff\xd8\xff"):
        return "jpeg"
    if head.startswith(b"\x89PNG\r\n\x1a\n"):
        return "png"
    if head[:4] == b"RIFF" and head[8:12] == b"WEBP":
        return "webp"
    if head.startswith(b"%PDF-"):
        return "pdf"
    if head[4:8] == b"ftyp":
        return "heic" if re.match(rb"hei|hev|mif|msf|avi", head[8:12]) else ""
    if head.startswith((b"GIF87a", b"GIF89a")):
        return "gif"
    if head.startswith((b"II*\x00", b"MM\x00*", b"BM")):
        return "tiff"
    if re.match(rb"(\xef\xbb\xbf)?\s*<", content[:64]) and b"<svg" in content[:4096].lower():
        return "svg"
    return ""


REFUSED = {
    "": marked("It isn't a picture that can be read here. Expected JPEG, PNG or WebP."),
    "pdf": marked("It is a PDF, not a picture. PDFs are kept with papers."),
    "heic": marked(
        "It is a HEIC or AVIF picture, which can't be read here. Set the "
        "phone's camera to JPEG, or send the picture as JPEG."
    ),
    "gif": marked("It is a GIF. Expected JPEG, PNG or WebP. {again}"),
    "svg": marked("It is an SVG drawing, which can carry programs. Expected JPEG, PNG or WebP."),
    "tiff": marked("It is a TIFF or BMP picture. Expected JPEG, PNG or WebP. {again}"),
}


def read_picture(content: bytes) -> Picture:
    """Decode, turn upright, shrink and write anew without anything but pixels.

    Raises: PictureError with a sentence for the person who sent it.
    """
    from PIL import Image, ImageOps

    if not content:
        raise PictureError(say("It is empty. Choose the picture again."))
    if len(content) > MAX_PHOTO_BYTES:
        raise PictureError(
            say(
                "It has {content} MB; at most {max_photo_bytes} MB are taken. Send a smaller copy.",
                content=_megabytes(len(content)),
                max_photo_bytes=_megabytes(MAX_PHOTO_BYTES),
            )
        )
    kind = kind_of(content)
    if kind not in ("jpeg", "png", "webp"):
        raise PictureError(say(REFUSED[kind], again=say(AGAIN)))
    _refuse_second_file(content)
    try:
        # The plain JPEG reader may hand over to the one for several pictures in a JPEG, as
        # phones write them; the first picture is the one that was taken.
        with Image.open(io.BytesIO(content), formats=[kind.upper()]) as image:
            stepped = kind == "jpeg" and bool(image.info.get("progressive"))
            _check_size(image.size, "stepped" if stepped else kind)
            if kind != "jpeg" and getattr(image, "n_frames", 1) > 1:
                raise PictureError(
                    say("It is animated. Expected one still picture. {again}", again=say(AGAIN))
                )
            taken_at, position = _told_by(image)
            if kind == "jpeg":
                image.draft("RGB", (LONG_SIDE_PX, LONG_SIDE_PX))
            # Shrunk before anything else, so that there is never a second copy of full size.
            image.thumbnail((LONG_SIDE_PX, LONG_SIDE_PX))
            plain = _on_white(ImageOps.exif_transpose(image))
    except PictureError:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        raise PictureError(_too_many_pixels(MOST_PIXELS[kind])) from error
    except Exception as error:
        # Readers of damaged pictures raise nearly anything; to the sender it is one thing.
        raise PictureError(
            say(
                "It can't be read as a picture: it is damaged or cut off. Send it "
                "again, or: {again}",
                again=say(AGAIN),
            )
        ) from error
    small = plain.copy()
    small.thumbnail((SMALL_SIDE_PX, SMALL_SIDE_PX))
    return Picture(_jpeg(plain), _jpeg(small), plain.width, plain.height, taken_at, position)


def check_document(content: bytes) -> None:
    """Raise a PictureError unless the bytes are one whole PDF and nothing behind it."""
    if not content:
        raise PictureError(say("It is empty. Choose the file again."))
    if len(content) > MAX_DOCUMENT_BYTES:
        raise PictureError(
            say(
                "It has {content} MB; at most {max_document_bytes} MB are taken. "
                "Scan it with fewer dots per inch.",
                content=_megabytes(len(content)),
                max_document_bytes=_megabytes(MAX_DOCUMENT_BYTES),
            )
        )
    if kind_of(content) != "pdf":
        raise PictureError(say("It isn't a PDF. Expected a PDF, or a photo as JPEG, PNG or WebP."))
    if b"%%EOF" not in content or content.rpartition(b"%%EOF")[2].strip(b"\x00\r\n\t\x0c "):
        raise PictureError(
            say(
                "It doesn't end as a PDF ends: it is cut off, or something else "
                "hangs behind it. Print it to a PDF anew and send that."
            )
        )


def shrunk(content: bytes, long_side_px: int) -> bytes:
    """A kept picture as a smaller JPEG, for print and sheets; smaller ones stay as they are."""
    from PIL import Image

    with Image.open(io.BytesIO(content), formats=["JPEG"]) as image:
        if max(image.size) <= long_side_px:
            return content
        image.draft("RGB", (long_side_px, long_side_px))
        image.thumbnail((long_side_px, long_side_px))
        return _jpeg(image)


def _megabytes(count: int) -> int:
    return math.ceil(count / 1024 / 1024)


def _refuse_second_file(content: bytes) -> None:
    """A picture that is a PDF or an archive as well was built to be taken for something else."""
    archive_end = content.rfind(b"PK\x05\x06", max(0, len(content) - 65_600))
    if archive_end >= 0 or b"%PDF-" in content:
        raise PictureError(
            say("It is a picture and another kind of file in one. {again}", again=say(AGAIN))
        )


def _check_size(size: tuple[int, int], kind: str) -> None:
    width, height = size
    most = MOST_PIXELS[kind]
    if width < 1 or height < 1:
        raise PictureError(say("It has no pixels. Choose another picture."))
    if width * height > most or max(size) > MAX_SIDE_PX:
        raise PictureError(
            say(
                "It is {width} × {height} pixels. {most}",
                width=width,
                height=height,
                most=_too_many_pixels(most),
            )
        )


def _too_many_pixels(most: int) -> str:
    return say(
        "At most {most} million pixels and {max_side_px} on a side are taken. Send a smaller copy.",
        most=most // 1_000_000,
        max_side_px=MAX_SIDE_PX,
    )


def _on_white(image: Any) -> Any:
    """Any mode as RGB; what is see-through becomes white."""
    from PIL import Image

    if image.mode.startswith("I"):
        image = image.convert("I").point(lambda value: value * (1 / 256)).convert("L")
    if image.mode in ("RGBA", "LA", "PA") or "transparency" in image.info:
        layer = image.convert("RGBA")
        white = Image.new("RGBA", layer.size, "white")
        return Image.alpha_composite(white, layer).convert("RGB")
    return image.convert("RGB")


def _jpeg(image: Any) -> bytes:
    out = io.BytesIO()
    # A fresh picture from the pixels: no tag, profile or comment comes along by way of `info`.
    bare = image.copy()
    bare.info = {}
    bare.save(out, "JPEG", quality=QUALITY, optimize=True)
    return out.getvalue()


def _told_by(image: Any) -> tuple[dt.datetime | None, tuple[int, int] | None]:
    """When and where, from the tags; tags that can't be read tell nothing."""
    try:
        tags = image.getexif()
        more, where = tags.get_ifd(EXIF_IFD), tags.get_ifd(GPS_IFD)
    except Exception:  # hostile tags raise anything, and the picture may be fine
        return None, None
    taken = _taken_at(more.get(TAKEN_TAG) or tags.get(CHANGED_TAG), more.get(TAKEN_OFFSET_TAG))
    return taken, _position(where)


def _taken_at(text: object, offset: object) -> dt.datetime | None:
    if not isinstance(text, str):
        return None
    try:
        face = dt.datetime.strptime(text.strip("\x00 "), "%Y:%m:%d %H:%M:%S")  # noqa: DTZ007
        if isinstance(offset, str) and offset.strip("\x00 "):
            ahead = dt.datetime.strptime(offset.strip("\x00 "), "%z")
            return face.replace(tzinfo=ahead.tzinfo)
    except ValueError:
        return None
    return face


def _position(tags: Any) -> tuple[int, int] | None:
    """Latitude and longitude in millionths of a degree from the position tags."""
    try:
        lat = _degrees(tags[2]) * (-1 if str(tags.get(1, "N")).upper().startswith("S") else 1)
        lon = _degrees(tags[4]) * (-1 if str(tags.get(3, "E")).upper().startswith("W") else 1)
    except (KeyError, TypeError, ValueError, ArithmeticError, AttributeError):
        return None
    if not (abs(lat) <= 90 and abs(lon) <= 180) or (lat == 0 and lon == 0):
        return None  # a camera without a fix writes zeros
    return round(lat * 1_000_000), round(lon * 1_000_000)


def _degrees(parts: Any) -> Fraction:
    degrees, minutes, seconds = (Fraction(part.numerator, part.denominator) for part in parts)
    return degrees + minutes / 60 + seconds / 3600
