"""The base of every sortable list."""

from collections.abc import Iterator

import django_tables2 as tables
from django.template import Context
from django.template.base import render_value_in_context
from django.utils.functional import Promise
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext, gettext_lazy
from django_tables2.rows import BoundRow, BoundRows
from django_tables2.utils import signature

PAGE_ROWS = 25
UNSAID = ("", "–", "—")
# A day is read as one thing: it isn't broken into lines where there is room for it.
WHOLE = {"td": {"class": "nowrap"}}


class _Row(BoundRow):
    """A row that looks up what a column's `render` takes once a table, not once a cell."""

    def _call_render(self, bound_column, value=None):
        given = self._optional_cell_arguments(bound_column, value)
        takes = self.table.taken_by(bound_column, given)
        content = bound_column.render(**{name: given[name] for name in takes})
        return bound_column.link(content, **given) if bound_column.link else content


class _Rows(BoundRows):
    """The rows of a table, or a page of them."""

    def __iter__(self):
        return (_Row(record, table=self.table) for record in self.data)

    def __getitem__(self, key):
        if isinstance(key, slice):
            return _Rows(data=self.data[key], table=self.table)
        return _Row(self.data[key], table=self.table)


class LedgerTable(tables.Table):
    """`page_rows` rows a page; `caption` is read out by screen readers and printed.

    `place` is the id on its page that another page of rows is opened at.

    Pass `units=units_of(request.user)` so that columns can show people's units. Each column's
    `render_x` makes text for the page and `value_x` the bare value for exports.
    """

    caption = ""
    page_rows = PAGE_ROWS
    place = ""

    class Meta:
        attrs = {"class": "ledger"}
        empty_text = gettext_lazy("Nothing here yet.")

    def __init__(self, *args, units: dict[str, str] | None = None, **kwargs):
        self.units = units or {"mass": "g", "volume": "L", "distance": "km"}
        super().__init__(*args, **kwargs)
        for bound in self.columns:
            # A heading that a model's field gives is translated here, as a form's label is.
            if not isinstance(bound.column.verbose_name, Promise):
                bound.column.verbose_name = gettext(str(bound.header))
        self.rows = _Rows(data=self.data, table=self)
        self._taken: dict[str, tuple[str, ...]] = {}

    def taken_by(self, bound_column, given: dict[str, object]) -> tuple[str, ...]:
        """Names of those given arguments that a column's `render` takes."""
        if bound_column.name not in self._taken:
            names, takes_all = signature(bound_column.render)
            self._taken[bound_column.name] = tuple(given) if takes_all else names
        return self._taken[bound_column.name]

    @property
    def lines(self) -> Iterator[SafeString]:
        """The rows of the page as the template shows them; heads and classes are made once."""
        columns = [
            (
                column.name,
                format_html('<td role="cell" data-label="{}"', column.header),
                column.attrs["td"].as_html(),
            )
            for column in self.columns
        ]
        context = Context()
        for row in self.paginated_rows:
            cells = []
            for name, start, attrs in columns:
                cell = row.get_cell(name)
                unsaid = " data-unsaid" if cell in UNSAID else ""
                text = render_value_in_context(cell, context)
                cells.append(f"{start}{unsaid} {attrs}>{text}</td>\n")
            # Each part is escaped already: the heads, the attributes, the cells.
            yield mark_safe(f'<tr role="row" {row.attrs.as_html()}>\n{"".join(cells)}</tr>\n')


class NumberColumn(tables.Column):
    """Right-aligned, with figures under each other."""

    def __init__(self, *args, **kwargs):
        kwargs.setdefault("attrs", {"th": {"class": "num"}, "td": {"class": "num"}})
        super().__init__(*args, **kwargs)


def show_table(request, table):
    """The table sorted and paged as the address asks; a page that isn't there shows the last."""
    paged = {"per_page": table.page_rows, "silent": True}
    tables.RequestConfig(request, paginate=paged).configure(table)
    return table
