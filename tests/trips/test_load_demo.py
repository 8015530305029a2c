"""The demo and somebody's own record never mix."""

import io
import shutil
from pathlib import Path

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command

from claims.models import Membership, Party, User
from claims.past import member_changes, states
from trips.demo.story import PARTY_NAME, PASSWORD
from trips.models import Trip

pytestmark = pytest.mark.django_db
FOLDER = Path(settings.BASE_DIR) / "fixtures_demo"


def load(**options):
    out = io.StringIO()
    call_command("load_demo", stdout=out, **options)
    return out.getvalue()


def own_record():
    party = Party.objects.create(name="Our own creek")
    user = User.objects.create_user("ada", password="something-long")
    Membership.objects.create(party=party, user=user)
    return party


def test_another_party_is_not_mixed_with_the_demo():
    own_record()
    with pytest.raises(CommandError, match="Our own creek"):
        load()
    assert not Party.objects.filter(name=PARTY_NAME).exists()
    assert User.objects.count() == 1


def test_a_log_in_without_a_party_counts_as_somebodys_record():
    User.objects.create_user("ada", password="something-long")
    with pytest.raises(CommandError, match="the log-in “ada”"):
        load()
    assert not Party.objects.exists()


def test_whoever_asks_for_it_gets_both_side_by_side():
    own = own_record()
    said = load(into_this_database=True)
    assert "48 trips" in said
    assert PASSWORD in said
    assert not own.trips.exists()
    assert own.memberships.get().user.username == "ada"
    assert set(Party.objects.values_list("name", flat=True)) == {own.name, PARTY_NAME}


def test_in_the_demos_own_file_a_party_made_while_trying_out_is_no_hindrance(settings):
    settings.DEMO = True
    own_record()
    assert "8 sites" in load()


@pytest.mark.parametrize("is_demo", [True, False])
def test_somebodys_log_in_never_gets_the_known_password(settings, is_demo):
    settings.DEMO = is_demo
    User.objects.create_user("robin", password="something-long")
    with pytest.raises(CommandError, match="The log-in “robin” exists and isn't the demo's"):
        load(into_this_database=True)
    robin = User.objects.get()
    assert robin.check_password("something-long")
    assert not robin.check_password(PASSWORD)


@pytest.mark.parametrize(
    ("file", "old", "new", "said"),
    [
        ("runs.csv", "T2030-05-R1,T2030-05", "T2030-05-R1,T2030-99", "runs.csv, T2030-05-R1"),
        ("runs.csv", "2030-05-11,1,", "2030-05-11,one,", "runs.csv, T2030-05-R1, sequence"),
        ("papers.toml", '["Marrable meadow"]', '["Meadow"]', "papers.toml, Consent of Edda"),
        ("kit.toml", "[[gear]]", "[[gear", "kit.toml: "),
        ("trips.csv", ",wrapped_up,", ",finished,", "trips.csv, T2030-01"),
        ("sites.toml", '"04-30"', '"04-31x"', "sites.toml, DRE"),
        ("prices.csv", "3337.96", "0", "prices.csv, 2030-01-01"),
        ("pans.csv", "5500", "-5500", "pans.csv, T2030-01-P01"),
    ],
)
def test_a_wrong_row_is_named_and_nothing_is_loaded(tmp_path, file, old, new, said):
    folder = tmp_path / "files"
    shutil.copytree(FOLDER, folder)
    text = (folder / file).read_text(encoding="utf-8")
    assert old in text
    (folder / file).write_text(text.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(CommandError, match=said):
        load(folder=folder)
    assert not Party.objects.exists()
    assert not User.objects.exists()


def test_a_folder_without_the_files_is_said_plainly(tmp_path):
    with pytest.raises(CommandError, match="The demo was not loaded"):
        load(folder=tmp_path)
    assert not User.objects.exists()


def test_the_past_says_that_the_demo_wrote_itself():
    load()
    party = Party.objects.get()
    told = [change.what for change in member_changes(party)]
    assert len(told) == 3
    assert all(what.startswith("the demo (loaded by a command) let ") for what in told)
    trip = party.trips.first()
    assert {state.who for state in states(Trip, trip.pk, party)} == {
        "the demo (loaded by a command)"
    }
    # What a person changes in it later is theirs.
    trip.name, trip._history_user = "Ours", User.objects.get(username="robin")
    trip.save()
    assert states(Trip, trip.pk, party)[0].who == "Robin Vayle"
