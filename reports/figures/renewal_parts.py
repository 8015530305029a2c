"""The tables of a renewal record that tell of work: every day, by site, by gear."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal

from reports.figures.renewal_days import Day
from reports.figures.renewal_facts import RenewalAsked, RenewalFacts, TripWork, Washed
from reports.figures.renewal_gold import Gold
from reports.figures.report import Column, cell_text, texts
from trips.calc.units import from_base, unit
from trips.calc.words import say

MASS_PLACES = {"g": 3, "dwt": 3, "grain": 1, "ozt": 5}


@dataclass(frozen=True)
class Part:
    """One table of the record; `empty` is said when it has no rows, `notes` under it."""

    key: str
    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[object, ...], ...]
    empty: str
    totals: tuple[object, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def headers(self) -> tuple[str, ...]:
        """The words over the columns, units included."""
        return tuple(column.header for column in self.columns)

    @property
    def file_rows(self) -> tuple[tuple[object, ...], ...]:
        """Rows and totals as bare values."""
        return (*self.rows, self.totals) if self.totals else self.rows

    @property
    def text_rows(self) -> tuple[tuple[str, ...], ...]:
        """Rows as people read them."""
        return tuple(texts(row) for row in self.rows)

    @property
    def text_totals(self) -> tuple[str, ...]:
        """The totals as people read them; empty when there are none."""
        return texts(self.totals)

    @property
    def all_text_rows(self) -> tuple[tuple[str, ...], ...]:
        """Rows and totals as people read them."""
        return (*self.text_rows, self.text_totals) if self.totals else self.text_rows


def mass_words(mass_ug: int | None, asked: RenewalAsked) -> str:
    """A mass in the reader's unit; "unknown" for None."""
    if mass_ug is None:
        return cell_text(None)
    label = unit("mass", asked.mass_unit).label
    return f"{cell_text(mass(mass_ug, asked))} {label}"


def volume_words(volume_ml: int, asked: RenewalAsked) -> str:
    """A volume in the reader's unit."""
    return f"{cell_text(volume(volume_ml, asked))} {unit('volume', asked.volume_unit).label}"


def days_part(facts: RenewalFacts, asked: RenewalAsked, on_site: Sequence[Day]) -> Part:
    """Every day on site."""
    known = [day.minutes for day in on_site if day.minutes is not None]
    washed = [day.washed_ml for day in on_site if day.washed_ml is not None]
    return Part(
        key="days",
        title=say("Every day on site"),
        columns=(
            Column("day", say("Date")),
            Column("site", say("Site")),
            Column("persons", say("Persons"), align="right"),
            Column("hours", say("Person hours"), "h", "right"),
            Column("methods", say("Methods")),
            Column("washed", say("Washed in boxes"), volume_label(asked), "right"),
        ),
        rows=tuple(
            (
                day.day,
                facts.site_names[day.site_id],
                day.persons,
                hours(day.minutes),
                ", ".join(day.methods) or say("not noted"),
                None if day.washed_ml is None else volume(day.washed_ml, asked),
            )
            for day in on_site
        ),
        totals=(
            say("{words} days", words=len({day.day for day in on_site})),
            "",
            "",
            hours(sum(known)) if known else None,
            "",
            volume(sum(washed), asked) if washed else None,
        )
        if on_site
        else (),
        empty=say("No day on site is noted in this period."),
    )


def sites_part(
    facts: RenewalFacts, asked: RenewalAsked, on_site: Sequence[Day], gold: Gold
) -> Part:
    """The same by site, with the gold that can be placed there."""
    rows: list[tuple[object, ...]] = []
    for site_id, name in facts.paper.sites:
        here = [day for day in on_site if day.site_id == site_id]
        minutes = [day.minutes for day in here if day.minutes is not None]
        washed = [day.washed_ml for day in here if day.washed_ml is not None]
        gold_ug = gold.by_site.get(site_id)
        rows.append(
            (
                name,
                len({day.day for day in here}),
                hours(sum(minutes)) if minutes or not here else None,
                volume(sum(washed), asked) if washed or not here else None,
                say("nothing weighed") if gold_ug is None else mass(gold_ug, asked),
            )
        )
    if gold.unplaced_ug:
        rows.append((say("Not placed at one site"), "", "", "", mass(gold.unplaced_ug, asked)))
    return Part(
        key="sites",
        title=say("By site"),
        columns=(
            Column("site", say("Site")),
            Column("days", say("Days"), align="right"),
            Column("hours", say("Person hours"), "h", "right"),
            Column("washed", say("Washed in boxes"), volume_label(asked), "right"),
            Column("gold", say("Gold weighed"), mass_label(asked), "right"),
        ),
        rows=tuple(rows),
        empty=say("No site is noted under this paper."),
    )


def gear_part(facts: RenewalFacts, asked: RenewalAsked, counted: Sequence[TripWork]) -> Part:
    """What was moved and washed, by gear."""
    trips = {trip.trip_id for trip in counted}
    sites = {site for site, _ in facts.paper.sites}
    washed = [each for each in facts.washed if each.trip_id in trips and each.site_id in sites]
    gear = {each.gear_id: each for each in facts.gear}
    rows: list[tuple[object, ...]] = []
    for key in dict.fromkeys(each.gear_id for each in washed if each.is_run):
        box = gear.get(key) if key is not None else None
        named = (box.name, box.kind, box.power) if box else (say("Box not noted"), "", "")
        rows.append((*named, *_sums([r for r in washed if r.is_run and r.gear_id == key], asked)))
    rows.sort(key=lambda row: str(row[0]))
    pans = [each for each in washed if not each.is_run]
    if pans:
        count, _, volume, silent = _sums(pans, asked)
        rows.append((say("Test pans"), "pan", "none", count, "", volume, silent))
    return Part(
        key="gear",
        title=say("Moved and washed, by gear"),
        columns=(
            Column("gear", say("Gear")),
            Column("kind", say("Kind")),
            Column("power", say("Power")),
            Column("runs", say("Runs or pans"), align="right"),
            Column("hours", say("Hours running"), "h", "right"),
            Column("volume", say("Washed, loose"), volume_label(asked), "right"),
            Column("silent", say("Of them without a volume"), align="right"),
        ),
        rows=tuple(rows),
        empty=say("No box run and no test pan is noted in this period."),
    )


def _sums(washed: Sequence[Washed], asked: RenewalAsked) -> tuple[object, ...]:
    """Count, hours running, volume, and how many have no volume."""
    minutes = [each.minutes for each in washed if each.minutes is not None]
    volumes = [each.volume_ml for each in washed if each.volume_ml is not None]
    return (
        len(washed),
        hours(sum(minutes)) if minutes else None,
        volume(sum(volumes), asked) if volumes else None,
        len(washed) - len(volumes),
    )


def hours(minutes: int | None) -> Decimal | None:
    """Minutes as hours with one decimal."""
    if minutes is None:
        return None
    return (Decimal(minutes) / 60).quantize(Decimal("0.1"), ROUND_HALF_EVEN)


def volume(volume_ml: int, asked: RenewalAsked) -> Decimal:
    """Millilitres in the reader's unit."""
    return from_base(volume_ml, unit("volume", asked.volume_unit), 1)


def mass(mass_ug: int, asked: RenewalAsked) -> Decimal:
    """Micrograms in the reader's unit."""
    return from_base(mass_ug, unit("mass", asked.mass_unit), MASS_PLACES[asked.mass_unit])


def volume_label(asked: RenewalAsked) -> str:
    """The reader's unit of volume."""
    return unit("volume", asked.volume_unit).label


def mass_label(asked: RenewalAsked) -> str:
    """The reader's unit of mass."""
    return unit("mass", asked.mass_unit).label
