"""Money as whole minor units of one currency.

Rounding happens in one function, once per figure, half to even, so that many roundings do not
drift one way. Exchange rates are no part of this record.
"""

from decimal import Decimal
from fractions import Fraction

from trips.calc.errors import OutOfRange, TooManyDecimals, UnknownCurrency
from trips.calc.words import say

# ISO 4217, list one, minor units (memory). Everything not named here has two.
_DECIMALS: dict[int, frozenset[str]] = {
    0: frozenset(
        {"BIF", "CLP", "DJF", "GNF", "ISK", "JPY", "KMF", "KRW", "PYG", "RWF", "UGX", "UYI"}
        | {"VND", "VUV", "XAF", "XOF", "XPF"}
    ),
    3: frozenset(["BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"]),
    4: frozenset(["CLF", "UYW"]),
}


def exponent(currency: str) -> int:
    """Number of decimals of a currency (2 for most, 0 for yen, 3 for dinars).

    Raises: UnknownCurrency unless the code is three capital letters.
    """
    is_code = currency.isascii() and currency.isalpha() and currency.isupper()
    if not (is_code and len(currency) == 3):
        raise UnknownCurrency(
            say(
                "“{currency}” is not a currency code; three capital letters like "
                "EUR were expected.",
                currency=currency,
            )
        )
    return next((places for places, codes in _DECIMALS.items() if currency in codes), 2)


def minor_per_main(currency: str) -> int:
    """Minor units in one main unit of a currency (100 for most, 1 for yen)."""
    return int(10 ** exponent(currency))


def round_minor(value: Decimal | Fraction) -> int:
    """Whole minor units from an exact amount of minor units, half to even: the one rounding."""
    if isinstance(value, Decimal) and not value.is_finite():
        raise OutOfRange(say("{value} is not a finite amount.", value=value))
    return round(value if isinstance(value, Fraction) else Fraction(value))


def to_minor(value: Decimal, currency: str) -> int:
    """Minor units from an amount in the currency's main unit, rounded once.

    Raises: UnknownCurrency; OutOfRange for NaN or infinity.
    """
    if not value.is_finite():
        raise OutOfRange(
            say("{value} {currency} is not a finite amount.", value=value, currency=currency)
        )
    return round_minor(Fraction(value) * minor_per_main(currency))


def to_minor_exact(value: Decimal, currency: str) -> int:
    """Minor units from a typed amount; decimals the currency does not have are refused.

    A form should use this one: it catches "1,234" meant as a thousand and more.

    Raises: TooManyDecimals naming the amount; UnknownCurrency; OutOfRange.
    """
    minor = to_minor(value, currency)
    if from_minor(minor, currency) != value:
        places = exponent(currency)
        raise TooManyDecimals(
            say(
                "{value} {currency} has too many decimals; at most {places} were "
                "expected. For thousands write 1234 without a mark.",
                value=value,
                currency=currency,
                places=places,
            )
        )
    return minor


def from_minor(amount_minor: int, currency: str) -> Decimal:
    """Amount in the currency's main unit, exactly, with the currency's number of decimals."""
    places = exponent(currency)
    sign = 1 if amount_minor < 0 else 0
    digits = tuple(int(digit) for digit in str(abs(amount_minor)))
    return Decimal((sign, digits, -places))
