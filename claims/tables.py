"""Lists of sites, holes and papers. Their rows come from `claims.selectors`."""

import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html
from django.utils.translation import gettext, gettext_lazy

from claims import agenda
from claims.paper_pages import BADGES
from claims.web import show
from claims.web.tables import WHOLE, LedgerTable, NumberColumn


def _badge(kind: str, words: str) -> str:
    return format_html('<span class="badge {}">{}</span>', kind, words)


class SiteTable(LedgerTable):
    caption = gettext_lazy("Sites")

    name = tables.Column(gettext_lazy("Site"))
    land_kind = tables.Column(gettext_lazy("Land"))
    water_name = tables.Column(gettext_lazy("Water"), empty_values=())
    distance_m = NumberColumn(verbose_name=gettext_lazy("One way"), empty_values=())
    drive_minutes = NumberColumn(verbose_name=gettext_lazy("Drive"), empty_values=())
    walk_minutes = NumberColumn(verbose_name=gettext_lazy("Walk"), empty_values=())
    closed = tables.Column(gettext_lazy("Closed"))
    papers = tables.Column(gettext_lazy("Papers that day"))

    class Meta(LedgerTable.Meta):
        empty_text = gettext_lazy("No site yet.")

    def render_name(self, record):
        link = format_html(
            '<a href="{}">{}</a>', reverse("reports:site_page", args=[record.pk]), record.name
        )
        if record.is_retired:
            return format_html("{} {}", link, _badge("plain", gettext("no longer used")))
        return link

    def render_water_name(self, value):
        return value or gettext("not noted")

    def render_distance_m(self, value):
        return show.quantity("distance", value, self.units["distance"])

    def render_drive_minutes(self, value):
        return show.minutes(value)

    def render_walk_minutes(self, value):
        return show.minutes(value)


class HoleTable(LedgerTable):
    caption = gettext_lazy("Holes")

    site = tables.Column(gettext_lazy("Site"))
    spot = tables.Column(gettext_lazy("Spot"), empty_values=())
    opened_on = tables.Column(gettext_lazy("Opened"), attrs=WHOLE)
    age_days = NumberColumn(verbose_name=gettext_lazy("Days open"))
    volume_ml = NumberColumn(verbose_name=gettext_lazy("Size"), empty_values=())
    is_open = tables.Column(gettext_lazy("State"))
    due_on = tables.Column(gettext_lazy("Fill by"), empty_values=())
    pk = tables.TemplateColumn(
        template_name="claims/_hole_actions.html",
        verbose_name=gettext_lazy("Change"),
        orderable=False,
    )

    class Meta(LedgerTable.Meta):
        empty_text = gettext_lazy("No hole yet.")

    def __init__(self, *args, may_write=False, **kwargs):
        if not may_write:
            kwargs["exclude"] = ("pk",)
        super().__init__(*args, **kwargs)

    def render_site(self, record):
        return format_html(
            '<a href="{}">{}</a>', reverse("reports:site_page", args=[record.site_pk]), record.site
        )

    def render_spot(self, value):
        return value or gettext("not noted")

    def render_opened_on(self, value):
        return show.day(value)

    def render_age_days(self, value):
        return show.grouped(value)

    def render_volume_ml(self, value):
        return show.quantity("volume", value, self.units["volume"], 0)

    def render_is_open(self, record):
        if record.is_open:
            return _badge("do", gettext("open"))
        return gettext("filled {filled_on}").format(filled_on=show.day(record.filled_on))

    def render_due_on(self, record):
        if not record.is_open:
            return "–"
        if record.due_on is None:
            return format_html('<span class="unknown">{}</span>', gettext("no day noted"))
        return format_html("{}<br>{}", show.day(record.due_on), record.due_words)


class PaperTable(LedgerTable):
    caption = gettext_lazy("Papers")

    name = tables.Column(gettext_lazy("Paper"))
    kind = tables.Column(gettext_lazy("Kind"))
    number = tables.Column(gettext_lazy("Number"), empty_values=())
    issuer = tables.Column(gettext_lazy("Given by"), empty_values=())
    expires_on = tables.Column(gettext_lazy("Last day"), empty_values=())
    days_left = NumberColumn(verbose_name=gettext_lazy("Days left"), empty_values=())
    state = tables.Column(gettext_lazy("State"))
    sites = NumberColumn(verbose_name=gettext_lazy("Sites"))

    class Meta(LedgerTable.Meta):
        empty_text = gettext_lazy("No paper yet.")

    def render_name(self, record):
        return format_html(
            '<a href="{}">{}</a>', reverse("claims:paper_detail", args=[record.pk]), record.name
        )

    def render_number(self, value):
        return value or gettext("not noted")

    def render_issuer(self, value):
        return value or gettext("not noted")

    def render_expires_on(self, record):
        if record.expires_on is None:
            return gettext("for life") if record.basis == "life" else gettext("none printed")
        said = show.day(record.expires_on)
        return gettext("{said} (counted)").format(said=said) if record.basis == "counted" else said

    def render_days_left(self, value):
        return "–" if value is None else show.grouped(value)

    def render_state(self, record):
        return _badge(BADGES.get(record.code, "know"), record.state)


class DutyTable(LedgerTable):
    caption = gettext_lazy("Duties")

    title = tables.Column(gettext_lazy("Duty"))
    kind = tables.Column(gettext_lazy("Kind"))
    about = tables.Column(gettext_lazy("For"), empty_values=())
    next_on = tables.Column(gettext_lazy("Next"), empty_values=(), attrs=WHOLE)
    words = tables.Column(gettext_lazy("State"))
    often = tables.Column(gettext_lazy("How often"))
    work = tables.Column(gettext_lazy("Work done of due"), empty_values=())

    class Meta(LedgerTable.Meta):
        empty_text = gettext_lazy("No duty yet.")

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
