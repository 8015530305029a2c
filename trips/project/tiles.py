"""The tile server of the maps: none by default, else an address with its attribution.

No server is named here, and there is no way to fetch tiles ahead: the policies of public tile
servers forbid that, and their address must be changeable without a new version.
"""

import os
import re
from collections.abc import Mapping
from dataclasses import dataclass
from urllib.parse import urlsplit

from trips.project.env import SettingError

HOST = re.compile(r"^(\*\.)?[A-Za-z0-9]([A-Za-z0-9.-]*[A-Za-z0-9])?$")
EXAMPLE = "https://tiles.example.org/{z}/{x}/{y}.png"


@dataclass(frozen=True)
class Tiles:
    """Address with {z}, {x} and {y}; the words that have to stand on the map, and their link."""

    url: str
    attribution: str
    attribution_url: str


def tile_settings(environ: Mapping[str, str] = os.environ) -> Tiles:
    """The tile server from the environment. Raises: SettingError."""
    url = environ.get("TILE_URL", "").strip()
    words = environ.get("TILE_ATTRIBUTION", "").strip()
    link = environ.get("TILE_ATTRIBUTION_URL", "").strip()
    if not url:
        return Tiles("", "", "")
    if not all(part in url for part in ("{z}", "{x}", "{y}")):
        raise SettingError(f"TILE_URL is {url!r}; write an address such as {EXAMPLE}.")
    image_source(url)
    if not words:
        raise SettingError(
            "TILE_ATTRIBUTION is empty; write the words that the tiles' makers want to see on "
            "the map."
        )
    if link and urlsplit(link).scheme not in ("http", "https"):
        raise SettingError(f"TILE_ATTRIBUTION_URL is {link!r}; write an https address.")
    return Tiles(url, words, link)


def image_source(url: str) -> list[str]:
    """What the content policy must let in for tiles of this address: scheme, host and port."""
    if not url:
        return []
    try:
        parts = urlsplit(url.replace("{s}", "*"))
        port = f":{parts.port}" if parts.port else ""
    except ValueError:
        raise SettingError(f"TILE_URL is {url!r}; write an address such as {EXAMPLE}.") from None
    host = parts.hostname or ""
    if parts.scheme not in ("http", "https") or parts.username or not HOST.match(host):
        raise SettingError(f"TILE_URL is {url!r}; write an address such as {EXAMPLE}.")
    return [f"{parts.scheme}://{host}{port}"]
