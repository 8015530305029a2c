"""Long renewal records and all tables at once, as work in the background."""

import datetime as dt
import io

from django.conf import settings

from claims.models import Job, Paper
from claims.services.jobs import NoJob, Outcome, Tell
from claims.web.export import FILE_TYPES, xlsx_book
from reports.figures.renewal import RenewalRecord
from reports.pages import period
from reports.selectors import export
from trips.calc.words import say

# Up to here a request does it by itself: about a second on a small machine.
MOST_LINES_AT_ONCE = 400
MOST_ROWS_AT_ONCE = 10_000


def is_long(record: RenewalRecord) -> bool:
    """Whether the files of a record take longer than a request should."""
    return sum(len(part.rows) for part in record.parts) > MOST_LINES_AT_ONCE


def renewal_name(record: RenewalRecord, paper: Paper) -> str:
    """The name of a record's file without its ending."""
    return f"renewal-record-{paper.pk}-{record.first}-{record.last}"


def renewal_bytes(record: RenewalRecord, fmt: str) -> bytes:
    """A renewal record as a PDF, CSV or XLSX file."""
    if fmt == "pdf":
        from reports.pdf.renewal_record import PHOTO_PX, record_pdf
        from reports.selectors.renewal_photos import pictures_of

        return record_pdf(record, settings.PAGE_SIZE, pictures_of(record, PHOTO_PX))
    return period.record_csv(record) if fmt == "csv" else period.record_xlsx(record)


def renewal(job: Job, tell: Tell, now: dt.datetime) -> Outcome:
    """A paper's renewal record, with the period and units that were asked for."""
    asked = job.asked
    paper = Paper.objects.filter(party=job.party, pk=asked["paper"]).first()
    if paper is None:
        raise NoJob(say("The paper isn't in this record any more."))
    paper.party = job.party
    tell(say("Reading the trips of the period"), 0, 2)
    days = [dt.date.fromisoformat(asked[name]) for name in ("first", "last", "day")]
    record = period.record_of(paper, days[0], days[1], day=days[2], units=asked["units"])
    tell(say("Laying out the pages"), 1, 2)
    fmt = asked["fmt"]
    content = renewal_bytes(record, fmt)
    return _file(
        f"{renewal_name(record, paper)}.{fmt}", fmt, content, say("The renewal record is ready.")
    )


def tables(job: Job, tell: Tell, now: dt.datetime) -> Outcome:
    """Every table as one book."""
    kinds = list(export.TABLES)

    def sheets():
        for number, each in enumerate(kinds):
            tell(say("Writing {title}", title=each.title), number, len(kinds))
            yield each.title, *export.file_rows(each, job.party, job.asked["units"])

    return _file("everything.xlsx", "xlsx", xlsx_book(sheets()), say("The tables are ready."))


def _file(name: str, fmt: str, content: bytes, said: str) -> Outcome:
    return Outcome(said, file=io.BytesIO(content), file_name=name, content_type=FILE_TYPES[fmt])
