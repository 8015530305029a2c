"""The lists of weigh-ins, lots and prices."""

from decimal import Decimal

import django_tables2 as tables
from django.utils.translation import gettext, gettext_lazy

from claims.web import show
from claims.web.tables import WHOLE, LedgerTable, NumberColumn
from trips.models import GoldLot, Price, WeighIn

HALF_PAGE = 10  # rows of a list that shares its page with another one


class MassColumn(NumberColumn):
    """Micrograms in the person's unit."""

    def render(self, value, table):
        return show.quantity("mass", value, table.units["mass"])


class DayColumn(tables.Column):
    def __init__(self, *args, **kwargs):
        super().__init__(*args, attrs=WHOLE, **kwargs)

    def render(self, value):
        return show.day(value)


class WeighInTable(LedgerTable):
    caption = gettext_lazy("Weigh-ins")
    page_rows, place = HALF_PAGE, "weigh-ins"
    weighed_on = DayColumn(
        verbose_name=gettext_lazy("Weighed on"),
        linkify=("trips:weighin_detail", {"pk": tables.A("pk")}),
    )
    trip = tables.Column(
        order_by=("trip__starts_on", "trip__name"),
        linkify=("trips:trip_detail", {"pk": tables.A("trip_id")}),
    )
    net = MassColumn(verbose_name=gettext_lazy("Net"))
    here_ug = MassColumn(verbose_name=gettext_lazy("On hand"))
    sold_ug = MassColumn(verbose_name=gettext_lazy("Sold"))
    given_ug = MassColumn(verbose_name=gettext_lazy("Given"))
    fineness = NumberColumn(verbose_name=gettext_lazy("Fineness"), empty_values=())
    note = tables.Column(verbose_name=gettext_lazy("Note"))

    class Meta(LedgerTable.Meta):
        model = WeighIn
        fields = (
            "weighed_on",
            "trip",
            "net",
            "here_ug",
            "sold_ug",
            "given_ug",
            "fineness",
            "note",
        )
        prefix = "w-"

    def __init__(self, *args, party_fineness: int, **kwargs):
        self.party_fineness = party_fineness
        super().__init__(*args, **kwargs)

    def render_fineness(self, value):
        return (
            f"{value}\u202f‰"
            if value
            else gettext("{party_fineness}\u202f‰ (party's)").format(
                party_fineness=self.party_fineness
            )
        )


class LotTable(LedgerTable):
    page_rows, place = HALF_PAGE, "lots"
    caption = gettext_lazy("Lots")
    quiet_caption = True
    name = tables.Column(linkify=("trips:weighin_detail", {"pk": tables.A("weigh_in_id")}))
    weigh_in = tables.Column(verbose_name=gettext_lazy("From"), order_by=("weigh_in__weighed_on",))
    mass_ug = MassColumn(verbose_name=gettext_lazy("Mass"))
    state = tables.Column(verbose_name=gettext_lazy("State"))
    moved_on = DayColumn(verbose_name=gettext_lazy("On"), default="")
    to_whom = tables.Column(verbose_name=gettext_lazy("To"))
    proceeds_minor = NumberColumn(verbose_name=gettext_lazy("Brought"), default="")
    fee_minor = NumberColumn(verbose_name=gettext_lazy("Fee"), default="")
    own_value_minor = NumberColumn(verbose_name=gettext_lazy("Own value"), default="")
    merged = tables.Column(
        verbose_name=gettext_lazy("In merged lot"), default="", order_by=("merged__name",)
    )

    class Meta(LedgerTable.Meta):
        model = GoldLot
        fields = (
            "name",
            "weigh_in",
            "mass_ug",
            "state",
            "moved_on",
            "to_whom",
            "proceeds_minor",
            "fee_minor",
            "own_value_minor",
            "merged",
        )
        prefix = "l-"

    def render_weigh_in(self, record):
        return show.day(record.weigh_in.weighed_on)

    def render_proceeds_minor(self, value, record):
        return show.money(value, record.currency)

    render_fee_minor = render_own_value_minor = render_proceeds_minor


class PriceTable(LedgerTable):
    caption = gettext_lazy("Prices of pure gold")
    day = DayColumn(verbose_name=gettext_lazy("Day"))
    amount_micros = NumberColumn(verbose_name=gettext_lazy("Price"))
    per_unit = tables.Column(verbose_name=gettext_lazy("For one"))
    currency = tables.Column(verbose_name=gettext_lazy("Currency"))
    source = tables.Column(verbose_name=gettext_lazy("Source"))
    change = tables.Column(
        accessor="pk",
        verbose_name=gettext_lazy("Change"),
        orderable=False,
        linkify=("trips:price_edit", {"pk": tables.A("pk")}),
    )

    class Meta(LedgerTable.Meta):
        model = Price
        fields = ("day", "amount_micros", "currency", "per_unit", "source")

    def render_amount_micros(self, value):
        return price_words(value)

    def render_change(self, record):
        return gettext("Change {day}").format(day=show.day(record.day))


def price_words(amount_micros: int) -> str:
    """A price as its source states it, at least two decimals, e.g. "4 228.00"."""
    number = Decimal(amount_micros) / 1_000_000
    places = max(2, -int(number.normalize().as_tuple().exponent))
    return show.grouped(number.quantize(Decimal(1).scaleb(-places)))
