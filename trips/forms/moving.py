"""The form that takes a whole record."""

from django import forms
from django.utils.translation import gettext, gettext_lazy

MAX_BYTES = 2_000_000_000


class BringInForm(forms.Form):
    """One file."""

    file = forms.FileField(
        label=gettext_lazy("The file"),
        help_text=gettext_lazy("The zip that “Everything as one file” made, of at most 2 GB."),
        widget=forms.ClearableFileInput(attrs={"accept": ".zip"}),
    )

    def clean_file(self):
        file = self.cleaned_data["file"]
        if file.size > MAX_BYTES:
            raise forms.ValidationError(gettext("The file is larger than 2 GB."))
        return file
