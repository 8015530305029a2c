"""Forms about log-ins, the party and its people."""

import zoneinfo
from functools import cache

from django import forms
from django.contrib.auth.forms import BaseUserCreationForm
from django.core.exceptions import ValidationError
from django.utils.translation import gettext, gettext_lazy

from claims import defaults
from claims.models import Membership, Party, Person, User
from claims.models.party import currency_code
from claims.web.collisions import SEEN
from claims.web.fields import CountField, FinenessField, MoneyField, QuantityField, ScaledField
from claims.web.forms import LedgerForm
from claims.web.tongues import language_choices, region_choices


@cache
def time_zones() -> tuple[tuple[str, str], ...]:
    """UTC, then every place that has a clock of its own, in alphabetical order."""
    places = sorted(
        name
        for name in zoneinfo.available_timezones()
        if "/" in name and not name.startswith(("Etc/", "SystemV/", "posix/", "right/", "US/"))
    )
    return (("UTC", "UTC"), *((name, name.replace("_", " ")) for name in places))


class SignUpForm(BaseUserCreationForm):
    layout = (
        ("", ("username", "first_name", "email")),
        (gettext_lazy("Password"), ("password1", "password2")),
    )

    class Meta:
        model = User
        fields = ["username", "first_name", "email"]
        labels = {
            "username": gettext_lazy("Name to sign in with"),
            "first_name": gettext_lazy("What others call you"),
        }
        help_texts = {
            "username": gettext_lazy("Letters, digits and @ . + - _, no spaces."),
            "first_name": gettext_lazy("Shown on trips. Empty: the name you sign in with."),
            "email": gettext_lazy("Empty is fine; nothing is sent."),
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["password1"].label = gettext("Password")
        self.fields["password1"].help_text = gettext("At least 10 characters, not only digits.")
        self.fields["password2"].label = gettext("The same password again")
        self.fields["password2"].help_text = ""
        self.fields["username"].error_messages["unique"] = gettext(
            "Somebody signs in with this name."
        )


class OwnSettingsForm(LedgerForm, forms.ModelForm):
    layout = (
        (gettext_lazy("You"), ("first_name", "last_name", "email")),
        (
            gettext_lazy("Language and place"),
            ("language", "region", "date_style"),
            gettext_lazy(
                "Used for what you read and for the decimal mark of what you type. Files for other "
                "programs stay as they are."
            ),
        ),
        (
            gettext_lazy("Units"),
            ("mass_unit", "volume_unit", "distance_unit"),
            gettext_lazy("Used for what you read and what you type. Others keep theirs."),
        ),
    )

    language = forms.ChoiceField(choices=language_choices, required=False)
    region = forms.ChoiceField(
        label=gettext_lazy("Numbers, dates and money"), choices=region_choices, required=False
    )
    date_style = forms.ChoiceField(
        label=gettext_lazy("Dates"), choices=User.DateStyle.choices, required=False
    )

    class Meta:
        model = User
        fields = [
            "first_name",
            "last_name",
            "email",
            "language",
            "region",
            "date_style",
            "mass_unit",
            "volume_unit",
            "distance_unit",
        ]
        labels = {
            "mass_unit": gettext_lazy("Gold"),
            "volume_unit": gettext_lazy("Gravel"),
            "distance_unit": gettext_lazy("Roads"),
            "email": gettext_lazy("E-mail"),
        }

    def clean_date_style(self):
        return self.cleaned_data["date_style"] or User.DateStyle.REGION


class _PartyBase(LedgerForm, forms.ModelForm):
    """Reads the hourly figure in the currency that is typed beside it."""

    time_zone = forms.ChoiceField(choices=time_zones, help_text=defaults.TIME_ZONE)
    currency = forms.CharField(max_length=12, help_text=defaults.CURRENCY)
    hourly_figure_minor = MoneyField(
        label=gettext_lazy("Your own hourly figure"), required=False, help_text=defaults.HOURLY
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        typed = self.data.get(self.add_prefix("currency")) or self.instance.currency
        typed = typed.strip().upper()
        if len(typed) == 3 and typed.isascii() and typed.isalpha():
            self.currency = typed
        for field in self.fields.values():
            if isinstance(field, MoneyField):
                field.currency = self.currency

    def clean_currency(self):
        code = self.cleaned_data["currency"].strip().upper()
        currency_code(code)
        return code


class PartyForm(_PartyBase):
    """What a new record needs; everything has a start."""

    layout = (
        ("", ("name", "home_name")),
        (
            gettext_lazy("Where and in what you count"),
            ("time_zone", "currency", "hourly_figure_minor"),
        ),
    )

    class Meta:
        model = Party
        fields = ["name", "home_name", "time_zone", "currency", "hourly_figure_minor"]
        labels = {"name": gettext_lazy("Name of your party"), "home_name": gettext_lazy("Home")}
        help_texts = {
            "name": gettext_lazy("One person is a party too."),
            "home_name": gettext_lazy("The place your drives start from. A name is enough."),
        }


class PartyDefaultsForm(_PartyBase):
    """A party's defaults with where each comes from."""

    fineness = FinenessField(label=gettext_lazy("Fineness"), help_text=defaults.FINENESS)
    payable_ppt = ScaledField(
        scale=10,
        unit_label="%",
        high=1000,
        label=gettext_lazy("Payable share"),
        help_text=defaults.PAYABLE,
    )
    pan_volume_ml = QuantityField(
        kind="volume",
        unit="L",
        low=1,
        high=100_000,
        required=False,
        label=gettext_lazy("What your pan holds"),
        help_text=defaults.PAN_VOLUME,
    )
    fuel_price_milli_per_l = ScaledField(
        scale=1000,
        low=1,
        high=2_000_000_000,
        required=False,
        label=gettext_lazy("Fuel price"),
        help_text=defaults.FUEL_PRICE,
    )
    coarse_mass_ug = QuantityField(
        kind="mass", unit="mg", low=1, high=1_000_000_000, label=gettext_lazy("Coarse")
    )
    medium_mass_ug = QuantityField(
        kind="mass", unit="mg", low=1, high=1_000_000_000, label=gettext_lazy("Medium")
    )
    fine_mass_ug = QuantityField(
        kind="mass", unit="mg", low=1, high=1_000_000_000, label=gettext_lazy("Fine")
    )

    layout = (
        (
            gettext_lazy("The party"),
            ("name", "home_name", "time_zone", "currency", "hourly_figure_minor"),
        ),
        (gettext_lazy("Gold"), ("fineness", "payable_ppt")),
        (gettext_lazy("At the creek"), ("pan_volume_ml", "fuel_price_milli_per_l")),
        (
            gettext_lazy("Colours in words"),
            ("coarse_words", "medium_words", "fine_words"),
            defaults.COLOUR_WORDS,
        ),
        (
            gettext_lazy("What one colour weighs"),
            ("coarse_mass_ug", "medium_mass_ug", "fine_mass_ug"),
            defaults.COLOUR_MASS,
        ),
        (gettext_lazy("Photos"), ("keeps_photo_place",)),
    )

    class Meta:
        model = Party
        fields = [
            "name",
            "home_name",
            "time_zone",
            "currency",
            "hourly_figure_minor",
            "fineness",
            "payable_ppt",
            "pan_volume_ml",
            "fuel_price_milli_per_l",
            "coarse_words",
            "medium_words",
            "fine_words",
            "coarse_mass_ug",
            "medium_mass_ug",
            "fine_mass_ug",
            "keeps_photo_place",
        ]
        labels = {
            "name": gettext_lazy("Name"),
            "home_name": gettext_lazy("Home"),
            "coarse_words": gettext_lazy("Coarse is"),
            "medium_words": gettext_lazy("Medium is"),
            "fine_words": gettext_lazy("Fine is"),
            "keeps_photo_place": gettext_lazy("Keep where and when photos were taken"),
        }
        help_texts = {"keeps_photo_place": defaults.PHOTO_PLACE}

    def __init__(self, *args, currency_is_fixed: bool = False, **kwargs):
        super().__init__(*args, **kwargs)
        if currency_is_fixed:
            # A disabled field keeps its value whatever is sent.
            self.fields["currency"].disabled = True
            self.fields["currency"].help_text = gettext(
                "Amounts are recorded in it, so it can't change any more."
            )
            self.currency = self.instance.currency
            self.fields["hourly_figure_minor"].currency = self.currency
        self.fields["fuel_price_milli_per_l"].unit_label = gettext("{currency} per litre").format(
            currency=self.currency
        )
        for name in ("coarse_mass_ug", "medium_mass_ug", "fine_mass_ug"):
            # Colours are told in milligrams, whatever unit weigh-ins are in.
            self.fields[name].unit = "mg"

    def clean(self):
        cleaned = super().clean()
        sizes = [cleaned.get(f"{name}_mass_ug") for name in ("coarse", "medium", "fine")]
        if None not in sizes and not sizes[0] >= sizes[1] >= sizes[2]:
            self.add_error(
                "medium_mass_ug",
                ValidationError(
                    gettext(
                        "A coarse colour weighs at least as much as a "
                        "medium one, and that at least as much as a "
                        "fine one."
                    ),
                    "order",
                ),
            )
        return cleaned


class PersonForm(LedgerForm, forms.ModelForm):
    birth_year = CountField(
        low=1900, high=2100, required=False, label=gettext_lazy("Year of birth")
    )

    class Meta:
        model = Person
        fields = ["name", "phone", "age_group", "birth_year", "is_active"]
        labels = {"is_active": gettext_lazy("Still comes along"), "age_group": gettext_lazy("Age")}
        help_texts = {
            "name": gettext_lazy("As on trips and shares."),
            "phone": gettext_lazy("For the trip sheet."),
            "age_group": gettext_lazy("Some rules ask for it. Empty: not known, and they ask."),
            "birth_year": gettext_lazy("Only needed for young people."),
            "is_active": gettext_lazy(
                "Taken away from new trips when not ticked; old trips keep the name."
            ),
        }

    def clean_name(self):
        name = self.cleaned_data["name"]
        same = Person.objects.filter(party=self.instance.party, name=name)
        if same.exclude(pk=self.instance.pk).exists():
            raise ValidationError(
                gettext("There is somebody of this name in the party already."), "unique"
            )
        return name


ROLE_HINT = gettext_lazy(
    "A reader looks. A hand also adds sites, holes and field records. A keeper changes "
    "everything, papers and people too."
)


class RoleForm(forms.Form):
    role = forms.ChoiceField(
        label=gettext_lazy("Role"),
        choices=Membership.Role.choices,
        widget=forms.RadioSelect,
        help_text=ROLE_HINT,
    )


class MemberRoleForm(RoleForm):
    """A member's other role; knows which one its page showed.

    A role is one choice, so what was shown stands where other forms carry a version.
    """

    def __init__(self, *args, member: Membership, **kwargs):
        super().__init__(*args, initial={"role": member.role, SEEN: member.role}, **kwargs)
        self.member = member
        self.fields[SEEN] = forms.CharField(required=False, widget=forms.HiddenInput)

    def clean(self):
        data = super().clean()
        seen = data.pop(SEEN, "")
        if seen and seen != self.member.role:
            self.data = self.data.copy()
            self.data[SEEN] = self.member.role
            raise ValidationError(
                gettext(
                    "Somebody else saved this while you were writing: {user} is now a {role}. "
                    "Saving again keeps what stands below."
                ).format(user=self.member.user, role=self.member.get_role_display()),
                code="changed_meanwhile",
            )
        return data
