"""`manage.py start` where the record can't be opened."""

import pytest
from django.core.management import CommandError, call_command
from django.db import OperationalError

from trips.management.commands import start


@pytest.mark.parametrize(
    ("told", "meant"),
    [
        ("attempt to write a readonly database", "The record can only be read at the moment"),
        ("unable to open database file", "The file that holds the record can't be opened"),
        ("database or disk is full", "The disk that holds the record is full"),
    ],
)
def test_a_record_that_cannot_be_opened_is_told_in_words(monkeypatch, capsys, told, meant):
    def fails(*args, **options):
        raise OperationalError(told)

    monkeypatch.setattr(start, "call_command", fails)
    with pytest.raises(CommandError) as caught:
        call_command("start", no_browser=True)
    assert str(caught.value).startswith(meant)
    assert told in str(caught.value)
    assert "Gravel Ledger is at" not in capsys.readouterr().out
