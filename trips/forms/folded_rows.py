"""Rows of a form on a phone: what is filled in each time stands open, the rest is folded."""

from typing import ClassVar

from django import forms
from django.core.exceptions import ValidationError
from django.forms import BoundField
from django.utils.translation import gettext

from claims.web import show

EMPTY = ("–", "---------")
# A choice or a clock that says nothing by itself is shown with its label.
WITH_LABEL = ("paid_by", "began", "ended")


class FoldedRow:
    """Mixin of a row's form: `first` are the fields that stay open, in this order."""

    first: ClassVar[tuple[str, ...]] = ()
    apart: ClassVar[tuple[str, ...]] = ()

    @property
    def first_fields(self) -> list[BoundField]:
        return [self[name] for name in self.first]

    @property
    def folded_fields(self) -> list[BoundField]:
        """The others; a new row is left empty rather than deleted."""
        left_out = {*self.first, *self.apart} | (set() if self.instance.pk else {"DELETE"})
        return [field for field in self.visible_fields() if field.name not in left_out]

    @property
    def folded_said(self) -> str:
        """What the folded fields hold, in one line."""
        said = [words for field in self.folded_fields if (words := in_words(field))]
        return " · ".join(said) or gettext("more")

    @property
    def has_folded_errors(self) -> bool:
        return any(field.errors for field in self.folded_fields)


class FoldedRows:
    """Mixin of a set of such rows: empty ones at its end wait in a fold of their own."""

    @property
    def shown(self) -> list:
        """Rows up to the last that holds or offers something, one at least."""
        rows = list(self)
        held = [n for n, row in enumerate(rows, 1) if row.given or row.has_changed() or row.errors]
        return rows[: max(held, default=1)]

    @property
    def spare(self) -> list:
        return list(self)[len(self.shown) :]


def in_words(field: BoundField) -> str:
    """What stands in a field, as a person would say it; empty for nothing."""
    value = field.value()
    if isinstance(field.field, forms.BooleanField):
        return str(field.label) if value else ""
    if isinstance(field.field, forms.DateField):
        return show.day_typed(field.field, value) if value else ""
    words = chosen(field) if hasattr(field.field.widget, "choices") else str(value or "").strip()
    if words and field.name in WITH_LABEL:
        return f"{field.label}: {words}"
    return words


def chosen(field: BoundField) -> str:
    """The words of the choice that is made in a list; empty where the list's dash stands."""
    value = str(field.value() if field.value() is not None else "")
    flat = []
    for key, words in field.field.widget.choices:
        flat += words if isinstance(words, list | tuple) else [(key, words)]
    found = next((str(words) for key, words in flat if str(key) == value), "")
    return "" if found in EMPTY else found


def amount_in(field: BoundField) -> int | None:
    """The integer that a typed text stands for; None for nothing, or what can't be read."""
    try:
        return field.field.to_python(field.value())
    except ValidationError:
        return None
