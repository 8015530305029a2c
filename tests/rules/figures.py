"""Figures of shipped packs, written a second time from the text named beside each."""

import pytest


def figure(source, rule, name, *values):
    """One figure: source of the text, "pack/rule", the key in the rule, its value or values."""
    mark = pytest.mark.outside(source)
    return pytest.param(rule, name, values, marks=mark, id=f"{rule} {name}")
