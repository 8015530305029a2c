"""How a figure was computed: the sum in words, what went in, and the facts that it rests on."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Input:
    """One thing that went into a figure; `url` leads to the fact, `source` says whence it is."""

    label: str
    value: str
    source: str = ""
    url: str = ""


@dataclass(frozen=True)
class Basis:
    """One figure with its sum. `topic` is the page of help about it (see `claims.web.topics`)."""

    figure: str
    value: str
    formula: str
    inputs: tuple[Input, ...]
    topic: str
    note: str = ""
