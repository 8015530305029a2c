"""The period that a renewal record is asked for, and the record's files."""

import datetime as dt

from django import forms
from django.utils.translation import gettext, gettext_lazy

from claims.models import Paper
from claims.web.export import csv_bytes, xlsx_book
from claims.web.forms import LedgerForm
from reports.figures.renewal import RenewalRecord, renewal_record
from reports.figures.renewal_facts import RenewalAsked
from reports.selectors.renewal import renewal_facts
from trips.calc.words import marked

EXPECTED = marked("Expected a date such as 2031-05-03.")


class PeriodForm(LedgerForm, forms.Form):
    """First and last day, both in the period; without any asked for, the term so far."""

    first = forms.DateField(label=gettext_lazy("From"), error_messages={"invalid": EXPECTED})
    last = forms.DateField(label=gettext_lazy("To"), error_messages={"invalid": EXPECTED})
    as_of = forms.DateField(required=False, widget=forms.HiddenInput)

    def __init__(self, request, paper: Paper, day: dt.date):
        first, last = term_so_far(paper, day)
        data = request.GET.copy()
        if "first" not in data and "last" not in data:
            data["first"], data["last"] = first.isoformat(), last.isoformat()
        super().__init__(data)
        if "as_of" in request.GET:
            self.fields["as_of"].widget = forms.HiddenInput()
        else:
            del self.fields["as_of"]

    def clean(self):
        found = super().clean()
        first, last = found.get("first"), found.get("last")
        if first and last and last < first:
            self.add_error(
                "last",
                gettext("To: the period ends before it starts; expected {first} or later.").format(
                    first=first
                ),
            )
        return found


def term_so_far(paper: Paper, day: dt.date) -> tuple[dt.date, dt.date]:
    """From the day of issue (or the year's start) to today or the term's end."""
    first = paper.issued_on or day.replace(month=1, day=1)
    last = min(day, paper.last_day or day)
    return first, max(first, last)


def record_of(
    paper: Paper, first: dt.date, last: dt.date, *, day: dt.date, units: dict[str, str]
) -> RenewalRecord:
    """The record of a paper over a period, told for a day, in a person's units."""
    asked = RenewalAsked(
        party_name=paper.party.name,
        currency=paper.party.currency,
        as_of=day,
        first=first,
        last=last,
        mass_unit=units["mass"],
        volume_unit=units["volume"],
    )
    return renewal_record(renewal_facts(paper, first, last), asked)


def record_csv(record: RenewalRecord) -> bytes:
    """One file with all parts under each other: name, heads, rows, an empty line."""
    rows: list[tuple[object, ...]] = []
    for title, heads, body in _sheets(record):
        rows += [(), (title,), tuple(heads), *body]
    return csv_bytes([record.title], rows)


def record_xlsx(record: RenewalRecord) -> bytes:
    """A sheet for each part."""
    return xlsx_book(_sheets(record))


def _sheets(record: RenewalRecord):
    yield gettext("Paper"), (gettext("What"), gettext("Noted")), record.facts
    yield (
        gettext("Key figures"),
        (gettext("What"), gettext("Figure"), gettext("How to read it")),
        record.key_figures,
    )
    for part in record.parts:
        yield part.title, part.headers, part.file_rows or ((part.empty,),)
    photos = [(photo.day, photo.caption) for photo in record.photos]
    yield (
        gettext("Photos of holes"),
        (gettext("Day"), gettext("Photo")),
        photos or [(gettext("No photo of these holes is kept."),)],
    )
    yield (
        gettext("What is missing"),
        (gettext("What is missing from this record"),),
        [(t,) for t in record.missing],
    )
    yield (
        gettext("Sources"),
        (gettext("Where the figures come from"),),
        [(text,) for text in record.sources],
    )
