"""A storage like those that several processes share: names and bytes, and nothing else.

No folders, no paths, no modes: a name either has bytes or not. Whoever takes a stored name for a
path of this machine finds nothing.
"""

import hashlib
from pathlib import Path

from django.core.files.base import ContentFile
from django.core.files.storage import Storage
from django.utils.deconstruct import deconstructible


@deconstructible
class Bucket(Storage):
    """Bytes by name, kept under the name's hash in the folder `root`."""

    def __init__(self, root: str):
        self.root = Path(root)
        self.root.mkdir(exist_ok=True)

    def _place(self, name: str) -> Path:
        return self.root / hashlib.sha256(name.encode()).hexdigest()

    def _open(self, name, mode="rb"):
        assert mode == "rb"
        return ContentFile(self._place(name).read_bytes().partition(b"\n")[2], name=name)

    def _save(self, name, content):
        self._place(name).write_bytes(name.encode() + b"\n" + b"".join(content.chunks()))
        return name

    def delete(self, name):
        self._place(name).unlink(missing_ok=True)

    def exists(self, name):
        return self._place(name).exists()

    def names(self):
        places = self.root.iterdir()
        return sorted(p.read_bytes().partition(b"\n")[0].decode() for p in places)

    def listdir(self, path):
        below = [n[len(path) + 1 :] for n in self.names() if n.startswith(f"{path}/")]
        folders = {name.partition("/")[0] for name in below if "/" in name}
        return sorted(folders), [name for name in below if "/" not in name]

    def size(self, name):
        return len(self.open(name).read())
