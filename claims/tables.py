"""Lists of sites, holes and papers. Their rows come from `claims.selectors`."""

import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html

from claims import agenda
from claims.paper_pages import BADGES
from claims.web import show
from claims.web.tables import LedgerTable, NumberColumn


def _badge(kind: str, words: str) -> str:
    return format_html('<span class="badge {}">{}</span>', kind, words)


class SiteTable(LedgerTable):
    caption = "Sites"

    name = tables.Column("Site")
    land_kind = tables.Column("Land")
    water_name = tables.Column("Water", empty_values=())
    distance_m = NumberColumn(verbose_name="One way", empty_values=())
    drive_minutes = NumberColumn(verbose_name="Drive", empty_values=())
    walk_minutes = NumberColumn(verbose_name="Walk", empty_values=())
    closed = tables.Column("Closed")
    papers = tables.Column("Papers that day")

    class Meta(LedgerTable.Meta):
        empty_text = "No site yet."

    def render_name(self, record):
        link = format_html(
            '<a href="{}">{}</a>', reverse("reports:site_page", args=[record.pk]), record.name
        )
        if record.is_retired:
            return format_html("{} {}", link, _badge("plain", "no longer used"))
        return link

    def render_water_name(self, value):
        return value or "not noted"

    def render_distance_m(self, value):
        return show.quantity("distance", value, self.units["distance"])

    def render_drive_minutes(self, value):
        return show.minutes(value)

    def render_walk_minutes(self, value):
        return show.minutes(value)


class HoleTable(LedgerTable):
    caption = "Holes"

    site = tables.Column("Site")
    spot = tables.Column("Spot", empty_values=())
    opened_on = tables.Column("Opened")
    age_days = NumberColumn(verbose_name="Days open")
    volume_ml = NumberColumn(verbose_name="Size", empty_values=())
    is_open = tables.Column("State")
    due_on = tables.Column("Fill by", empty_values=())
    pk = tables.TemplateColumn(
        template_name="claims/_hole_actions.html", verbose_name="Change", orderable=False
    )

    class Meta(LedgerTable.Meta):
        empty_text = "No hole yet."

    def __init__(self, *args, may_write=False, **kwargs):
        if not may_write:
            kwargs["exclude"] = ("pk",)
        super().__init__(*args, **kwargs)

    def render_site(self, record):
        return format_html(
            '<a href="{}">{}</a>', reverse("reports:site_page", args=[record.site_pk]), record.site
        )

    def render_spot(self, value):
        return value or "not noted"

    def render_opened_on(self, value):
        return show.day(value)

    def render_age_days(self, value):
        return show.grouped(value)

    def render_volume_ml(self, value):
        return show.quantity("volume", value, self.units["volume"], 0)

    def render_is_open(self, record):
        if record.is_open:
            return _badge("do", "open")
        return f"filled {show.day(record.filled_on)}"

    def render_due_on(self, record):
        if not record.is_open:
            return "–"
        if record.due_on is None:
            return format_html('<span class="unknown">{}</span>', "no day noted")
        return format_html("{}<br>{}", show.day(record.due_on), record.due_words)


class PaperTable(LedgerTable):
    caption = "Papers"

    name = tables.Column("Paper")
    kind = tables.Column("Kind")
    number = tables.Column("Number", empty_values=())
    issuer = tables.Column("Given by", empty_values=())
    expires_on = tables.Column("Last day", empty_values=())
    days_left = NumberColumn(verbose_name="Days left", empty_values=())
    state = tables.Column("State")
    sites = NumberColumn(verbose_name="Sites")

    class Meta(LedgerTable.Meta):
        empty_text = "No paper yet."

    def render_name(self, record):
        return format_html(
            '<a href="{}">{}</a>', reverse("claims:paper_detail", args=[record.pk]), record.name
        )

    def render_number(self, value):
        return value or "not noted"

    def render_issuer(self, value):
        return value or "not noted"

    def render_expires_on(self, record):
        if record.expires_on is None:
            return "for life" if record.basis == "life" else "none printed"
        said = show.day(record.expires_on)
        return f"{said} (counted)" if record.basis == "counted" else said

    def render_days_left(self, value):
        return "–" if value is None else show.grouped(value)

    def render_state(self, record):
        return _badge(BADGES.get(record.code, "know"), record.state)


class DutyTable(LedgerTable):
    caption = "Duties"

    title = tables.Column("Duty")
    kind = tables.Column("Kind")
    about = tables.Column("For", empty_values=())
    next_on = tables.Column("Next", empty_values=())
    words = tables.Column("State")
    often = tables.Column("How often")
    work = tables.Column("Work done of due", empty_values=())

    class Meta(LedgerTable.Meta):
        empty_text = "No duty yet."

    def render_title(self, record):
        return format_html(
            '<a href="{}">{}</a>', reverse("claims:duty_detail", args=[record.pk]), record.title
        )

    def render_about(self, value):
        return value or "–"

    def render_next_on(self, value):
        return "–" if value is None else show.day(value)

    def render_words(self, record):
        return _badge(agenda.BADGES[record.state], record.words)

    def render_work(self, value):
        return value or "–"
