"""An answer to one line of a checklist."""

from django import forms


class AnswerForm(forms.Form):
    """Which site and line, the answer chosen (empty takes it back), and a note."""

    site = forms.IntegerField(min_value=1, max_value=2**31)
    key = forms.CharField(max_length=200)
    value = forms.CharField(max_length=120, required=False)
    begins = forms.CharField(max_length=5, required=False)
    ends = forms.CharField(max_length=5, required=False)
    take_back = forms.BooleanField(required=False)
    note = forms.CharField(max_length=300, required=False)

    def clean(self):
        """Hours come as two fields; an empty answer would take one back, so it has to be meant."""
        cleaned = super().clean()
        if cleaned.get("begins") or cleaned.get("ends"):
            cleaned["value"] = f"{cleaned.get('begins', '')}-{cleaned.get('ends', '')}"
        if cleaned.get("take_back"):
            cleaned["value"] = ""
        return cleaned

    @property
    def problems(self) -> str:
        """What is wrong, in one sentence a field."""
        return " ".join(
            f"{self.fields[name].label or name}: {' '.join(errors)}"
            for name, errors in self.errors.items()
            if name in self.fields
        )
