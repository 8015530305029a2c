"""Work in the background: inline on a laptop, by a worker on a hosted site."""

import datetime as dt
import io
import zipfile
from unittest import mock

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import call_command
from django.urls import reverse
from django_tasks_db.management.commands import db_worker
from django_tasks_db.models import DBTaskResult

from claims.models import Job, Party, Site
from claims.services import jobs
from reports import jobs as report_jobs
from tests import factories as make
from trips import jobs as trip_jobs
from trips.models import ImportBatch, Trip
from trips.moving.packed import unpacked_bytes

pytestmark = pytest.mark.django_db
NOW = dt.datetime(2031, 5, 3, 12, tzinfo=dt.UTC)
AHEAD = dt.datetime(2999, 1, 1, tzinfo=dt.UTC)
WORKER = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}


@pytest.fixture
def party(client):
    party = make.make_party(currency="EUR", name="Ours")
    make.signed_in(client, party, "hand")
    return party


@pytest.fixture
def with_worker(settings):
    """Work waits in the table until a worker takes it, as on a hosted site.

    A worker on PostgreSQL tells how far it is over a connection of its own, which would see
    nothing of a test's transaction; so that part stays as it is inline.
    """
    settings.TASKS = WORKER


@pytest.fixture
def any_is_large(monkeypatch):
    monkeypatch.setattr(trip_jobs, "MOST_TRIPS_AT_ONCE", -1)
    monkeypatch.setattr(report_jobs, "MOST_LINES_AT_ONCE", -1)
    monkeypatch.setattr(report_jobs, "MOST_ROWS_AT_ONCE", -1)


def work():
    """What the worker's process does, until nothing waits.

    Inside the test's process: it must neither close the connection that holds the test's
    transaction nor leave its own answers to signals behind.
    """
    with (
        mock.patch.object(db_worker, "close_old_connections"),
        mock.patch.object(db_worker.Worker, "configure_signals"),
    ):
        call_command("db_worker", "--batch", "--no-startup-delay", verbosity=0)


def make_batch(party, user, count=3):
    day = dt.date(2025, 1, 1)
    lines = [
        [n + 2, [(day + dt.timedelta(days=n)).isoformat(), "Old bend"], ""] for n in range(count)
    ]
    choices = {"columns": {"date": 0, "site": 1}, "make_sites": True}
    return make.make_import_batch(party, user, lines=lines, choices=choices)


def save_import(client, batch):
    return client.post(reverse("trips:import_preview", args=[batch.pk]))


def page_of(client, job):
    return client.get(reverse("claims:job_detail", args=[job.pk]))


def file_of(client, job):
    answer = client.get(reverse("claims:job_file", args=[job.pk]))
    return answer, b"".join(answer.streaming_content)


def user_of(party):
    return party.memberships.get().user


# --- Imports ----------------------------------------------------------------------------------
def test_a_small_import_is_saved_by_the_request(client, party):
    batch = make_batch(party, user_of(party))
    assert save_import(client, batch)["Location"].endswith(f"/{batch.pk}/done/")
    assert Job.objects.count() == 0


def test_a_large_import_inline_leads_straight_to_what_was_saved(client, party):
    batch = make_batch(party, user_of(party), trip_jobs.MOST_LINES_AT_ONCE + 1)
    answer = save_import(client, batch)
    assert answer["Location"] == reverse("trips:import_done", args=[batch.pk])
    assert Trip.objects.count() == trip_jobs.MOST_LINES_AT_ONCE + 1
    assert Job.objects.get().state == Job.State.DONE


def test_a_large_import_waits_for_the_worker_and_tells_how_far_it_is(
    client, party, with_worker, monkeypatch
):
    count = trip_jobs.MOST_LINES_AT_ONCE + 1
    batch = make_batch(party, user_of(party), count)
    answer = save_import(client, batch)
    job = Job.objects.get()
    assert answer["Location"] == reverse("claims:job_detail", args=[job.pk])
    assert Trip.objects.count() == 0
    waiting = page_of(client, job).content.decode()
    assert "Waiting for its turn" in waiting
    assert '<noscript><meta http-equiv="refresh"' in waiting
    # The same asked for again is the same work.
    assert save_import(client, batch)["Location"] == answer["Location"]
    assert DBTaskResult.objects.count() == 1
    seen = []
    real = trip_jobs.save_import

    def watched(job, tell, now):
        def told(step, done=None, of=None):
            tell(step, done, of)
            seen.append(Job.objects.values_list("step", "parts_done", "parts_all").get(pk=job.pk))

        return real(job, told, now)

    monkeypatch.setitem(jobs.kinds, "import", watched)
    work()
    assert ("Saving trips", count, count) in seen
    assert Trip.objects.count() == count
    done = page_of(client, job).content.decode()
    assert f"{count} trips are saved." in done
    assert reverse("trips:import_done", args=[batch.pk]) in done
    assert "refresh" not in done
    # What a worker wrote was written by who asked for it, and belongs together.
    assert set(Trip.history.values_list("history_user", flat=True)) == {user_of(party).pk}
    assert Trip.history.values("change_set").distinct().count() == 1


def test_the_page_shows_how_far_it_is(client, party):
    job = make.make_job(
        party, user_of(party), state="running", step="Saving trips", parts_done=3, parts_all=9,
        heard_at=AHEAD,
    )  # fmt: skip
    page = page_of(client, job).content.decode()
    assert "Saving trips: 3 of 9" in page
    assert '<progress class="work" max="9" value="3"' in page


def test_an_import_that_is_worked_on_twice_saves_once(client, party, with_worker):
    batch = make_batch(party, user_of(party), 250)
    save_import(client, batch)
    job = Job.objects.get()
    work()
    Job.objects.filter(pk=job.pk).update(state=Job.State.WAITING)
    jobs.run(job.pk, job.attempt, clock=lambda: NOW)
    job.refresh_from_db()
    assert (job.state, Trip.objects.count()) == (Job.State.DONE, 250)
    assert job.said == "250 trips are saved."


def test_an_error_in_the_middle_saves_nothing_and_says_so(client, party, monkeypatch):
    batch = make_batch(party, user_of(party), 250)

    def breaks(*_):
        raise RuntimeError("the innermost secret")

    monkeypatch.setattr("trips.services.importing.derive.rebuild_trips", breaks)
    save_import(client, batch)
    job = Job.objects.get()
    page = page_of(client, job).content.decode()
    assert job.state == Job.State.FAILED
    assert "saved nothing" in page
    assert "innermost" not in page
    assert (Trip.objects.count(), Site.objects.count()) == (0, 0)
    monkeypatch.undo()
    client.post(reverse("claims:job_anew", args=[job.pk]))
    assert Trip.objects.count() == 250


# --- Files ------------------------------------------------------------------------------------
@pytest.mark.parametrize("way", ["inline", "worker"])
def test_the_whole_record_is_asked_for_and_kept_for_the_party(
    client, party, any_is_large, way, request
):
    if way == "worker":
        request.getfixturevalue("with_worker")
    make.make_site(party=party, name="Old bend")
    url = reverse("trips:whole_record")
    assert "put together in the background" in client.get(url).content.decode()
    assert Job.objects.count() == 0
    answer = client.post(url)
    job = Job.objects.get()
    assert answer["Location"] == reverse("claims:job_detail", args=[job.pk])
    if way == "worker":
        assert client.get(reverse("claims:job_file", args=[job.pk])).status_code == 404
        work()
    assert "Download whole-record.zip" in page_of(client, job).content.decode()
    answer, content = file_of(client, job)
    assert answer["Content-Disposition"] == 'attachment; filename="whole-record.zip"'
    with zipfile.ZipFile(io.BytesIO(content)) as inside:
        assert b"Old bend" in inside.read("tables/sites.csv")
    other = make.make_party(name="Others")
    make.signed_in(client, other, "keeper")
    for name in ("claims:job_detail", "claims:job_file"):
        assert client.get(reverse(name, args=[job.pk])).status_code == 404
    assert client.post(reverse("claims:job_anew", args=[job.pk])).status_code == 404


@pytest.mark.parametrize(("fmt", "begins"), [("pdf", b"%PDF"), ("xlsx", b"PK"), ("csv", b"\xef")])
def test_a_long_renewal_record_is_the_same_file_in_the_background(
    client, party, any_is_large, monkeypatch, fmt, begins
):
    site = make.make_site(party=party)
    paper = make.make_paper(party)
    paper.sites.add(site)
    make.make_pan(trip=make.make_trip(party=party, site=site))
    url = reverse("reports:renewal_record_file", args=[paper.pk, fmt])
    asked = f"{url}?first=2031-01-01&last=2031-12-31&as_of=2031-12-31"
    assert "made in the background" in client.get(asked).content.decode()
    client.post(asked)
    job = Job.objects.get()
    assert job.state == Job.State.DONE, job.said
    answer, content = file_of(client, job)
    assert content.startswith(begins)
    monkeypatch.setattr(report_jobs, "MOST_LINES_AT_ONCE", 400)
    if fmt != "xlsx":  # which holds the moment it was written
        assert client.get(asked).content == content
    assert f"renewal-record-{paper.pk}-2031-01-01-2031-12-31.{fmt}" in answer["Content-Disposition"]


def test_all_tables_as_one_book(client, party, any_is_large):
    url = reverse("reports:export_table", args=["everything", "xlsx"])
    client.get(url)
    client.post(url)
    _, content = file_of(client, Job.objects.get())
    assert content.startswith(b"PK")


@pytest.mark.parametrize("way", ["inline", "worker"])
def test_a_large_record_is_brought_in_behind_the_page(client, party, monkeypatch, way, request):
    make.make_site(party=party, name="Old bend")
    whole = b"".join(client.get(reverse("trips:whole_record")).streaming_content)
    monkeypatch.setattr("trips.views.moving.MOST_BYTES_AT_ONCE", 10)
    if way == "worker":
        request.getfixturevalue("with_worker")
    url = reverse("trips:bring_record_in")
    answer = client.post(url, {"file": SimpleUploadedFile("../../w.zip", whole)}, follow=True)
    job = Job.objects.get()
    upload = job.asked["upload"]
    if way == "worker":
        assert "Waiting for its turn" in answer.content.decode()
        stranger = make.make_user()
        client.force_login(stranger)
        assert page_of(client, job).status_code == 404
        client.force_login(user_of(party))
        work()
    job.refresh_from_db()
    new = Party.objects.exclude(pk=party.pk).get()
    assert (job.state, job.party) == (Job.State.DONE, new)
    assert new.memberships.get().user == user_of(party)
    assert new.sites.get().name == "Old bend"
    assert not default_storage.exists(upload)


def test_a_record_is_large_by_what_it_becomes(client, party, monkeypatch):
    """By its own size this one would be large at either bound, and one of long tables at none."""
    whole = b"".join(client.get(reverse("trips:whole_record")).streaming_content)
    becomes = unpacked_bytes(io.BytesIO(whole))
    assert becomes < len(whole)
    for bound, asked in ((becomes, 0), (becomes - 1, 1)):
        monkeypatch.setattr("trips.views.moving.MOST_BYTES_AT_ONCE", bound)
        client.post(reverse("trips:bring_record_in"), {"file": SimpleUploadedFile("w.zip", whole)})
        assert Job.objects.count() == asked


def test_a_record_that_cannot_be_read_says_why(client, party, monkeypatch):
    monkeypatch.setattr("trips.views.moving.MOST_BYTES_AT_ONCE", 10)
    upload = SimpleUploadedFile("w.zip", b"no zip file at all")
    client.post(reverse("trips:bring_record_in"), {"file": upload})
    job = Job.objects.get()
    assert (job.state, job.said) == (Job.State.FAILED, "This is no zip file, or it is damaged.")
    assert Party.objects.count() == 1
    assert not default_storage.exists(job.asked["upload"])


# --- What goes wrong --------------------------------------------------------------------------
def test_silent_work_can_be_started_anew_and_the_old_run_no_longer_counts(
    client, party, with_worker
):
    job = make.make_job(party, user_of(party), state="running")
    page = page_of(client, job).content.decode()
    assert "Nothing heard for a while" in page
    client.post(reverse("claims:job_anew", args=[job.pk]))
    job.refresh_from_db()
    assert (job.state, job.attempt) == (Job.State.WAITING, 2)
    assert DBTaskResult.objects.get().args_kwargs["args"] == [job.pk, 2]
    old = Job(pk=job.pk, attempt=1, uuid=job.uuid, party=party)
    jobs._finish(old, jobs.Outcome("Late", file=io.BytesIO(b"x"), file_name="a.zip"), NOW)
    job.refresh_from_db()
    assert (job.state, job.said) == (Job.State.WAITING, "")
    assert not default_storage.exists(f"jobs/{party.pk}/{job.uuid}.zip")


def test_work_under_way_or_done_is_not_started_anew(party):
    user = user_of(party)
    for state in ("waiting", "running", "done"):
        job = make.make_job(party, user, state=state, heard_at=AHEAD)
        assert jobs.start_anew(job, NOW).attempt == 1


def test_not_everything_at_once(client, party, with_worker, any_is_large):
    for number in range(jobs.MOST_AT_ONCE):
        make.make_job(
            party, user_of(party), state="waiting", asked={"n": number},
            heard_at=AHEAD,
        )  # fmt: skip
    answer = client.post(reverse("trips:whole_record"), follow=True)
    assert "being worked on for this record already" in answer.content.decode()
    assert DBTaskResult.objects.count() == 0


def test_a_full_storage_is_told_in_plain_words(client, party, any_is_large, monkeypatch):
    def full(name, content):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(default_storage, "save", full)
    client.post(reverse("trips:whole_record"))
    job = Job.objects.get()
    assert job.state == Job.State.FAILED
    assert "The storage can't be written (No space left on device)" in job.said


def test_old_work_is_forgotten_with_its_files(party):
    name = default_storage.save("jobs/1/old.zip", ContentFile(b"x"))
    make.make_job(party, user_of(party), stored=name)
    make.make_job(party, user_of(party), asked_at=NOW + jobs.KEPT)
    assert jobs.forget_old(NOW + jobs.KEPT + dt.timedelta(seconds=1)) == 1
    assert not default_storage.exists(name)
    assert Job.objects.count() == 1


def test_a_reader_may_ask_for_files_but_starts_nothing_anew(client, any_is_large):
    party = make.make_party()
    make.signed_in(client, party, "reader")
    client.post(reverse("trips:whole_record"))
    job = Job.objects.get()
    assert job.state == Job.State.DONE
    assert client.post(reverse("claims:job_anew", args=[job.pk])).status_code == 403


def test_who_has_no_record_yet_starts_bringing_theirs_in_anew(client, with_worker):
    user = make.make_user()
    client.force_login(user)
    job = make.make_job(None, user, kind="bring_in", state=Job.State.FAILED, asked={"upload": "x"})
    assert "Start it once more" in page_of(client, job).content.decode()
    answer = client.post(reverse("claims:job_anew", args=[job.pk]))
    assert answer["Location"] == reverse("claims:job_detail", args=[job.pk])
    job.refresh_from_db()
    assert (job.state, job.attempt) == (Job.State.WAITING, 2)


def test_the_list_says_what_it_will_show(client, party):
    url = reverse("claims:job_list")
    assert "Nothing is being worked on" in client.get(url).content.decode()
    make.make_job(party, user_of(party), title="<b>bold</b>")
    assert "&lt;b&gt;bold&lt;/b&gt;" in client.get(url).content.decode()


def test_the_lists_cost_is_the_same_for_more_rows(client, party, django_assert_max_num_queries):
    for _ in range(9):
        make.make_job(party, user_of(party))
    with django_assert_max_num_queries(12):
        client.get(reverse("claims:job_list"))


def test_what_was_uploaded_may_be_gone(party):
    job = make.make_job(party, user_of(party), kind="import", state="waiting", asked={"batch": 0})
    jobs.run(job.pk, 1, clock=lambda: NOW)
    job.refresh_from_db()
    assert job.said == "The uploaded file isn't kept any more. Bring it again."
    assert ImportBatch.objects.count() == 0
