"""A fee by size: per unit or part of it, so that a part pays for a whole unit."""

from claims.rules.effects import Fee


def fee_minor(fee: Fee, size_base: int) -> int | None:
    """The fee in minor units for a size in base units; None while the amount isn't known."""
    if fee.amount_minor is None:
        return None
    if fee.unit_size is None:
        return fee.amount_minor
    return fee.amount_minor * -(-size_base // fee.unit_size.base)
