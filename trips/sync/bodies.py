"""Strings typed on a phone → values of a row, or a sentence that names the part and what is wrong.

Every reader takes the body and what is known about the trip and gives the values to store. The
limits are those of the forms on the desk. A part that is missing or null is "not noted".
"""

import datetime as dt
import uuid
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from django.core.exceptions import ValidationError

from claims.models import Hole, KeptFile, Party, Person, Site, Spot
from claims.web.asof import zone
from claims.web.fields import CountField, MinutesField, MoneyField, QuantityField
from trips.calc.errors import CalcError
from trips.calc.numbers import parse_decimal
from trips.calc.words import marked, say
from trips.models import Cost, Gear, HoursBlock, Trip
from trips.models.field import Layer
from trips.sync.wire import instant

Body = Mapping[str, str | None]
MANY_SECONDS = 24 * 3600


NO_GRAVEL = marked("Say how much gravel was washed: colours tell nothing without it.")


class NotSentYet(Exception):
    """The entry rests on a record that no phone has sent so far."""

    def __init__(self, needs, what: str = "spot"):
        super().__init__(say("Waits for its {what}, which hasn't been sent yet.", what=what))
        self.needs = needs


@dataclass
class Known:
    """What a body is read against. `spot_of` finds a spot by the id that phones know it by."""

    party: Party
    trip: Trip | None
    spot_of: Callable[[str], Spot]


def read(kind: str, body: Body, known: Known) -> dict[str, object]:
    """Model values by field name. Raises: ValidationError keyed by part; NotSentYet."""
    return READERS[kind](body, known)


def _pan(body: Body, known: Known) -> dict[str, object]:
    return {
        "spot": _spot(body, known, needed=True),
        "day": _day(body, "day"),
        "layer": _choice(body, "layer", Layer, Layer.UNKNOWN),
        "depth_mm": _quantity(body, "depth", "length", "cm", 0, 50_000),
        "volume_ml": _quantity(body, "volume", "volume", "L", 1, 100_000, needed=say(NO_GRAVEL)),
        **_colours(body),
        "mass_ug": _quantity(body, "mass", "mass", "mg", 0, 1_000_000_000),
        "note": _words(body, "note", 200),
    }  # fmt: skip


def _run(body: Body, known: Known) -> dict[str, object]:
    spot, day = _spot(body, known, needed=True), _day(body, "day")
    return {
        "spot": spot,
        "gear": _own(body, "gear", Gear, known),
        "day": day,
        "layer": _choice(body, "layer", Layer, Layer.UNKNOWN),
        "minutes": _minutes(body),
        **_times(body, day, spot.site.time_zone or known.party.time_zone),
        "volume_ml": _fed(body),
        **_colours(body),
        "note": _words(body, "note", 200),
    }


def _hours(body: Body, known: Known) -> dict[str, object]:
    return {
        "activity": _choice(body, "activity", HoursBlock.Activity),
        "day": _day(body, "day"),
        "minutes": _minutes(body),
        "person": _own(body, "person", Person, known),
        "site": _own(body, "site", Site, known),
        "note": _words(body, "note", 200),
    }


def _cost(body: Body, known: Known) -> dict[str, object]:
    amount = _clean(
        MoneyField(currency=known.party.currency, required=False), body, "amount", "amount"
    )
    if amount is None:
        raise ValidationError({"amount": say("How much was it?")})
    return {
        "kind": _choice(body, "what", Cost.Kind),
        "amount_minor": amount,
        "paid_by": _own(body, "paid_by", Person, known),
        "note": _words(body, "note", 200),
        "stage": Cost.Stage.PAID,
    }


def _hole(body: Body, known: Known) -> dict[str, object]:
    spot = _spot(body, known)
    site = spot.site if spot else _own(body, "site", Site, known)
    if site is None:
        raise ValidationError({"site": say("At which site is the hole?")})
    return {
        "site": site,
        "spot": spot,
        "opened_on": _day(body, "opened_on"),
        "filled_on": _day(body, "filled_on") if body.get("filled_on") else None,
        "length_mm": _quantity(body, "length", "length", "m", 0, 100_000),
        "width_mm": _quantity(body, "width", "length", "m", 0, 100_000),
        "depth_mm": _quantity(body, "depth", "length", "m", 0, 50_000),
        "notes": _words(body, "note", 4000),
    }


def _spot_row(body: Body, known: Known) -> dict[str, object]:
    site = _own(body, "site", Site, known)
    if site is None:
        raise ValidationError({"site": say("At which site is the spot?")})
    name = _words(body, "name", 120)
    if not name:
        raise ValidationError({"name": say("Give the spot a name.")})
    return {
        "site": site,
        "name": name,
        "feature": _choice(body, "feature", Spot.Feature, Spot.Feature.OTHER),
        **_position(body),
        "notes": _words(body, "note", 4000),
    }


def _note(body: Body, known: Known) -> dict[str, object]:
    text = _words(body, "text", 4000)
    if not text:
        raise ValidationError({"text": say("The note is empty.")})
    return {"spot": _spot(body, known), "day": _day(body, "day"), "text": text}


def _photo(body: Body, known: Known) -> dict[str, object]:
    return {
        "owner": _shows(body, known),
        "caption": _words(body, "caption", 200),
        "role": _choice(body, "role", KeptFile.Role, KeptFile.Role.OTHER),
    }


def _shows(body: Body, known: Known) -> Trip | Spot | Hole | None:
    """What a photo shows: "trip", or "spot" or "hole" with its id."""
    kind, _, key = (body.get("of") or "trip").partition(" ")
    if kind == "trip":
        return known.trip
    if kind == "spot":
        return known.spot_of(key)
    try:
        wanted = uuid.UUID(key)
    except ValueError:
        wanted = None
    if kind != "hole" or wanted is None:
        raise ValidationError(
            {"of": say("“{kind}” isn't anything that photos show.", kind=kind[:40])}
        )
    found = Hole.objects.filter(party=known.party, uuid=wanted).first()
    if found is None:
        raise NotSentYet(wanted, "hole")
    return found


READERS = {
    "pan": _pan,
    "run": _run,
    "hours": _hours,
    "cost": _cost,
    "hole": _hole,
    "spot": _spot_row,
    "note": _note,
    "photo": _photo,
}


def _words(body: Body, name: str, longest: int) -> str:
    text = (body.get(name) or "").strip()
    if len(text) > longest:
        raise ValidationError(
            {
                name: say(
                    "At most {longest} characters fit here; this has {text}.",
                    longest=longest,
                    text=len(text),
                )
            }
        )
    return text


def _day(body: Body, name: str) -> dt.date:
    text = body.get(name) or ""
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        raise ValidationError(
            {name: say("Expected a date such as 2031-05-03, not “{text}”.", text=text[:40])}
        ) from None


def _choice(body: Body, name: str, choices, default: str | None = None) -> str:
    value = body.get(name) or default or ""
    if value not in choices.values:
        known = ", ".join(choices.values)
        raise ValidationError(
            {
                name: say(
                    "“{value}” isn't known; expected one of {known}.", value=value[:40], known=known
                )
            }
        )
    return value


def _clean(form_field, body: Body, name: str, about: str):
    try:
        return form_field.clean(body.get(name))
    except ValidationError as problem:
        raise ValidationError({about: problem.messages}) from problem


def _quantity(body: Body, name, kind, unit, low, high, needed: str = "") -> int | None:
    value = _clean(
        QuantityField(kind=kind, unit=unit, low=low, high=high, required=False), body, name, name
    )
    if value is None and needed:
        raise ValidationError({name: needed})
    return value


def _colours(body: Body) -> dict[str, int | None]:
    """Counts by class; null stays "not counted", which is not zero."""
    return {
        name: _clean(CountField(required=False), body, name, name)
        for name in ("coarse", "medium", "fine")
    }


def _minutes(body: Body) -> int | None:
    """Minutes as typed, else from start and end; None while it still runs."""
    typed = _clean(MinutesField(low=1, required=False), body, "minutes", "minutes")
    if typed is not None or not body.get("ended_at"):
        return typed
    began, ended = instant(body.get("started_at")), instant(body.get("ended_at"))
    if began is None or ended is None:
        raise ValidationError({"minutes": say("Start or end can't be read. How long was it?")})
    seconds = (ended - began).total_seconds()
    if seconds < 0:
        raise ValidationError(
            {
                "minutes": say(
                    "The end lies before the start: the phone's clock was changed in "
                    "between. How long was it?"
                )
            }
        )
    if seconds > MANY_SECONDS:
        raise ValidationError(
            {
                "minutes": say(
                    "That is {seconds:.0f} hours: was the clock left running? How long was it?",
                    seconds=seconds / 3600,
                )
            }
        )
    # As `Run.span_minutes` says it.
    return max(1, round(seconds / 60))


def _times(body: Body, day: dt.date, zone_name: str) -> dict[str, dt.datetime | None]:
    """Start and end of a run as instants, as far as the phone's clock can be believed.

    A start that lies more than a day from the run's own day comes from a clock that was off, as
    does an end before the start; an end a day later from a clock that was left running. What the
    minutes say was asked for then (`_minutes`), and stands without them.
    """
    began, ended = instant(body.get("started_at")), instant(body.get("ended_at"))
    first = began or ended
    if first is None or abs((first.astimezone(zone(zone_name)).date() - day).days) > 1:
        return {"began_at": None, "ended_at": None}
    if began and ended and ended < began:
        return {"began_at": None, "ended_at": None}
    if began and ended and (ended - began).total_seconds() > MANY_SECONDS:
        ended = None
    return {"began_at": began, "ended_at": ended}


def _fed(body: Body) -> int | None:
    """Millilitres fed: as typed, else tubs times what a tub holds."""
    typed = _quantity(body, "volume", "volume", "L", 1, 50_000_000)
    tubs = (body.get("tubs") or "").strip()
    if typed is not None or not tubs:
        return typed
    try:
        count = parse_decimal(tubs)
    except CalcError as problem:
        raise ValidationError({"tubs": str(problem)}) from problem
    tub_ml = _quantity(body, "tub", "volume", "L", 1, 1_000_000)
    if count < 0 or count > 10_000:
        raise ValidationError({"tubs": say("Expected 0 to 10000 tubs, not {tubs}.", tubs=tubs)})
    if count == 0:
        return None
    if tub_ml is None:
        raise ValidationError({"tub": say("How much does a tub hold?")})
    return int((count * tub_ml).to_integral_value())


def _own(body: Body, name: str, model, known: Known):
    """A row of the party by its number; the same answer for another party's and for none."""
    text = body.get(name)
    if not text:
        return None
    # Eighteen digits fit every database's number of a row.
    if text.isascii() and text.isdigit() and len(text) <= 18:
        row = model.objects.filter(party=known.party, pk=int(text)).first()
        if row is not None:
            return row
    word = model._meta.verbose_name
    raise ValidationError(
        {name: say("This {word} isn't in the record (any more). Choose another.", word=word)}
    )


def _spot(body: Body, known: Known, *, needed: bool = False) -> Spot | None:
    text = body.get("spot")
    if text:
        return known.spot_of(text)
    if needed:
        raise ValidationError({"spot": say("At which spot was it?")})
    return None


def _position(body: Body) -> dict[str, int | None]:
    found = read_position(body.get("lat"), body.get("lon"))
    lat, lon = found or (None, None)
    return {"latitude_udeg": lat, "longitude_udeg": lon}


def read_position(lat: str | None, lon: str | None) -> tuple[int, int] | None:
    """Millionths of a degree from two decimal texts; None for two empty ones.

    Raises: ValidationError for half a position, no number, or a place off the globe.
    """
    if not (lat or lon):
        return None
    found = []
    for text, limit in ((lat, 90_000_000), (lon, 180_000_000)):
        try:
            value = int((parse_decimal(text or "") * 1_000_000).to_integral_value())
        except CalcError as problem:
            raise ValidationError(
                {"position": say("Position: {problem}", problem=problem)}
            ) from problem
        if abs(value) > limit:
            raise ValidationError(
                {"position": say("{text} degrees isn't on the globe.", text=text)}
            )
        found.append(value)
    return found[0], found[1]
