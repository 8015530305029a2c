"""The sections of a site's page: what it returned first, then what is open, the rest folded."""

from collections.abc import Mapping

from django.utils.translation import gettext

from claims.web import show
from reports.pages.site import SitePage
from trips.views.trip_sections import Section, counted

FEW_TRIPS = 5  # beyond these the list of trips is folded behind their number
FEW_GRADES = 4


def site_sections(page: SitePage, asked: Mapping[str, str]) -> tuple[Section, ...]:
    """Every section in order, the folded ones with a line that says what is inside.

    Args: asked: what the address asks for; a sorted or turned list of trips is open.
    """
    turned = "sort" in asked or "page" in asked
    unsure = [row for row in page.papers if not row.covers]

    def section(key: str, title: str, said: str = "", is_open: bool = False) -> Section:
        return Section(key, title, f"reports/_site_{key}.html", said, is_open)

    grades = len(page.pans) + len(page.runs)
    return (
        section("return", gettext("What it returned"), is_open=True),
        section("holes", gettext("Holes"), _hole_words(page), is_open=bool(page.open_holes)),
        section("papers", gettext("Papers"), _paper_words(page), is_open=bool(unsure)),
        section("belief", gettext("What the samples say of it"), is_open=True),
        section(
            "trips", gettext("Trips"), _trip_words(page), turned or len(page.trips) <= FEW_TRIPS
        ),
        section(
            "gravel",
            gettext("Gravel by spot and layer"),
            gettext("{counted} of test pans, {counted_2} of box runs").format(
                counted=counted(len(page.pans), "{n} row", "{n} rows"),
                counted_2=counted(len(page.runs), "{n} row", "{n} rows"),
            ),
            is_open=grades <= FEW_GRADES,
        ),
        section(
            "spots",
            gettext("Spots"),
            counted(len(page.spots), "{n} spot", "{n} spots"),
            is_open=not page.spots,
        ),
        section("place", gettext("The place"), _place_words(page), is_open=not page.trips),
        section("map", gettext("On the map"), is_open=True),
    )


def _hole_words(page: SitePage) -> str:
    if not page.holes:
        return gettext("none on record")
    return gettext("none open, {filled_holes} filled").format(filled_holes=len(page.filled_holes))


def _paper_words(page: SitePage) -> str:
    if not page.papers:
        return gettext("none noted for this site; ask the office or owner whether one is needed")
    papers = counted(len(page.papers), "{n} paper", "{n} papers")
    return f"{papers}, {page.papers[0].state}"


def _trip_words(page: SitePage) -> str:
    if not page.trips:
        return gettext("none yet")
    return gettext("{counted}, the latest {day}").format(
        counted=counted(len(page.trips), "{n} trip", "{n} trips"),
        day=show.day(page.trips[0].day),
    )


def _place_words(page: SitePage) -> str:
    site = page.site
    said = []
    for minutes, way in ((site.drive_minutes, "drive"), (site.walk_minutes, "walk")):
        said.append(
            f"{way} {show.minutes(minutes)}"
            if minutes is not None
            else gettext("{way} not known").format(way=way)
        )
    said.append(
        gettext("closed {window}").format(window=page.window)
        if page.window
        else gettext("no closed window noted; ask")
    )
    return ", ".join(said)
