"""Which trips were made, in order: the part of the demo that is told, not drawn by chance."""

import datetime as dt
from dataclasses import dataclass


@dataclass(frozen=True)
class Outing:
    """One trip as it is told. `sites` starts with the first choice; `visited` are those worked."""

    code: str
    starts_on: dt.date
    days: int
    sites: tuple[str, ...]
    visited: tuple[str, ...]
    people: str
    vehicle: str
    method: str  # pan, sluice, box or hired (a hired pump and box)
    state: str
    weighed: bool
    name: str
    story: str
    trigger: str
    called_off_reason: str

    @property
    def ends_on(self) -> dt.date:
        return self.starts_on + dt.timedelta(days=self.days - 1)


def _outing(
    code,
    day,
    sites,
    people,
    vehicle,
    method,
    *,
    visited=None,
    days=1,
    state="wrapped_up",
    weighed=True,
    name="",
    story="",
    trigger="fewer than 3 colours in the first 4 pans",
    called_off_reason="",
):
    """`visited` as letters of `sites`; None: the first choice, if the trip took place."""
    chosen = tuple(sites.split())
    if visited is None:
        worked = chosen[:1] if state in ("wrapped_up", "under_way") else ()
    else:
        worked = tuple(visited.split())
    return Outing(
        code=code,
        starts_on=dt.date.fromisoformat(day),
        days=days,
        sites=chosen,
        visited=worked,
        people=people,
        vehicle=vehicle,
        method=method,
        state=state,
        weighed=weighed,
        name=name,
        story=story,
        trigger=trigger,
        called_off_reason=called_off_reason,
    )


SEASON_2030 = (
    _outing(
        "T2030-01",
        "2030-04-13",
        "PEL",
        "RM",
        "car",
        "pan",
        weighed=False,
        story="First day of the season, to find the rhythm again.",
    ),
    _outing("T2030-02", "2030-04-20", "VMR PEL", "RM", "car", "sluice"),
    _outing(
        "T2030-03",
        "2030-04-27",
        "VWR PEL",
        "RM",
        "car",
        "sluice",
        state="called_off",
        called_off_reason="The river stood over the marker posts.",
    ),
    _outing("T2030-04", "2030-05-04", "VWR VMR", "RM", "van", "sluice"),
    _outing("T2030-05", "2030-05-11", "OSS VMR", "RM", "van", "sluice"),
    _outing("T2030-06", "2030-05-18", "DRE OSS", "RM", "van", "sluice"),
    _outing(
        "T2030-07",
        "2030-05-25",
        "VWR VMR",
        "R",
        "car",
        "sluice",
        visited="VWR VMR",
        story="The weir gave next to nothing, so over to the middle reach before noon.",
    ),
    _outing("T2030-08", "2030-06-01", "OSS VMR", "RM", "van", "sluice"),
    _outing(
        "T2030-09",
        "2030-06-08",
        "MAR PEL",
        "RM",
        "car",
        "sluice",
        story="First visit to Edda Marrable's meadow. She showed us the fence switch.",
    ),
    _outing(
        "T2030-10",
        "2030-06-15",
        "SKE OSS",
        "RM",
        "van",
        "sluice",
        days=2,
        name="Two days in the gorge",
        story="Three hours each way and the walk on top, but coarse gold on the ledge.",
    ),
    _outing("T2030-11", "2030-06-22", "VMR PEL", "RMJ", "van", "sluice"),
    _outing(
        "T2030-12",
        "2030-06-29",
        "PEL VMR",
        "RM",
        "car",
        "sluice",
        visited="PEL VMR",
        story="Only flour at the common; the middle reach was better in the afternoon.",
    ),
    _outing("T2030-13", "2030-07-06", "OSS MAR", "RM", "van", "sluice"),
    _outing("T2030-14", "2030-07-13", "VWR VMR", "M", "car", "sluice"),
    _outing(
        "T2030-15",
        "2030-07-27",
        "OSS MAR",
        "RMJ",
        "van",
        "hired",
        name="Trying a hired box",
        story="Hired a pump and box for the day to see what they bring.",
    ),
    _outing("T2030-16", "2030-08-03", "DRE OSS", "RM", "van", "sluice"),
    _outing(
        "T2030-17",
        "2030-08-17",
        "MAR PEL",
        "RM",
        "car",
        "sluice",
        weighed=False,
        story="The vial was lost on the way home: never weighed.",
    ),
    _outing("T2030-18", "2030-08-31", "VMR PEL", "RM", "car", "sluice"),
    _outing("T2030-19", "2030-09-07", "OSS VMR", "RM", "van", "sluice"),
    _outing(
        "T2030-20",
        "2030-09-14",
        "PEL",
        "R",
        "car",
        "pan",
        weighed=False,
        story="An afternoon with the pan only.",
    ),
    _outing("T2030-21", "2030-09-21", "SKE OSS", "RM", "van", "sluice", days=2),
    _outing("T2030-22", "2030-10-05", "VWR VMR", "RM", "van", "sluice"),
)
SEASON_2031 = (
    _outing(
        "T2031-01",
        "2031-04-19",
        "VMR PEL",
        "RM",
        "car",
        "pan",
        weighed=False,
        name="Looking after the flood",
        story="The bar head has moved twenty paces down. Every spot has to be tried anew.",
    ),
    _outing(
        "T2031-02",
        "2031-04-26",
        "OSS VMR",
        "RM",
        "van",
        "pan",
        weighed=False,
        story="The log jam is gone, a new one lies higher up. Test pans only.",
    ),
    _outing("T2031-03", "2031-05-03", "OSS VMR", "RM", "van", "sluice"),
    _outing("T2031-04", "2031-05-10", "DRE OSS", "RM", "van", "sluice"),
    _outing(
        "T2031-05",
        "2031-05-17",
        "VWR VMR",
        "RM",
        "car",
        "sluice",
        visited="VWR VMR",
        story="Left the weir after six poor pans.",
    ),
    _outing("T2031-06", "2031-05-24", "MAR PEL", "RM", "car", "sluice"),
    _outing(
        "T2031-07",
        "2031-06-07",
        "OSS MAR",
        "RM",
        "van",
        "box",
        story="First day with our own pump-fed box.",
    ),
    _outing("T2031-08", "2031-06-14", "VMR PEL", "RMJ", "van", "sluice"),
    _outing(
        "T2031-09",
        "2031-06-21",
        "SKE OSS",
        "RM",
        "van",
        "sluice",
        days=2,
        name="The gorge again",
    ),
    _outing(
        "T2031-10",
        "2031-06-28",
        "OSS VMR",
        "RM",
        "van",
        "box",
        state="called_off",
        called_off_reason="Thunderstorms forecast for the whole day.",
    ),
    _outing("T2031-11", "2031-07-05", "PEL VMR", "M", "car", "sluice"),
    _outing("T2031-12", "2031-07-12", "OSS VMR", "RM", "van", "box"),
    _outing(
        "T2031-13",
        "2031-07-26",
        "MAR VMR",
        "RM",
        "car",
        "sluice",
        visited="MAR VMR",
        trigger="cattle at the ford, or fewer than 3 colours in the first 4 pans",
        story="Cattle stood in the ford all morning; went on to the middle reach.",
    ),
    _outing("T2031-14", "2031-08-02", "DRE OSS", "RM", "van", "sluice"),
    _outing(
        "T2031-15",
        "2031-08-09",
        "VMR PEL",
        "R",
        "car",
        "sluice",
        weighed=False,
        story="Too little to bother the scale, put aside for the next time.",
    ),
    _outing("T2031-16", "2031-08-16", "OSS VMR", "RMJ", "van", "box"),
    _outing("T2031-17", "2031-08-23", "VWR VMR", "RM", "car", "sluice", weighed=False),
    _outing(
        "T2031-18",
        "2031-08-30",
        "PEL",
        "RJ",
        "car",
        "pan",
        weighed=False,
        story="Showed Jonna how to pan.",
    ),
    _outing("T2031-19", "2031-09-06", "OSS VMR", "RM", "van", "box"),
    _outing("T2031-20", "2031-09-13", "SKE OSS", "RM", "van", "sluice", days=2),
    _outing("T2031-21", "2031-09-20", "VMR PEL", "RM", "car", "sluice"),
    _outing("T2031-22", "2031-09-27", "MAR PEL", "RM", "car", "sluice"),
    _outing("T2031-23", "2031-10-04", "DRE OSS", "RM", "van", "sluice", visited="DRE OSS"),
    _outing(
        "T2031-24",
        "2031-10-11",
        "OSS VMR",
        "RM",
        "van",
        "box",
        days=2,
        state="under_way",
        weighed=False,
        name="Last days on the claim before it lapses",
    ),
    _outing(
        "T2031-25",
        "2031-10-18",
        "OSS DRE",
        "RM",
        "van",
        "box",
        state="planned",
        trigger="no place left at the claim to set the box",
    ),
    _outing(
        "T2031-26",
        "2031-11-01",
        "HAR PEL",
        "RM",
        "car",
        "pan",
        state="planned",
        name="A first look at Harrowmist Burn",
        trigger="the owner can't be reached, or nothing in the first 6 pans",
    ),
)
OUTINGS = SEASON_2030 + SEASON_2031
