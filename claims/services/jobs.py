"""Work that no request waits for: asked for, worked on, told of, and forgotten after some days.

Each kind of work is a function that is registered under a word at start; it gets the job and a
`Tell` to say how far it is, and gives an `Outcome`. On a laptop the work is done at once, inside
the request that asks; on a hosted site another process takes it (`manage.py db_worker`). Either
way the row says what became of it. Work may be done twice when a worker is killed, so every kind
must come to the same when it is.
"""

import datetime as dt
import logging
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from types import SimpleNamespace
from typing import BinaryIO

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.files.base import File
from django.core.files.storage import default_storage
from django.db import connection, connections
from django.db.models import Q
from django.utils import translation
from django.utils.translation import gettext
from simple_history.models import HistoricalRecords

from claims.models import Job, Party, User
from claims.services.files import storage_said, unwritten
from claims.web.tongues import language_of, manner_of
from trips.calc import local
from trips.calc.words import marked, say

KEPT = dt.timedelta(days=7)
# A worker that says nothing for so long was stopped; the work can then be started anew.
SILENT = dt.timedelta(minutes=15)
MOST_AT_ONCE = 5
FOLDER = "jobs"
TELLING = "telling"
UNEXPECTED = marked(
    "It stopped with an error of this site and saved nothing. Start it once more; if it stops "
    "again, tell whoever runs the site: their log names job {pk}."
)
STOPPED = marked("It was stopped together with the site, and saved nothing. Start it once more.")
log = logging.getLogger(__name__)


@dataclass(frozen=True)
class Outcome:
    """What came of a job: a sentence, and a file or an address that shows it."""

    said: str
    leads_to: str = ""
    file: BinaryIO | None = None
    file_name: str = ""
    content_type: str = ""


Tell = Callable[..., None]
Work = Callable[[Job, Tell, dt.datetime], Outcome]
kinds: dict[str, Work] = {}


class NoJob(ValueError):
    """The work can't be done; the message says why in plain words."""


def no_tell(step: str, done: int | None = None, of: int | None = None) -> None:
    """For whoever has nobody to tell."""


def ask(*, kind: str, title: str, asked: dict, party: Party | None, user: User, now) -> Job:
    """Have work done; the job, finished already where work is done inline.

    The same work that is still being done is not begun twice.
    Raises: ValidationError if too much is asked for at once.
    """
    from claims.tasks import run_job

    forget_old(now)
    under_way = [
        job
        for job in _of(party, user).filter(state__in=[Job.State.WAITING, Job.State.RUNNING])
        if not is_silent(job, now)
    ]
    for job in under_way:
        if job.kind == kind and job.asked == asked:
            return job
    if len(under_way) >= MOST_AT_ONCE:
        raise ValidationError(
            gettext(
                "{under_way} things are being worked on for this record already. Wait "
                "until one of them is done."
            ).format(under_way=len(under_way))
        )
    job = Job.objects.create(
        party=party,
        kind=kind,
        title=title[:160],
        asked=asked,
        asked_by=user,
        asked_at=now,
        heard_at=now,
    )
    run_job.enqueue(job.pk, job.attempt)
    job.refresh_from_db()
    return job


def start_anew(job: Job, now: dt.datetime) -> Job:
    """Begin once more what failed or fell silent; anything else stays as it is."""
    from claims.tasks import run_job

    if job.state == Job.State.DONE or not (job.is_over or is_silent(job, now)):
        return job
    taken = Job.objects.filter(pk=job.pk, attempt=job.attempt).update(
        state=Job.State.WAITING, attempt=job.attempt + 1, heard_at=now, finished_at=None,
        step="", parts_done=None, parts_all=None, said="",
    )  # fmt: skip
    if taken:
        run_job.enqueue(job.pk, job.attempt + 1)
    job.refresh_from_db()
    return job


def is_silent(job: Job, now: dt.datetime) -> bool:
    """Whether nothing was heard of unfinished work for so long that its worker must be gone."""
    return not job.is_over and now - job.heard_at > SILENT


def _of(party: Party | None, user: User):
    return (
        Job.objects.filter(party=party) if party else Job.objects.filter(party=None, asked_by=user)
    )


def run(pk: int, attempt: int, *, clock: Callable[[], dt.datetime]) -> None:
    """Do the work of a job; what became of it is kept in its row, whatever happens."""
    mine = Job.objects.filter(pk=pk, attempt=attempt)
    if not mine.filter(state=Job.State.WAITING).update(state=Job.State.RUNNING, heard_at=clock()):
        return
    job = mine.select_related("party", "asked_by").get()
    try:
        with _in_the_name_of(job.asked_by, job.asked.get("fmt", "")), _teller(job, clock) as tell:
            _finish(job, kinds[job.kind](job, tell, clock()), clock())
    except ValidationError as problem:
        _fail(mine, " ".join(problem.messages), clock())
    except NoJob as problem:
        _fail(mine, str(problem), clock())
    except OSError as problem:
        log.exception("Job %s could not be done", pk)
        _fail(mine, unwritten(problem), clock())
    except Exception:
        log.exception("Job %s could not be done", pk)
        _fail(mine, say(UNEXPECTED, pk=pk), clock())
    except BaseException:
        _fail(mine, say(STOPPED), clock())
        raise


def _finish(job: Job, outcome: Outcome, now: dt.datetime) -> None:
    stored, size = "", None
    if outcome.file is not None:
        owner = job.party_id or "own"
        ending = outcome.file_name.rpartition(".")[2]
        with outcome.file, storage_said():
            size = outcome.file.seek(0, 2)
            outcome.file.seek(0)
            stored = default_storage.save(
                f"{FOLDER}/{owner}/{job.uuid}.{ending}", File(outcome.file)
            )
    kept = Job.objects.filter(pk=job.pk, attempt=job.attempt, state=Job.State.RUNNING).update(
        party=job.party_id, state=Job.State.DONE, finished_at=now, heard_at=now, step="",
        said=outcome.said, leads_to=outcome.leads_to, stored=stored, size_bytes=size,
        file_name=outcome.file_name[:120], content_type=outcome.content_type,
    )  # fmt: skip
    if stored and not kept:  # started anew in the meantime: that run's file counts
        default_storage.delete(stored)


def _fail(mine, said: str, now: dt.datetime) -> None:
    mine.filter(state=Job.State.RUNNING).update(
        state=Job.State.FAILED, said=said, step="", finished_at=now, heard_at=now
    )


@contextmanager
def _in_the_name_of(user: User | None, fmt: str) -> Iterator[None]:
    """What a worker changes was changed by who asked for it, and belongs together.

    A PDF is written in their language and manner, what other programs read in the program's own.
    Inline there is a request already, which says the same.
    """
    context = HistoricalRecords.context
    if getattr(context, "request", None) is not None or user is None:
        yield
        return
    context.request = SimpleNamespace(user=user)
    try:
        language = (fmt == "pdf" and language_of(user)) or settings.LANGUAGE_CODE
        manner = manner_of(user) if fmt == "pdf" else local.OWN
        with translation.override(language), local.written(manner):
            yield
    finally:
        del context.request


@contextmanager
def _teller(job: Job, clock: Callable[[], dt.datetime]) -> Iterator[Tell]:
    """A function that keeps how far the work is.

    The work itself is one transaction, of which nobody sees anything before its end. So a worker
    on PostgreSQL tells over a connection of its own; SQLite knows one writer at a time, and what
    is told within the transaction is seen at its end.
    """
    own = settings.BACKGROUND == "worker" and connection.vendor == "postgresql"
    if own:
        connections.databases.setdefault(TELLING, dict(connections.databases["default"]))
    using = TELLING if own else "default"

    def tell(step: str, done: int | None = None, of: int | None = None) -> None:
        Job.objects.using(using).filter(pk=job.pk, attempt=job.attempt).update(
            step=step[:160], parts_done=done, parts_all=of, heard_at=clock()
        )

    try:
        yield tell
    finally:
        if own:
            connections[TELLING].close()


def forget_old(now: dt.datetime) -> int:
    """Remove jobs asked for over a week ago, with their files; how many."""
    old = Job.objects.filter(asked_at__lt=now - KEPT).filter(
        Q(state__in=[Job.State.DONE, Job.State.FAILED]) | Q(heard_at__lt=now - KEPT)
    )
    names = [name for job in old for name in (job.stored, job.asked.get("upload", "")) if name]
    count = old.delete()[0]
    for name in names:
        default_storage.delete(name)
    return count
