"""The bytes of the photos that a renewal record prints."""

from django.core.files.storage import default_storage

from claims.pictures import shrunk
from reports.figures.renewal import RenewalRecord


def pictures_of(record: RenewalRecord, long_side_px: int) -> dict[str, bytes]:
    """JPEG bytes by key, of at most so many pixels; one missing from the storage is left out."""
    found = {}
    for photo in record.photos:
        try:
            with default_storage.open(photo.key, "rb") as file:
                found[photo.key] = shrunk(file.read(), long_side_px)
        except FileNotFoundError:
            continue
    return found
