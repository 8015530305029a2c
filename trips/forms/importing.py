"""Forms for past trips from a spreadsheet: the file, and what its columns hold."""

from django import forms
from django.utils.translation import gettext, gettext_lazy

from trips.calc import units
from trips.calc.sheet_columns import TARGETS, guess_columns
from trips.calc.sheet_file import MAX_BYTES, SheetError, read_file
from trips.calc.words import say

DAY_ORDERS = (
    ("", gettext_lazy("year first: 2031-05-03")),
    ("day", gettext_lazy("day first: 3.5.2031 or 03/05/2031 is 3 May")),
    ("month", gettext_lazy("month first: 05/03/2031 is 3 May")),
)
UNITS = (
    ("mass", gettext_lazy("Gold is in")),
    ("volume", gettext_lazy("Gravel is in")),
    ("distance", gettext_lazy("Distance is in")),
)


class ImportFileForm(forms.Form):
    """A CSV or XLSX file, or text pasted from a spreadsheet; cleans to `sheet`."""

    file = forms.FileField(required=False, label=gettext_lazy("CSV or XLSX file"))
    text = forms.CharField(
        required=False,
        label=gettext_lazy("Or paste the lines, headers first"),
        max_length=MAX_BYTES // 5,
        widget=forms.Textarea(attrs={"rows": 6, "spellcheck": "false"}),
    )

    def clean(self):
        cleaned = super().clean()
        file, text = cleaned.get("file"), cleaned.get("text", "").strip()
        if self.errors:
            return cleaned
        if bool(file) == bool(text):
            raise forms.ValidationError(gettext("Choose a file or paste lines: one of the two."))
        if file and file.size > MAX_BYTES:
            self.add_error(
                "file",
                gettext("It has {size:,} bytes; at most {MAX_BYTES:,} were expected.").format(
                    size=file.size, MAX_BYTES=MAX_BYTES
                ),
            )
            return cleaned
        try:
            cleaned["sheet"] = read_file(file.read() if file else text.encode())
        except SheetError as error:
            self.add_error("file" if file else "text", str(error))
        cleaned["name"] = file.name[:120] if file else gettext("pasted lines")
        return cleaned


class ImportColumnsForm(forms.Form):
    """Which column holds what, in which units, and what to do with unknown names."""

    def __init__(self, *args, headers, units_here, **kwargs):
        super().__init__(*args, **kwargs)
        columns = [("", gettext("– not in the file"))]
        columns += [(str(number), header) for number, header in enumerate(headers)]
        guess = guess_columns(headers)
        for target in TARGETS:
            self.fields[f"column_{target.key}"] = forms.ChoiceField(
                choices=columns,
                required=target.needed,
                label=target.label,
                help_text=say(target.hint),
                initial=str(guess[target.key]) if target.key in guess else "",
                error_messages={
                    "required": gettext("Say which column holds: {lower}.").format(
                        lower=target.label.lower()
                    )
                },
            )
        self.fields["day_order"] = forms.ChoiceField(
            choices=DAY_ORDERS, required=False, label=gettext("How days are written")
        )
        for kind, label in UNITS:
            self.fields[f"{kind}_unit"] = forms.ChoiceField(
                choices=units.choices(kind), label=label, initial=units_here[kind]
            )
        self.fields["make_sites"] = forms.BooleanField(
            required=False,
            initial=True,
            label=gettext("Add sites that this record doesn't have yet"),
        )
        self.fields["make_people"] = forms.BooleanField(
            required=False,
            initial=True,
            label=gettext("Add people that this record doesn't have yet"),
        )
        names = tuple(f"column_{target.key}" for target in TARGETS)
        self.layout = (
            (gettext("Columns"), names),
            (
                gettext("How it is written"),
                ("day_order", "mass_unit", "volume_unit", "distance_unit"),
            ),
            (gettext("Names"), ("make_sites", "make_people")),
        )

    def clean(self):
        cleaned = super().clean()
        taken: dict[str, str] = {}
        for target in TARGETS:
            column = cleaned.get(f"column_{target.key}")
            if column and column in taken:
                self.add_error(
                    f"column_{target.key}",
                    gettext("This column is already taken for: {taken}.").format(
                        taken=taken[column]
                    ),
                )
            elif column:
                taken[column] = target.label.lower()
        return cleaned

    def choices(self) -> dict:
        """What was said, as it is kept with the file."""
        cleaned = self.cleaned_data
        return {
            "columns": {
                target.key: int(cleaned[f"column_{target.key}"])
                for target in TARGETS
                if cleaned[f"column_{target.key}"]
            },
            "day_order": cleaned["day_order"],
            "make_sites": cleaned["make_sites"],
            "make_people": cleaned["make_people"],
            **{f"{kind}_unit": cleaned[f"{kind}_unit"] for kind, _ in UNITS},
        }
