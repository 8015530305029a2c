"""Cars and gear: what they use and how they wear."""

from django.core.validators import RegexValidator
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy

from claims.models import Party
from claims.models.fact import Fact
from trips.calc import local
from trips.calc.words import say


class Vehicle(Fact):
    """A car, with its fuel by kind of road and its wear by distance."""

    class Fuel(models.TextChoices):
        PETROL = "petrol", gettext_lazy("petrol")
        DIESEL = "diesel", gettext_lazy("diesel")
        GAS = "gas", gettext_lazy("gas")
        ELECTRIC = "electric", gettext_lazy("electricity")

    party = models.ForeignKey(Party, on_delete=models.CASCADE, related_name="vehicles")
    name = models.CharField(max_length=120)
    fuel = models.CharField(max_length=8, choices=Fuel, default=Fuel.PETROL)
    # Null is "not known": the drive's fuel is then shown as unknown, not as zero.
    sealed_ml_per_100km = models.PositiveIntegerField(null=True, blank=True)
    unsealed_ml_per_100km = models.PositiveIntegerField(null=True, blank=True)
    track_ml_per_100km = models.PositiveIntegerField(null=True, blank=True)
    towing_pct = models.PositiveSmallIntegerField(
        default=130, help_text=gettext_lazy("Fuel when towing, per cent of the figure without.")
    )
    wear_milli_per_km = models.PositiveIntegerField(
        null=True,
        blank=True,
        help_text=gettext_lazy("Thousandths of a currency unit per kilometre."),
    )
    wear_source = models.CharField(max_length=200, blank=True)
    # The name of a published rate that stands for the own figure on the days it holds.
    rate_name = models.CharField(max_length=120, blank=True)
    rate_other_m = models.PositiveBigIntegerField(
        null=True,
        blank=True,
        help_text=gettext_lazy("Driven otherwise in each year of the rate, in metres."),
    )
    is_active = models.BooleanField(default=True)

    class Meta:
        ordering = ["name", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["party", "name"],
                name="trips_vehicle_name",
                violation_error_message=gettext_lazy("There is a car of this name already."),
            ),
            models.CheckConstraint(
                condition=Q(towing_pct__gte=100, towing_pct__lte=300),
                name="trips_vehicle_towing",
                violation_error_message=gettext_lazy(
                    "Towing takes 100 to 300 % of the usual fuel."
                ),
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Gear(Fact):
    """A pan, box, pump or tool, with the numbers that a rule or a cost may ask for."""

    class Kind(models.TextChoices):
        PAN = "pan", gettext_lazy("pan")
        HAND_TOOL = "hand_tool", gettext_lazy("hand tool")
        DETECTOR = "detector", gettext_lazy("metal detector")
        HAND_PUMP = "hand_pump", gettext_lazy("hand pump")
        SLUICE_STREAM = "sluice_stream_fed", gettext_lazy("sluice, stream-fed")
        SLUICE_PUMPED = "sluice_pumped", gettext_lazy("sluice, pump-fed")
        ROCKER = "rocker", gettext_lazy("rocker")
        TROMMEL = "trommel", gettext_lazy("trommel")
        DRY_WASHER = "dry_washer", gettext_lazy("dry washer")
        DREDGE = "dredge_suction", gettext_lazy("suction dredge")
        PUMP = "pump", gettext_lazy("water pump")
        WINCH = "winch", gettext_lazy("winch")
        DREDGE_SIPHON = "dredge_gravity_siphon", gettext_lazy("gravity or siphon dredge")
        SIEVE = "sieve", gettext_lazy("sieve")
        SPIRAL_WHEEL = "spiral_wheel", gettext_lazy("spiral wheel")
        GENERATOR = "generator", gettext_lazy("generator")
        OTHER = "other", gettext_lazy("other")

    class Power(models.TextChoices):
        NONE = "none", gettext_lazy("none")
        BATTERY = "battery", gettext_lazy("battery")
        ENGINE = "engine", gettext_lazy("engine")

    party = models.ForeignKey(Party, on_delete=models.CASCADE, related_name="gear")
    name = models.CharField(max_length=120)
    kind = models.CharField(max_length=24, choices=Kind)
    power = models.CharField(max_length=8, choices=Power, default=Power.NONE)
    hp_hundredths = models.PositiveIntegerField(null=True, blank=True)
    nozzle_mm = models.PositiveIntegerField(null=True, blank=True)
    intake_mm = models.PositiveIntegerField(null=True, blank=True)
    length_mm = models.PositiveIntegerField(null=True, blank=True)
    riffle_area_cm2 = models.PositiveIntegerField(null=True, blank=True)
    pump_flow_ml_per_min = models.PositiveIntegerField(null=True, blank=True)
    volume_ml = models.PositiveIntegerField(
        null=True, blank=True, help_text=gettext_lazy("Of a pan, level full.")
    )
    feed_ml_per_h = models.PositiveIntegerField(
        null=True, blank=True, help_text=gettext_lazy("Loose gravel washed in an hour.")
    )
    fuel_ml_per_h = models.PositiveIntegerField(null=True, blank=True)
    price_minor = models.BigIntegerField(null=True, blank=True)
    residual_minor = models.BigIntegerField(null=True, blank=True)
    life_minutes = models.PositiveIntegerField(null=True, blank=True)
    bought_on = models.DateField(null=True, blank=True)
    notes = models.TextField(blank=True)
    is_active = models.BooleanField(default=True)

    class Meta:
        verbose_name_plural = "gear"
        ordering = ["name", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["party", "name"],
                name="trips_gear_name",
                violation_error_message=gettext_lazy("There is gear of this name already."),
            ),
            models.CheckConstraint(
                condition=Q(price_minor__isnull=True) | Q(price_minor__gte=0),
                name="trips_gear_price",
                violation_error_message=gettext_lazy("A price can't be negative."),
            ),
            models.CheckConstraint(
                condition=Q(residual_minor__isnull=True)
                | Q(price_minor__isnull=True)
                | Q(residual_minor__gte=0, residual_minor__lte=F("price_minor")),
                name="trips_gear_residual",
                violation_error_message=gettext_lazy(
                    "What is left at the end is between 0 and the price."
                ),
            ),
            models.CheckConstraint(
                condition=Q(life_minutes__isnull=True) | Q(life_minutes__gt=0),
                name="trips_gear_life",
                violation_error_message=gettext_lazy("A life of zero hours wears out before use."),
            ),
        ]

    def __str__(self) -> str:
        return self.name


class DistanceRate(Fact):
    """A published rate per distance that the party typed in itself, with its source."""

    class Unit(models.TextChoices):
        KILOMETRE = "km", gettext_lazy("kilometre")
        MILE = "mi", gettext_lazy("mile")

    party = models.ForeignKey(Party, on_delete=models.CASCADE, related_name="distance_rates")
    name = models.CharField(max_length=120)
    first_day = models.DateField()
    last_day = models.DateField()
    unit = models.CharField(max_length=2, choices=Unit, default=Unit.KILOMETRE)
    currency = models.CharField(max_length=3)
    rate_milli = models.PositiveIntegerField(
        help_text=gettext_lazy("Thousandths of a currency unit.")
    )
    # Up to this distance of a year the first rate holds, then the second (or nothing more).
    first_tier_upto = models.PositiveIntegerField(null=True, blank=True)
    second_rate_milli = models.PositiveIntegerField(null=True, blank=True)
    source = models.CharField(max_length=200)
    # Month and day on which the distance that fills the tiers begins anew; empty: as first_day.
    year_starts = models.CharField(
        max_length=5,
        blank=True,
        validators=[
            RegexValidator(
                r"^(0[1-9]|1[0-2])-(0[1-9]|1\d|2[0-8])$",
                gettext_lazy("A month and a day up to the 28th were expected, such as 04-06."),
            )
        ],
    )
    holds_fuel = models.BooleanField(default=True)

    class Meta:
        ordering = ["name", "-first_day", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(last_day__gte=F("first_day")),
                name="trips_rate_days",
                violation_error_message=gettext_lazy("A rate can't end before it begins."),
            ),
            models.UniqueConstraint(
                fields=["party", "name", "first_day"],
                name="trips_rate_once",
                violation_error_message=gettext_lazy(
                    "There is a rate of this name from this day already."
                ),
            ),
            models.CheckConstraint(
                condition=Q(second_rate_milli__isnull=True) | Q(first_tier_upto__isnull=False),
                name="trips_rate_tiers",
                violation_error_message=gettext_lazy(
                    "A second rate needs the distance from which it holds."
                ),
            ),
        ]

    def __str__(self) -> str:
        return say("{name} from {first_day}", name=self.name, first_day=local.day(self.first_day))
