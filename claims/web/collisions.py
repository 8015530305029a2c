"""Two people change the same row: the second to save is shown both versions, and chooses."""

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext

from claims.models.fact import Versioned
from claims.web import show

SEEN = "seen_version"


class ShowsCollisions:
    """Mixin for model forms: carries the version that was read through the page and back.

    A form for a stored row has a hidden box with the row's version. When another one is stored
    by the time the form comes back, nothing is saved: the message says who saved what, and what
    was typed here stays in the boxes. Saving once more keeps what is typed.
    """

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        row = getattr(self, "instance", None)
        if isinstance(row, Versioned) and row.pk:
            self.fields[SEEN] = forms.IntegerField(
                required=False, widget=forms.HiddenInput, initial=row.version
            )

    def clean(self):
        data = super().clean()
        data = self.cleaned_data if data is None else data
        seen = data.pop(SEEN, None)
        if seen is not None and seen != self.fields[SEEN].initial:
            self._take_version()
            raise ValidationError(self._both_versions(), code="changed_meanwhile")
        return data

    def _take_version(self):
        """The form that is shown again knows the version whose differences it shows."""
        self.data = self.data.copy()
        self.data[self.add_prefix(SEEN)] = str(self.fields[SEEN].initial)

    def _both_versions(self) -> str:
        last = self.instance.history.select_related("history_user").first()
        who = f"{last.history_user}" if last and last.history_user else gettext("Somebody else")
        different = [
            gettext("{label}: “{stored}” is stored, you wrote “{typed}”").format(
                label=bound.label, stored=stored, typed=typed
            )
            for bound in self.visible_fields()
            if (stored := _shown(bound, bound.initial)) != (typed := _shown(bound, bound.data))
        ]
        differences = (
            "; ".join(different) if different else gettext("what is stored is what you wrote")
        )
        return gettext(
            "{who} saved this while you were writing. {differences}. Correct what "
            "is below if need be; saving again keeps what stands below."
        ).format(who=who, differences=differences)


def _shown(bound, value) -> str:
    """A value as the box shows it: a choice by its words, an empty one as nothing."""
    value = bound.field.prepare_value(value)
    if isinstance(bound.field, forms.BooleanField):
        return "yes" if value in (True, "on", "True", "true", "1") else "no"
    if isinstance(value, (list, tuple, set)):
        return ", ".join(sorted(_words(bound, each) for each in value))
    return _words(bound, value)


def _words(bound, value) -> str:
    # Only a widget that offers its choices itself: a query isn't run for words.
    for key, words in getattr(bound.field.widget, "choices", ()) or ():
        if str(key) == str("" if value is None else value):
            return str(words)
    if isinstance(bound.field, forms.DateField):
        return show.day_typed(bound.field, value)
    if hasattr(value, "isoformat"):
        return value.isoformat()
    return "" if value is None else str(value).strip()
