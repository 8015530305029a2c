"""Work in the background as a person sees it: its page follows the work to its end."""

import datetime as dt
import re

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from claims.models import Job
from tests import factories as make
from tests.e2e.conftest import DESK, PHONE

pytestmark = pytest.mark.django_db(transaction=True)
# Heard of far ahead of any clock: never silent.
AHEAD = dt.datetime(2999, 1, 1, tzinfo=dt.UTC)


@pytest.fixture
def job():
    party = make.make_party(name="Ours")
    member = make.make_member(party)
    return make.make_job(party, member.user, state=Job.State.WAITING, heard_at=AHEAD)


def now_it(job, **values):
    Job.objects.filter(pk=job.pk).update(**values)


DONE = {"state": "done", "said": "250 trips are saved.", "leads_to": "/trips/"}
RUNNING = {"state": "running", "step": "Saving trips", "parts_done": 100, "parts_all": 250}


@pytest.mark.parametrize(
    "options",
    [PHONE, {**DESK, "java_script_enabled": False}],
    ids=["in place", "without JavaScript"],
)
def test_the_page_follows_the_work_to_its_end(open_page, sign_in, job, options):
    page = sign_in(open_page(**options), job.asked_by)
    page.goto(reverse("claims:job_detail", args=[job.pk]))
    expect(page.get_by_role("heading", name="Waiting for its turn")).to_be_visible()
    now_it(job, **RUNNING)
    expect(page.get_by_text("Saving trips: 100 of 250")).to_be_visible()
    expect(page.get_by_role("progressbar")).to_have_attribute("value", "100")
    now_it(job, **DONE)
    expect(page.get_by_role("heading", name="Done")).to_be_visible()
    expect(page.get_by_text("250 trips are saved.")).to_be_visible()
    page.get_by_role("link", name="See what came of it").click()
    expect(page).to_have_url(re.compile("/trips/$"))


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_every_state_fits_and_can_be_read(open_page, sign_in, axe, fits, job, size, scheme):
    page = sign_in(open_page(**size, color_scheme=scheme), job.asked_by)
    failed = {"state": "failed", "said": "Line 3: 31 February is no day.", "step": ""}
    for values in ({}, RUNNING, DONE, failed, {"state": "waiting", "heard_at": job.asked_at}):
        now_it(job, **values)
        page.goto(reverse("claims:job_detail", args=[job.pk]))
        fits(page)
        axe(page)


def test_nobody_else_sees_it(open_page, sign_in, problems, job):
    problems.allow("404")
    other = make.make_member(make.make_party(name="Others"))
    page = sign_in(open_page(**DESK), other.user)
    answer = page.goto(reverse("claims:job_detail", args=[job.pk]))
    assert answer.status == 404
    expect(page.get_by_text(job.title)).to_have_count(0)
