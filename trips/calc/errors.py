"""Every refusal of the sums: one class per cause, so that a form can answer each in its own words.

Each message names the value and what was expected, and may be shown to a person as it stands.
"""


class CalcError(ValueError):
    """A sum was refused; the message says which value and what was expected."""


class NotANumber(CalcError):
    """A text could not be read as one plain number."""


class TooManyDecimals(CalcError):
    """A typed amount has more decimals than its currency has."""


class UnknownUnit(CalcError):
    """A unit code is not in the table of its kind."""


class UnknownCurrency(CalcError):
    """A currency code is not three capital letters."""


class NegativeNet(CalcError):
    """A weigh-in's gross reading is below its tare."""


class NotOnScale(CalcError):
    """A reading is not a whole number of the scale's smallest steps."""


class BadShares(CalcError):
    """A whole cannot be shared: no takers, a negative weight, or all weights zero."""


class OutOfRange(CalcError):
    """A value lies outside the range in which the sum means anything."""
