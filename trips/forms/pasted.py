"""Pasted rows as the forms that people fill in one by one, so that they are checked alike."""

from collections.abc import Mapping
from dataclasses import dataclass

from django import forms
from django.utils.text import capfirst
from django.utils.translation import gettext, gettext_lazy

from claims.web.folded import fold
from claims.web.forms import LedgerForm
from trips.calc.pasted_rows import read_rows
from trips.forms.records import CostForm, HoursForm, PanForm, RunForm, TripOptions
from trips.models import Cost, HoursBlock, Run, TestPan
from trips.models.field import Layer

# Column → form field, in the order that holds without a heading.
PAN = {
    "spot": "spot", "litres": "volume_ml", "coarse": "coarse", "medium": "medium", "fine": "fine",
    "layer": "layer", "depth": "depth_mm", "note": "note", "day": "day",
}  # fmt: skip
RUN = {
    "spot": "spot", "box": "gear", "litres": "volume_ml", "time": "minutes", "coarse": "coarse",
    "medium": "medium", "fine": "fine", "layer": "layer", "note": "note", "day": "day",
}  # fmt: skip
HOURS = {
    "activity": "activity", "time": "minutes", "who": "person", "site": "site", "note": "note",
    "day": "day",
}  # fmt: skip
COST = {"what": "kind", "amount": "amount_minor", "paid by": "paid_by", "note": "note"}
# Other words that a heading may use.
ALSO = {
    "gravel": "litres", "volume": "litres", "l": "litres", "minutes": "time", "how long": "time",
    "hours": "time", "date": "day", "comment": "note", "place": "spot", "person": "who",
    "kind": "what", "what for": "what", "money": "amount", "gear": "box",
}  # fmt: skip


@dataclass(frozen=True)
class Kind:
    """What can be pasted: its words, columns, form and row."""

    many: str
    columns: Mapping[str, str]
    form: type[forms.ModelForm]
    model: type


KINDS = {
    "pan": Kind(gettext_lazy("test pans"), PAN, PanForm, TestPan),
    "run": Kind(gettext_lazy("box runs"), RUN, RunForm, Run),
    "hours": Kind(gettext_lazy("blocks of hours"), HOURS, HoursForm, HoursBlock),
    "cost": Kind(gettext_lazy("costs"), COST, CostForm, Cost),
}


class PasteForm(LedgerForm, forms.Form):
    """Rows as text, and what they are."""

    kind = forms.ChoiceField(
        label=gettext_lazy("What the rows are"),
        choices=[(key, capfirst(kind.many)) for key, kind in KINDS.items()],
        widget=forms.RadioSelect,
    )
    text = forms.CharField(
        label=gettext_lazy("Rows"),
        max_length=200_000,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 12, "spellcheck": "false", "wrap": "off"}),
        help_text=gettext_lazy(
            "Copied from a spreadsheet, or typed with tabs, semicolons or commas between the cells."
        ),
    )


@dataclass(frozen=True)
class Checked:
    """One row as it was read: its form (None if it never came to one) and what is wrong."""

    number: int
    cells: tuple[str, ...]
    form: forms.ModelForm | None
    problems: tuple[str, ...]
    said: str = ""


def check_rows(
    key: str, text: str, *, options: TripOptions, form_options: Mapping[str, object]
) -> list[Checked]:
    """Every row checked by its kind's own form; nothing is stored."""
    kind = KINDS[key]
    words = {fold(column): column for column in kind.columns}
    words |= {word: column for word, column in ALSO.items() if column in kind.columns}
    names = _Names(options)
    checked = []
    for row in read_rows(text, usual=tuple(kind.columns), words=words, fold=fold):
        cells = tuple(row.cells.get(column, "") for column in kind.columns)
        if row.problem:
            checked.append(Checked(row.number, cells, None, (row.problem,)))
            continue
        data = {kind.columns[column]: cell for column, cell in row.cells.items()}
        problems, said = names.put_in(kind, data)
        instance = kind.model(trip=options.trip, party=options.trip.party)
        form = kind.form(data, instance=instance, options=options, **form_options)
        if kind.model is Cost:
            instance.currency = options.trip.party.currency
        problems += [
            f"{_column(kind, name, form)}: {' '.join(messages)}"
            for name, messages in form.errors.items()
            if name not in problems_of(problems, kind)
        ]
        checked.append(Checked(row.number, cells, form, tuple(problems), said))
    return checked


def problems_of(problems: list[str], kind: Kind) -> set[str]:
    """Fields that a problem names already."""
    return {field for column, field in kind.columns.items() if f"{column}: " in "\n".join(problems)}


def _column(kind: Kind, name: str, form) -> str:
    by_field = {field: column for column, field in kind.columns.items()}
    return by_field.get(name) or (str(form.fields[name].label) if name in form.fields else "row")


class _Names:
    """Names as people write them → what the forms take."""

    def __init__(self, options: TripOptions):
        self.options = options
        trip = options.trip
        self.spots: dict[str, list[tuple[int, str]]] = {}
        for site, rows in options.spot_choices[1:]:
            for pk, name in rows:
                self.spots.setdefault(fold(name), []).append((pk, site))
                self.spots.setdefault(fold(f"{site}: {name}"), []).append((pk, site))
        self.planned = [site.name for site in options.planned_sites]
        people = {fold(person.name): person.pk for person in options.people}
        self.known: dict[str, dict[str, object]] = {
            "gear": {fold(name): pk for pk, name in options.gear_choices[1:]},
            "site": {fold(name): pk for pk, name in options.site_choices[1:]},
            "person": people,
            "paid_by": people,
            "layer": _codes(Layer.choices),
            "activity": _codes(HoursBlock.Activity.choices),
            "kind": _codes(Cost.Kind.choices),
        }
        self.day = trip.starts_on.isoformat()

    def put_in(self, kind: Kind, data: dict[str, object]) -> tuple[list[str], str]:
        """Replace names in `data` by what the form takes; the problems, and what is new."""
        problems = []
        for column, field in kind.columns.items():
            if field in self.known and (typed := str(data.get(field, ""))):
                found = self.known[field].get(fold(typed))
                if found is None:
                    offered = ", ".join(self.known[field]) or "none"
                    problems.append(
                        gettext("{column}: “{typed}” isn't known; expected {offered}.").format(
                            column=column, typed=typed[:40], offered=offered
                        )
                    )
                data[field] = "" if found is None else found
        if "day" in kind.columns.values():
            data.setdefault("day", self.day)
        said = ""
        if "spot" in kind.columns.values():
            data.setdefault("layer", Layer.UNKNOWN)
            if kind.model is TestPan and self.options.pan_ml:
                data.setdefault("volume_ml", f"{self.options.pan_ml / 1000:g} L")
            said = self._put_spot(data, problems)
        return problems, said

    def _put_spot(self, data: dict[str, object], problems: list[str]) -> str:
        typed = str(data.pop("spot", ""))
        found = self.spots.get(fold(typed), [])
        if len(found) > 1:
            here = [each for each in found if each[1] in self.planned[:1]]
            found = here or found
        if len(found) > 1:
            at = ", ".join(site for _, site in found)
            problems.append(
                gettext("spot: “{typed}” is at {at}; write the site, a colon, the spot.").format(
                    typed=typed[:40], at=at
                )
            )
        elif found:
            data["spot"] = found[0][0]
        elif typed and self.options.planned_sites:
            site = self.options.planned_sites[0]
            data |= {"new_spot_name": typed, "new_spot_site": site.pk}
            return gettext("new spot at {site}").format(site=site)
        elif typed:
            problems.append(
                gettext("spot: “{typed}” isn't known, and the plan names no site.").format(
                    typed=typed[:40]
                )
            )
        else:
            problems.append(gettext("spot: each row needs one."))
        return ""


def _codes(choices) -> dict[str, object]:
    return {fold(str(word)): code for code, label in choices for word in (code, label)}
