"""Quantities in templates: what isn't there is said to be unknown, nought stays nought."""

import pytest
from django.template import Context, Template


@pytest.mark.parametrize("tag", ["mass", "volume", "distance"])
@pytest.mark.parametrize(("row", "known"), [({}, False), ({"it": None}, False), ({"it": 0}, True)])
def test_a_missing_quantity_is_unknown(tag, row, known):
    told = Template("{% load ledger %}{% " + tag + " row.it %}").render(Context({"row": row}))
    assert ("unknown" not in told) == known
    assert ("0" in told) == known
