"""The tag that puts a map into a page, with the tiles of the settings if there are any."""

from django import template
from django.conf import settings

register = template.Library()


@register.inclusion_tag("trips/_map.html")
def ground_map(source, title, page="", *, large=False, draws=False):
    """A map of the shapes at the address `source`; `page` lists the same without a map.

    `draws`: the map shows and changes the coordinates in the page's form.
    """
    return {
        "source": source,
        "title": title,
        "page": page,
        "large": large,
        "draws": draws,
        "tiles": settings.TILE_URL,
        "attribution": settings.TILE_ATTRIBUTION,
        "attribution_url": settings.TILE_ATTRIBUTION_URL,
    }
