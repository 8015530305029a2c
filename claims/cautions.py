"""The usual cautions of the work, each with where it comes from.

They are guidance: workplace rules of one country aren't the law of a free day elsewhere. Local
safety codes, regulators and licensed practice come first, and every line says so.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from claims.lines import CheckLine

# Heights from US workplace rules for trenches, used as guidance: 4 ft and 5 ft.
WAY_OUT_MM = 1_219  # 4 ft
SUPPORT_MM = 1_524  # 5 ft

TRENCH = (
    "29 CFR 1926.652(a)(1), US rules for trenches at work, as restated by two trade associations "
    "(seen second-hand); guidance for a free day, not its law"
)
NO_SOURCE = "common practice, no source"
LOCAL = "local safety codes and the regulator"


@dataclass(frozen=True)
class WorkFacts:
    """What is known about the work; None is "not known" and keeps the caution.

    `deepest_mm` is the deepest hole planned or open. `heat` and `cold` say whether the days may be
    hot or cold there. `words` say, by the name of a fact, what it was read from.
    """

    has_engine: bool | None = None
    has_winch: bool | None = None
    is_alone: bool | None = None
    deepest_mm: int | None = None
    heat: bool | None = None
    cold: bool | None = None
    near_old_workings: bool | None = None
    at_water: bool | None = None
    digs: bool | None = None
    words: Mapping[str, str] = field(default_factory=dict)

    def because(self, name: str) -> str:
        """Why a caution that hangs on a fact is shown, as a sentence."""
        value = getattr(self, name)
        said = self.words.get(name, "")
        if value is None:
            return f"{NOT_KNOWN[name]} isn't known{f' ({said})' if said else ''}, so it is shown."
        return f"{said[:1].upper()}{said[1:]}." if said else f"{PLANNED[name]}."


# What isn't known where a fact is None, and what the plan says where it is.
NOT_KNOWN = {
    "has_engine": "Whether an engine comes along",
    "has_winch": "Whether a winch comes along",
    "is_alone": "Who goes",
    "heat": "Whether it may be hot there then",
    "cold": "Whether it may be cold there then",
    "near_old_workings": "Whether old workings are near",
    "at_water": "Whether the work is at water",
    "digs": "Whether anybody digs",
    "deepest_mm": "How deep the holes get",
}
PLANNED = {
    "has_engine": "An engine comes along",
    "has_winch": "A winch comes along",
    "is_alone": "One person goes",
    "heat": "It may be hot there then",
    "cold": "It may be cold there then",
    "near_old_workings": "Old workings are noted there",
    "at_water": "The work is at water",
    "digs": "The plan has gear to dig with",
    "deepest_mm": "A hole is noted there",
}


def cautions(facts: WorkFacts) -> list[CheckLine]:
    """Cautions that the facts choose, gravest first, each with why it is shown.

    Unknown facts never silence one.
    """
    lines = [
        *_company(facts),
        *_holes(facts),
        *_engine(facts),
        *_winch(facts),
        *_heat(facts),
        *_cold(facts),
        *_water(facts),
        *_old_workings(facts),
    ]
    return sorted(lines, key=lambda line: line.rank)


def _caution(
    outcome: str, text: str, why: str, source: str, ask: str = LOCAL, phase: str = "creek"
) -> CheckLine:
    return CheckLine(outcome, text, why, source, ask, None, phase=phase)


def _company(facts: WorkFacts) -> list[CheckLine]:
    lines = [
        _caution(
            "do",
            "Tell somebody the route, who goes, and when to raise the alarm.",
            "Shown for every trip. Help only starts when somebody misses you.",
            "NZ Outdoor Safety Code and a notice of the NZ Police (seen)",
            "the police or rescue service of the place",
            "leave",
        )
    ]
    if facts.is_alone is not False:
        start = "Going alone: take" if facts.is_alone else "If you go alone, take"
        lines.append(
            _caution(
                "do",
                f"{start} two waterproof ways to call for help, and stay out of deep or fast "
                "water.",
                f"{facts.because('is_alone')} Nobody is there to pull you out.",
                "NZ Outdoor Safety Code (seen) for the two ways; for the water: " + NO_SOURCE,
                "the police or rescue service of the place",
                "leave",
            )
        )
    return lines


def _holes(facts: WorkFacts) -> list[CheckLine]:
    deep = facts.deepest_mm
    if facts.digs is False and deep is None:
        return []
    why = facts.because("digs" if deep is None else "deepest_mm")
    lines = []
    if deep is not None and deep >= SUPPORT_MM:
        lines.append(
            _caution(
                "stop",
                "A hole this deep needs protection against caving in before anybody enters it.",
                f"{why} Protection is needed from 1.52 m (5 ft) unless the ground is stable rock.",
                TRENCH,
            )
        )
    if deep is not None and deep >= WAY_OUT_MM:
        lines.append(
            _caution(
                "do",
                "Put a ladder or ramp into the hole, at most 7.6 m (25 ft) from where you work.",
                f"{why} A way out is needed from 1.2 m (4 ft) of depth.",
                TRENCH,
            )
        )
    if deep is None or deep < SUPPORT_MM:
        lines.append(
            _caution(
                "know",
                "Don't undercut a bank, and stop before a hole is chest deep.",
                f"{why} Below 1.52 m (5 ft) a competent person looks for signs of caving; from "
                "there protection is needed.",
                TRENCH + "; for undercutting: " + NO_SOURCE,
            )
        )
    lines.append(
        _caution(
            "know",
            "Keep what you dig out at least 0.6 m (2 ft) from the edge, and look at the sides "
            "again every day and after rain.",
            f"{why} Weight and water at the edge make sides cave in. Holes in wet gravel cave "
            "easily.",
            TRENCH,
        )
    )
    return lines


def _engine(facts: WorkFacts) -> list[CheckLine]:
    if facts.has_engine is False:
        return []
    start = "Run the engine" if facts.has_engine else "If an engine comes along, run it"
    return [
        _caution(
            "do" if facts.has_engine else "know",
            f"{start} in the open and downwind: never in a tent, van, shelter or hole, and at "
            "least 6 m (20 ft) from any of them.",
            f"{facts.because('has_engine')} Exhaust has overcome people within minutes, even with "
            "doors open.",
            "NIOSH 96-118a (seen); distance: Florida Department of Health (seen second-hand)",
        )
    ]


def _winch(facts: WorkFacts) -> list[CheckLine]:
    """Boulders are moved by hand as well, so that only the rope hangs on the winch."""
    if facts.has_winch is False and facts.digs is False:
        return []
    rope = "" if facts.has_winch is False else ", or in line with a winch rope under load"
    why = facts.because("digs" if facts.has_winch is False else "has_winch")
    return [
        _caution(
            "know",
            f"Never stand below a boulder that moves{rope}.",
            f"{why} It kills without warning.",
            NO_SOURCE,
        )
    ]


def _heat(facts: WorkFacts) -> list[CheckLine]:
    lines = []
    if facts.heat is not False:
        lines.append(
            _caution(
                "know",
                "Heat: drink before you are thirsty, rest in the shade, and stop when somebody is "
                "dizzy or confused.",
                f"{facts.because('heat')} Digging in the sun overheats people before they notice.",
                NO_SOURCE,
                "the weather service and a doctor",
            )
        )
    if facts.heat is not False or facts.has_engine is True:
        why = facts.because("has_engine" if facts.heat is False else "heat")
        lines.append(
            _caution(
                "do",
                "Look up whether a fire ban holds, for stoves too.",
                f"{why} Bans come from one day to the next.",
                NO_SOURCE,
                "the fire service of the place",
                "leave",
            )
        )
    return lines


def _cold(facts: WorkFacts) -> list[CheckLine]:
    if facts.cold is False:
        return []
    return [
        _caution(
            "do",
            "Cold season: take dry clothes in a sealed bag, and turn back while you still "
            "feel your hands.",
            f"{facts.because('cold')} Wet hands stop working long before the rest.",
            NO_SOURCE,
            "the weather service of the place",
            "leave",
        )
    ]


def _mercury(facts: WorkFacts) -> CheckLine:
    here = facts.near_old_workings
    start = "Old workings are near: take it that there is mercury. " if here else ""
    pumped = facts.has_engine is not False
    seen = " Where you see any, stop and report the place." if pumped else ""
    drops = " Suction and pumps break it into fine drops that travel." if pumped else ""
    return _caution(
        "do" if here else "know",
        f"{start}Never heat gold that may carry mercury. Seal it, label it, hand it in.{seen}",
        f"{facts.because('near_old_workings')} Heated mercury gives vapour that can damage "
        f"the lungs and kill. Creeks with old workings: take it that it is there.{drops}",
        "US EPA, Hazards to Consumers Using Metallic Mercury in the Home Environment, July "
        "1994 (seen); USGS Fact Sheet 2005-3014 (seen)"
        + ("; drops: California State Water Board, 2007 (seen second-hand)" if pumped else ""),
        "the waste or environment office of the place",
        "after",
    )


def _water(facts: WorkFacts) -> list[CheckLine]:
    if facts.at_water is False:
        return []
    why = facts.because("at_water")
    return [
        _caution(
            "know",
            "Don't cross a flooded or fast stream: if in doubt, stay out, and watch for rising "
            "water.",
            f"{why} Water rises at the creek when it rains upstream.",
            "NZ Mountain Safety Council, January 2012 (seen); why: " + NO_SOURCE,
            "the weather and flood service of the place",
        ),
        _caution(
            "know",
            "Cold water: about 1 minute to get the breath under control, 10 minutes of useful "
            "movement, 1 hour until unconscious.",
            f"{why} Waders that fill hold you down.",
            "G. Giesbrecht, the 1-10-1 rule (seen); waders: The Valley Voice, 25 March 2012 (seen)",
        ),
    ]


def _old_workings(facts: WorkFacts) -> list[CheckLine]:
    if facts.near_old_workings is False:
        return []
    return [
        _mercury(facts),
        _caution(
            "know",
            "Keep out of old shafts and tunnels.",
            f"{facts.because('near_old_workings')} Old timber and bad air give no warning.",
            NO_SOURCE,
        ),
    ]
