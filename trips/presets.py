"""Starting points for cars and gear; each figure says where it comes from and can be changed."""

from dataclasses import dataclass
from decimal import Decimal

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy

from trips.calc.engines import average_l_per_h

# No authority was found for what rough roads add (10–30 % and 50–100 % are what is usually said),
# so the middle of each stands here.
UNSEALED_PCT, TRACK_PCT = 120, 175
CAR_SOURCE = gettext_lazy(
    "A starting figure of our own, from memory and without a source; "
    "20 % more on gravel road and 75 % more on track are the middle of "
    "what is usually said (common practice, no source). Your own "
    "refills know better."
)


@dataclass(frozen=True)
class Preset:
    """Words of its link, the values it puts into the form, and where they come from."""

    words: str | Promise
    values: dict[str, object]
    source: str | Promise


def _tenths(millilitres: Decimal) -> int:
    """To tenths of a litre: nobody knows a starting figure better."""
    return int((millilitres / 100).to_integral_value() * 100)


def _car(words: str | Promise, fuel: str, litres: str) -> Preset:
    """A car by what it burns on 100 km of sealed road."""
    sealed = Decimal(litres) * 1000
    values = {
        "name": str(words),
        "fuel": fuel,
        "sealed_ml_per_100km": int(sealed),
        "unsealed_ml_per_100km": _tenths(sealed * UNSEALED_PCT / 100),
        "track_ml_per_100km": _tenths(sealed * TRACK_PCT / 100),
        "towing_pct": 130,
    }
    return Preset(words, values, CAR_SOURCE)


CARS: dict[str, Preset] = {
    "small": _car(gettext_lazy("Small car"), "petrol", "6.0"),
    "estate": _car(gettext_lazy("Estate car"), "petrol", "7.5"),
    "van": _car(gettext_lazy("Van"), "diesel", "8.0"),
    "four-wheel": _car(gettext_lazy("Four-wheel drive"), "diesel", "10.0"),
    "pickup": _car(gettext_lazy("Pickup"), "petrol", "12.0"),
}


def _engine_fuel_ml_per_h(rated_hp: str) -> int:
    return int((average_l_per_h(Decimal(rated_hp)) * 1000).to_integral_value())


GEAR: dict[str, Preset] = {
    "pan16": Preset(
        gettext_lazy("Pan, 16 in"),
        {"name": "Pan, 16 in", "kind": "pan", "volume_ml": 5_506},
        gettext_lazy("5.5 L level full: Wells, Placer Examination, 1969, Part V sec. 2b (seen)."),
    ),
    "pan12": Preset(
        gettext_lazy("Pan, 12 in"),
        {"name": "Pan, 12 in", "kind": "pan", "volume_ml": 2_490},
        gettext_lazy(
            "2.5 L level full, worked out from its sizes: Wells, 1969, Part V sec. 2c (seen)."
        ),
    ),
    "tools": Preset(
        gettext_lazy("Shovel and bar"),
        {"name": "Shovel and bar", "kind": "hand_tool"},
        gettext_lazy("No figure; rules ask which tools come along."),
    ),
    "sluice": Preset(
        gettext_lazy("Sluice, stream-fed"),
        {"name": "Stream sluice", "kind": "sluice_stream_fed"},
        gettext_lazy("Its size, feed and wear stay unknown until you note them."),
    ),
    "pumped": Preset(
        gettext_lazy("Box fed by a 2.5 hp pump"),
        {
            "name": "Pump-fed box",
            "kind": "sluice_pumped",
            "power": "engine",
            "hp_hundredths": 250,
            "fuel_ml_per_h": _engine_fuel_ml_per_h("2.5"),
        },
        gettext_lazy(
            "0.57 L an hour: 0.060 US gal an hour for each rated hp, Iowa "
            "State University Extension, Estimating Farm Machinery Costs, "
            "older edition, page 6 (seen)."
        ),
    ),
}
