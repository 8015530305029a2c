"""The page "At the creek" of a trip: the tables, what they say so far, and what they rest on."""

from dataclasses import dataclass, replace

from django.utils.translation import gettext

from claims.models import Site
from claims.web import show
from claims.web.basis import Basis
from reports.charts.plots import percent
from reports.decide.creek import Setting, SpotTable
from reports.decide.creek_words import number, row_signs, row_words
from reports.pages.basis_ahead import table_bases
from reports.pages.creek_form import TryForm
from reports.pages.field_tables import Leave, SpotOnCard, TripTables, trip_tables
from reports.selectors.creek import CreekFacts, Told
from trips.calc.digits import number_range
from trips.calc.money import minor_per_main
from trips.calc.words import Spoken, marked
from trips.models import Trip

LEAST_ROWS = 6  # shown even where fewer pans decide: people pan on
FIRST_WORDS = Spoken(
    {
        "pan": marked("Pan first"),
        "dig": marked("Dig: pans would hardly change it"),
        "move": marked("Don't start here"),
        "home": marked("Go home"),
    }
)


@dataclass(frozen=True)
class PrintedRow:
    """One row: in words for the page, as signs for the card. Late: decided some rows before."""

    pans: int
    litres: str
    words: tuple[str, str]
    signs: tuple[str, str]
    is_late: bool


@dataclass(frozen=True)
class PrintedTable:
    """One spot's table in words; money None where the card is used."""

    card: SpotOnCard
    first: str
    rows: tuple[PrintedRow, ...]
    low_head: str
    belief: str
    money: tuple[tuple[str, str, str], ...]
    card_words: str
    bases: tuple[Basis, ...] = ()

    @property
    def table(self) -> SpotTable:
        return self.card.table

    @property
    def notes(self) -> tuple[str, ...]:
        return self.card.table.notes


@dataclass(frozen=True)
class PrintedPlace:
    """One planned site with its tables."""

    site: Site
    rank: int
    leave_site: str
    move: str
    tables: tuple[PrintedTable, ...]


@dataclass(frozen=True)
class CreekPage:
    """Everything that the template shows."""

    trip: Trip
    version: str
    made_for: str
    weights: str
    places: tuple[PrintedPlace, ...]
    verdicts: tuple[SpotOnCard, ...]
    leave: Leave
    told: tuple[Told, ...]
    why: str
    is_tried: bool


def creek_page(facts: CreekFacts, form: TryForm | None = None) -> CreekPage:
    """The page of a trip, with what a form tries out instead of the record."""
    if form is not None and form.is_used:
        setting = form.applied(facts.setting)
        hours = setting.hours if form.cleaned_data["hours"] is not None else None
        facts = replace(facts, setting=setting, tried_hours=hours)
    tables = trip_tables(facts)
    places = tuple(
        PrintedPlace(
            site=each.place.site,
            rank=each.place.rank,
            leave_site=each.leave_site,
            move=_move(each.place.move),
            tables=tuple(
                replace(printed(card, facts.setting), bases=table_bases(facts, card))
                for card in (*each.spots, each.new)
            ),
        )
        for each in tables.places
    )
    first = places[0].tables[0].table if places else None
    return CreekPage(
        trip=facts.trip,
        version=tables.version,
        made_for=tables.made_for,
        weights=tables.weights_words,
        places=places,
        verdicts=verdicts(tables),
        leave=tables.leave,
        told=facts.told,
        why=first.why if first else "",
        is_tried=form is not None and form.is_used,
    )


def verdicts(tables: TripTables) -> tuple[SpotOnCard, ...]:
    """The spots with counted pans on this trip."""
    return tuple(
        card
        for place in tables.places
        for card in place.spots
        if card.verdict.pans or card.verdict.left_out
    )


def _move(move) -> str:
    if move is None:
        return ""
    return gettext("{minutes} to get there: {words}").format(
        minutes=show.minutes(round(move.hours * 60)), words=move.words
    )


def printed(card: SpotOnCard, setting: Setting) -> PrintedTable:
    """The rows that are printed: up to where every count decides, but at least six."""
    table = card.table
    decided = table.table.decided if table.table else len(table.rows)
    rows = table.rows[: max(decided, LEAST_ROWS)]
    return PrintedTable(
        card=card,
        first=FIRST_WORDS[table.first] if table.method != "none" else table.why,
        rows=tuple(
            PrintedRow(
                row.pans,
                f"{row.litres:g} L",
                row_words(row),
                row_signs(row),
                row.pans > decided,
            )
            for row in rows
        ),
        low_head=_low_head(card),
        belief=_belief(card, setting),
        money=_money(table, setting.currency),
        card_words=_card_words(table, setting),
    )


def _low_head(card: SpotOnCard) -> str:
    if any(row.low == "move" for row in card.table.rows) and card.second:
        return gettext("Go to {second}").format(second=card.second)
    return gettext("Go home")


def _belief(card: SpotOnCard, setting: Setting) -> str:
    """The rate believed before the trip; no range where nothing of the party's own is behind it."""
    from scipy.special import gammaincinv

    shape, rate = card.ground.shape, card.ground.rate
    if not setting.has_prior:
        return gettext(
            "{value} colours a litre is where every record starts; a range comes with the first "
            "counted pans"
        ).format(value=f"{shape / rate:.2f}")
    low, high = (float(gammaincinv(shape, p)) / rate for p in (0.1, 0.9))
    shown = number_range(low, shape / rate, high)
    return gettext("{value} colours a litre, 80 % range {low} to {high}").format(
        value=shown.best, low=shown.low, high=shown.high
    )


def _money(table: SpotTable, currency: str) -> tuple[tuple[str, str, str], ...]:
    """(label, value, note) of what the table is worth."""
    found = table.table
    if found is None:
        return ()
    scale = minor_per_main(currency)

    def money(value: float) -> str:
        return show.money(round(value * scale), currency)

    ends = found.endings
    other = gettext("going there") if found.low_now > 0 else gettext("going home")
    chances = [
        (ends.dig, gettext("dig")),
        (ends.move, gettext("move")),
        (ends.home, gettext("go home")),
    ]
    return (
        (
            gettext("Worth of panning"),
            money(found.worth_of_panning),
            gettext("the day with the pans, less without"),
        ),
        (
            gettext("Dig at once"),
            money(found.dig_now),
            gettext("against {low_now} by {other}").format(
                low_now=money(found.low_now), other=other
            ),
        ),
        (
            gettext("Expected pans"),
            f"{ends.pans:.1f}",
            ", ".join(f"{word} {percent(chance)}" for chance, word in chances if chance > 0.0005),
        ),
        (
            gettext("Break-even"),
            number(round(2 * (table.even_rate or 0.0) * found_litres(table)) / 2),
            gettext(
                "weighted colours in {table:g} L pay digging as well as going elsewhere"
            ).format(table=found_litres(table)),
        ),
    )


def found_litres(table: SpotTable) -> float:
    """Litres of four pans, in which a break-even is easily pictured."""
    return table.rows[min(3, len(table.rows) - 1)].litres if table.rows else 0.0


def _card_words(table: SpotTable, setting: Setting) -> str:
    if table.lines is None:
        return ""
    poor, even, rich = table.chances
    lines = table.lines
    return gettext(
        "Break-even {slope:.3f} weighted colours a litre. On ground of "
        "{poor:.3f} it says dig in {dig} of cases after {pans:.1f} pans; "
        "at break-even in {dig_2} after {pans_2:.1f}; on {rich:.3f} in "
        "{dig_3} after {pans_3:.1f}. Exact for weighted counts that scatter "
        "{scatter:.1f} times as much as by plain chance."
    ).format(
        scatter=setting.scatter,
        slope=lines.slope,
        poor=lines.poor,
        dig=percent(poor.dig),
        pans=poor.pans,
        dig_2=percent(even.dig),
        pans_2=even.pans,
        rich=lines.rich,
        dig_3=percent(rich.dig),
        pans_3=rich.pans,
    )
