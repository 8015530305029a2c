"""The usual cautions of the work, each with where it comes from.

They are guidance: workplace rules of one country aren't the law of a free day elsewhere. Local
safety codes, regulators and licensed practice come first, and every line says so.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from claims.lines import CheckLine
from trips.calc.words import Spoken, marked, say

# Heights from US workplace rules for trenches, used as guidance: 4 ft and 5 ft.
WAY_OUT_MM = 1_219  # 4 ft
SUPPORT_MM = 1_524  # 5 ft

TRENCH = marked(
    "29 CFR 1926.652(a)(1), US rules for trenches at work, as restated "
    "by two trade associations (seen second-hand); guidance for a free "
    "day, not its law"
)
NO_SOURCE = marked("common practice, no source")
LOCAL = marked("local safety codes and the regulator")


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
            return say(
                "{not_known} isn't known{said}, so it is shown.",
                not_known=NOT_KNOWN[name],
                said=f" ({said})" if said else "",
            )
        return f"{said[:1].upper()}{said[1:]}." if said else f"{PLANNED[name]}."


# What isn't known where a fact is None, and what the plan says where it is.
NOT_KNOWN = Spoken(
    {
        "has_engine": marked("Whether an engine comes along"),
        "has_winch": marked("Whether a winch comes along"),
        "is_alone": marked("Who goes"),
        "heat": marked("Whether it may be hot there then"),
        "cold": marked("Whether it may be cold there then"),
        "near_old_workings": marked("Whether old workings are near"),
        "at_water": marked("Whether the work is at water"),
        "digs": marked("Whether anybody digs"),
        "deepest_mm": marked("How deep the holes get"),
    }
)
PLANNED = Spoken(
    {
        "has_engine": marked("An engine comes along"),
        "has_winch": marked("A winch comes along"),
        "is_alone": marked("One person goes"),
        "heat": marked("It may be hot there then"),
        "cold": marked("It may be cold there then"),
        "near_old_workings": marked("Old workings are noted there"),
        "at_water": marked("The work is at water"),
        "digs": marked("The plan has gear to dig with"),
        "deepest_mm": marked("A hole is noted there"),
    }
)


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
    outcome: str, text: str, why: str, source: str, ask: str = "", phase: str = "creek"
) -> CheckLine:
    return CheckLine(outcome, text, why, source, ask or say(LOCAL), None, phase=phase)


def _company(facts: WorkFacts) -> list[CheckLine]:
    lines = [
        _caution(
            "do",
            say("Tell somebody the route, who goes, and when to raise the alarm."),
            say("Shown for every trip. Help only starts when somebody misses you."),
            say("NZ Outdoor Safety Code and a notice of the NZ Police (seen)"),
            say("the police or rescue service of the place"),
            "leave",
        )
    ]
    if facts.is_alone is not False:
        start = say("Going alone: take") if facts.is_alone else say("If you go alone, take")
        lines.append(
            _caution(
                "do",
                say(
                    "{start} two waterproof ways to call for help, and stay out of "
                    "deep or fast water.",
                    start=start,
                ),
                say("{words} Nobody is there to pull you out.", words=facts.because("is_alone")),
                say("NZ Outdoor Safety Code (seen) for the two ways; for the water: ")
                + say(NO_SOURCE),
                say("the police or rescue service of the place"),
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
                say(
                    "A hole this deep needs protection against caving in before anybody enters it."
                ),
                say(
                    "{why} Protection is needed from 1.52 m (5 ft) unless the ground "
                    "is stable rock.",
                    why=why,
                ),
                say(TRENCH),
            )
        )
    if deep is not None and deep >= WAY_OUT_MM:
        lines.append(
            _caution(
                "do",
                say(
                    "Put a ladder or ramp into the hole, at most 7.6 m (25 ft) from where you work."
                ),
                say("{why} A way out is needed from 1.2 m (4 ft) of depth.", why=why),
                say(TRENCH),
            )
        )
    if deep is None or deep < SUPPORT_MM:
        lines.append(
            _caution(
                "know",
                say("Don't undercut a bank, and stop before a hole is chest deep."),
                say(
                    "{why} Below 1.52 m (5 ft) a competent person looks for signs of "
                    "caving; from there protection is needed.",
                    why=why,
                ),
                say(TRENCH) + say("; for undercutting: ") + say(NO_SOURCE),
            )
        )
    lines.append(
        _caution(
            "know",
            say(
                "Keep what you dig out at least 0.6 m (2 ft) from the edge, and "
                "look at the sides again every day and after rain."
            ),
            say(
                "{why} Weight and water at the edge make sides cave in. Holes in "
                "wet gravel cave easily.",
                why=why,
            ),
            say(TRENCH),
        )
    )
    return lines


def _engine(facts: WorkFacts) -> list[CheckLine]:
    if facts.has_engine is False:
        return []
    start = say("Run the engine") if facts.has_engine else say("If an engine comes along, run it")
    return [
        _caution(
            "do" if facts.has_engine else "know",
            say(
                "{start} in the open and downwind: never in a tent, van, shelter "
                "or hole, and at least 6 m (20 ft) from any of them.",
                start=start,
            ),
            say(
                "{words} Exhaust has overcome people within minutes, even with doors open.",
                words=facts.because("has_engine"),
            ),
            say("NIOSH 96-118a (seen); distance: Florida Department of Health (seen second-hand)"),
        )
    ]


def _winch(facts: WorkFacts) -> list[CheckLine]:
    """Boulders are moved by hand as well, so that only the rope hangs on the winch."""
    if facts.has_winch is False and facts.digs is False:
        return []
    rope = "" if facts.has_winch is False else say(", or in line with a winch rope under load")
    why = facts.because("digs" if facts.has_winch is False else "has_winch")
    return [
        _caution(
            "know",
            say("Never stand below a boulder that moves{rope}.", rope=rope),
            say("{why} It kills without warning.", why=why),
            say(NO_SOURCE),
        )
    ]


def _heat(facts: WorkFacts) -> list[CheckLine]:
    lines = []
    if facts.heat is not False:
        lines.append(
            _caution(
                "know",
                say(
                    "Heat: drink before you are thirsty, rest in the shade, and stop "
                    "when somebody is dizzy or confused."
                ),
                say(
                    "{words} Digging in the sun overheats people before they notice.",
                    words=facts.because("heat"),
                ),
                say(NO_SOURCE),
                say("the weather service and a doctor"),
            )
        )
    if facts.heat is not False or facts.has_engine is True:
        why = facts.because("has_engine" if facts.heat is False else "heat")
        lines.append(
            _caution(
                "do",
                say("Look up whether a fire ban holds, for stoves too."),
                say("{why} Bans come from one day to the next.", why=why),
                say(NO_SOURCE),
                say("the fire service of the place"),
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
            say(
                "Cold season: take dry clothes in a sealed bag, and turn back "
                "while you still feel your hands."
            ),
            say(
                "{words} Wet hands stop working long before the rest.", words=facts.because("cold")
            ),
            say(NO_SOURCE),
            say("the weather service of the place"),
            "leave",
        )
    ]


def _mercury(facts: WorkFacts) -> CheckLine:
    here = facts.near_old_workings
    start = say("Old workings are near: take it that there is mercury. ") if here else ""
    pumped = facts.has_engine is not False
    seen = say(" Where you see any, stop and report the place.") if pumped else ""
    drops = say(" Suction and pumps break it into fine drops that travel.") if pumped else ""
    return _caution(
        "do" if here else "know",
        say(
            "{start}Never heat gold that may carry mercury. Seal it, label it, hand it in.{seen}",
            start=start,
            seen=seen,
        ),
        say(
            "{words} Heated mercury gives vapour that can damage the lungs and "
            "kill. Creeks with old workings: take it that it is there.{drops}",
            words=facts.because("near_old_workings"),
            drops=drops,
        ),
        say(
            "US EPA, Hazards to Consumers Using Metallic Mercury in the Home "
            "Environment, July 1994 (seen); USGS Fact Sheet 2005-3014 (seen)"
        )
        + (say("; drops: California State Water Board, 2007 (seen second-hand)") if pumped else ""),
        say("the waste or environment office of the place"),
        "after",
    )


def _water(facts: WorkFacts) -> list[CheckLine]:
    if facts.at_water is False:
        return []
    why = facts.because("at_water")
    return [
        _caution(
            "know",
            say(
                "Don't cross a flooded or fast stream: if in doubt, stay out, and "
                "watch for rising water."
            ),
            say("{why} Water rises at the creek when it rains upstream.", why=why),
            say("NZ Mountain Safety Council, January 2012 (seen); why: ") + say(NO_SOURCE),
            say("the weather and flood service of the place"),
        ),
        _caution(
            "know",
            say(
                "Cold water: about 1 minute to get the breath under control, 10 "
                "minutes of useful movement, 1 hour until unconscious."
            ),
            say("{why} Waders that fill hold you down.", why=why),
            say(
                "G. Giesbrecht, the 1-10-1 rule (seen); waders: The Valley Voice, "
                "25 March 2012 (seen)"
            ),
        ),
    ]


def _old_workings(facts: WorkFacts) -> list[CheckLine]:
    if facts.near_old_workings is False:
        return []
    return [
        _mercury(facts),
        _caution(
            "know",
            say("Keep out of old shafts and tunnels."),
            say(
                "{words} Old timber and bad air give no warning.",
                words=facts.because("near_old_workings"),
            ),
            say(NO_SOURCE),
        ),
    ]
