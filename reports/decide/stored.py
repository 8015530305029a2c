"""A belief as plain lists and numbers, so that it can be kept, and back again."""

from dataclasses import asdict
from typing import Any

from reports.decide.belief import Belief, Seen, SpotBelief
from reports.decide.colour_mass import ColourMass, MassFit, MeanColour, Skipped, said_of
from reports.decide.evidence import Transfer
from reports.decide.hierarchy import Points, Region


def to_plain(belief: Belief) -> dict[str, Any]:
    """Only dicts, lists, numbers and text; `from_plain` gives the same belief back."""
    region, box = belief.region, belief.box
    return {
        "region": [region.mean, region.site_shape, region.spot_shape, region.dispersion],
        "doubt": [list(each) for each in region.doubt],
        "prior": _points(belief.prior),
        "sites": {str(site): _points(points) for site, points in belief.sites.items()},
        "spots": {
            str(spot_id): [
                *(row.site_id, row.colours, row.litres, row.pan_rate),
                *(row.seen.pans, row.seen.runs, row.seen.colours, row.seen.litres),
                *(row.seen.left_out, row.seen.weighed),
            ]
            for spot_id, row in belief.spots.items()
        },
        "box": [box.median, box.log_sd, box.spots],
        "shares": belief.shares,
    }


def _points(points: Points) -> list[list[float]]:
    return [list(points.log_means), list(points.weights)]


def from_plain(plain: dict[str, Any]) -> Belief:
    """The belief that `to_plain` was given."""
    mean, site_shape, spot_shape, dispersion = plain["region"]
    return Belief(
        region=Region(mean, site_shape, spot_shape, dispersion, _pairs(plain["doubt"])),
        prior=_read_points(plain["prior"]),
        sites={int(site): _read_points(its) for site, its in plain["sites"].items()},
        spots={
            int(spot_id): SpotBelief(row[0], row[1], row[2], Seen(*row[4:10]), row[3])
            for spot_id, row in plain["spots"].items()
        },
        box=Transfer(*plain["box"]),
        shares=plain["shares"],
    )


def _pairs(plain: list[list[float]]) -> tuple[tuple[float, float], ...]:
    return tuple((first, second) for first, second in plain)


def _read_points(plain: list[list[float]]) -> Points:
    return Points(tuple(plain[0]), tuple(plain[1]))


def colours_to_plain(colours: ColourMass) -> dict[str, Any]:
    """What colours weigh as dicts, sequences and numbers; words are said anew when it is read."""
    return {name: value for name, value in asdict(colours).items() if name != "words"}


def colours_from_plain(plain: dict[str, Any]) -> ColourMass:
    """What `colours_to_plain` was given."""
    mean, kept = plain["mean"], plain["fit"]
    fit = MassFit(
        mean_ug=tuple(kept["mean_ug"]),
        covariance=tuple(tuple(row) for row in kept["covariance"]),
        active=tuple(kept["active"]),
        uncounted_ug_per_l=kept["uncounted_ug_per_l"],
        used=tuple(kept["used"]),
        skipped=tuple(Skipped(**each) for each in kept["skipped"]),
    )
    own = tuple(plain["own"])
    return ColourMass(
        fit=fit,
        mean_ug=tuple(plain["mean_ug"]),
        sd_ug=tuple(plain["sd_ug"]),
        colour_sd_ug=tuple(plain["colour_sd_ug"]),
        mix=tuple(plain["mix"]),
        mean=MeanColour(**mean | {"weights": tuple(mean["weights"])}),
        own=own,
        colours=plain["colours"],
        words=said_of(fit, own),
    )
