"""What the pages of people and ground show, fetched with the same few queries for any number."""

import datetime as dt
from dataclasses import dataclass

from django.db.models import Q

from claims import agenda, defaults
from claims.checklist import is_open
from claims.models import Hole, Invitation, Membership, Party, Person, Site, User
from claims.past import MemberChange, member_changes
from claims.rules.ground import FillDue, hole_volume_ml
from claims.rules.terms import Term, window_words
from claims.web import show
from trips.calc.words import say


@dataclass(frozen=True)
class SiteRow:
    """A site in the list; null numbers are not known."""

    pk: int
    name: str
    land_kind: str
    water_name: str
    distance_m: int | None
    drive_minutes: int | None
    walk_minutes: int | None
    closed: str
    papers: str
    is_retired: bool


def list_sites(party: Party, day: dt.date) -> tuple[SiteRow, ...]:
    """A party's sites with the papers whose dates include the day; three queries."""
    sites = party.sites.prefetch_related("papers")
    return tuple(_site_row(site, day) for site in sites)


def _site_row(site: Site, day: dt.date) -> SiteRow:
    legs = (site.sealed_m, site.unsealed_m, site.track_m)
    return SiteRow(
        pk=site.pk,
        name=site.name,
        land_kind=site.get_land_kind_display(),
        water_name=site.water_name,
        # One unknown stretch makes the whole way unknown: it would look shorter than it is.
        distance_m=None if None in legs else sum(legs),
        drive_minutes=site.drive_minutes,
        walk_minutes=site.walk_minutes,
        closed=window_words(site.closed_from, site.closed_until) or say("none noted"),
        papers=_papers_words([paper.term_on(day) for paper in site.papers.all()]),
        is_retired=site.is_retired,
    )


def _papers_words(terms: list[Term]) -> str:
    """Counts by state, e.g. "1 in date, 1 ran out"."""
    if not terms:
        return say("none noted")
    words = (
        ("runs", say("in date")),
        ("runs_out", say("runs out soon")),
        ("no_end", say("without an end")),
        ("life", say("for life")),
        ("not_begun", say("not yet begun")),
        ("ran_out", say("ran out")),
    )
    counts = [(sum(term.code == code for term in terms), text) for code, text in words]
    return ", ".join(f"{count} {text}" for count, text in counts if count)


@dataclass(frozen=True)
class HoleRow:
    """A hole in the list on a day; `age_days` counts until it was filled."""

    pk: int
    site: str
    site_pk: int
    spot: str
    opened_on: dt.date
    filled_on: dt.date | None
    is_open: bool
    age_days: int
    volume_ml: int | None
    due_on: dt.date | None = None
    due_words: str = ""


def list_holes(party: Party, day: dt.date) -> tuple[HoleRow, ...]:
    """Holes opened by the day, open ones first and the oldest of them first; two queries."""
    its = agenda.with_holes(party, Q(opened_on__lte=day))
    holes = its.holes.all()
    still_open = [hole for hole in holes if is_open(hole, day)]
    dues = agenda.dues_by_hole(agenda.ledger_at_hand(its, day, still_open))
    rows = [hole_row(hole, day, dues.get(hole.pk)) for hole in holes]
    return tuple(
        sorted(rows, key=lambda row: (not row.is_open, -row.age_days if row.is_open else 0))
    )


def hole_row(hole: Hole, day: dt.date, due: FillDue | None = None) -> HoleRow:
    """A hole as it stands on a day; `due` is by when it is to be filled."""
    still_open = is_open(hole, day)
    return HoleRow(
        pk=hole.pk,
        site=hole.site.name,
        site_pk=hole.site_id,
        spot=hole.spot.name if hole.spot else "",
        opened_on=hole.opened_on,
        filled_on=None if still_open else hole.filled_on,
        is_open=still_open,
        age_days=((day if still_open else hole.filled_on) - hole.opened_on).days,
        volume_ml=hole_volume_ml(hole.length_mm, hole.width_mm, hole.depth_mm),
        due_on=due.day if due and still_open else None,
        due_words=f"{due.words}: {due.source}" if due and still_open else "",
    )


@dataclass(frozen=True)
class Default:
    """A starting value of the party's sums and where it comes from."""

    label: str
    value: str
    source: str


@dataclass(frozen=True)
class PartyPage:
    """Who is in a party, who is invited, and what its sums start from."""

    party: Party
    is_keeper: bool
    people: tuple[Person, ...]
    members: tuple[Membership, ...]
    own_membership_pk: int
    invitations: tuple[Invitation, ...]
    member_changes: tuple[MemberChange, ...]
    defaults: tuple[Default, ...]
    words: tuple[Default, ...]
    colour_source: str


def party_page(membership: Membership, user: User, now: dt.datetime) -> PartyPage:
    """People and members of the party; for keepers open invitations and what became of members.

    Four queries, two for others.
    """
    party = membership.party
    is_keeper = membership.role == Membership.Role.KEEPER
    invitations = party.invitations.open(now)
    return PartyPage(
        party=party,
        is_keeper=is_keeper,
        people=tuple(party.people.all()),
        members=tuple(party.memberships.select_related("user").order_by("joined_at", "pk")),
        own_membership_pk=membership.pk,
        invitations=tuple(invitations.select_related("created_by")) if is_keeper else (),
        member_changes=member_changes(party) if is_keeper else (),
        defaults=_defaults(party, user),
        words=_colour_words(party),
        colour_source=defaults.COLOUR_MASS,
    )


def _defaults(party: Party, user: User) -> tuple[Default, ...]:
    fuel = party.fuel_price_milli_per_l
    return (
        Default(say("Fineness"), f"{party.fineness} ‰", defaults.FINENESS),
        Default(say("Payable share"), f"{_scaled(party.payable_ppt, 10)} %", defaults.PAYABLE),
        Default(
            say("What your pan holds"),
            show.quantity("volume", party.pan_volume_ml, user.volume_unit),
            defaults.PAN_VOLUME,
        ),
        Default(
            say("Fuel price"),
            say(show.UNKNOWN)
            if fuel is None
            else say(
                "{fuel} {currency} per litre", fuel=_scaled(fuel, 1000), currency=party.currency
            ),
            defaults.FUEL_PRICE,
        ),
        Default(
            say("Your own hourly figure"),
            show.money(party.hourly_figure_minor, party.currency),
            defaults.HOURLY,
        ),
    )


def _colour_words(party: Party) -> tuple[Default, ...]:
    rows = (
        (say("Coarse"), party.coarse_mass_ug, party.coarse_words),
        (say("Medium"), party.medium_mass_ug, party.medium_words),
        (say("Fine"), party.fine_mass_ug, party.fine_words),
    )
    return tuple(
        Default(label, say("{mass} mg a colour", mass=_scaled(mass, 1000)), words)
        for label, mass, words in rows
    )


def _scaled(value: int, scale: int) -> str:
    """A whole number of steps as a decimal, e.g. 925 tenths as 92.5."""
    whole, rest = divmod(value, scale)
    if not rest:
        return str(whole)
    return f"{whole}.{rest:0{len(str(scale)) - 1}d}".rstrip("0")
