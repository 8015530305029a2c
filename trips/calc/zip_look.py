"""What is asked of a zip from anywhere before it is opened, and before a part of it is read.

The library makes an object of some 700 bytes for every part that the zip's directory names, and
unpacks ways of packing that other programs hardly use: of one a few kilobytes come to gigabytes at
once, another claims memory for as much as it likes. Pure; raises nothing but what the stream does.
"""

import zipfile
from typing import BinaryIO

MARK = b"PK\x01\x02"  # before each part in the directory, by the format's own description
CHUNK = 1024 * 1024
PACKED_PLAINLY = {zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED}


class PartCount:
    """How many parts a zip may name at most, counted over its bytes piece by piece."""

    def __init__(self) -> None:
        self.most, self._end = 0, b""

    def add(self, piece: bytes) -> None:
        """Take in the next piece."""
        # The end that is kept is shorter than a mark, so none is counted twice.
        whole = self._end + piece
        self.most += whole.count(MARK)
        self._end = whole[-(len(MARK) - 1) :]


def most_parts(stream: BinaryIO) -> int:
    """How many parts a zip may name at most; the stream stands at its start then."""
    count = PartCount()
    stream.seek(0)
    while piece := stream.read(CHUNK):
        count.add(piece)
    stream.seek(0)
    return count.most


def packed_otherwise(zip_file: zipfile.ZipFile) -> str:
    """The name of a part that is packed as no program of ours does; "" without one."""
    return next(
        (info.filename for info in zip_file.infolist() if info.compress_type not in PACKED_PLAINLY),
        "",
    )
