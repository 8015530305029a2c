"""The parts of the wrap-up page: what a folded one says, and which stand open.

A part is closed when nothing is to be done in it; its line then says what it holds and what is
missing. What is typed counts as much as what is kept, so that a refused page says what it was sent.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.forms import BaseFormSet
from django.utils.text import Truncator
from django.utils.translation import gettext

from claims.web import show
from trips.calc.words import several
from trips.forms.folded_rows import amount_in, chosen
from trips.forms.records import BOXES
from trips.forms.wrapup import DRIVEN, WeighInPart, WrapUpForm
from trips.models import HoursBlock, Trip

ON_THE_WAY = {"", HoursBlock.Activity.DRIVE, HoursBlock.Activity.WALK}
SAID_LETTERS = 60


@dataclass(frozen=True)
class WrapUpForms:
    """The forms of the page, in order."""

    trip: WrapUpForm
    hours: BaseFormSet
    costs: BaseFormSet
    runs: BaseFormSet
    holes: BaseFormSet
    weigh_in: WeighInPart

    def are_valid(self) -> bool:
        """Check every part, so that all that is wrong shows at once."""
        parts = (self.trip, self.hours, self.costs, self.runs, self.holes, self.weigh_in)
        return not [part for part in parts if not part.is_valid()]

    @property
    def problems(self) -> int:
        """How many forms and sets of rows need another look."""
        sets = (self.hours, self.costs, self.runs, self.holes)
        rows = [form for each in sets for form in each]
        return sum(bool(form.errors) for form in (self.trip, self.weigh_in, *rows)) + sum(
            bool(each.non_form_errors()) for each in sets
        )


@dataclass(frozen=True)
class WrapUpPart:
    """One part of the page; `said` stands beside its title, open or closed."""

    key: str
    title: str
    said: str
    is_open: bool
    has_errors: bool

    @property
    def template(self) -> str:
        return f"trips/_wrap_{self.key}.html"


# Which fields of the trip's own form stand in which part.
FIELDS = {
    "way": ("visited", "other_site", *DRIVEN),
    "costs": ("engine_fuel_ml",),
    "holes": ("holes_filled",),
    "story": ("story", "incidents"),
}


def wrap_up_parts(
    forms: WrapUpForms, is_first: bool, units: dict[str, str], currency: str
) -> tuple[WrapUpPart, ...]:
    """Every part in order. A first wrap-up has more to be done than a later look."""
    held = forms.trip.options.held

    def part(key: str, title: str, words: str, to_do: bool, rows=()) -> WrapUpPart:
        bad = _is_bad(forms, key, rows)
        return WrapUpPart(key, title, words, to_do or bad, bad)

    gold, to_weigh = _gold(forms, held, units["mass"])
    return (
        part("way", gettext("The way"), *_way(forms.trip, units["distance"], is_first)),
        part("hours", gettext("Hours"), *_hours(forms.hours), forms.hours),
        part(
            "costs",
            gettext("Costs, as paid"),
            _costs(forms, currency, is_first),
            is_first,
            forms.costs,
        ),
        part("runs", gettext("Box runs"), *_runs(forms.runs, held, units["volume"]), forms.runs),
        part("gold", gettext("Gold"), gold, to_weigh),
        part("holes", gettext("Holes"), *_holes(forms, is_first), forms.holes),
        part("story", gettext("The story"), *_story(forms.trip, is_first)),
    )


def _is_bad(forms: WrapUpForms, key: str, rows) -> bool:
    if key == "gold" and forms.weigh_in.errors:
        return True
    if any(name in forms.trip.errors for name in FIELDS.get(key, ())):
        return True
    return bool(rows) and (bool(rows.non_form_errors()) or any(row.errors for row in rows))


def _filled(rows: BaseFormSet) -> list:
    """The rows in which something stands, kept or typed."""
    return [row for row in rows if row.has_changed() and not row["DELETE"].value()]


def _total(rows: Iterable, name: str) -> int:
    return sum(amount_in(row[name]) or 0 for row in rows)


def _joined(*said: str) -> str:
    return "; ".join(words for words in said if words)


def _way(form: WrapUpForm, unit: str, is_first: bool) -> tuple[str, bool]:
    ticked = {str(pk) for pk in form["visited"].value() or ()}
    sites = [name for pk, name in form.fields["visited"].widget.choices if str(pk) in ticked]
    sites += [name] if (name := chosen(form["other_site"])) else []
    driven = [amount_in(form[name]) for name in DRIVEN]
    known = [part for part in driven if part is not None]
    where = ", ".join(sites) or gettext("where you were isn't said")
    way = (
        gettext("{distance} driven").format(distance=show.quantity("distance", sum(known), unit))
        if known
        else gettext("not said how far you drove")
    )
    from_plan = gettext("as planned") if is_first and form.prefill and known else ""
    return _joined(where, way, from_plan), not (sites and known)


def _hours(rows: BaseFormSet) -> tuple[str, bool]:
    filled = _filled(rows)
    at_work = [row for row in filled if row["activity"].value() not in ON_THE_WAY]
    total = _total(filled, "minutes")
    said = several("{n} block", "{n} blocks", len(filled)) if filled else ""
    lacks = "" if at_work else gettext("no work at the creek noted yet")
    return _joined(said, show.minutes(total) if total else "", lacks), not at_work


def _costs(forms: WrapUpForms, currency: str, is_first: bool) -> str:
    filled = _filled(forms.costs)
    if not filled:
        return gettext("none noted")
    amount = show.money(_total(filled, "amount_minor"), currency)
    said = several("{n} cost", "{n} costs", len(filled))
    offered = is_first and not any(row.instance.pk for row in filled)
    return _joined(said, amount, gettext("as planned") if offered else "")


def _runs(rows: BaseFormSet, held: Trip, unit: str) -> tuple[str, bool]:
    filled = _filled(rows)
    if not filled:
        had_box = any(piece.kind in BOXES for piece in held.gear.all())
        words = gettext("none noted yet") if had_box else gettext("none; no box came along")
        return words, had_box
    unfed = [row for row in filled if amount_in(row["volume_ml"]) is None]
    fed = _total(filled, "volume_ml")
    return _joined(
        several("{n} run", "{n} runs", len(filled)),
        show.quantity("volume", fed, unit) if fed else "",
        several("{n} without its gravel", "{n} without their gravel", len(unfed)) if unfed else "",
    ), bool(unfed)


def _gold(forms: WrapUpForms, held: Trip, unit: str) -> tuple[str, bool]:
    weighed = list(held.weigh_ins.all())
    left = sum(run.weigh_in_id is None for run in held.runs.all())
    gross, tare = (amount_in(forms.weigh_in[name]) for name in ("gross_ug", "tare_ug"))
    known = show.quantity("mass", sum(each.net_ug for each in weighed), unit)
    said = [
        gettext("{mass} weighed").format(mass=known) if weighed else "",
        several("{n} run not weighed yet", "{n} runs not weighed yet", left) if left else "",
    ]
    if gross is not None:
        net = show.quantity("mass", max(0, gross - (tare or 0)), unit)
        said.append(gettext("{mass} on the scale now").format(mass=net))
    return _joined(*said) or gettext("not weighed yet"), bool(left) or not weighed


def _holes(forms: WrapUpForms, is_first: bool) -> tuple[str, bool]:
    offered = forms.trip.fields.get("holes_filled")
    ticked = {str(pk) for pk in forms.trip["holes_filled"].value() or ()} if offered else set()
    still = sum(str(pk) not in ticked for pk, _ in offered.widget.choices) if offered else 0
    new = sum(row.has_changed() for row in forms.holes)
    said = _joined(
        several("{n} open at these sites", "{n} open at these sites", still) if still else "",
        several("{n} filled in", "{n} filled in", len(ticked)) if ticked else "",
        several("{n} newly open", "{n} newly open", new) if new else "",
    )
    return said or gettext("none open"), is_first and bool(still)


def _story(form: WrapUpForm, is_first: bool) -> tuple[str, bool]:
    story = " ".join(str(form["story"].value() or "").split())
    wrong = str(form["incidents"].value() or "").strip()
    said = _joined(
        Truncator(story).chars(SAID_LETTERS), gettext("with what went wrong") if wrong else ""
    )
    return said or gettext("nothing written yet"), is_first and not story
