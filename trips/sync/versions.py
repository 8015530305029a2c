"""Which of a record's entries counts? Pure, and the same for any order of arrival.

An entry names every earlier version that its maker had seen. What nobody has replaced is a head:
one head is the record; several heads are changes that were made without knowing of each other.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol


class Version(Protocol):
    """What is needed of an entry here; ids are compared as text."""

    @property
    def key(self) -> str: ...
    @property
    def replaced(self) -> Sequence[str]: ...
    @property
    def content(self) -> str: ...


@dataclass(frozen=True)
class Picked:
    """The version that the row shows, and the heads that contradict each other, if any."""

    shown: Version
    rivals: tuple[Version, ...]


def pick(versions: Sequence[Version]) -> Picked:
    """The version to show of a record with at least one entry.

    With several heads of different content the latest version that all of them knew stays; where
    none has arrived, the head with the smallest id, so that the choice doesn't hang on order.
    """
    gone = {key for version in versions for key in version.replaced}
    heads = sorted((v for v in versions if v.key not in gone), key=lambda v: v.key)
    if not heads:
        # Entries that replace each other in a ring can only be made by hand.
        return Picked(min(versions, key=lambda v: v.key), ())
    if len({head.content for head in heads}) == 1:
        return Picked(heads[0], ())
    common = set(heads[0].replaced).intersection(*(head.replaced for head in heads[1:]))
    known = [v for v in versions if v.key in common]
    if not known:
        return Picked(heads[0], tuple(heads))
    return Picked(max(known, key=lambda v: (len(v.replaced), v.key)), tuple(heads))
