"""The list beside a map. Its rows come from `trips.views.maps`."""

import django_tables2 as tables
from django.utils.html import format_html

from claims.web.tables import LedgerTable


class MapTable(LedgerTable):
    caption = "Everything on the map"

    name = tables.Column("Name")
    kind = tables.Column("Kind")
    detail = tables.Column("About it", empty_values=())
    where = tables.Column("Latitude, longitude", empty_values=())

    class Meta(LedgerTable.Meta):
        empty_text = "Nothing has a position yet."

    def render_name(self, record):
        if not record.address:
            return record.name
        return format_html('<a href="{}">{}</a>', record.address, record.name)
