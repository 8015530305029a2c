"""The list beside a map. Its rows come from `trips.views.maps`."""

import django_tables2 as tables
from django.utils.html import format_html
from django.utils.translation import gettext_lazy

from claims.web.tables import LedgerTable


class MapTable(LedgerTable):
    caption = gettext_lazy("Everything on the map")

    name = tables.Column(gettext_lazy("Name"))
    kind = tables.Column(gettext_lazy("Kind"))
    detail = tables.Column(gettext_lazy("About it"), empty_values=())
    where = tables.Column(gettext_lazy("Latitude, longitude"), empty_values=())

    class Meta(LedgerTable.Meta):
        empty_text = gettext_lazy("Nothing has a position yet.")

    def render_name(self, record):
        if not record.address:
            return record.name
        return format_html('<a href="{}">{}</a>', record.address, record.name)
