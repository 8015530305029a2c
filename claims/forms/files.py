"""Forms about photos and documents."""

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext, gettext_lazy

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
                gettext("Expected at most {MOST_AT_ONCE} files at once, not {sent}.").format(
                    MOST_AT_ONCE=MOST_AT_ONCE, sent=len(sent)
                ),
                "many",
            )
        return [super(SeveralFilesField, self).clean(each, initial) for each in sent]


class FilesForm(LedgerForm, forms.Form):
    """New files for one thing, with one caption and role for all of them."""

    files = SeveralFilesField(
        label=gettext_lazy("Files"),
        allow_empty_file=True,  # its own sentence names it
        error_messages={"required": gettext_lazy("Choose a photo or a PDF.")},
    )
    caption = forms.CharField(required=False, max_length=200, label=gettext_lazy("What it shows"))
    role = forms.ChoiceField(
        choices=KeptFile.Role.choices,
        initial=KeptFile.Role.OTHER,
        label=gettext_lazy("Before or after the work"),
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["files"].widget.attrs["accept"] = f"{ACCEPT_PHOTOS},application/pdf"
        self.fields["files"].help_text = gettext(
            "Photos as JPEG, PNG or WebP, or PDFs, at most {value} MB each; up to "
            "{MOST_AT_ONCE} at once."
        ).format(value=LARGEST // 1024 // 1024, MOST_AT_ONCE=MOST_AT_ONCE)


class FileForm(LedgerForm, forms.ModelForm):
    class Meta:
        model = KeptFile
        fields = ["caption", "role"]
        labels = {
            "caption": gettext_lazy("What it shows"),
            "role": gettext_lazy("Before or after the work"),
        }
