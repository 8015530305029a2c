"""The base of every sortable list."""

import django_tables2 as tables
from django.utils.translation import gettext_lazy

PAGE_ROWS = 25


class LedgerTable(tables.Table):
    """Twenty-five rows a page; `caption` is read out by screen readers and printed.

    Pass `units=units_of(request.user)` so that columns can show people's units. Each column's
    `render_x` makes text for the page and `value_x` the bare value for exports.
    """

    caption = ""

    class Meta:
        attrs = {"class": "ledger"}
        empty_text = gettext_lazy("Nothing here yet.")

    def __init__(self, *args, units: dict[str, str] | None = None, **kwargs):
        self.units = units or {"mass": "g", "volume": "L", "distance": "km"}
        super().__init__(*args, **kwargs)


class NumberColumn(tables.Column):
    """Right-aligned, with figures under each other."""

    def __init__(self, *args, **kwargs):
        kwargs.setdefault("attrs", {"th": {"class": "num"}, "td": {"class": "num"}})
        super().__init__(*args, **kwargs)


def show_table(request, table):
    """The table sorted and paged as the address asks; a page that isn't there shows the last."""
    tables.RequestConfig(request, paginate={"per_page": PAGE_ROWS, "silent": True}).configure(table)
    return table
