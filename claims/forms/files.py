"""Forms about photos and documents."""

from django import forms
from django.core.exceptions import ValidationError

from claims.models import KeptFile
from claims.pictures import MAX_DOCUMENT_BYTES, MAX_PHOTO_BYTES
from claims.web.forms import LedgerForm

MOST_AT_ONCE = 20
ACCEPT_PHOTOS = "image/jpeg,image/png,image/webp"
LARGEST = max(MAX_PHOTO_BYTES, MAX_DOCUMENT_BYTES)


class _SeveralFiles(forms.ClearableFileInput):
    allow_multiple_selected = True


class SeveralFilesField(forms.FileField):
    """One or more files; each is judged on its own when it is kept."""

    widget = _SeveralFiles

    def clean(self, data, initial=None):
        sent = (list(data) or [None]) if isinstance(data, list | tuple) else [data]
        if len(sent) > MOST_AT_ONCE:
            raise ValidationError(
                f"Expected at most {MOST_AT_ONCE} files at once, not {len(sent)}.", "many"
            )
        return [super(SeveralFilesField, self).clean(each, initial) for each in sent]


class FilesForm(LedgerForm, forms.Form):
    """New files for one thing, with one caption and role for all of them."""

    files = SeveralFilesField(
        label="Files",
        allow_empty_file=True,  # its own sentence names it
        error_messages={"required": "Choose a photo or a PDF."},
    )
    caption = forms.CharField(required=False, max_length=200, label="What it shows")
    role = forms.ChoiceField(
        choices=KeptFile.Role.choices, initial=KeptFile.Role.OTHER, label="Taken"
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["files"].widget.attrs["accept"] = f"{ACCEPT_PHOTOS},application/pdf"
        self.fields["files"].help_text = (
            f"Photos as JPEG, PNG or WebP, or PDFs, at most {LARGEST // 1024 // 1024} MB each; "
            f"up to {MOST_AT_ONCE} at once."
        )


class FileForm(LedgerForm, forms.ModelForm):
    class Meta:
        model = KeptFile
        fields = ["caption", "role"]
        labels = {"caption": "What it shows", "role": "Taken"}
