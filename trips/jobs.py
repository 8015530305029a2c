"""Large imports and the whole record, as work in the background."""

import datetime as dt
import tempfile

from django.core.files.storage import default_storage
from django.urls import reverse

from claims.models import Job, KeptFile
from claims.services.jobs import NoJob, Outcome, Tell
from trips.calc.words import say
from trips.models import ImportBatch, Track, Trip

# Up to here a request does it by itself: about a second on a small machine.
MOST_LINES_AT_ONCE = 200
MOST_FILES_AT_ONCE = 40
MOST_TRIPS_AT_ONCE = 500
MOST_BYTES_AT_ONCE = 2_000_000  # unpacked
IN_MEMORY_BYTES = 5_000_000


def is_large(party) -> bool:
    """Whether taking the whole record out takes longer than a request should."""
    files = KeptFile.objects.filter(party=party).count() + Track.objects.filter(party=party).count()
    return (
        files > MOST_FILES_AT_ONCE or Trip.objects.filter(party=party).count() > MOST_TRIPS_AT_ONCE
    )


def save_import(job: Job, tell: Tell, now: dt.datetime) -> Outcome:
    """Save the good lines of an import that was looked at; twice comes to the same."""
    from trips.services.importing import save_batch

    batch = ImportBatch.objects.filter(party=job.party, pk=job.asked["batch"]).first()
    if batch is None:
        raise NoJob(say("The uploaded file isn't kept any more. Bring it again."))
    tell(say("Reading the lines"))
    saved = save_batch(
        batch, party=job.party, today=dt.date.fromisoformat(job.asked["today"]), tell=tell
    )
    refused = len(batch.result["refused"])
    said = say("{saved} trips are saved.", saved=saved) + (
        say(" {refused} lines were refused.", refused=refused) if refused else ""
    )
    return Outcome(said, reverse("trips:import_done", args=[batch.pk]))


def whole_record(job: Job, tell: Tell, now: dt.datetime) -> Outcome:
    """The whole record as one file."""
    from trips.moving.take_out import take_out

    file = tempfile.SpooledTemporaryFile(max_size=IN_MEMORY_BYTES)  # noqa: SIM115 - closed by its taker
    take_out(job.party, file, now=now, tell=tell)
    return Outcome(
        say("The whole record is ready, as it was when this was made."),
        file=file,
        file_name="whole-record.zip",
        content_type="application/zip",
    )


def bring_in(job: Job, tell: Tell, now: dt.datetime) -> Outcome:
    """A record that was uploaded, made into a new party whose keeper is who asked."""
    from trips.moving.bring_in import NoRecord
    from trips.moving.bring_in import bring_in as bring

    if job.asked_by is None:
        raise NoJob(say("Whoever asked for this has no log-in any more."))
    upload = job.asked["upload"]
    tell(say("Reading the file"))
    try:
        with default_storage.open(upload, "rb") as stream:
            party = bring(stream, user=job.asked_by, now=now, tell=tell)
    except FileNotFoundError:
        raise NoJob(say("The uploaded file isn't kept any more. Bring it again.")) from None
    except NoRecord as problem:
        default_storage.delete(upload)
        raise NoJob(str(problem)) from problem
    default_storage.delete(upload)
    job.party = party
    return Outcome(
        say(
            "The record is here as {party}, and you are its keeper. Change to "
            "it under your name, at the top.",
            party=party,
        )
    )
