"""What is measured: the main pages, the reports and the files that one person asks for."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from django.urls import reverse

from claims.models import Hole, Paper, Party, Spot
from trips.models import Trip, TripSite, WeighIn


class Floor(StrEnum):
    """What a page's time is held against; `floors` says how each is taken."""

    TEMPLATE = "own template"
    BARE_TABLE = "bare table"
    GROUPED = "grouped sums"
    NONE = "none"
    PDF_TABLE = "tables with a grid"


@dataclass(frozen=True)
class Measured:
    """A page with its address and budgets: the ratio to its floor, and its queries."""

    name: str
    address: str
    floor: Floor
    ratio: float | None
    queries: int


# Name, address, floor, budget of the ratio, budget of queries. A word in the address stands for
# the number of a row of the party; see `_numbers`.
PAGES = (
    ("Where next", "reports:where_next", Floor.TEMPLATE, 3, 12),
    ("Scouting", "reports:scouting", Floor.TEMPLATE, 3, 12),
    ("Season plan", "reports:season_plan", Floor.TEMPLATE, 3, 12),
    ("Does it pay", "reports:does_it_pay", Floor.GROUPED, 1.5, 12),
    ("Returns of the sites", "reports:site_returns", Floor.GROUPED, 1.5, 12),
    ("Pay ladder", "reports:pay_ladder", Floor.GROUPED, 1.5, 12),
    ("Would a purchase pay", "reports:purchase", Floor.TEMPLATE, 3, 12),
    ("Compare two spots", "reports:compare", Floor.TEMPLATE, 3, 12),
    ("Site", "reports:site_page site", Floor.TEMPLATE, 3, 12),
    ("Map of a site", "trips:site_map site", Floor.TEMPLATE, 3, 12),
    ("Trips", "trips:trip_list", Floor.BARE_TABLE, 1.3, 12),
    ("Trip, planned", "trips:trip_detail planned", Floor.TEMPLATE, 3, 24),
    ("Trip, under way", "trips:trip_detail under_way", Floor.TEMPLATE, 3, 24),
    ("Trip, wrapped up", "trips:trip_detail over", Floor.TEMPLATE, 3, 24),
    ("Trip, plan form", "trips:trip_edit planned", Floor.TEMPLATE, 3, 12),
    ("Trip, wrap-up form", "trips:trip_wrap_up under_way", Floor.TEMPLATE, 3, 12),
    ("At the creek", "reports:creek_page under_way", Floor.TEMPLATE, 3, 12),
    ("Leave", "reports:leave_page under_way", Floor.TEMPLATE, 3, 12),
    ("Hindsight", "reports:hindsight over", Floor.TEMPLATE, 3, 12),
    ("Trip sheet", "reports:trip_sheet_page planned", Floor.TEMPLATE, 3, 12),
    ("Field page", "trips:field_page", Floor.TEMPLATE, 3, 12),
    ("What a phone takes along", "trips:field_bundle", Floor.NONE, None, 24),
    ("Gold", "trips:weighin_list", Floor.BARE_TABLE, 1.3, 12),
    ("Weigh-in", "trips:weighin_detail weigh_in", Floor.TEMPLATE, 3, 12),
    ("Gold ledger", "reports:gold_ledger", Floor.GROUPED, 1.5, 12),
    ("Eye and scale", "reports:eye_and_scale", Floor.GROUPED, 1.5, 12),
    ("Prices", "trips:price_list", Floor.BARE_TABLE, 1.3, 12),
    ("Kit", "trips:kit_list", Floor.TEMPLATE, 3, 12),
    ("Floods", "trips:flood_overview", Floor.TEMPLATE, 3, 12),
    ("Sites", "claims:site_list", Floor.BARE_TABLE, 1.3, 12),
    ("Spot", "claims:spot_detail spot", Floor.TEMPLATE, 3, 12),
    ("Holes", "claims:hole_list", Floor.BARE_TABLE, 1.3, 12),
    ("Hole", "claims:hole_detail hole", Floor.TEMPLATE, 3, 12),
    ("Ground disturbed", "claims:ground_page", Floor.TEMPLATE, 3, 12),
    ("Papers", "claims:paper_list", Floor.BARE_TABLE, 1.3, 12),
    ("Paper", "claims:paper_detail paper", Floor.TEMPLATE, 3, 12),
    ("Renewal record", "reports:renewal_record paper", Floor.TEMPLATE, 3, 24),
    ("Duties", "claims:duty_list", Floor.TEMPLATE, 3, 12),
    ("Calendar", "claims:month_page", Floor.TEMPLATE, 3, 12),
    ("Rules", "claims:rule_list", Floor.TEMPLATE, 3, 12),
    ("Party", "claims:party_detail", Floor.TEMPLATE, 3, 12),
    ("Map", "trips:party_map", Floor.TEMPLATE, 3, 12),
    ("From the field", "trips:field_look", Floor.TEMPLATE, 3, 12),
    ("Exports", "reports:export_list", Floor.TEMPLATE, 3, 12),
    ("Deleted", "claims:deleted_list", Floor.TEMPLATE, 3, 12),
    ("Changes of a trip", "claims:changes trip over", Floor.TEMPLATE, 3, 12),
)
FILES = (
    ("Map as GeoJSON", "trips:party_map_file geojson", Floor.NONE, None, 12),
    ("Test pans as CSV", "reports:export_table pans csv", Floor.NONE, None, 12),
    ("Everything as XLSX", "reports:export_table everything xlsx", Floor.NONE, None, 40),
    ("Whole record", "trips:whole_record", Floor.NONE, None, 60),
    ("PDF: trip sheet", "reports:trip_sheet planned", Floor.PDF_TABLE, None, 12),
    ("PDF: field card", "reports:field_card under_way", Floor.PDF_TABLE, None, 12),
    ("PDF: renewal record", "reports:renewal_record_file paper pdf", Floor.PDF_TABLE, None, 24),
    ("PDF: gold ledger", "reports:gold_ledger_file pdf", Floor.PDF_TABLE, 1.43, 12),
    ("PDF: returns of the sites", "reports:site_returns_file pdf", Floor.PDF_TABLE, None, 12),
    ("PDF: pay ladder", "reports:pay_ladder_file pdf", Floor.PDF_TABLE, None, 12),
)


def pages_of(party: Party, listed=PAGES) -> tuple[Measured, ...]:
    """The pages of a party with their addresses; pages of a trip take its latest one."""
    numbers = _numbers(party)
    return tuple(
        Measured(name, _address(words.split(), numbers), floor, ratio, queries)
        for name, words, floor, ratio, queries in listed
    )


def _address(words: list[str], numbers: dict[str, int]) -> str:
    return reverse(words[0], args=[numbers.get(word, word) for word in words[1:]])


def _numbers(party: Party) -> dict[str, int]:
    """Number of the row that each word stands for: of the busiest site, of its latest trip."""
    trips = Trip.objects.filter(party=party)

    def latest(rows: Iterable) -> int:
        return rows.order_by("-pk").values_list("pk", flat=True)[0]

    over = trips.filter(state=Trip.State.WRAPPED_UP, weigh_ins__isnull=False)
    site_id = min(
        TripSite.objects.filter(trip__party=party, was_visited=True).values_list(
            "site_id", flat=True
        )
    )
    return {
        "site": site_id,
        "spot": latest(Spot.objects.filter(site_id=site_id)),
        "planned": latest(trips.filter(state=Trip.State.PLANNED)),
        "under_way": latest(trips.filter(state=Trip.State.UNDER_WAY)),
        "over": latest(over),
        "weigh_in": latest(WeighIn.objects.filter(party=party)),
        "hole": latest(Hole.objects.filter(party=party)),
        "paper": min(Paper.objects.filter(party=party).values_list("pk", flat=True)),
    }
