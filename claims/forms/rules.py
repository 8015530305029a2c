"""Forms about rules: what holds at a site, own rules, a pack of one's own."""

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext, gettext_lazy

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
from claims.web.yeardays import MonthDayField

YES_NO = (("", gettext_lazy("not known")), ("yes", gettext_lazy("yes")), ("no", gettext_lazy("no")))
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
        label=gettext_lazy("Rule packs that hold here"),
        widget=forms.CheckboxSelectMultiple,
        help_text=gettext_lazy(
            "A pack brings those of the wider place along by itself. None: only your own "
            "notes are looked at."
        ),
    )

    layout = (
        ("", ("rule_packs",)),
        (
            gettext_lazy("The ground"),
            ("land", "mining_title"),
            gettext_lazy("Leave empty what you don't know: every rule that hangs on it then asks."),
        ),
    )

    class Meta:
        model = Site
        fields = ["rule_packs", "land", "mining_title"]
        labels = {
            "land": gettext_lazy("Kind of land"),
            "mining_title": gettext_lazy("Mining title over it"),
        }

    def __init__(self, *args, packs: dict[str, LoadedPack], **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["rule_packs"].choices = [
            (name, _pack_words(each, packs)) for name, each in sorted(packs.items())
        ]


def _pack_words(loaded: LoadedPack, packs: dict[str, LoadedPack]) -> str:
    head = loaded.pack.pack
    wider = [each.pack.pack.title for each in stack(packs, head.within)]
    brings = gettext("; brings along {wider}").format(wider=", ".join(wider)) if wider else ""
    return gettext("{title} ({code}, edition {version}){brings}").format(
        title=head.title, code=head.code, version=head.version, brings=brings
    )


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
                choices=YES_NO,
                required=False,
                label=gettext("Does the site lie in {title}?").format(title=area.title),
            )
            names.append(name)
        return names

    def _questions(self, pack: Pack) -> list[str]:
        names = []
        for question in pack.question:
            if question.scope != "site":
                continue
            name = f"answer:{pack.id}/{question.id}"
            choices = [("", gettext("not known")), *((each, each) for each in question.choices)]
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
                    label=gettext("Metres from the site to the {replace}").format(
                        replace=to.replace("_", " ")
                    ),
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

    closed_from = MonthDayField(required=False, label=gettext_lazy("First closed day"))
    closed_until = MonthDayField(required=False, label=gettext_lazy("Last closed day"))
    most_ml = QuantityField(
        kind="volume",
        unit="L",
        low=1,
        high=10**9,
        required=False,
        label=gettext_lazy("At most, loose gravel"),
    )
    most_mm = QuantityField(
        kind="length", unit="cm", low=1, high=50_000, required=False, label=gettext_lazy("Deepest")
    )
    most_people = CountField(low=1, high=1000, required=False, label=gettext_lazy("Most people"))
    lead_days = CountField(
        high=366, required=False, label=gettext_lazy("So many days ahead, or after the end")
    )

    layout = (
        (gettext_lazy("The rule"), ("site", "shape", "text")),
        (
            gettext_lazy("Its particulars"),
            (
                ("closed_from", "closed_until"),
                "gear_class",
                ("most_ml", "period"),
                ("most_mm", "most_people"),
                ("due", "lead_days"),
            ),
            gettext_lazy("Only what this sort of rule needs; the rest stays empty."),
        ),
        (
            gettext_lazy("Where it is from"),
            ("agreed_with", "written_where", "dated"),
            gettext_lazy("Shown on every checklist beside the rule."),
        ),
        (
            gettext_lazy("How long it holds"),
            (("valid_from", "valid_to"),),
            gettext_lazy("Empty: without a first or last day."),
        ),
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
            "shape": gettext_lazy("What sort of rule"),
            "text": gettext_lazy("In one sentence"),
            "gear_class": gettext_lazy("Which gear"),
            "period": gettext_lazy("Over which time"),
            "due": gettext_lazy("When it is due"),
            "agreed_with": gettext_lazy("Who set it, or with whom you agreed it"),
            "written_where": gettext_lazy("Where it can be read"),
            "dated": gettext_lazy("Of which date"),
            "valid_from": gettext_lazy("First day"),
            "valid_to": gettext_lazy("Last day"),
        }
        help_texts = {
            "text": gettext_lazy(
                "As the checklist should say it, e.g. “Shut the gate of the lower field.”"
            ),
            "written_where": gettext_lazy(
                "For example: letter in the glove box; said on the telephone."
            ),
            "dated": gettext_lazy("For example 2031-04-02, or undated."),
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["site"].queryset = self.instance.party.sites.all()
        self.fields["site"].empty_label = gettext("Every site")

    def clean(self):
        cleaned = super().clean()
        for name in NEEDS.get(cleaned.get("shape", ""), ()):
            if name in cleaned and cleaned[name] in (None, ""):
                self.add_error(
                    name, ValidationError(gettext("This sort of rule needs it."), "needed")
                )
        first, last = cleaned.get("valid_from"), cleaned.get("valid_to")
        if first and last and last < first:
            self.add_error(
                "valid_to", ValidationError(gettext("It can't end before it begins."), "order")
            )
        return cleaned


class PackUploadForm(forms.Form):
    """A pack as a file. Every mistake is told with its line; nothing of a bad file is kept."""

    file = forms.FileField(
        label=gettext_lazy("Pack (TOML)"), help_text=gettext_lazy("One .toml file of at most 2 MB.")
    )

    def __init__(self, *args, packs: dict[str, LoadedPack], **kwargs):
        super().__init__(*args, **kwargs)
        self.packs, self.loaded, self.text = packs, None, ""

    def clean_file(self):
        file = self.cleaned_data["file"]
        if file.size > MAX_BYTES:
            raise ValidationError(
                gettext(
                    "This file has {value:.1f} MB; a pack has at most {value_2:.0f} MB."
                ).format(value=file.size / 1000000.0, value_2=MAX_BYTES / 1000000.0),
                "size",
            )
        raw = file.read()
        try:
            self.loaded = load_text(raw, file.name)
        except PackError as error:
            raise ValidationError([str(problem) for problem in error.problems[:40]]) from error
        if self.loaded.pack.pack.level == "own" or self.loaded.id == "own":
            raise ValidationError(
                gettext("“own” is kept for your own rules; give the pack another id.")
            )
        together = check_together({**self.packs, self.loaded.id: self.loaded})
        if together:
            raise ValidationError([str(problem) for problem in together])
        self.text = raw.decode("utf-8")
        return file
