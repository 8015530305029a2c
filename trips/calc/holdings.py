"""Where is the gold that was weighed, and what is the part on hand worth?

Gold in no lot is on hand, so on hand + sold + given is always what was weighed.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal, NamedTuple

from trips.calc.errors import BadShares
from trips.calc.gold import PricePoint, Unknown, Valuation, minor_per_ug
from trips.calc.money import round_minor
from trips.calc.words import say


class LotPart(NamedTuple):
    """A lot's mass and fate; `own_value_minor` is a specimen's own price in `currency`."""

    mass_ug: int
    state: Literal["on_hand", "sold", "given"]
    own_value_minor: int | None = None
    currency: str = ""


class WeighedPart(NamedTuple):
    """One weigh-in: net mass, fineness in parts per thousand, and the lots made from it."""

    net_ug: int
    fineness: int
    lots: tuple[LotPart, ...] = ()

    @property
    def in_lots_ug(self) -> int:
        """Micrograms that are in lots."""
        return sum(lot.mass_ug for lot in self.lots)

    @property
    def loose_ug(self) -> int:
        """Micrograms in no lot, and so on hand."""
        return self.net_ug - self.in_lots_ug


@dataclass(frozen=True)
class Holdings:
    """Micrograms by where they are; the last three sum to the first."""

    weighed_ug: int
    on_hand_ug: int
    sold_ug: int
    given_ug: int


def holdings(parts: Sequence[WeighedPart]) -> Holdings:
    """Micrograms weighed in all, on hand, sold and given.

    Raises: BadShares when the lots of a weigh-in hold more than it weighed.
    """
    for part in parts:
        if part.loose_ug < 0:
            raise BadShares(
                f"Lots of {part.in_lots_ug} µg were made from a weigh-in of {part.net_ug} µg."
            )
    by_state = {
        state: sum(lot.mass_ug for part in parts for lot in part.lots if lot.state == state)
        for state in ("on_hand", "sold", "given")
    }
    return Holdings(
        weighed_ug=sum(part.net_ug for part in parts),
        on_hand_ug=by_state["on_hand"] + sum(part.loose_ug for part in parts),
        sold_ug=by_state["sold"],
        given_ug=by_state["given"],
    )


def value_on_hand(
    parts: Sequence[WeighedPart],
    *,
    price: PricePoint | Unknown,
    currency: str,
    payable_ratio: Decimal = Decimal(1),
) -> Valuation:
    """Value in minor units of what is on hand: own values as they are, the rest as metal.

    Returns: amount None with the reason when metal is on hand and its price is not known, or
        an own value is in another currency.
    """
    own_minor = 0
    metal_ug: Counter[int] = Counter()  # by fineness
    for part in parts:
        metal_ug[part.fineness] += part.loose_ug
        for lot in part.lots:
            if lot.state != "on_hand":
                continue
            if lot.own_value_minor is None:
                metal_ug[part.fineness] += lot.mass_ug
            elif lot.currency != currency:
                reason = say(
                    "A lot's own value is in {currency}, not in {other}.",
                    currency=lot.currency,
                    other=currency,
                )
                return Valuation(None, currency, None, reason)
            else:
                own_minor += lot.own_value_minor
    if not any(metal_ug.values()):
        words = say("Own values of the lots.") if own_minor else say("Nothing is on hand.")
        return Valuation(own_minor, currency, None, words)
    if isinstance(price, Unknown):
        return Valuation(None, None, None, price.reason)
    exact = sum(
        (
            mass_ug * minor_per_ug(price, fineness, payable_ratio)
            for fineness, mass_ug in metal_ug.items()
        ),
        Fraction(0),
    )
    reason = say("At the price of {day}, {source}.", day=price.day.isoformat(), source=price.source)
    return Valuation(round_minor(exact) + own_minor, price.currency, price, reason)
