"""Forms for cars and gear. Hints carry published figures with their source; all stay editable."""

from django import forms
from django.utils.translation import gettext, gettext_lazy

from claims.web.fields import CountField, MoneyField, QuantityField, ScaledField
from trips.forms.owned import OwnedForm
from trips.models import Gear, Vehicle
from trips.selectors.rates import own_rates, published

USE_HIGH = 100_000  # ml per 100 km; a hundred litres is a lorry towing

RATE_HINT = gettext_lazy(
    "Instead of the figure above, on the days the rate holds; on others the figure above stands. A "
    "published rate holds all costs of a car, so it replaces wear, and what the drive's fuel costs "
    "is taken off it: the fuel stays a line of its own and counts once."
)
WEAR_HINT = gettext_lazy(
    "What a kilometre uses up of the car itself: tyres, service, value. Fuel is counted apart. "
    "To compare: the part for loss of value in the US rate of 2023 is 0.28 US$ a mile, 0.17 a km "
    "(tax rate table, seen second-hand); the running-cost part of the New Zealand kilometre rate "
    "of 2024–25 is 0.37 NZ$ for petrol, fuel included (restated by accountants, seen second-hand)."
)
FUEL_RULE_HINT = gettext_lazy(
    "A four-stroke petrol engine burns about 0.060 US gal (0.227 L) an hour for each rated hp, "
    "averaged over varied work (Iowa State University Extension, Estimating Farm Machinery Costs, "
    "older edition, page 6)."
)
PAN_HINT = gettext_lazy(
    "Level full. A 16 in pan holds 5.5 L (Wells, Placer Examination, 1969, Part V sec. 2b); "
    "a 12 in pan 2.5 L (worked out from its sizes, sec. 2c)."
)
FEED_HINT = gettext_lazy(
    "Loose, as shovelled: gravel swells by 12 to 40 %, about 17 % on average, once it is dug "
    "(trade page, seen second-hand)."
)


class VehicleForm(OwnedForm, forms.ModelForm):
    """A car: its fuel by kind of road, towing, wear."""

    sealed_ml_per_100km = ScaledField(
        scale=1000,
        unit_label=gettext_lazy("L per 100 km"),
        low=0,
        high=USE_HIGH,
        required=False,
        label=gettext_lazy("Fuel on sealed road"),
        help_text=gettext_lazy(
            "From your own refills. Empty: not known, and the fuel of a trip is unknown too."
        ),
    )
    unsealed_ml_per_100km = ScaledField(
        scale=1000,
        unit_label=gettext_lazy("L per 100 km"),
        low=0,
        high=USE_HIGH,
        required=False,
        label=gettext_lazy("Fuel on gravel road"),
        help_text=gettext_lazy(
            "Often 10–30 % more than on sealed road (common practice, no source)."
        ),
    )
    track_ml_per_100km = ScaledField(
        scale=1000,
        unit_label=gettext_lazy("L per 100 km"),
        low=0,
        high=USE_HIGH,
        required=False,
        label=gettext_lazy("Fuel on track"),
        help_text=gettext_lazy("Low range often takes 50–100 % more (common practice, no source)."),
    )
    towing_pct = CountField(
        low=100,
        high=300,
        required=False,
        label=gettext_lazy("Fuel when towing, per cent of without"),
        help_text=gettext_lazy("Often 120–140 (common practice, no source)."),
    )
    wear_milli_per_km = ScaledField(
        scale=1000,
        low=0,
        high=100_000,
        required=False,
        label=gettext_lazy("Wear per kilometre"),
        help_text=WEAR_HINT,
    )
    rate_name = forms.ChoiceField(
        required=False, label=gettext_lazy("Published rate"), help_text=RATE_HINT
    )
    rate_other_m = QuantityField(
        kind="distance",
        unit="km",
        high=1_000_000_000,
        required=False,
        label=gettext_lazy("Driven otherwise in a year"),
        help_text=gettext_lazy(
            "Private kilometres too, if they fill the rate's first tier. Empty: none."
        ),
    )

    layout = (
        (gettext_lazy("The car"), ("name", "fuel")),
        (
            gettext_lazy("What it burns"),
            (
                ("sealed_ml_per_100km", "unsealed_ml_per_100km"),
                ("track_ml_per_100km", "towing_pct"),
            ),
        ),
        (gettext_lazy("Wear"), ("wear_milli_per_km", "wear_source", "rate_name", "rate_other_m")),
        ("", ("is_active",)),
    )

    class Meta:
        model = Vehicle
        fields = [
            "name",
            "fuel",
            "sealed_ml_per_100km",
            "unsealed_ml_per_100km",
            "track_ml_per_100km",
            "towing_pct",
            "wear_milli_per_km",
            "wear_source",
            "rate_name",
            "rate_other_m",
            "is_active",
        ]
        labels = {
            "wear_source": gettext_lazy("Where that figure is from"),
            "is_active": gettext_lazy("In use"),
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["wear_milli_per_km"].unit_label = gettext("{currency} per km").format(
            currency=self.currency
        )
        tables = (*own_rates(self.instance.party), *published())
        # A rate in another currency can't be added to a trip's costs; a chosen one stays shown.
        names = dict.fromkeys(t.name for t in tables if t.currency == self.currency)
        if self.instance.rate_name:
            names.setdefault(self.instance.rate_name)
        choices = [(name, name) for name in names]
        self.fields["rate_name"].choices = [("", gettext("none: the figure above")), *choices]

    def clean_towing_pct(self):
        return self.cleaned_data["towing_pct"] or 130


class GearForm(OwnedForm, forms.ModelForm):
    """Gear with the numbers that a cost or a rule may ask for; most may stay empty."""

    volume_ml = QuantityField(
        kind="volume",
        unit="L",
        low=1,
        high=200_000,
        required=False,
        label=gettext_lazy("What a pan holds"),
    )
    hp_hundredths = ScaledField(
        scale=100,
        unit_label="hp",
        low=1,
        high=100_000,
        required=False,
        label=gettext_lazy("Rated power"),
    )
    fuel_ml_per_h = QuantityField(
        kind="volume",
        unit="L",
        high=100_000,
        required=False,
        label=gettext_lazy("Fuel in an hour"),
        help_text=FUEL_RULE_HINT,
    )
    feed_ml_per_h = QuantityField(
        kind="volume",
        unit="L",
        high=100_000_000,
        required=False,
        label=gettext_lazy("Gravel washed in an hour"),
        help_text=FEED_HINT,
    )
    pump_flow_ml_per_min = QuantityField(
        kind="volume",
        unit="L",
        high=100_000_000,
        required=False,
        label=gettext_lazy("Pump flow in a minute"),
    )
    nozzle_mm = QuantityField(
        kind="length",
        unit="mm",
        high=2_000,
        required=False,
        label=gettext_lazy("Nozzle or hose, inside"),
    )
    intake_mm = QuantityField(
        kind="length",
        unit="mm",
        high=2_000,
        required=False,
        label=gettext_lazy("Bore of the water intake"),
    )
    length_mm = QuantityField(
        kind="length", unit="cm", high=100_000, required=False, label=gettext_lazy("Length")
    )
    riffle_area_cm2 = CountField(
        high=1_000_000, required=False, label=gettext_lazy("Area of riffles or matting (cm²)")
    )
    price_minor = MoneyField(required=False, label=gettext_lazy("Bought for"))
    residual_minor = MoneyField(
        required=False,
        label=gettext_lazy("Will fetch at the end"),
        help_text=gettext_lazy("Empty counts as nothing."),
    )
    life_minutes = ScaledField(
        scale=60,
        unit_label=gettext_lazy("hours of use"),
        low=60,
        high=6_000_000,
        required=False,
        label=gettext_lazy("Lasts about"),
        help_text=gettext_lazy(
            "Wear is price less what it will fetch, spread over these hours. "
            "Empty: wear is unknown. Look at it again each year."
        ),
    )

    layout = (
        (gettext_lazy("What it is"), ("name", "kind", "power")),
        (
            gettext_lazy("Size and water"),
            (
                "volume_ml",
                ("length_mm", "riffle_area_cm2"),
                ("nozzle_mm", "intake_mm"),
                "pump_flow_ml_per_min",
            ),
            gettext_lazy("Fill in what applies; the rest stays empty."),
        ),
        (gettext_lazy("Use"), ("feed_ml_per_h", "hp_hundredths", "fuel_ml_per_h")),
        (
            gettext_lazy("Price and wear"),
            (("price_minor", "residual_minor"), ("life_minutes", "bought_on")),
        ),
        ("", ("notes", "is_active")),
    )

    class Meta:
        model = Gear
        fields = [
            "name",
            "kind",
            "power",
            "volume_ml",
            "length_mm",
            "riffle_area_cm2",
            "nozzle_mm",
            "intake_mm",
            "pump_flow_ml_per_min",
            "feed_ml_per_h",
            "hp_hundredths",
            "fuel_ml_per_h",
            "price_minor",
            "residual_minor",
            "life_minutes",
            "bought_on",
            "notes",
            "is_active",
        ]
        labels = {"is_active": gettext_lazy("In use"), "bought_on": gettext_lazy("Bought on")}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["volume_ml"].help_text = PAN_HINT

    def clean(self):
        data = super().clean()
        price, residual = data.get("price_minor"), data.get("residual_minor")
        if residual is not None and price is None and "price_minor" not in self.errors:
            self.add_error(
                "price_minor", gettext("Say what it was bought for, or leave both empty.")
            )
        elif residual is not None and price is not None and residual > price:
            self.add_error(
                "residual_minor", gettext("It can't fetch more at the end than it was bought for.")
            )
        return data
