"""The page around a form."""

from dataclasses import dataclass

from django.forms import BaseForm
from django.utils.translation import gettext_lazy

# What a new record asks, in this order; every step may be skipped.
FIRST_RUN = (
    gettext_lazy("Home"),
    gettext_lazy("Car"),
    gettext_lazy("Gear"),
    gettext_lazy("First site"),
    gettext_lazy("First plan"),
)


@dataclass(frozen=True)
class FormPage:
    """A title, a form, the words of its button and the way back.

    `step` is the place in the first run, from 1 (0: not part of it); `skip` is where leaving the
    step out leads.
    """

    title: str
    form: BaseForm
    submit: str = gettext_lazy("Save")
    cancel: str = ""
    intro: str = ""
    crumb: str = ""
    step: int = 0
    skip: str = ""

    @property
    def steps(self) -> tuple[tuple[str, str], ...]:
        """(words, "done", "now" or "") of each step of the first run."""
        if not self.step:
            return ()
        state = {True: "done", False: ""}
        return tuple(
            (f"{number} {words}", "now" if number == self.step else state[number < self.step])
            for number, words in enumerate(FIRST_RUN, start=1)
        )


@dataclass(frozen=True)
class DeletePage:
    """What would be deleted, what goes with it, and the way back."""

    title: str
    what: str
    also: str = ""
    cancel: str = ""
    crumb: str = ""
