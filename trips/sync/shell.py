"""The files of the field page: which they are, and the hash that names their set.

They are asked for by their plain names, also where hashed names exist: modules import each other
by plain name, and the worker's cache is named by the hash of all contents.
"""

import hashlib
import json
from pathlib import Path

from django.conf import settings

FOLDER = Path(__file__).resolve().parents[1] / "static" / "trips" / "field"
WORKER = "worker.js"


def files() -> list[Path]:
    """Scripts, styles and icons of the shell, without the worker itself."""
    kept = (".js", ".css", ".png", ".svg")
    found = (p for p in FOLDER.rglob("*") if p.suffix in kept and p.name != WORKER)
    return sorted(found)


def folder_address() -> str:
    """Where a browser finds the folder of the shell's files; no slash at the end."""
    return f"{settings.STATIC_URL}trips/field"


def address(path: Path) -> str:
    """Where a browser finds a file of the shell."""
    return f"{folder_address()}/{path.relative_to(FOLDER).as_posix()}"


def digest(page: bytes) -> str:
    """Short hash of the page and every file, so that any change makes a new cache."""
    made = hashlib.sha256(page)
    for path in [*files(), FOLDER / WORKER]:
        made.update(path.name.encode() + b"\0" + path.read_bytes())
    return made.hexdigest()[:16]


def worker(page: bytes, page_address: str, manifest_address: str) -> str:
    """The worker's script with the list of the shell on top."""
    shell = [page_address, manifest_address, *(address(path) for path in files())]
    head = f"const CACHE = {json.dumps('field-' + digest(page))};\nconst PAGE = "
    head += f"{json.dumps(page_address)};\nconst SHELL = {json.dumps(shell)};\n"
    return head + (FOLDER / WORKER).read_text(encoding="utf-8")
