"""The form that takes a whole record."""

from django import forms

MAX_BYTES = 2_000_000_000


class BringInForm(forms.Form):
    """One file."""

    file = forms.FileField(
        label="The file",
        help_text="The zip that “Everything as one file” made, of at most 2 GB.",
        widget=forms.ClearableFileInput(attrs={"accept": ".zip"}),
    )

    def clean_file(self):
        file = self.cleaned_data["file"]
        if file.size > MAX_BYTES:
            raise forms.ValidationError("The file is larger than 2 GB.")
        return file
