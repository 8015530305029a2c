"""Forms about rules: what holds at a site, own rules, a pack of one's own."""

from django import forms
from django.core.exceptions import ValidationError

from claims.forms.ground import MonthDayField
from claims.models import OwnRule, Site
from claims.rules.loader import (
    MAX_BYTES,
    LoadedPack,
    PackError,
    check_together,
    load_text,
    stack,
)
from claims.rules.schema import Pack
from claims.web.fields import CountField, QuantityField
from claims.web.forms import LedgerForm

YES_NO = (("", "not known"), ("yes", "yes"), ("no", "no"))
FAR_M = 1_000_000
# What each shape of own rule needs beside its words.
NEEDS: dict[str, tuple[str, ...]] = {
    "closed": ("closed_from", "closed_until"),
    "no_gear": ("gear_class",),
    "volume": ("most_ml", "period"),
    "people": ("most_people",),
    "depth": ("most_mm",),
}


class SitePacksForm(LedgerForm, forms.ModelForm):
    """Which packs hold at a site, and what kind of ground it is."""

    rule_packs = forms.MultipleChoiceField(
        required=False,
        label="Rule packs that hold here",
        widget=forms.CheckboxSelectMultiple,
        help_text="A pack brings those of the wider place along by itself. None: only your own "
        "notes are looked at.",
    )

    layout = (
        ("", ("rule_packs",)),
        (
            "The ground",
            ("land", "mining_title"),
            "Leave empty what you don't know: every rule that hangs on it then asks.",
        ),
    )

    class Meta:
        model = Site
        fields = ["rule_packs", "land", "mining_title"]
        labels = {"land": "Kind of land", "mining_title": "Mining title over it"}

    def __init__(self, *args, packs: dict[str, LoadedPack], **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["rule_packs"].choices = [
            (name, _pack_words(each, packs)) for name, each in sorted(packs.items())
        ]


def _pack_words(loaded: LoadedPack, packs: dict[str, LoadedPack]) -> str:
    head = loaded.pack.pack
    wider = [each.pack.pack.title for each in stack(packs, head.within)]
    brings = f"; brings along {', '.join(wider)}" if wider else ""
    return f"{head.title} ({head.code}, edition {head.version}){brings}"


class SiteFactsForm(forms.Form):
    """Questions that the packs of a site ask about the site itself; empty is not known."""

    def __init__(self, *args, packs: tuple[Pack, ...], facts: dict[str, dict], **kwargs):
        super().__init__(*args, **kwargs)
        self.groups: list[tuple[str, list[str]]] = []
        for pack in packs:
            names = [*self._areas(pack), *self._questions(pack), *self._distances(pack)]
            if names:
                self.groups.append((pack.pack.title, names))
        for name in self.fields:
            self.initial.setdefault(name, facts.get(name, {}).get("value", ""))

    @property
    def layout(self):
        """Groups for the form's template."""
        return tuple((title, tuple(names)) for title, names in self.groups)

    def _areas(self, pack: Pack) -> list[str]:
        names = []
        for area in pack.area:
            name = f"area:{pack.id}/{area.id}"
            self.fields[name] = forms.ChoiceField(
                choices=YES_NO, required=False, label=f"Does the site lie in {area.title}?"
            )
            names.append(name)
        return names

    def _questions(self, pack: Pack) -> list[str]:
        names = []
        for question in pack.question:
            if question.scope != "site":
                continue
            name = f"answer:{pack.id}/{question.id}"
            choices = [("", "not known"), *((each, each) for each in question.choices)]
            self.fields[name] = forms.ChoiceField(
                choices=choices if question.choices else YES_NO,
                required=False,
                label=question.text,
            )
            names.append(name)
        return names

    def _distances(self, pack: Pack) -> list[str]:
        names = []
        for to in distances_of(pack):
            name = f"distance:{to}"
            if name not in self.fields:
                self.fields[name] = CountField(
                    high=FAR_M,
                    required=False,
                    label=f"Metres from the site to the {to.replace('_', ' ')}",
                )
                names.append(name)
        return names


def distances_of(pack: Pack) -> tuple[str, ...]:
    """What a pack's rules measure the site's distance to, in order."""
    from claims.rules.crosscheck import walk
    from claims.rules.effects import Setback
    from claims.rules.when import DistanceIs

    found = [item.to for _, item in walk(pack.rule) if isinstance(item, DistanceIs | Setback)]
    return tuple(dict.fromkeys(found))


class OwnRuleForm(LedgerForm, forms.ModelForm):
    """A term of a landowner, a club or one's own."""

    closed_from = MonthDayField(required=False, label="First closed day")
    closed_until = MonthDayField(required=False, label="Last closed day")
    most_ml = QuantityField(
        kind="volume", unit="L", low=1, high=10**9, required=False, label="At most, loose gravel"
    )
    most_mm = QuantityField(
        kind="length", unit="cm", low=1, high=50_000, required=False, label="Deepest"
    )
    most_people = CountField(low=1, high=1000, required=False, label="Most people")
    lead_days = CountField(high=366, required=False, label="So many days ahead, or after the end")

    layout = (
        ("The rule", ("site", "shape", "text")),
        (
            "Its particulars",
            (
                ("closed_from", "closed_until"),
                "gear_class",
                ("most_ml", "period"),
                ("most_mm", "most_people"),
                ("due", "lead_days"),
            ),
            "Only what this sort of rule needs; the rest stays empty.",
        ),
        (
            "Where it is from",
            ("agreed_with", "written_where", "dated"),
            "Shown on every checklist beside the rule.",
        ),
        ("How long it holds", (("valid_from", "valid_to"),), "Empty: without a first or last day."),
    )

    class Meta:
        model = OwnRule
        fields = [
            "site",
            "shape",
            "text",
            "closed_from",
            "closed_until",
            "gear_class",
            "most_ml",
            "period",
            "most_mm",
            "most_people",
            "due",
            "lead_days",
            "agreed_with",
            "written_where",
            "dated",
            "valid_from",
            "valid_to",
        ]
        labels = {
            "shape": "What sort of rule",
            "text": "In one sentence",
            "gear_class": "Which gear",
            "period": "Over which time",
            "due": "When it is due",
            "agreed_with": "Who set it, or with whom you agreed it",
            "written_where": "Where it can be read",
            "dated": "Of which date",
            "valid_from": "First day",
            "valid_to": "Last day",
        }
        help_texts = {
            "text": "As the checklist should say it, e.g. “Shut the gate of the lower field.”",
            "written_where": "For example: letter in the glove box; said on the telephone.",
            "dated": "For example 2031-04-02, or undated.",
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["site"].queryset = self.instance.party.sites.all()
        self.fields["site"].empty_label = "Every site"

    def clean(self):
        cleaned = super().clean()
        for name in NEEDS.get(cleaned.get("shape", ""), ()):
            if name in cleaned and cleaned[name] in (None, ""):
                self.add_error(name, ValidationError("This sort of rule needs it.", "needed"))
        first, last = cleaned.get("valid_from"), cleaned.get("valid_to")
        if first and last and last < first:
            self.add_error("valid_to", ValidationError("It can't end before it begins.", "order"))
        return cleaned


class PackUploadForm(forms.Form):
    """A pack as a file. Every mistake is told with its line; nothing of a bad file is kept."""

    file = forms.FileField(label="Pack (TOML)", help_text="One .toml file of at most 2 MB.")

    def __init__(self, *args, packs: dict[str, LoadedPack], **kwargs):
        super().__init__(*args, **kwargs)
        self.packs, self.loaded, self.text = packs, None, ""

    def clean_file(self):
        file = self.cleaned_data["file"]
        if file.size > MAX_BYTES:
            raise ValidationError(
                f"This file has {file.size / 1e6:.1f} MB; a pack has at most "
                f"{MAX_BYTES / 1e6:.0f} MB.",
                "size",
            )
        raw = file.read()
        try:
            self.loaded = load_text(raw, file.name)
        except PackError as error:
            raise ValidationError([str(problem) for problem in error.problems[:40]]) from error
        if self.loaded.pack.pack.level == "own" or self.loaded.id == "own":
            raise ValidationError("“own” is kept for your own rules; give the pack another id.")
        together = check_together({**self.packs, self.loaded.id: self.loaded})
        if together:
            raise ValidationError([str(problem) for problem in together])
        self.text = raw.decode("utf-8")
        return file
