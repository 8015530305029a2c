import hashlib
import re

import pytest

from reports.pdf.faces import FILES, FONTS
from reports.pdf.scripts import BLOCKS, WIDE


def test_vendored_fonts_are_the_recorded_ones():
    recorded = dict(
        re.findall(
            r"^\| (\S+\.ttf) \|.*\| ([0-9a-f]{64}) \|$",
            (FONTS / "VENDORED.md").read_text(encoding="utf-8"),
            re.MULTILINE,
        )
    )
    found = {
        path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in FONTS.glob("*.ttf")
    }
    assert found == recorded
    assert set(found) == {*FILES.values(), *(file for _, _, file in BLOCKS), WIDE}


@pytest.mark.parametrize(
    ("file", "said"),
    [
        ("LICENCE.txt", "Bitstream Vera"),
        ("LICENCE-Noto.txt", "SIL OPEN FONT LICENSE"),
        ("LICENCE-Droid.txt", "Apache License"),
    ],
)
def test_licence_text_lies_beside_the_fonts(file, said):
    assert said in (FONTS / file).read_text(encoding="utf-8")
