"""The files of the field page: which they are, and the hash that names their set.

They are asked for by their plain names, also where hashed names exist: modules import each other
by plain name, and the worker's cache is named by the hash of all contents.
"""

import hashlib
import io
import json
from functools import cache
from pathlib import Path

from django.conf import settings
from django.utils.translation import get_language, gettext, ngettext

from trips.project.languages import SCRIPT_WORDS, SOURCE

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


@cache
def _messages() -> tuple[str | tuple[str, str], ...]:
    """The texts of the scripts; those with a plural in both forms."""
    from babel.messages.extract import extract

    found: dict[str | tuple[str, str], None] = {}
    for path in files():
        if path.suffix == ".js":
            source = io.BytesIO(path.read_bytes())
            for _, message, _, _ in extract("javascript", source, keywords=SCRIPT_WORDS):
                found[message if isinstance(message, str) else tuple(message)] = None
    return tuple(found)


def texts() -> str:
    """A script with the page's texts in the active language; empty in English, which needs none.

    `forms` says for the numbers 0 to 199 which form they take: languages go by the last two digits.
    """
    if get_language() in (None, SOURCE):
        return ""
    said: dict[str, object] = {}
    forms: list[str] = []
    for message in _messages():
        if isinstance(message, str):
            if (one := gettext(message)) != message:
                said[message] = one
            continue
        each = [ngettext(*message, number) for number in range(200)]
        kinds = list(dict.fromkeys(each))
        which = "".join(str(kinds.index(one)) for one in each)
        if which not in forms:
            forms.append(which)
        said[message[0]] = [kinds, forms.index(which)]
    body = json.dumps({"texts": said, "forms": forms}, ensure_ascii=False)
    return f"globalThis.fieldTexts = {body};\n"


def digest(page: bytes) -> str:
    """Short hash of the page, its texts and every file, so that any change makes a new cache."""
    made = hashlib.sha256(page + texts().encode())
    for path in [*files(), FOLDER / WORKER]:
        made.update(path.name.encode() + b"\0" + path.read_bytes())
    return made.hexdigest()[:16]


def worker(page: bytes, page_address: str, *others: str) -> str:
    """The worker's script with the list of the shell on top; `others` are addresses beside it."""
    shell = [page_address, *others, *(address(path) for path in files())]
    head = f"const CACHE = {json.dumps('field-' + digest(page))};\nconst PAGE = "
    head += f"{json.dumps(page_address)};\nconst SHELL = {json.dumps(shell)};\n"
    return head + (FOLDER / WORKER).read_text(encoding="utf-8")
