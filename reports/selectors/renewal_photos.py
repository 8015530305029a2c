"""The bytes of the photos that a renewal record prints."""

from django.core.files.storage import default_storage

from reports.figures.renewal import RenewalRecord


def pictures_of(record: RenewalRecord) -> dict[str, bytes]:
    """JPEG bytes by key; a photo that is missing from the storage is left out."""
    found = {}
    for photo in record.photos:
        try:
            with default_storage.open(photo.key, "rb") as file:
                found[photo.key] = file.read()
        except FileNotFoundError:
            continue
    return found
