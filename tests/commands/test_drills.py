"""The drills run, and they would find what they look for."""

import pytest

from claims.models import Party, Person
from tests.commands.test_backup import manage
from trips.drills import kill

LOST = "0 lost, 0 half, 0 unsound"


def test_nothing_acknowledged_is_lost_when_the_process_is_killed(tmp_path):
    said = manage(tmp_path, "drill_kill", "--entries", "150").stdout
    assert LOST in said


@pytest.mark.django_db(transaction=True)
def test_the_comparison_finds_what_is_lost_and_what_is_half():
    for number in (0, 1, 3):
        party = Party.objects.create(name=f"m {number}")
        if number != 3:
            Person.objects.create(party=party, name=f"m {number}")
    count = kill.Count()
    kill._compare("m", ["m 0", "m 1", "m 2"], count)
    assert (count.acknowledged, count.lost, count.half, count.unsaid) == (3, 1, 1, 1)
    assert not count.is_good


def test_the_writer_does_not_fill_somebodys_record(tmp_path):
    refused = manage(tmp_path, "drill_writer", "x", check=False)
    assert refused.returncode == 1
    assert "only runs within drill_kill" in refused.stderr
