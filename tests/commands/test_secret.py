"""The key that is made once and kept."""

import os
import stat

import pytest

from trips.project.secret import MIN_LENGTH, load_or_make


def test_the_key_is_made_once_and_stays(tmp_path):
    path = tmp_path / "new" / "secret_key"
    first = load_or_make(path)
    assert len(first) >= MIN_LENGTH
    assert load_or_make(path) == first
    assert [file.name for file in path.parent.iterdir()] == ["secret_key"]


def test_two_records_have_different_keys(tmp_path):
    assert load_or_make(tmp_path / "a") != load_or_make(tmp_path / "b")


@pytest.mark.skipif(os.name != "posix", reason="Windows has no such file modes")
def test_only_the_owner_may_read_it(tmp_path):
    path = tmp_path / "secret_key"
    key = load_or_make(path)
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    path.chmod(0o644)
    assert load_or_make(path) == key
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


@pytest.mark.parametrize("content", [b"", b"short", b"\xff\xfe" * 40])
def test_a_broken_key_is_made_anew(tmp_path, content):
    path = tmp_path / "secret_key"
    path.write_bytes(content)
    key = load_or_make(path)
    assert len(key) >= MIN_LENGTH
    assert load_or_make(path) == key
