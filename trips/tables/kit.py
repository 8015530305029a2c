"""The lists of cars and gear."""

import django_tables2 as tables
from django.utils.translation import gettext, gettext_lazy

from claims.web import show
from claims.web.tables import LedgerTable, NumberColumn
from trips.models import Gear, Vehicle


def _per_100km(value: int | None) -> str:
    return f"{value / 1000:.1f}\u202fL"


class VehicleTable(LedgerTable):
    caption = gettext_lazy("Cars")
    quiet_caption = True  # the heading above says it
    name = tables.Column(linkify=("trips:vehicle_edit", {"pk": tables.A("pk")}))
    fuel = tables.Column(verbose_name=gettext_lazy("Fuel"))
    sealed_ml_per_100km = NumberColumn(
        verbose_name=gettext_lazy("Sealed, 100 km"), default=gettext_lazy(show.UNKNOWN)
    )
    unsealed_ml_per_100km = NumberColumn(
        verbose_name=gettext_lazy("Gravel, 100 km"), default=gettext_lazy(show.UNKNOWN)
    )
    track_ml_per_100km = NumberColumn(
        verbose_name=gettext_lazy("Track, 100 km"), default=gettext_lazy(show.UNKNOWN)
    )
    towing_pct = NumberColumn(verbose_name=gettext_lazy("Towing"))
    wear_milli_per_km = NumberColumn(
        verbose_name=gettext_lazy("Wear per km"), default=gettext_lazy(show.UNKNOWN)
    )
    rate_name = tables.Column(
        verbose_name=gettext_lazy("Published rate"), default=gettext_lazy("none")
    )
    is_active = tables.Column(verbose_name=gettext_lazy("In use"))

    class Meta(LedgerTable.Meta):
        model = Vehicle
        fields = (
            "name",
            "fuel",
            "sealed_ml_per_100km",
            "unsealed_ml_per_100km",
            "track_ml_per_100km",
            "towing_pct",
            "wear_milli_per_km",
            "rate_name",
            "is_active",
        )

    def __init__(self, *args, currency: str, **kwargs):
        self.currency = currency
        super().__init__(*args, prefix="cars-", **kwargs)

    def render_sealed_ml_per_100km(self, value):
        return _per_100km(value)

    render_unsealed_ml_per_100km = render_track_ml_per_100km = render_sealed_ml_per_100km

    def render_towing_pct(self, value):
        return f"{value}\u202f%"

    def render_wear_milli_per_km(self, value):
        return f"{value / 1000:.3f}\u202f{self.currency}"

    def render_is_active(self, value):
        return gettext("yes") if value else gettext("no longer")


class GearTable(LedgerTable):
    caption = gettext_lazy("Gear")
    quiet_caption = True
    name = tables.Column(linkify=("trips:gear_edit", {"pk": tables.A("pk")}))
    kind = tables.Column(verbose_name=gettext_lazy("Kind"))
    hp_hundredths = NumberColumn(verbose_name=gettext_lazy("Power"), default="–")
    fuel_ml_per_h = NumberColumn(verbose_name=gettext_lazy("Fuel an hour"), default="–")
    feed_ml_per_h = NumberColumn(verbose_name=gettext_lazy("Gravel an hour"), default="–")
    price_minor = NumberColumn(
        verbose_name=gettext_lazy("Bought for"), default=gettext_lazy(show.UNKNOWN)
    )
    life_minutes = NumberColumn(
        verbose_name=gettext_lazy("Lasts"), default=gettext_lazy(show.UNKNOWN)
    )
    is_active = tables.Column(verbose_name=gettext_lazy("In use"))

    class Meta(LedgerTable.Meta):
        model = Gear
        fields = (
            "name",
            "kind",
            "hp_hundredths",
            "fuel_ml_per_h",
            "feed_ml_per_h",
            "price_minor",
            "life_minutes",
            "is_active",
        )

    def __init__(self, *args, currency: str, **kwargs):
        self.currency = currency
        super().__init__(*args, prefix="gear-", **kwargs)

    def render_hp_hundredths(self, value):
        return gettext("{value:g}\u202fhp").format(value=value / 100)

    def render_fuel_ml_per_h(self, value, record):
        return show.quantity("volume", value, self.units["volume"], 2)

    def render_feed_ml_per_h(self, value):
        return show.quantity("volume", value, self.units["volume"], 0)

    def render_price_minor(self, value):
        return show.money(value, self.currency)

    def render_life_minutes(self, value):
        return show.minutes(value)

    def render_is_active(self, value):
        return gettext("yes") if value else gettext("no longer")
