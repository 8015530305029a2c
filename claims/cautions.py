"""The usual cautions of the work, each with where it comes from.

They are guidance: workplace rules of one country aren't the law of a free day elsewhere. Local
safety codes, regulators and licensed practice come first, and every line says so.
"""

from dataclasses import dataclass

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

    `deepest_mm` is the deepest hole planned or open. `is_warm_season` is the warmer half of
    the year at the site.
    """

    has_engine: bool | None = None
    has_winch: bool | None = None
    is_alone: bool | None = None
    deepest_mm: int | None = None
    is_warm_season: bool | None = None
    near_old_workings: bool | None = None


def cautions(facts: WorkFacts) -> list[CheckLine]:
    """Cautions that fit the facts, gravest first. Unknown facts never silence one."""
    lines = [
        *_company(facts),
        *_holes(facts),
        *_engine(facts),
        *_winch(facts),
        *_season(facts),
        *_always(facts),
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
            "Help only starts when somebody misses you.",
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
                "Nobody is there to pull you out.",
                "NZ Outdoor Safety Code (seen) for the two ways; for the water: " + NO_SOURCE,
                "the police or rescue service of the place",
                "leave",
            )
        )
    return lines


def _holes(facts: WorkFacts) -> list[CheckLine]:
    deep = facts.deepest_mm
    lines = []
    if deep is not None and deep >= SUPPORT_MM:
        lines.append(
            _caution(
                "stop",
                "A hole this deep needs protection against caving in before anybody enters it.",
                "Protection is needed from 1.52 m (5 ft) unless the ground is stable rock.",
                TRENCH,
            )
        )
    if deep is not None and deep >= WAY_OUT_MM:
        lines.append(
            _caution(
                "do",
                "Put a ladder or ramp into the hole, at most 7.6 m (25 ft) from where you work.",
                "A way out is needed from 1.2 m (4 ft) of depth.",
                TRENCH,
            )
        )
    if deep is None or deep < SUPPORT_MM:
        lines.append(
            _caution(
                "know",
                "Don't undercut a bank, and stop before a hole is chest deep.",
                "Below 1.52 m (5 ft) a competent person looks for signs of caving; from there "
                "protection is needed.",
                TRENCH + "; for undercutting: " + NO_SOURCE,
            )
        )
    lines.append(
        _caution(
            "know",
            "Keep what you dig out at least 0.6 m (2 ft) from the edge, and look at the sides "
            "again every day and after rain.",
            "Weight and water at the edge make sides cave in. Holes in wet gravel cave easily.",
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
            "Exhaust has overcome people within minutes, even with doors open.",
            "NIOSH 96-118a (seen); distance: Florida Department of Health (seen second-hand)",
        )
    ]


def _winch(facts: WorkFacts) -> list[CheckLine]:
    if facts.has_winch is False:
        return []
    return [
        _caution(
            "know",
            "Never stand below a boulder that moves, or in line with a winch rope under load.",
            "Both kill without warning.",
            NO_SOURCE,
        )
    ]


def _season(facts: WorkFacts) -> list[CheckLine]:
    lines = []
    if facts.is_warm_season is not False:
        lines.append(
            _caution(
                "know",
                "Heat: drink before you are thirsty, rest in the shade, and stop when somebody is "
                "dizzy or confused.",
                "Digging in the sun overheats people before they notice.",
                NO_SOURCE,
                "the weather service and a doctor",
            )
        )
        lines.append(
            _caution(
                "do",
                "Look up whether a fire ban holds, for stoves too.",
                "Bans come from one day to the next.",
                NO_SOURCE,
                "the fire service of the place",
                "leave",
            )
        )
    if facts.is_warm_season is not True:
        lines.append(
            _caution(
                "do",
                "Cold season: take dry clothes in a sealed bag, and turn back while you still "
                "feel your hands.",
                "Wet hands stop working long before the rest.",
                NO_SOURCE,
                "the weather service of the place",
                "leave",
            )
        )
    return lines


def _mercury(facts: WorkFacts) -> CheckLine:
    here = facts.near_old_workings
    start = "Old workings are near: take it that there is mercury. " if here else ""
    return _caution(
        "do" if here else "know",
        f"{start}Never heat gold that may carry mercury. Seal it, label it, hand it in.",
        "Heated mercury gives vapour that can damage the lungs and kill. Creeks with old "
        "workings: take it that it is there.",
        "US EPA, Hazards to Consumers Using Metallic Mercury in the Home Environment, July "
        "1994 (seen); USGS Fact Sheet 2005-3014 (seen)",
        "the waste or environment office of the place",
        "after",
    )


def _always(facts: WorkFacts) -> list[CheckLine]:
    return [
        _caution(
            "know",
            "Don't cross a flooded or fast stream: if in doubt, stay out, and watch for rising "
            "water.",
            "Water rises at the creek when it rains upstream.",
            "NZ Mountain Safety Council, January 2012 (seen); why: " + NO_SOURCE,
            "the weather and flood service of the place",
        ),
        _caution(
            "know",
            "Cold water: about 1 minute to get the breath under control, 10 minutes of useful "
            "movement, 1 hour until unconscious.",
            "Waders that fill hold you down.",
            "G. Giesbrecht, the 1-10-1 rule (seen); waders: The Valley Voice, 25 March 2012 (seen)",
        ),
        _mercury(facts),
        _caution(
            "know",
            "Keep out of old shafts and tunnels.",
            "Old timber and bad air give no warning.",
            NO_SOURCE,
        ),
    ]
