"""Where photos, papers and results lie: a folder, or a storage that several processes share."""

import json
import os
from collections.abc import Mapping

from trips.project.env import SettingError

FOLDER = "django.core.files.storage.FileSystemStorage"


def files_storage(environ: Mapping[str, str] = os.environ) -> dict[str, object]:
    """The entry of STORAGES for files: the class by its dotted name, and its options.

    Raises: SettingError if the options are no JSON object, or are given without a class.
    """
    backend = environ.get("FILES_STORAGE", "")
    raw = environ.get("FILES_OPTIONS", "")
    if not backend:
        if raw:
            raise SettingError("FILES_OPTIONS is set without FILES_STORAGE; say which storage.")
        return {"BACKEND": FOLDER}
    if "." not in backend:
        raise SettingError(
            f"FILES_STORAGE is {backend!r}; write the dotted name of a storage class, such as "
            "storages.backends.s3.S3Storage."
        )
    try:
        options = json.loads(raw or "{}")
    except ValueError:
        options = None
    if not isinstance(options, dict):
        raise SettingError('FILES_OPTIONS can\'t be read; write JSON such as {"bucket_name": "x"}.')
    return {"BACKEND": backend, "OPTIONS": options}
