"""Rows about work in the background, for tests."""

import datetime as dt

from claims.models import Job, Party, User

LONG_AGO = dt.datetime(2001, 5, 3, 12, tzinfo=dt.UTC)


def make_job(party: Party | None, user: User, **overrides) -> Job:
    """A whole record that was made and whose file is no longer kept."""
    values = {"kind": "whole_record", "title": "Everything as one file", "state": Job.State.DONE}
    values |= {"asked_at": LONG_AGO, "heard_at": LONG_AGO}
    return Job.objects.create(party=party, asked_by=user, **values | overrides)
