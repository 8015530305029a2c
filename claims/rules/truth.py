"""Yes, no or not known, with the facts it rests on: Kleene's logic with a memory.

`used` are short words for people ("powered box", "public land"); `missing` are what would have to
be known. What is mostly seen only at the creek is marked, so that it reminds instead of asking.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import chain


@dataclass(frozen=True, order=True)
class Missing:
    """A fact that isn't known: what to ask, and whether it can be known before the trip."""

    key: str
    words: str
    at_creek: bool = False


@dataclass(frozen=True)
class Verdict:
    """`value` None is not known; then `missing` says why."""

    value: bool | None
    used: tuple[str, ...] = ()
    missing: tuple[Missing, ...] = ()
    evidence: tuple[str, ...] = ()

    @property
    def only_seen_at_creek(self) -> bool:
        """Whether nothing but the creek itself can settle it."""
        return self.value is None and all(each.at_creek for each in self.missing)


YES = Verdict(True)
NO = Verdict(False)


def unknown(key: str, words: str, *, at_creek: bool = False) -> Verdict:
    """Not known, for want of one fact."""
    return Verdict(None, missing=(Missing(key, words, at_creek),))


def known(value: bool, *used: str, evidence: tuple[str, ...] = ()) -> Verdict:
    """Known, with the facts it rests on."""
    return Verdict(value, used if all(used) else tuple(filter(None, used)), (), evidence)


def all_of(verdicts: Iterable[Verdict]) -> Verdict:
    """Yes if all are; no as soon as one is; otherwise not known."""
    return _joined(verdicts, decisive=False)


def any_of(verdicts: Iterable[Verdict]) -> Verdict:
    """No if all are; yes as soon as one is; otherwise not known."""
    return _joined(verdicts, decisive=True)


def negated(verdict: Verdict) -> Verdict:
    """The opposite; not known stays not known."""
    if verdict.value is None:
        return verdict
    return Verdict(not verdict.value, verdict.used, (), verdict.evidence)


def _joined(verdicts: Iterable[Verdict], *, decisive: bool) -> Verdict:
    verdicts = tuple(verdicts)
    if len(verdicts) == 1:
        return verdicts[0]
    if not verdicts:
        return NO if decisive else YES
    deciding = [each for each in verdicts if each.value is decisive]
    if len(deciding) == 1:
        return deciding[0]  # what is known lacks nothing, so it stands as it is
    if deciding:
        return Verdict(decisive, _all(deciding, "used"), (), _all(deciding, "evidence"))
    open_ones = [each for each in verdicts if each.value is None]
    value = None if open_ones else not decisive
    return Verdict(
        value, _all(verdicts, "used"), _all(open_ones, "missing"), _all(verdicts, "evidence")
    )


def _all(verdicts: Iterable[Verdict], name: str) -> tuple:  # type: ignore[type-arg]
    """One field of several verdicts, each entry once, in order."""
    filled = [entries for each in verdicts if (entries := getattr(each, name))]
    if len(filled) < 2:
        return filled[0] if filled else ()
    return tuple(dict.fromkeys(chain.from_iterable(filled)))
