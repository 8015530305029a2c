"""Floors: the least that a page of the same content could take, measured beside it.

Each page floor goes through what any page of the site must: the handler with its middleware,
the address, session, person and role (`_Bare`), and the response. Without that a floor is no page,
and small pages looked several times too slow beside it.

`own template`: the page's queries without the object layer, and its template, values given.
`bare table`: the same with a table of ready texts in place of its own, as the library shows it.
`grouped sums`: hours, gold, costs and pans of every site, one grouped query for each table of
facts, written by hand, and the page's template, values given.
`tables with a grid`: one table a page, fixed widths, as many pages.
"""

import re
from collections.abc import Callable

import django_tables2 as tables
from django.db import connection
from django.http import HttpRequest, HttpResponse
from django.template import RequestContext
from django.test.client import ClientHandler
from django.test.utils import CaptureQueriesContext

from claims.access import reader_page
from claims.models import Party, Spot
from reports.benchmark.measure import Seen
from reports.benchmark.pages import Floor
from trips.models import (
    Cost,
    DerivedShare,
    HoursBlock,
    Run,
    TestPan,
    TripSite,
)

LIBRARYS_OWN = "django_tables2/table.html"
PDF_ROWS, PDF_COLUMNS = 40, 8
_PDF_PAGE = re.compile(rb"/Type\s*/Page\b")


class _Bare(ClientHandler):
    """The site's own handler around a view that does nothing but `work`."""

    def __init__(self, work: Callable[[HttpRequest], str | bytes]) -> None:
        super().__init__(enforce_csrf_checks=False)
        self._view = reader_page(lambda request: HttpResponse(work(request)))

    def _get_response(self, request):
        self.resolve_request(request)
        return self._view(request)


def floor_of(kind: Floor, seen: Seen, party: Party, environ: dict) -> Callable[[], object] | None:
    """The work of a page's floor; None where there is none.

    Args: environ: of the same request, signed in.
    """
    if kind == Floor.PDF_TABLE:
        pages = len(_PDF_PAGE.findall(seen.content))
        return lambda: pdf_of_tables(pages)
    if kind == Floor.NONE or seen.template is None:
        return None
    values = dict(seen.context)
    if kind == Floor.BARE_TABLE:
        values = {key: _bare(value) for key, value in values.items()}
    if kind == Floor.GROUPED:
        queries = [(_GROUPED, [party.pk] * 4)]
    else:
        # Session, person and membership are asked for on the way in, in the floor too.
        queries = [
            (sql, None)
            for sql in seen.queries[_asked_on_the_way(environ) :]
            if sql.startswith(("SELECT", "WITH"))
        ]

    def work(request):
        with connection.cursor() as cursor:
            for sql, given in queries:
                cursor.execute(sql, given)
                cursor.fetchall()
        return seen.template.render(RequestContext(request, {**values, "request": request}))

    handler = _Bare(work)
    return lambda: handler(dict(environ)).content


def _asked_on_the_way(environ: dict) -> int:
    """Queries of a signed-in request before its view."""
    handler = _Bare(lambda request: b"")
    with CaptureQueriesContext(connection) as caught:
        handler(dict(environ))
    return len(caught.captured_queries)


def _bare(value):
    """A table of ready texts with the columns and rows that the page shows; else the value."""
    if not isinstance(value, tables.Table):
        held = getattr(value, "table", None)
        return _With(value, _bare(held)) if isinstance(held, tables.Table) else value
    names = [column.name for column in value.columns]
    rows = [
        {name: str(cell) for name, cell in zip(names, row.cells, strict=True)}
        for row in value.paginated_rows
    ]
    made = type(
        "Bare",
        (tables.Table,),
        {column.name: tables.Column(verbose_name=column.header) for column in value.columns},
    )
    table = made(rows, template_name=LIBRARYS_OWN, attrs=value.attrs, orderable=True)
    table.caption, table.request = getattr(value, "caption", ""), getattr(value, "request", None)
    table.page, table.paginator = getattr(value, "page", None), getattr(value, "paginator", None)
    return table


class _With:
    """A page's values with another table in the place of its own."""

    def __init__(self, page, table) -> None:
        self._page, self.table = page, table

    def __getattr__(self, name):
        return getattr(self._page, name)


def _names(*models) -> dict[str, str]:
    return {model.__name__: connection.ops.quote_name(model._meta.db_table) for model in models}


_GROUPED = """
WITH
hours AS (
  SELECT site_id, SUM(minutes) AS total FROM {HoursBlock}
  WHERE party_id = %s AND site_id IS NOT NULL GROUP BY site_id),
pans AS (
  SELECT s.site_id, COUNT(*) AS total, SUM(p.volume_ml) AS ml
  FROM {TestPan} p JOIN {Spot} s ON s.id = p.spot_id WHERE p.party_id = %s GROUP BY s.site_id),
gold AS (
  SELECT s.site_id, SUM(d.mass_ug) AS total FROM {Run} r JOIN {Spot} s ON s.id = r.spot_id
  LEFT JOIN {DerivedShare} d ON d.run_id = r.id WHERE r.party_id = %s GROUP BY s.site_id),
costs AS (
  SELECT v.site_id, SUM(c.amount_minor) AS total
  FROM {Cost} c JOIN {TripSite} v ON v.trip_id = c.trip_id AND v.was_visited
  WHERE c.party_id = %s GROUP BY v.site_id)
SELECT pans.site_id, hours.total, pans.total, pans.ml, gold.total, costs.total FROM pans
LEFT JOIN hours ON hours.site_id = pans.site_id LEFT JOIN gold ON gold.site_id = pans.site_id
LEFT JOIN costs ON costs.site_id = pans.site_id
""".format(**_names(Cost, DerivedShare, HoursBlock, Run, Spot, TestPan, TripSite))


def pdf_of_tables(pages: int) -> bytes:
    """So many pages, each a table with a grid and bands, fixed widths, in the site's own face."""
    import io

    from reportlab.lib.colors import grey, whitesmoke
    from reportlab.platypus import PageBreak, SimpleDocTemplate, Table, TableStyle

    style = TableStyle(
        [
            ("GRID", (0, 0), (-1, -1), 0.25, grey),
            ("ROWBACKGROUNDS", (0, 0), (-1, -1), [None, whitesmoke]),
            ("FONTSIZE", (0, 0), (-1, -1), 8),
        ]
    )
    rows = [[f"{row}.{column} text" for column in range(PDF_COLUMNS)] for row in range(PDF_ROWS)]
    flow = []
    for _ in range(pages):
        table = Table(rows, colWidths=[60] * PDF_COLUMNS, rowHeights=[16] * PDF_ROWS)
        table.setStyle(style)
        flow += [table, PageBreak()]
    out = io.BytesIO()
    SimpleDocTemplate(out).build(flow)
    return out.getvalue()
