"""How the figures of past trips were computed: returns, grades, ground. No queries."""

from collections.abc import Iterable, Sequence

from django.urls import reverse
from django.utils.translation import gettext

from claims.web import show
from claims.web.basis import Basis, Input
from reports.figures.facts import PanFacts, RunFacts
from reports.figures.returns import Outing, Return
from reports.selectors.washed import WashedTrip
from trips.calc.words import Spoken, marked, say, several

RANGES = Spoken(
    {
        "none": marked("no range: fewer than three trips"),
        "rough": marked("a rough range: three to seven trips, Student's t on the ratio"),
        "bootstrap-t": marked("range: your trips drawn again and again (bootstrap-t)"),
        "exact-equal": marked("no range: all trips are equal"),
    }
)


def trip_url(trip_id: int) -> str:
    return reverse("trips:trip_detail", args=[trip_id])


def return_bases(
    result: Return, outings: Sequence[Outing], currency: str, basis: str, price: str
) -> tuple[Basis, ...]:
    """Net per hour and the value behind it, with every trip that went in.

    Args: basis: at which price the gold was valued; price: the latest price in words.
    """
    known = [o for o in outings if o.net_minor is not None and (o.minutes or not result.minutes)]
    if not known:
        return ()
    trips = tuple(
        Input(
            each.name,
            gettext("{value_minor} less {outlay_minor} in {minutes}").format(
                value_minor=show.money(each.value_minor, currency),
                outlay_minor=show.money(each.outlay_minor, currency),
                minutes=show.minutes(each.minutes),
            ),
            url=trip_url(each.trip_id),
        )
        for each in known
    )
    left = Input(
        gettext("Left out"),
        gettext("{gaps} of {trips}").format(gaps=len(result.gaps), trips=result.trips),
        gettext("named on the page"),
    )
    net = Basis(
        gettext("Net per door-to-door hour"),
        show.money(result.per_hour_minor, currency),
        gettext(
            "Value of the gold less outlay of all these trips, over their hours from door to door."
        ),
        (
            Input(gettext("Net of all"), show.money(result.net_minor, currency)),
            Input(gettext("Hours of all"), show.minutes(result.minutes)),
            Input(gettext("80 % range"), RANGES.get(result.method, result.method)),
            *((left,) if result.gaps else ()),
            *trips,
        ),
        "mean",
    )
    value = Basis(
        gettext("Value of the gold"),
        show.money(result.value_minor, currency),
        gettext("Mass × fineness × price × the part that is paid; specimens at their own price."),
        (
            Input(gettext("Gold of these trips"), show.quantity("mass", result.mass_ug, "g")),
            Input(gettext("Price"), basis, price, reverse("trips:price_list")),
            Input(
                gettext("Part that is paid"),
                gettext("as set"),
                gettext("Party"),
                reverse("claims:party_detail"),
            ),
            Input(
                gettext("Weigh-ins"),
                gettext("on the page of each trip, and all of them"),
                url=reverse("trips:weighin_list"),
            ),
        ),
        "value",
    )
    return (net, value)


def grade_bases(pans: Sequence[PanFacts], runs: Sequence[RunFacts]) -> tuple[Basis, ...]:
    """Grades by spot and layer from their pans and runs, by trip."""
    found = []
    if pans:
        found.append(
            Basis(
                gettext("From test pans"),
                gettext("{pans} pans").format(pans=len(pans)),
                gettext(
                    "Colours per litre: all colours over all "
                    "litres of a spot and layer, with the exact "
                    "range of a count. Milligrams per litre: "
                    "colours of each class times what one weighs, "
                    "over the same litres."
                ),
                (*_mass_inputs(), *_by_trip(pans)),
                "units",
            )
        )
    if runs:
        found.append(
            Basis(
                gettext("From box runs"),
                gettext("{runs} runs").format(runs=len(runs)),
                gettext(
                    "Gold shared out to the runs of a spot and layer, over the litres fed to them."
                ),
                _by_trip(runs),
                "split",
            )
        )
    return tuple(found)


def _mass_inputs() -> tuple[Input, ...]:
    where = reverse("claims:party_detail")
    return (
        Input(
            gettext("Mass of a colour by class"),
            gettext("as the party set it"),
            gettext("Party"),
            where,
        ),
    )


def _by_trip(rows: Iterable[PanFacts | RunFacts]) -> tuple[Input, ...]:
    grouped: dict[tuple[int, str, object], list[PanFacts | RunFacts]] = {}
    for row in rows:
        grouped.setdefault((row.trip_id, row.spot, row.day), []).append(row)
    return tuple(
        Input(f"{spot}, {show.day(day)}", _washed(its), url=trip_url(trip_id) if trip_id else "")
        for (trip_id, spot, day), its in grouped.items()
    )


def _washed(rows: Sequence[PanFacts | RunFacts]) -> str:
    volumes = [row.volume_ml for row in rows]
    litres = show.quantity("volume", sum(v for v in volumes if v is not None), "L")
    if isinstance(rows[0], PanFacts):
        counts = [(r.coarse, r.medium, r.fine) for r in rows if isinstance(r, PanFacts)]
        silent = sum(None in each for each in counts)
        colours = sum(n or 0 for each in counts for n in each)
        words = several(
            "{n} pan, {litres}, {colours} colours",
            "{n} pans, {litres}, {colours} colours",
            len(rows),
            litres=litres,
            colours=colours,
        )
        return words + (
            gettext("; {silent} not counted in full").format(silent=silent) if silent else ""
        )
    shares = [row.share_ug for row in rows if isinstance(row, RunFacts)]
    told = [share for share in shares if share is not None]
    mass = show.quantity("mass", sum(told), "g") if told else say(show.UNKNOWN)
    return several(
        "{n} run, {litres}, {mass}",
        "{n} runs, {litres}, {mass}",
        len(rows),
        litres=litres,
        mass=mass,
    )


def washed_bases(trips: Sequence[WashedTrip]) -> tuple[Basis, ...]:
    """What was washed in boxes at a paper's sites, by trip."""
    if not trips:
        return ()
    known = [each.volume_ml for each in trips if each.volume_ml is not None]
    return (
        Basis(
            gettext("Washed in boxes"),
            show.quantity("volume", sum(known) if known else None, "L"),
            gettext(
                "Litres of all box runs at the paper's sites, "
                "loose, as fed; of wrapped-up trips that lie "
                "whole in the period."
            ),
            tuple(
                Input(
                    each.name,
                    show.quantity("volume", each.volume_ml, "L"),
                    gettext("{with_volume} of {runs} runs with a volume").format(
                        with_volume=each.with_volume, runs=each.runs
                    ),
                    trip_url(each.trip_id) + "#run",
                )
                for each in trips
            ),
            "ground",
        ),
    )
