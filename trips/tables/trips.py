"""The list of trips."""

import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html
from django.utils.translation import gettext_lazy

from claims.web import show
from claims.web.tables import LedgerTable, NumberColumn

NOT_YET = ("planned", "called_off")


class TripTable(LedgerTable):
    """Rows are `TripRow`s."""

    caption = gettext_lazy("Trips")
    starts_on = tables.Column(verbose_name=gettext_lazy("Day"))
    sites = tables.Column(verbose_name=gettext_lazy("Where"), default="–")
    state = tables.Column(verbose_name=gettext_lazy("State"))
    people = tables.Column(verbose_name=gettext_lazy("Who"), default="–")
    # Empty values are rendered too: what hasn't happened yet is a dash, a gap is "unknown".
    mass_ug = NumberColumn(verbose_name=gettext_lazy("Gold"), empty_values=())
    door_minutes = NumberColumn(verbose_name=gettext_lazy("Door to door"), empty_values=())
    outlay_minor = NumberColumn(verbose_name=gettext_lazy("Outlay"), empty_values=())
    net_minor = NumberColumn(verbose_name=gettext_lazy("Net"), empty_values=())

    class Meta(LedgerTable.Meta):
        order_by = "-starts_on"

    def __init__(self, *args, currency: str, **kwargs):
        self.currency = currency
        super().__init__(*args, **kwargs)

    def render_starts_on(self, value, record):
        address = reverse("trips:trip_detail", args=[record.pk])
        words = f"{show.day(value)}: {record.name}" if record.name else show.day(value)
        return format_html('<a href="{}">{}</a>', address, words)

    def render_state(self, value):
        return format_html('<span class="badge plain">{}</span>', value)

    def render_mass_ug(self, value, record):
        return _or_dash(record, show.quantity("mass", value, self.units["mass"]))

    def render_door_minutes(self, value, record):
        return _or_dash(record, show.minutes(value))

    def render_outlay_minor(self, value):
        return show.money(value, self.currency)

    def render_net_minor(self, value, record):
        return _or_dash(record, show.money(value, self.currency))


def _or_dash(record, words: str) -> str:
    return "–" if record.state_code in NOT_YET else words
