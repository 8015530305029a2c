"""The key that signs sessions and links, for a laptop where nobody sets one by hand."""

import os
import secrets
from pathlib import Path

MIN_LENGTH = 50


def load_or_make(path: Path) -> str:
    """The key kept in `path`; made there on first use, readable by its owner only.

    A key that is missing, empty or too short (a write cut off half-way) is made anew:
    everyone has to sign in again, nothing else is lost.
    """
    key = _read(path)
    if key is not None:
        return key
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    beside = path.with_name(f"{path.name}.{os.getpid()}")
    # Written whole beside its place, then moved: a second process starting at the same
    # moment never reads half a key.
    handle = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    with os.fdopen(handle, "w", encoding="ascii") as file:
        file.write(secrets.token_urlsafe(MIN_LENGTH))
    os.replace(beside, path)
    made = _read(path)
    if made is None:
        raise OSError(f"{path}: the key just written cannot be read back")
    return made


def _read(path: Path) -> str | None:
    try:
        key = path.read_text(encoding="ascii").strip()
    except (FileNotFoundError, UnicodeDecodeError):
        return None
    if len(key) < MIN_LENGTH:
        return None
    if path.stat().st_mode & 0o077:
        path.chmod(0o600)
    return key
