"""The renewal record of one paper over one period: what page, CSV, XLSX and PDF all show.

It lists what the party noted and names what is missing. It judges nothing and certifies nothing.
"""

from dataclasses import dataclass
from datetime import date

from reports.figures import renewal_kept as kept
from reports.figures import renewal_lists as lists
from reports.figures import renewal_parts as parts
from reports.figures.renewal_days import Day, days, sort_trips
from reports.figures.renewal_facts import RenewalAsked, RenewalFacts
from reports.figures.renewal_gaps import gaps
from reports.figures.renewal_gold import gold_here
from reports.figures.renewal_parts import Part, mass_words, volume_words
from reports.figures.report import cell_text
from trips.calc.words import Spoken, marked, say, several

SIGNED = marked("Signed by a person; this record certifies nothing.")
METHOD_WORDS = Spoken(
    {
        "proportional": marked("in proportion to what the colours counted should weigh"),
        "tilt": marked(
            "by the colours counted, coarse ones counting for more until the parts fit the weight"
        ),
        "litres": marked("by the litres fed, as colours weren't counted"),
        "minutes": marked("by the time run, as colours and litres are missing"),
        "equal": marked("evenly, as nothing else is noted"),
    }
)
READING = marked(
    "This record holds what the party noted itself. Whether it fulfils "
    "a condition is for the issuer to say."
)


@dataclass(frozen=True)
class RenewalRecord:
    """The finished record. `facts` and `key_figures` are in words; parts hold bare cells."""

    title: str
    party_name: str
    as_of: date
    first: date
    last: date
    facts: tuple[tuple[str, str], ...]
    key_figures: tuple[tuple[str, str, str], ...]
    parts: tuple[Part, ...]
    missing: tuple[str, ...]
    sources: tuple[str, ...]
    photos: tuple[kept.HolePhoto, ...]
    photos_left: int
    has_sites: bool
    has_days: bool

    @property
    def period_words(self) -> str:
        """The period as people read it, both days included."""
        return say("{first} to {last}", first=cell_text(self.first), last=cell_text(self.last))


def renewal_record(facts: RenewalFacts, asked: RenewalAsked) -> RenewalRecord:
    """The record of a paper over a period, both days included.

    Args: asked: `first` is not after `last`.
    Returns: unknown figures as None in the parts and as "unknown" in the words.
    """
    counted, left_out = sort_trips(facts.trips, asked)
    on_site = days(facts, counted)
    gold = gold_here(facts, counted)
    holes = lists.holes_in(facts, asked)
    ground = kept.ground_figures(facts, asked)
    photos, photos_left = kept.hole_photos(facts, asked)
    return RenewalRecord(
        title=say("Renewal record: {title}", title=facts.paper.title),
        party_name=asked.party_name,
        as_of=asked.as_of,
        first=asked.first,
        last=asked.last,
        facts=_paper_facts(facts, asked),
        key_figures=_key_figures(facts, asked, on_site, gold.known_ug, gold.note, holes),
        parts=(
            kept.conditions_part(facts, asked),
            kept.duties_part(facts, asked),
            parts.days_part(facts, asked, on_site),
            parts.sites_part(facts, asked, on_site, gold),
            parts.gear_part(facts, asked, counted),
            lists.gold_part(facts, asked, counted, gold),
            kept.ground_part(ground, asked),
            lists.holes_part(facts, asked, holes),
            lists.outlay_part(facts, asked, counted),
            lists.incidents_part(counted),
            lists.left_out_part(left_out),
        ),
        missing=(
            *gaps(facts, asked, counted, left_out, on_site, gold),
            *kept.kept_gaps(facts, asked),
        ),
        sources=_sources(facts, counted_methods(facts, {trip.trip_id for trip in counted})),
        photos=photos,
        photos_left=photos_left,
        has_sites=bool(facts.paper.sites),
        has_days=bool(on_site),
    )


def counted_methods(facts: RenewalFacts, trip_ids: set[int]) -> tuple[str, ...]:
    """How the weigh-ins of these trips were divided, each way once."""
    return tuple(
        dict.fromkeys(
            method for each in facts.weighed if each.trip_id in trip_ids for method in each.methods
        )
    )


def _noted(text: str) -> str:
    return text or say("not noted")


def _paper_facts(facts: RenewalFacts, asked: RenewalAsked) -> tuple[tuple[str, str], ...]:
    paper = facts.paper
    issued = say("not noted") if paper.issued_on is None else cell_text(paper.issued_on)
    expires = say("no end noted") if paper.expires_on is None else cell_text(paper.expires_on)
    sites = ", ".join(name for _, name in paper.sites)
    conditions = _noted(paper.conditions)
    if paper.condition_lines:
        many = len(paper.condition_lines)
        conditions = several("{n} line, listed below", "{n} lines, listed below", many)
    return (
        (say("Paper"), f"{paper.title} ({paper.kind})"),
        (say("Number"), _noted(paper.number)),
        (say("Holder"), _noted(paper.holder)),
        (say("Issued by"), _noted(paper.issuer)),
        (
            say("Term"),
            say(
                "{issued} to {expires}{end_words}",
                issued=issued,
                expires=expires,
                end_words=paper.end_words and f" ({paper.end_words})",
            ),
        ),
        (say("Sites covered"), _noted(sites)),
        (say("Conditions"), conditions),
        (say("Files kept with it"), ", ".join(paper.files) or say("none")),
        (
            say("Period of this record"),
            say("{first} to {last}", first=cell_text(asked.first), last=cell_text(asked.last)),
        ),
        (say("Record of"), asked.party_name),
        (say("Told as of"), cell_text(asked.as_of)),
    )


def _key_figures(
    facts: RenewalFacts,
    asked: RenewalAsked,
    on_site: tuple[Day, ...],
    gold_ug: int | None,
    gold_note: str,
    holes: tuple[lists.HoleLine, ...],
) -> tuple[tuple[str, str, str], ...]:
    minutes = [day.minutes for day in on_site if day.minutes is not None]
    silent = len(on_site) - len(minutes)
    covered = {day.trip_id for day in on_site}
    sites = {site for site, _ in facts.paper.sites}
    runs = [
        each
        for each in facts.washed
        if each.is_run and each.trip_id in covered and each.site_id in sites
    ]
    litres = [run.volume_ml for run in runs if run.volume_ml is not None]
    opened = sum(asked.first <= line.hole.opened_on <= asked.last for line in holes)
    filled = sum(line.was_filled(asked) for line in holes)
    still = sum(line.is_open for line in holes)
    return (
        (say("Days on site"), str(len({day.day for day in on_site})), ""),
        (
            say("Person hours of work"),
            f"{cell_text(parts.hours(sum(minutes)))} h"
            if minutes or not on_site
            else say("unknown"),
            say(
                "on {silent} of {on_site} lines no hours are noted",
                silent=silent,
                on_site=len(on_site),
            )
            if silent
            else "",
        ),
        (
            say("Washed in boxes"),
            volume_words(sum(litres), asked) if litres or not runs else say("unknown"),
            say(
                "at least; {runs} of {runs_2} runs without a volume",
                runs=len(runs) - len(litres),
                runs_2=len(runs),
            )
            if len(litres) < len(runs)
            else say("loose, as fed"),
        ),
        (say("Gold weighed"), mass_words(gold_ug, asked), gold_note),
        (
            say("Holes opened"),
            str(opened),
            say("in the period; {filled} filled in it", filled=filled),
        ),
        (
            say("Holes still open"),
            str(still),
            say("at the end of {asked}", asked=cell_text(lists.state_day(asked))),
        ),
    )


def _sources(facts: RenewalFacts, methods: tuple[str, ...]) -> tuple[str, ...]:
    lines = [
        say(READING),
        say(
            "What is said of conditions and duties is the word of the person "
            "named; the evidence is where it says."
        ),
        say(
            "Days, hours, volumes, weights and holes are as noted by the party "
            "at the time or at the wrap-up of the trip. Totals are summed "
            "before rounding."
        ),
        say(
            "Person hours count work: test pans, stripping, digging, running "
            "the box, clean-up and filling in. Drive, walk and rest are not in "
            "them. Hours without a name count for everybody on the trip."
        ),
        say("Volumes are loose gravel as fed to the box or pan, by the party's own measure."),
        say("A hole's volume is length × width × depth, as if it were a box: more than was moved."),
        say(
            "Outlay of a trip to several sites is parted by the time on the "
            "ground at each, evenly if none is noted. Lines that were worked "
            "out and not paid on a receipt are shown apart."
        ),
    ]
    if methods:
        how = "; ".join(METHOD_WORDS.get(method, method) for method in methods)
        lines.append(
            say(
                "Where one weigh-in holds gold of several runs and pans, its parts "
                "are worked out, not weighed: {how}.",
                how=how,
            )
        )
    return tuple(lines)
