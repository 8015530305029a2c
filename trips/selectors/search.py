"""One party's record searched by words: one query a group, in any case and without accents."""

from dataclasses import dataclass

from django.core.paginator import Page, Paginator
from django.db.models import (
    Case,
    CharField,
    Exists,
    F,
    OuterRef,
    Q,
    QuerySet,
    TextField,
    Value,
    When,
)
from django.db.models.functions import Cast, Concat, ExtractDay, ExtractMonth, ExtractYear
from django.urls import reverse
from django.utils.dates import MONTHS

from claims.models import Party, Spot
from claims.web import show
from claims.web.folded import Folded, fold
from trips.calc.words import marked, say
from trips.models import Cost, FieldNote, Gear, HoursBlock, Run, TestPan, TripSite, Vehicle

LONGEST, MOST_WORDS = 100, 8
FIRST_ROWS, PAGE_ROWS = 8, 25
AROUND = 45


@dataclass(frozen=True)
class Hit:
    """A row that holds all the words: its name, where it leads, and the text around a word."""

    name: str
    url: str
    around: str


@dataclass(frozen=True)
class Group:
    """Hits of one kind, the first few; `more` says that there are others."""

    key: str
    title: str
    hits: tuple[Hit, ...]
    more: bool


def words_of(text: str) -> tuple[str, ...]:
    """The words asked for, folded; at most `MOST_WORDS`."""
    return tuple(dict.fromkeys(fold(text[:LONGEST].replace("\x00", " ")).split()))[:MOST_WORDS]


def search(party: Party, words: tuple[str, ...]) -> tuple[Group, ...]:
    """The first rows of every kind that holds all the words; kinds without one are left out."""
    groups = []
    for key, (name, find, hit) in KINDS.items():
        title = say(name)
        rows = list(find(party, words)[: FIRST_ROWS + 1])
        if rows:
            hits = tuple(hit(row, words) for row in rows[:FIRST_ROWS])
            groups.append(Group(key, title, hits, len(rows) > FIRST_ROWS))
    return tuple(groups)


def search_page(
    party: Party, words: tuple[str, ...], key: str, number: str | None
) -> tuple[str, Page, tuple[Hit, ...]]:
    """All rows of one kind, a page at a time: title, page, its hits. Two queries."""
    name, find, hit = KINDS[key]
    title = say(name)
    page = Paginator(find(party, words), PAGE_ROWS).get_page(number)
    return title, page, tuple(hit(row, words) for row in page.object_list)


def _joined(*columns: str) -> Concat:
    parts: list[object] = [Value("")]
    for column in columns:
        parts += [Value(" "), F(column)]
    return Concat(*parts, output_field=TextField())


def _holding(rows: QuerySet, words: tuple[str, ...], *columns: str) -> QuerySet:
    """Rows whose columns, taken together, hold every word."""
    rows = rows.alias(plain_text=Folded(_joined(*columns)))
    return rows.filter(*(Q(plain_text__contains=word) for word in words))


SITE = ("name", "water_name", "jurisdiction", "contact", "hazards", "notes")
SPOT = ("name", "notes", "site__name")
PAPER = ("number", "name", "holder", "issuer", "conditions", "notes")
STORY = ("name", "story", "plan_note", "incidents", "called_off_reason")
MONTH_NAME = Case(
    *(When(month=number, then=Value(fold(str(name)))) for number, name in MONTHS.items()),
    default=Value(""),
    output_field=CharField(),
)


def _sites(party, words):
    return _holding(party.sites.all(), words, *SITE).order_by("name", "pk")


def _spots(party, words):
    rows = Spot.objects.filter(site__party=party).select_related("site")
    return _holding(rows, words, *SPOT).order_by("site__name", "name", "pk")


def _trips(party, words):
    """By its words, its day as written (3 May 2031 or 2031-05-03), and its sites' names."""
    rows = party.trips.alias(month=ExtractMonth("starts_on")).alias(
        plain_text=Folded(
            Concat(
                _joined(*STORY),
                *(Value(" "), Cast(ExtractDay("starts_on"), CharField())),
                *(Value(" "), MONTH_NAME),
                *(Value(" "), Cast(ExtractYear("starts_on"), CharField())),
                *(Value(" "), Cast("starts_on", CharField())),
                output_field=TextField(),
            )
        )
    )
    sites = TripSite.objects.filter(trip=OuterRef("pk")).alias(site_name=Folded("site__name"))
    for word in words:
        at_site = Exists(sites.filter(site_name__contains=word))
        rows = rows.filter(Q(plain_text__contains=word) | at_site)
    return rows.order_by("-starts_on", "-pk")


def _papers(party, words):
    return _holding(party.papers.all(), words, *PAPER).order_by("-pk")


def _holes(party, words):
    rows = party.holes.select_related("site", "spot")
    return _holding(rows, words, "notes", "site__name").exclude(notes="").order_by("-opened_on")


NOTES = (
    (FieldNote, "text"),
    (TestPan, "note"),
    (Run, "note"),
    (HoursBlock, "note"),
    (Cost, "note"),
)


def _notes(party, words):
    """What was written down with pans, runs, hours and costs, and by itself."""
    parts = []
    for model, column in NOTES:
        rows = _holding(model.objects.filter(party=party).exclude(**{column: ""}), words, column)
        parts.append(
            rows.order_by().values(
                "trip_id",
                started=F("trip__starts_on"),
                trip_name=F("trip__name"),
                said=Cast(column, TextField()),
                sort=Value(str(model._meta.verbose_name), output_field=CharField()),
            )
        )
    return parts[0].union(*parts[1:], all=True).order_by("-started", "trip_id", "sort", "said")


def _kit(party, words):
    parts = [
        _holding(model.objects.filter(party=party), words, *columns)
        .order_by()
        .values(
            "pk",
            "name",
            said=Value("") if model is Vehicle else F("notes"),
            sort=Value(what, output_field=CharField()),
        )
        for model, what, columns in (
            (Vehicle, "vehicle", ("name",)),
            (Gear, "gear", ("name", "notes")),
        )
    ]
    return parts[0].union(*parts[1:], all=True).order_by("name", "sort", "pk")


def _hit_site(site, words):
    return Hit(site.name, reverse("reports:site_page", args=[site.pk]), _around(site, SITE, words))


def _hit_spot(spot, words):
    url = reverse("claims:spot_detail", args=[spot.pk])
    return Hit(f"{spot.site}: {spot}", url, _around(spot, ("notes",), words))


def _hit_trip(trip, words):
    around = _around(trip, STORY[1:], words) or show.day(trip.starts_on)
    return Hit(str(trip), reverse("trips:trip_detail", args=[trip.pk]), around)


def _hit_paper(paper, words):
    url = reverse("claims:paper_detail", args=[paper.pk])
    return Hit(str(paper), url, _around(paper, PAPER, words))


def _hit_hole(hole, words):
    url = reverse("claims:hole_detail", args=[hole.pk])
    return Hit(str(hole), url, _around(hole, ("notes",), words))


def _hit_note(row, words):
    trip = row["trip_name"] or say("Trip of {row}", row=show.day(row["started"]))
    url = reverse("trips:trip_detail", args=[row["trip_id"]])
    return Hit(f"{trip}, {row['sort']}", url, snippet(row["said"], words))


def _hit_kit(row, words):
    url = reverse(f"trips:{row['sort']}_edit", args=[row["pk"]])
    return Hit(row["name"], url, snippet(row["said"], words))


def _around(row, columns: tuple[str, ...], words: tuple[str, ...]) -> str:
    """The text around the first word that one of the columns holds; "" if only the name does."""
    for column in columns:
        if column != "name" and (found := snippet(getattr(row, column), words)):
            return found
    return ""


def snippet(text: str, words: tuple[str, ...]) -> str:
    """A piece of the text around the first word found in it, cut at both ends; "" without one."""
    plain = " ".join(text.split())
    # Folding may lengthen or shorten: each folded letter remembers where it came from.
    origin = [place for place, letter in enumerate(plain) for _ in fold(letter)]
    folded = fold(plain)
    places = [at for word in words if (at := folded.find(word)) >= 0]
    if not places:
        return ""
    at = origin[min(places)] if len(origin) == len(folded) else 0
    start, end = max(0, at - AROUND), at + 2 * AROUND
    cut = plain[start:end].strip()
    return f"{'… ' if start else ''}{cut}{' …' if end < len(plain) else ''}"


KINDS = {
    "sites": (marked("Sites"), _sites, _hit_site),
    "spots": (marked("Spots"), _spots, _hit_spot),
    "trips": (marked("Trips"), _trips, _hit_trip),
    "papers": (marked("Papers"), _papers, _hit_paper),
    "notes": (marked("Notes of trips"), _notes, _hit_note),
    "holes": (marked("Holes"), _holes, _hit_hole),
    "kit": (marked("Cars and gear"), _kit, _hit_kit),
}
