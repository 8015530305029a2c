"""Situations beside a pack: a plan in plain words and the outcomes that the text of the law gives.

Somebody who knows the law and not this code can read and write them. Outcomes are compared as
sets of rule ids; `stop` always in full, the others in full where they are given.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields

from claims.rules import words
from claims.rules.evaluate import Evaluation, evaluate
from claims.rules.facts import (
    AmountFact,
    Gear,
    HoleFact,
    PaperFact,
    PersonFact,
    Place,
    Situation,
)
from claims.rules.loader import LoadedPack, PackError, as_problems, parse, stack
from claims.rules.quantities import Quantity
from claims.rules.reading import Day, Path, Problem, Reader, Slug, doc
from claims.rules.windows import Sun, clock_minutes


class Clock(str):
    """A time of day as HH:MM."""

    __slots__ = ()

    @classmethod
    def parse(cls, text: str) -> "Clock":
        """Check a time; raises ValueError that says what was expected."""
        clock_minutes(text)
        return cls(text)


@dataclass(frozen=True, kw_only=True)
class DistanceText:
    """How far the site is from something."""

    to: Slug = doc("From what.")
    by: Quantity = doc("How far.")


@dataclass(frozen=True, kw_only=True)
class PlaceText:
    """Where; what is left out is not known."""

    name: str = doc("Name of the site.", "")
    land: words.Land | None = doc("Kind of land.", None)
    title: words.Title | None = doc("Mining title over the ground.", None)
    water: str | None = doc("Name of the water.", None)
    zones: tuple[words.Zone, ...] | None = doc("Parts of the stream to be worked.", None)
    areas: tuple[Slug, ...] = doc("Ids of areas that the site lies in.", ())
    not_areas: tuple[Slug, ...] = doc("Ids of areas that it doesn't lie in.", ())
    distances: tuple[DistanceText, ...] = doc("Distances that are known.", ())


@dataclass(frozen=True, kw_only=True)
class GearText:
    """A piece of gear; numbers that are left out are not known."""

    name: str = doc("What people call it.", "")
    cls: words.GearClass | None = doc("Class of gear.", None, name="class")
    power: words.Power | None = doc("Source of power.", None)
    use: tuple[words.Use, ...] | None = doc("What it is put to.", None)
    count: int = doc("How many of them.", 1)
    nozzle: Quantity | None = doc("Nozzle diameter.", None)
    hose: Quantity | None = doc("Inside diameter of the hose.", None)
    intake: Quantity | None = doc("Intake bore.", None)
    engine_power: Quantity | None = doc("Engine power.", None)
    length: Quantity | None = doc("Length.", None)
    width: Quantity | None = doc("Width.", None)
    riffle_area: Quantity | None = doc("Riffle area.", None)
    throughput: Quantity | None = doc("Gravel an hour.", None)
    water_use: Quantity | None = doc("Water a day.", None)


@dataclass(frozen=True, kw_only=True)
class PersonText:
    """Somebody who comes along."""

    name: str = doc("Name.")
    age: int | None = doc("Age in years.", None)
    supervised: bool | None = doc("Whether an adult looks after them.", None)


@dataclass(frozen=True, kw_only=True)
class PaperText:
    """A paper held."""

    code: Slug | None = doc("Code of the pack; left out: which it is hasn't been said.", None)
    name: str = doc("What it is called.", "")
    kind: words.PaperWord = doc("Kind of paper.", "permit")
    holder: str = doc("Names of the holders.", "")
    issued: Day | None = doc("Day of issue.", None)
    expires: Day | None = doc("Last day printed on it.", None)
    no_end: bool = doc("It is known to have no end.", False)


@dataclass(frozen=True, kw_only=True)
class AmountText:
    """A line of the record."""

    amount: words.Amount = doc("What is counted.")
    day: Day = doc("Day.")
    much: Quantity | None = doc("How much; left out: not noted.", None)
    site: str = doc("Name of the site.", "")
    water: str = doc("Name of the water.", "")
    people: int = doc("How many people shared in it.", 1)
    one_piece: bool = doc("A single nugget.", False)


@dataclass(frozen=True, kw_only=True)
class PlannedText:
    """What the plan adds to an amount."""

    amount: words.Amount = doc("What is counted.")
    much: Quantity = doc("How much.")


@dataclass(frozen=True, kw_only=True)
class HoleText:
    """A hole planned or open."""

    name: str = doc("What people call it.", "the hole")
    depth: Quantity | None = doc("Depth.", None)
    length: Quantity | None = doc("Length.", None)
    width: Quantity | None = doc("Width.", None)


@dataclass(frozen=True, kw_only=True)
class ExpectText:
    """Outcomes as the text of the law gives them, by rule id ("pack/rule" where packs stack)."""

    stop: tuple[str, ...] = doc("Rules that stop the plan, all of them.", ())
    do: tuple[str, ...] | None = doc("Rules that leave something to do, all of them.", None)
    ask: tuple[str, ...] | None = doc("Rules that ask, all of them.", None)
    know: tuple[str, ...] | None = doc("Rules that only inform, all of them.", None)
    silent: tuple[str, ...] = doc("Rules that must say nothing.", ())


@dataclass(frozen=True, kw_only=True)
class SituationText:
    """One plan and its outcomes. Whatever is left out is not known."""

    name: str = doc("What it is about, in a sentence.")
    day: Day = doc("Day of the trip.")
    last_day: Day | None = doc("Last day of a longer trip.", None)
    as_of: Day | None = doc("Day on which somebody looks; lead times count from it.", None)
    begins: Clock | None = doc("When work begins, HH:MM.", None)
    ends: Clock | None = doc("When work ends, HH:MM.", None)
    sunrise: Clock | None = doc("When the sun rises, HH:MM.", None)
    sunset: Clock | None = doc("When the sun sets, HH:MM.", None)
    place: PlaceText = doc("Where.", PlaceText())
    gear: tuple[GearText, ...] | None = doc("Gear; [] is none.", None)
    people: tuple[PersonText, ...] | None = doc("People.", None)
    papers: tuple[PaperText, ...] | None = doc("Papers held; [] is none.", None)
    amounts: tuple[AmountText, ...] | None = doc("The record so far; [] is empty.", None)
    planned: tuple[PlannedText, ...] = doc("What the plan adds.", ())
    holes: tuple[HoleText, ...] | None = doc("Holes planned or open.", None)
    open_holes: int | None = doc("How many holes are open.", None)
    purpose: words.Purpose | None = doc("What the trip is for.", None)
    answers: dict[str, bool | str] | None = doc("Answers by question id.", None)
    met: dict[str, bool | str] | None = doc("What was seen to, by rule id: true or false.", None)
    expect: ExpectText = doc("Outcomes.")


@dataclass(frozen=True, kw_only=True)
class SituationFile:
    """A file of situations for one pack, or for several that stack."""

    packs: tuple[Slug, ...] = doc("Ids of packs; those they lie within come along.")
    alone: bool = doc("Look at these packs alone, without those they lie within.", False)
    situation: tuple[SituationText, ...] = doc("Situations.")


@dataclass(frozen=True)
class Outcome:
    """How one situation came out; `wrong` is empty where it came out as expected."""

    file: str
    name: str
    evaluation: Evaluation
    wrong: tuple[str, ...]


def load_situations(raw: bytes, file: str) -> SituationFile:
    """Read a file of situations; raises PackError naming every mistake."""
    data, lines = parse(raw, file)
    reader = Reader()
    made = reader.read(SituationFile, data)
    wrong: list[tuple[Path, str]] = list(reader.wrong)
    if made is not None:
        for index, each in enumerate(made.situation):
            path: Path = ("situation", index)
            if each.last_day is not None and each.last_day < each.day:
                wrong.append(((*path, "last_day"), "lies before day"))
            if (each.begins is None) != (each.ends is None):
                wrong.append((path, "needs begins and ends, or neither"))
    if made is None or wrong:
        raise PackError(as_problems(wrong, file, lines))
    assert isinstance(made, SituationFile)
    return made


def run_file(
    situations: SituationFile, file: str, packs: Mapping[str, LoadedPack]
) -> list[Outcome]:
    """Evaluate every situation of a file; raises PackError for a pack or rule that isn't there."""
    unknown = [name for name in situations.packs if name not in packs]
    if unknown:
        raise PackError(
            Problem(file, "packs", None, f"names “{name}”, and there is no such pack")
            for name in unknown
        )
    chosen = [packs[name] for name in situations.packs]
    stacked = [
        loaded.pack for loaded in (chosen if situations.alone else stack(packs, situations.packs))
    ]
    known = {f"{pack.id}/{rule.id}" for pack in stacked for rule in pack.rule}
    results = []
    problems = []
    for index, text in enumerate(situations.situation):
        expected, wrong = _qualified(text.expect, known)
        problems += [
            Problem(file, f"situation[{index + 1}].expect", None, message) for message in wrong
        ]
        made = evaluate(stacked, as_situation(text, known))
        results.append(Outcome(file, text.name, made, _compare(expected, made)))
    if problems:
        raise PackError(problems)
    return results


def _qualified(
    expect: ExpectText, known: Iterable[str]
) -> tuple[dict[str, set[str] | None], list[str]]:
    wrong: list[str] = []
    made: dict[str, set[str] | None] = {}
    for entry in fields(expect):
        names = getattr(expect, entry.name)
        if names is None:
            made[entry.name] = None
            continue
        found = set()
        for name in names:
            fits = [key for key in known if key == name or key.endswith(f"/{name}")]
            if len(fits) == 1:
                found.add(fits[0])
            else:
                why = "isn't a rule of these packs" if not fits else "is in several packs"
                wrong.append(f"{entry.name} names “{name}”, which {why}")
        made[entry.name] = found
    return made, wrong


def _compare(expected: Mapping[str, set[str] | None], made: Evaluation) -> tuple[str, ...]:
    wrong = []
    for outcome in ("stop", "do", "ask", "know"):
        wanted, got = expected[outcome], set(made.by_outcome(outcome))
        if wanted is None:
            continue
        if lacking := sorted(wanted - got):
            wrong.append(f"{outcome} expected but not given: {', '.join(lacking)}")
        if extra := sorted(got - wanted):
            wrong.append(f"{outcome} given but not expected: {', '.join(extra)}")
    spoke = {each.key for each in made.findings} & (expected["silent"] or set())
    if spoke:
        wrong.append(f"should have said nothing: {', '.join(sorted(spoke))}")
    return tuple(wrong)


def as_situation(text: SituationText, known: Iterable[str] = ()) -> Situation:
    """A situation of a file as the evaluator takes it."""
    hours = None
    if text.begins is not None and text.ends is not None:
        hours = clock_minutes(text.begins), clock_minutes(text.ends)
    met = {
        key: bool(value)
        for name, value in (text.met or {}).items()
        for key in known
        if key == name or key.endswith(f"/{name}")
    }
    return Situation(
        first_day=text.day,
        last_day=text.last_day or text.day,
        as_of=text.as_of,
        hours=hours,
        sun=Sun(_minutes(text.sunrise), _minutes(text.sunset)),
        place=_place(text.place),
        gear=None if text.gear is None else tuple(_gear(each) for each in text.gear),
        people=None
        if text.people is None
        else tuple(
            PersonFact(name=each.name, age=each.age, supervised=each.supervised)
            for each in text.people
        ),
        papers=None if text.papers is None else tuple(_paper(each) for each in text.papers),
        amounts=None if text.amounts is None else tuple(_amount(each) for each in text.amounts),
        planned={each.amount: each.much.base for each in text.planned},
        holes=None
        if text.holes is None
        else tuple(
            HoleFact(
                name=each.name,
                depth=_base(each.depth),
                length=_base(each.length),
                width=_base(each.width),
            )
            for each in text.holes
        ),
        open_holes=text.open_holes,
        purpose=text.purpose,
        answers=text.answers or {},
        met=met,
    )


def _minutes(clock: Clock | None) -> int | None:
    return None if clock is None else clock_minutes(clock)


def _base(quantity: Quantity | None) -> int | None:
    return None if quantity is None else quantity.base


def _place(text: PlaceText) -> Place:
    return Place(
        name=text.name,
        land=text.land,
        title=text.title,
        water=text.water,
        zones=text.zones,
        areas={**dict.fromkeys(text.areas, True), **dict.fromkeys(text.not_areas, False)},
        distances={each.to: each.by.base for each in text.distances},
    )


def _gear(text: GearText) -> Gear:
    numbers = {
        name: quantity.base
        for name in words.GEAR_NUMBERS
        if (quantity := getattr(text, name)) is not None
    }
    return Gear(
        name=text.name or words.GEAR_WORDS.get(text.cls or "", "gear"),
        cls=text.cls,
        power=text.power,
        uses=text.use,
        numbers=numbers,
        count=text.count,
    )


def _paper(text: PaperText) -> PaperFact:
    return PaperFact(
        name=text.name or text.code or text.kind,
        kind=text.kind,
        code=text.code,
        holder=text.holder,
        issued_on=text.issued,
        expires_on=text.expires,
        ends_openly=text.no_end,
    )


def _amount(text: AmountText) -> AmountFact:
    return AmountFact(
        amount=text.amount,
        day=text.day,
        base=_base(text.much),
        site=text.site,
        water=text.water,
        people=text.people,
        is_one_piece=text.one_piece,
    )
