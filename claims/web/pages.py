"""The page around a form."""

from dataclasses import dataclass

from django.forms import BaseForm


@dataclass(frozen=True)
class FormPage:
    """A title, a form, the words of its button and the way back."""

    title: str
    form: BaseForm
    submit: str = "Save"
    cancel: str = ""
    intro: str = ""
    crumb: str = ""


@dataclass(frozen=True)
class DeletePage:
    """What would be deleted, what goes with it, and the way back."""

    title: str
    what: str
    also: str = ""
    cancel: str = ""
    crumb: str = ""
