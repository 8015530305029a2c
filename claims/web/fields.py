"""Form fields that read what people type: their units, either decimal mark, any script's digits.

Each field turns text into the integer that the database stores and back; a value that
can't be read stays in the form as typed, with a sentence that says what was expected.
"""

from __future__ import annotations

import re
from decimal import Decimal

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext, gettext_lazy

from trips.calc import local, money, units
from trips.calc.errors import CalcError
from trips.calc.numbers import parse_decimal as parse_any

LONGEST = 60


def parse_decimal(text: str) -> Decimal:
    """One number by the reader's own decimal mark; the other mark is read where it is certain."""
    return parse_any(text, local.decimal_mark())


class TypedField(forms.Field):
    """A text box whose clean value is an integer, or None when left empty."""

    widget = forms.TextInput
    unit_label = ""

    def __init__(self, **kwargs):
        super().__init__(**kwargs)
        self.widget.attrs.setdefault("autocomplete", "off")

    def to_python(self, value):
        if value is None or isinstance(value, int):
            return value
        text = str(value).strip()
        if len(text) > LONGEST:
            raise ValidationError(
                gettext("Expected at most {LONGEST} characters, not {text}.").format(
                    LONGEST=LONGEST, text=len(text)
                ),
                "length",
            )
        return self.read(text) if text else None

    def prepare_value(self, value):
        return self.show(value) if isinstance(value, int) else value

    def has_changed(self, initial, data):
        try:
            return self.to_python(data) != initial
        except ValidationError:
            return True


class QuantityField(TypedField):
    """Mass, volume, distance or length in the person's unit; "3 dwt" overrides it.

    Args:
        kind: a kind of `trips.calc.units`, e.g. "mass"; the clean value is in its base unit.
        unit: code of the unit taken when none is typed; forms set it from the person's choice.
        low, high: bounds in the base unit, both allowed.
    """

    def __init__(self, *, kind: str, unit: str, low: int = 0, high: int, **kwargs):
        self.kind, self.unit, self.low, self.high = kind, unit, low, high
        super().__init__(**kwargs)
        self.widget.attrs["inputmode"] = "decimal"

    @property
    def unit_label(self) -> str:
        return units.unit(self.kind, self.unit).label

    def read(self, text: str) -> int:
        number, word = _split_unit(text)
        unit = self._unit_of(word)
        try:
            base = units.to_base(parse_decimal(number), unit)
        except CalcError as error:
            raise ValidationError(str(error), "number") from error
        if not self.low <= base <= self.high:
            low, high = (_shortest(limit, unit) for limit in (self.low, self.high))
            raise ValidationError(
                gettext("Expected a number from {low} to {high} {label}, not {strip}.").format(
                    low=low, high=high, label=unit.label, strip=number.strip()
                ),
                "range",
            )
        return base

    def show(self, value: int) -> str:
        return _shortest(value, units.unit(self.kind, self.unit))

    def _unit_of(self, word: str) -> units.Unit:
        """The unit that a typed word names; no word: the field's own."""
        if not word:
            return units.unit(self.kind, self.unit)
        plain = word.casefold().replace(" ", "").rstrip(".")
        for each in units.UNITS[self.kind].values():
            names = {each.code, each.label, each.code.replace("_", "")}
            if plain in {name.casefold().replace(" ", "") for name in names}:
                return each
        known = ", ".join(each.label for each in units.UNITS[self.kind].values())
        raise ValidationError(
            gettext("“{word}” is not a unit of {kind}; write {known}.").format(
                word=word, kind=self.kind, known=known
            ),
            "unit",
        )


class MoneyField(TypedField):
    """An amount in the party's currency; another currency is refused, never converted."""

    def __init__(self, *, currency: str = "EUR", low: int = 0, high: int = 10**12, **kwargs):
        self.currency, self.low, self.high = currency, low, high
        super().__init__(**kwargs)
        self.widget.attrs["inputmode"] = "decimal"

    @property
    def unit_label(self) -> str:
        return self.currency

    def read(self, text: str) -> int:
        number, word = _split_unit(text)
        if word and word.upper() != self.currency:
            raise ValidationError(
                gettext(
                    "This record counts in {currency}; {strip} would mix currencies. Write "
                    "the amount in {currency}."
                ).format(currency=self.currency, strip=text.strip()),
                "currency",
            )
        try:
            minor = money.to_minor_exact(parse_decimal(number), self.currency)
        except CalcError as error:
            raise ValidationError(str(error), "number") from error
        if not self.low <= minor <= self.high:
            low, high = (money.from_minor(v, self.currency) for v in (self.low, self.high))
            raise ValidationError(
                gettext("Expected an amount from {low} to {high} {currency}, not {strip}.").format(
                    low=low, high=high, currency=self.currency, strip=number.strip()
                ),
                "range",
            )
        return minor

    def show(self, value: int) -> str:
        return str(money.from_minor(value, self.currency)).replace(".", local.decimal_mark())


class ScaledField(TypedField):
    """A plain number kept as an integer multiple, e.g. a price in thousandths.

    Args:
        scale: how many stored steps make one, e.g. 1000.
        unit_label: what stands beside the box.
    """

    def __init__(self, *, scale: int, unit_label: str = "", low: int = 0, high: int, **kwargs):
        self.scale, self.unit_label, self.low, self.high = scale, unit_label, low, high
        super().__init__(**kwargs)
        self.widget.attrs["inputmode"] = "decimal"

    def read(self, text: str) -> int:
        try:
            number = parse_decimal(text)
        except CalcError as error:
            raise ValidationError(str(error), "number") from error
        stored = number * self.scale
        if stored != int(stored):
            raise ValidationError(
                gettext("At most {value} digits after the decimal mark, not {text}.").format(
                    value=len(str(self.scale)) - 1, text=text
                ),
                "digits",
            )
        if not self.low <= stored <= self.high:
            low, high = (_plain(Decimal(v) / self.scale) for v in (self.low, self.high))
            raise ValidationError(
                gettext("Expected a number from {low} to {high}, not {text}.").format(
                    low=low, high=high, text=text
                ),
                "range",
            )
        return int(stored)

    def show(self, value: int) -> str:
        return _plain(Decimal(value) / self.scale)


class CountField(TypedField):
    """A whole number; empty is "not counted", which is not zero."""

    def __init__(self, *, low: int = 0, high: int = 100_000, **kwargs):
        self.low, self.high = low, high
        super().__init__(**kwargs)
        self.widget.attrs["inputmode"] = "numeric"

    unit_label = ""

    def read(self, text: str) -> int:
        try:
            number = parse_decimal(text)
        except CalcError as error:
            raise ValidationError(str(error), "number") from error
        if number != int(number) or not self.low <= number <= self.high:
            raise ValidationError(
                gettext("Expected a whole number from {low} to {high}, not {text}.").format(
                    low=self.low, high=self.high, text=text
                ),
                "range",
            )
        return int(number)

    def show(self, value: int) -> str:
        return str(value)


class FinenessField(CountField):
    """Parts of gold per thousand. A number that looks like karat is asked about."""

    unit_label = "‰"

    def __init__(self, **kwargs):
        kwargs.setdefault(
            "help_text", gettext_lazy("Parts of gold per thousand of all metal, e.g. 885.")
        )
        super().__init__(low=0, high=1000, **kwargs)

    def read(self, text: str) -> int:
        value = super().read(text)
        if units.looks_like_karat(value):
            fine = units.fineness_from_karat(Decimal(value)) if value else 0
            raise ValidationError(
                gettext("Fineness is parts per thousand. {value} looks like karat").format(
                    value=value
                )
                + (
                    gettext("; {value} karat is {fine} fine.").format(value=value, fine=fine)
                    if fine
                    else "."
                ),
                "karat",
            )
        return value


class MinutesField(TypedField):
    """A length of time as people write it: 1:30, 1.5 h, 90 min, 2h15, or minutes alone."""

    unit_label = "h:min"
    PATTERNS = (
        re.compile(r"^(?P<h>\d{1,3}):(?P<m>\d{1,2})$"),
        re.compile(r"^(?P<h>\d{1,3})\s*h\s*(?P<m>\d{1,2})?\s*(m|min)?$"),
        re.compile(r"^(?P<m>\d{1,4})\s*(m|min)$"),
    )

    def __init__(self, *, low: int = 0, high: int = 1440, **kwargs):
        self.low, self.high = low, high
        kwargs.setdefault("help_text", gettext_lazy("For example 1:30, 1.5 h or 90 min."))
        super().__init__(**kwargs)

    def read(self, text: str) -> int:
        minutes = self._minutes(text.strip().lower())
        if minutes is None:
            raise ValidationError(
                gettext("Expected a time such as 1:30, 1.5 h or 90 min, not {text}.").format(
                    text=text
                ),
                "time",
            )
        if not self.low <= minutes <= self.high:
            raise ValidationError(
                gettext("Expected {low} to {high} (hours:minutes), not {text}.").format(
                    low=self.show(self.low), high=self.show(self.high), text=text
                ),
                "range",
            )
        return minutes

    def _minutes(self, text: str) -> int | None:
        for pattern in self.PATTERNS:
            if found := pattern.match(text):
                hours = int(found.groupdict().get("h") or 0)
                minutes = int(found.group("m") or 0)
                return None if hours and minutes > 59 else hours * 60 + minutes
        try:
            hours = parse_decimal(text.removesuffix("hours").removesuffix("h").strip())
        except CalcError:
            return None
        return int((hours * 60).to_integral_value())

    def show(self, value: int) -> str:
        return f"{value // 60}:{value % 60:02d}"


class PositionField(forms.CharField):
    """Latitude and longitude in degrees in one box: "46.5012, 7.9034" → millionths of a degree."""

    def __init__(self, **kwargs):
        kwargs.setdefault("help_text", gettext_lazy("Degrees, latitude first: 46.5012, 7.9034"))
        kwargs.setdefault("max_length", 60)
        super().__init__(**kwargs)

    def to_python(self, value):
        if isinstance(value, tuple):
            return value
        text = super().to_python(value)
        if text in self.empty_values:
            return None
        parts = [part.strip(" ,") for part in re.split(r"[;\s]+", text.strip()) if part.strip(" ,")]
        if len(parts) == 1:
            parts = parts[0].split(",")
        problem = ValidationError(
            gettext(
                "Expected latitude and longitude in degrees, such as 46.5012, 7.9034, not {text}."
            ).format(text=text),
            "position",
        )
        if len(parts) != 2:
            raise problem
        try:
            lat, lon = (int((parse_any(p) * 1_000_000).to_integral_value()) for p in parts)
        except CalcError as error:
            raise problem from error
        if abs(lat) > 90_000_000 or abs(lon) > 180_000_000:
            raise problem
        return lat, lon

    def prepare_value(self, value):
        if isinstance(value, tuple):
            # Always points: a comma parts the two.
            return ", ".join(_plain(Decimal(p) / 1_000_000).replace(",", ".") for p in value)
        return value


class RowChoices(forms.ModelMultipleChoiceField):
    """Ticked rows; a number too long for any row is refused like any row that isn't offered."""

    def clean(self, value):
        try:
            return super().clean(value)
        except OverflowError as error:
            raise ValidationError(
                self.error_messages["invalid_pk_value"],
                "invalid_pk_value",
                {"pk": gettext("a number")},
            ) from error


def _split_unit(text: str) -> tuple[str, str]:
    """Number and trailing unit word of "12,5 dwt"; no word gives an empty one."""
    found = re.match(r"^(.*\d[\s.]*)([^\W\d_][^\d]*)$", text.strip())
    return (found.group(1).strip(), found.group(2).strip()) if found else (text.strip(), "")


def _shortest(base: int, unit: units.Unit) -> str:
    """The fewest decimals that are read back as the same stored integer."""
    for places in range(13):
        number = units.from_base(base, unit, places)
        if units.to_base(number, unit) == base:
            break
    return _plain(number)


def _plain(number: Decimal) -> str:
    """A decimal as it is typed: the reader's mark, no groups, exponent or trailing zeros."""
    text = f"{number:f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return text.replace(".", local.decimal_mark())
