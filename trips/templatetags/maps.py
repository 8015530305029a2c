"""The tag that puts a map into a page, with the tiles of the settings if there are any."""

import json

from django import template
from django.conf import settings
from django.utils.translation import gettext, pgettext

register = template.Library()


@register.inclusion_tag("trips/_map.html")
def ground_map(source, title, page="", *, large=False, draws=False):
    """A map of the shapes at the address `source`; `page` lists the same without a map.

    `draws`: the map shows and changes the coordinates in the page's form.
    """
    return {
        "words": json.dumps(words()),
        "source": source,
        "title": title,
        "page": page,
        "large": large,
        "draws": draws,
        "tiles": settings.TILE_URL,
        "attribution": settings.TILE_ATTRIBUTION,
        "attribution_url": settings.TILE_ATTRIBUTION_URL,
    }


def words() -> dict[str, str]:
    """What the maps' scripts say, in the reader's language."""
    return {
        "site": gettext("Site"),
        "spot": gettext("Spot"),
        "hole": gettext("Hole"),
        "photo": gettext("Photo"),
        "waypoint": gettext("Waypoint"),
        "north": pgettext("latitude", "N"),
        "south": pgettext("latitude", "S"),
        "east": pgettext("longitude", "E"),
        "west": pgettext("longitude", "W"),
        "open": gettext("Open"),
        "empty": gettext("Nothing here has a position yet."),
        "failed": gettext(
            "The shapes could not be loaded. Load the page again; the lists hold the same."
        ),
        "not_lines": gettext(
            "The box holds something else than lines of latitude and longitude. It can be saved, "
            "but not drawn with clicks."
        ),
        "corners": gettext("Corners: {count}"),
    }
