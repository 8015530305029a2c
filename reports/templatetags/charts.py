"""`{% chart figure "prefix" %}`: a figure with both drawings and its numbers as a table."""

from django import template
from django.utils.safestring import mark_safe

from reports.charts.scene import Figure
from reports.charts.svg import paint_both

register = template.Library()


@register.inclusion_tag("_figure.html")
def chart(figure: Figure | None, prefix: str):
    """Nothing for None; `prefix` has to be the only one of its name on the page."""
    if figure is None:
        return {"painted": None}
    wide, narrow = paint_both(figure, prefix)
    # The painter escapes every word that it writes.
    return {"painted": figure, "wide": mark_safe(wide), "narrow": mark_safe(narrow)}
