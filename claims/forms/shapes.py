"""The form of a site's outline and radius."""

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext, gettext_lazy

from claims.models import SiteShape
from claims.models.shapes import RADIUS_M
from claims.rules.outline import MAX_CHARACTERS, OutlineError, as_lines, read_outline
from claims.web.fields import CountField
from claims.web.forms import LedgerForm

RADIUS = gettext_lazy(
    "Who is nearer than this to the site's position is on site, when a track is read. 300 m is a "
    "start of our own."
)
OUTLINE = gettext_lazy(
    "One corner a line, latitude first: 46.5012, 7.9034. An empty line begins a second outline. "
    "GeoJSON can be pasted too."
)


class ShapeForm(LedgerForm, forms.ModelForm):
    """Cleans to `polygons`: typed lines, pasted GeoJSON or a file, whichever was given."""

    outline_text = forms.CharField(
        required=False,
        strip=False,
        label=gettext_lazy("Corners of the outline"),
        help_text=OUTLINE,
        widget=forms.Textarea(attrs={"rows": 10, "spellcheck": "false", "autocomplete": "off"}),
    )
    file = forms.FileField(
        required=False,
        allow_empty_file=True,
        label=gettext_lazy("Or a GeoJSON file"),
        help_text=gettext_lazy("It takes the place of the corners above."),
        widget=forms.ClearableFileInput(attrs={"accept": ".geojson,.json,application/geo+json"}),
    )
    radius_m = CountField(
        low=10, high=20_000, label=gettext_lazy("Radius of the site"), help_text=RADIUS
    )

    layout = (("", ("outline_text", "file", "radius_m")),)

    class Meta:
        model = SiteShape
        fields = ["radius_m"]

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["radius_m"].unit_label = "m"
        self.initial.setdefault("outline_text", as_lines(self.instance.outline))
        if self.instance.pk is None:
            self.initial["radius_m"] = RADIUS_M

    def clean(self):
        cleaned = super().clean()
        file = cleaned.get("file")
        name = "file" if file else "outline_text"
        site = self.instance.site
        near = None
        if site.latitude_udeg is not None:
            near = (site.latitude_udeg, site.longitude_udeg)
        try:
            text = _text_of(file) if file else cleaned.get("outline_text", "")
            polygons = read_outline(text, near)
            if file and not polygons:
                raise OutlineError(gettext("The file is empty. Choose it again."))
        except OutlineError as error:
            self.add_error(name, ValidationError(str(error), "outline"))
        else:
            self.instance.outline = polygons
        return cleaned


def _text_of(file) -> str:
    if file.size > MAX_CHARACTERS:  # read into memory only below that
        raise OutlineError(
            gettext(
                "The file has {size:,} bytes; at most {MAX_CHARACTERS:,} are taken. "
                "Save the outline with fewer points."
            ).format(size=file.size, MAX_CHARACTERS=MAX_CHARACTERS)
        )
    try:
        return file.read().decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise OutlineError(
            gettext("The file isn't text in UTF-8 (byte {start}). Expected GeoJSON.").format(
                start=error.start
            )
        ) from error
