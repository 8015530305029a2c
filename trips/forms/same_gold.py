"""The question that a form asks about a weigh-in that is there already: is it the same gold?"""

from django import forms
from django.utils.translation import gettext, gettext_lazy

from claims.web import show
from trips.models import Trip, WeighIn


class AsksSameGold(forms.Form):
    """A box that is only shown after two weigh-ins of one trip and day had the same readings."""

    is_other_gold = forms.BooleanField(
        required=False, label=gettext_lazy("It is other gold of the same weight")
    )

    def ask_same_gold(self, trip: Trip, instance: WeighIn | None = None) -> None:
        """Call it last in `clean`; one query. A reading that wasn't changed isn't asked about."""
        data = self.cleaned_data
        answered = data.pop("is_other_gold", False)
        names = ("weighed_on", "gross_ug", "tare_ug")
        reading = {name: data.get(name) for name in names}
        kept = instance is not None and all(
            getattr(instance, name) == reading[name] for name in names
        )
        if not kept and None not in reading.values():
            same = WeighIn.objects.filter(trip=trip, **reading)
            if instance is not None:
                same = same.exclude(pk=instance.pk)
            if same.exists():
                if not answered:
                    self.add_error(
                        "is_other_gold",
                        gettext(
                            "A weigh-in of this trip on {day} shows the same readings. Is it the "
                            "same gold? Then it is saved already: leave this page, or it would "
                            "count twice. If it is other gold, tick the box."
                        ).format(day=show.day(reading["weighed_on"])),
                    )
                return
        if "is_other_gold" in self.fields:
            del self.fields["is_other_gold"]
