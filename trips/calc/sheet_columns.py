"""What a column of somebody's spreadsheet of past trips may hold, and which one looks like it."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from trips.calc.words import marked, say


@dataclass(frozen=True)
class Target:
    """Something that a column may hold; `words` are headers that suggest it."""

    key: str
    name: str
    hint: str
    words: tuple[str, ...]
    needed: bool = False

    @property
    def label(self) -> str:
        """Its name for the person who reads."""
        return say(self.name)


TARGETS = (
    Target(
        "date",
        marked("Day"),
        marked("first day of the trip"),
        ("date", "day", "when", "start"),
        True,
    ),
    Target(
        "end", marked("Last day"), marked("empty: the same day"), ("end", "until", "to", "last day")
    ),
    Target(
        "site",
        marked("Site"),
        marked("its name"),
        ("site", "creek", "place", "where", "location"),
        True,
    ),
    Target("spot", marked("Spot"), marked("where in the site"), ("spot", "hole", "bar")),
    Target(
        "people",
        marked("People"),
        marked("names, parted by ;"),
        ("people", "who", "persons", "with"),
    ),
    Target(
        "work",
        marked("Hours at the creek"),
        marked("6.5 or 6:30"),
        ("hours", "work", "time", "on site"),
    ),
    Target(
        "drive",
        marked("Hours of driving"),
        marked("there and back"),
        ("drive", "driving", "travel"),
    ),
    Target(
        "km",
        marked("Distance driven"),
        marked("there and back"),
        ("km", "miles", "distance", "driven"),
    ),
    Target(
        "volume",
        marked("Gravel washed"),
        marked("loose"),
        ("litres", "liters", "volume", "washed", "gravel"),
    ),
    Target(
        "mass",
        marked("Gold weighed"),
        marked("net"),
        ("gold", "grams", "weight", "mass", "recovered"),
    ),
    Target("coarse", marked("Coarse colours"), marked("counted"), ("coarse",)),
    Target("medium", marked("Medium colours"), marked("counted"), ("medium",)),
    Target("fine", marked("Fine colours"), marked("counted"), ("fine",)),
    Target("fuel", marked("Fuel cost"), marked("paid"), ("fuel", "petrol", "diesel", "gas")),
    Target("fee", marked("Fees"), marked("paid"), ("fee", "fees", "permit")),
    Target("food", marked("Food"), marked("paid"), ("food", "meals")),
    Target("camp", marked("Camp"), marked("paid"), ("camp", "camping", "lodging")),
    Target("consumables", marked("Consumables"), marked("paid"), ("consumables", "supplies")),
    Target("other", marked("Other costs"), marked("paid"), ("other", "cost", "costs", "misc")),
    Target(
        "note",
        marked("Note"),
        marked("what happened"),
        ("note", "notes", "remark", "comment", "story"),
    ),
)


def guess_columns(headers: Sequence[str]) -> dict[str, int]:
    """Target → column, by the words of the headers; each column and target once."""
    found: dict[str, int] = {}
    for exact in (True, False):
        for number, header in enumerate(headers):
            words = re.findall(r"[^\W\d_]+", header.casefold())
            plain = " ".join(words)
            for target in TARGETS:
                if target.key in found or number in found.values():
                    continue
                fits = plain in target.words or plain == target.name.casefold()
                if fits if exact else any(word in target.words for word in words):
                    found[target.key] = number
    return found
