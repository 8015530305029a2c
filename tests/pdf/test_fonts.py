import hashlib
import re

from reports.pdf.styles import FILES, FONTS


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
    assert set(found) == set(FILES.values())


def test_licence_text_lies_beside_the_fonts():
    assert "Bitstream Vera" in (FONTS / "LICENCE.txt").read_text(encoding="utf-8")
