"""The report "Pay ladder by …": one row a group, the same for page, CSV, XLSX and PDF."""

from collections.abc import Sequence
from decimal import ROUND_HALF_EVEN, Decimal

from reports.figures.pay_groups import GROUP_WORDS, GroupBy, PayGroup
from reports.figures.report import Column, Report
from reports.figures.site_returns import MASS_PLACES, NUGGET, RANGE_WORDS, Asked
from reports.figures.value import BASIS_WORDS, price_words
from trips.calc.gold import PricePoint, Unknown
from trips.calc.money import from_minor
from trips.calc.payladder import LABELS
from trips.calc.units import from_base, unit
from trips.calc.words import Said, marked, say

OF_KNOWN = marked("{reached} of {known}")
BY_GOLD, BY_SHARE = marked("gold per litre"), marked("share of past trips")


def pay_ladder_report(
    groups: Sequence[PayGroup],
    by: GroupBy,
    asked: Asked,
    price_today: PricePoint | Unknown,
    has_hourly_figure: bool,
) -> Report:
    """Trips, net per hour with its range, rungs reached, the next trip's chances, break-even."""
    money, mass, said = asked.currency, asked.mass_unit, Said()
    return Report(
        report_id=f"pay-ladder-by-{by}",
        title=say("Pay ladder by {group_words}", group_words=GROUP_WORDS[by]),
        as_of=asked.as_of,
        party_name=asked.party_name,
        currency=asked.currency,
        filters=((say("Season"), asked.season), (say("Gold valued"), BASIS_WORDS[asked.basis])),
        columns=(
            Column("group", GROUP_WORDS[by].capitalize()),
            Column("trips", say("Trips"), align="right"),
            Column("known", say("Counted"), align="right"),
            Column("per_hour", say("Net per hour"), f"{money}/h", "right"),
            Column("low", say("80 % from"), f"{money}/h", "right"),
            Column("high", say("80 % to"), f"{money}/h", "right"),
            Column("range", say("Range")),
            *(
                Column(f"past_{key}", say("Paid {label}", label=label), align="right")
                for key, label in LABELS.items()
            ),
            *(
                Column(
                    f"next_{key}",
                    say("Next trip pays {label}", label=label),
                    "%",
                    "right",
                )
                for key, label in LABELS.items()
            ),
            Column("basis", say("Next trip from")),
            Column("even_mass", say("Gold that pays a mean outlay"), mass, "right"),
            Column("even_price", say("Price that pays the outlay"), f"{money}/g", "right"),
        ),
        rows=tuple(_cells(group, asked, said) for group in groups),
        ranged=("low", "per_hour", "high"),
        notes=_notes(groups, by, has_hourly_figure),
        sources=(
            say(
                "Gold price for the next trip: {price_today}", price_today=price_words(price_today)
            ),
        ),
    )


def _cells(group: PayGroup, asked: Asked, said: Said) -> tuple[object, ...]:
    def money(minor: int | None) -> Decimal | None:
        return None if minor is None else from_minor(minor, asked.currency)

    result, even = group.result, group.break_even.mass_ug
    per_g = group.break_even_price.per_g
    places = MASS_PLACES[asked.mass_unit]
    return (
        group.name,
        result.trips,
        result.known,
        money(result.per_hour_minor),
        money(result.low_minor),
        money(result.high_minor),
        RANGE_WORDS[result.method],
        *(
            said.filled(OF_KNOWN, reached=rung.share.reached, known=rung.share.known)
            if rung.share.known
            else None
            for rung in group.rungs
        ),
        *(None if chance is None else round(100 * chance) for chance in group.chances),
        said[BY_GOLD if group.by_gold else BY_SHARE],
        None if even is None else from_base(even, unit("mass", asked.mass_unit), places),
        None if per_g is None else per_g.quantize(Decimal("0.01"), ROUND_HALF_EVEN),
    )


def _notes(groups: Sequence[PayGroup], by: GroupBy, has_hourly_figure: bool) -> tuple[str, ...]:
    notes = [
        say(
            "Each rung holds the ones before it: fuel, all outlay, wear on "
            "top, the party's own figure for everybody's hours on top. “Paid” "
            "counts past trips where it can be told."
        ),
        say(
            "The next trip is one that washes as much as the mean of the past "
            "ones and asks for as much as they did, at the latest price. "
            "“{by_gold}”: from the weighed gold and litres of these trips, "
            "with the spread between them; a few trips lean on the whole "
            "party's. “{by_share}”: where litres or gold are missing, from "
            "how many of the past ones reached the rung. A chance of 0 or 100 "
            "is rounded, never none or sure.",
            by_gold=say(BY_GOLD).capitalize(),
            by_share=say(BY_SHARE).capitalize(),
        ),
        say(
            "Net per hour is all net over all door-to-door hours. 80 % ranges: "
            "none up to two trips or where all are alike; rough from three; "
            "resampled from eight."
        ),
        say(
            "Gold that pays a mean outlay is raw gold at the latest price. The "
            "price that pays the outlay is for a gram of pure gold, with the "
            "gold these trips brought; unknown where they brought none, as no "
            "price would do."
        ),
        say(NUGGET),
    ]
    if by in ("gear", "method"):
        notes.append(
            say(
                "A trip through several boxes is parted: gold by what each run "
                "brought, costs and hours by the minutes each box ran. Trips "
                "without a run stand under “pans only”."
            )
        )
    if by == "site":
        notes.append(
            say(
                "A trip to several sites is parted: gold by its runs and pans, "
                "costs and hours by the time on the ground."
            )
        )
    if not has_hourly_figure:
        notes.append(say("No own figure per hour is set, so the last rung is unknown."))
    gaps = dict.fromkeys(
        f"{group.name}: {gap.name}. {gap.reason}" for group in groups for gap in group.result.gaps
    )
    notes += [say("Not counted at {words}", words=words) for words in list(gaps)[:10]]
    if len(gaps) > 10:
        notes.append(say("And {gaps} more are not counted.", gaps=len(gaps) - 10))
    return tuple(notes)
