"""The page "Your eye against the scale": the party's bias, and what its colours weigh."""

import datetime as dt
from dataclasses import dataclass

from django.utils.translation import gettext

from claims.models import Party
from reports.charts.plots import Figure, IntervalRow, interval_plot
from reports.decide.colour_mass import ColourMass
from reports.figures.eye import Eye, Promise, eye_and_scale, eye_report
from reports.figures.facts import trip_name
from reports.figures.report import Report
from reports.selectors.belief import party_colours
from reports.selectors.colour_mass import weighed_trips
from trips.calc import local
from trips.calc.counts import CLASS_WORDS, CLASSES
from trips.calc.digits import Ranged, number_range
from trips.calc.words import Said, say
from trips.selectors.masses import class_masses

WITHIN = 1.2816  # standard deviations on each side that hold 80 %


@dataclass(frozen=True)
class ClassRow:
    """One colour class: set and learned milligrams, doubt, share of own data and of colours."""

    name: str
    words: str
    set_mg: float
    learned_mg: float
    sd_mg: float
    own_pct: int
    mix_pct: float
    at_zero: bool


@dataclass(frozen=True)
class EyePage:
    eye: Eye
    learned: ColourMass
    classes: tuple[ClassRow, ...]
    figure: Figure | None
    mean_mg: float
    colour_cv_pct: int
    mean_cv_pct: int

    @property
    def bias(self) -> Ranged:
        """Scale over counts with its range; only where there is one."""
        its = self.eye
        if its.bias is None or its.low is None or its.high is None:
            return Ranged("", "" if its.bias is None else local.fixed(its.bias, 2), "")
        return number_range(its.low, its.bias, its.high)


def eye_page(party: Party, as_of: dt.date) -> tuple[EyePage, Report]:
    """The page and its report; four queries where what colours weigh is kept."""
    learned = party_colours(party, as_of)
    masses, said = class_masses(party), Said()
    eye = eye_and_scale(
        [
            Promise(
                row.trip_id,
                trip_name(row.own_name, row.starts_on, said),
                row.day,
                row.weighed.counts,
                row.weighed.net_ug,
            )
            for row in weighed_trips(party, as_of)
        ],
        masses,
    )
    words = (party.coarse_words, party.medium_words, party.fine_words)
    classes = tuple(
        ClassRow(
            name=name,
            words=words[at],
            set_mg=masses.of(name).mean_ug / 1000,
            learned_mg=learned.mean_ug[at] / 1000,
            sd_mg=learned.sd_ug[at] / 1000,
            own_pct=round(100 * learned.own[at]),
            mix_pct=100 * learned.mix[at],
            at_zero=not learned.fit.active[at],
        )
        for at, name in enumerate(CLASSES)
    )
    page = EyePage(
        eye=eye,
        learned=learned,
        classes=classes,
        figure=_figure(classes) if learned.weigh_ins else None,
        mean_mg=learned.mean.mean_ug / 1000,
        colour_cv_pct=round(100 * learned.mean.colour_cv),
        mean_cv_pct=round(100 * learned.mean.mean_cv),
    )
    report = eye_report(eye, party_name=party.name, currency=party.currency, as_of=as_of)
    return page, report


def _figure(classes: tuple[ClassRow, ...]) -> Figure | None:
    rows = [
        IntervalRow(
            CLASS_WORDS[each.name].capitalize(),
            max(0.0, each.learned_mg - WITHIN * each.sd_mg) / each.set_mg,
            each.learned_mg / each.set_mg,
            (each.learned_mg + WITHIN * each.sd_mg) / each.set_mg,
            gettext("{learned_mg:.2f} mg learned, {set_mg:.2f} mg set").format(
                learned_mg=each.learned_mg, set_mg=each.set_mg
            ),
        )
        for each in classes
    ]
    said = ", ".join(f"{row.name.lower()} {row.best:.2f}" for row in rows)
    return interval_plot(
        rows,
        title=gettext("What a colour weighs, as learned"),
        desc=gettext("Times the mass the party set: {said}. 1 is just as set.").format(said=said),
        unit=say("times the set mass"),
        sign=False,
    )
