"""Names of files as they come are shown to people and never used as paths."""

import pytest

from claims.services import files


@pytest.mark.parametrize(
    ("sent", "shown"),
    [
        ("../../x", "x"),
        ("C:\\photos\\con.jpg", "file-con.jpg"),
        ("con", "file-con"),
        ("a\nb\r\n.jpg", "ab.jpg"),
        ("inv\u202egpj.exe", "invgpj.exe"),
        ("..", "unnamed"),
        ("", "unnamed"),
        ("Şüß 金.jpg", "Şüß 金.jpg"),
    ],
)
def test_names_are_text_and_no_path(sent, shown):
    assert files.clean_name(sent) == shown


def test_a_name_of_300_bytes_is_cut_and_keeps_its_ending():
    name = files.clean_name("x" * 300 + ".jpg")
    assert len(name) == 120
    assert name.endswith(".jpg")
