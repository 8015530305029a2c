"""Worked examples at the creek: the stopping table, leaving a hole, sharing out, colours, units."""

from decimal import Decimal as D

from reports.decide.colour_mass import Weighed, fit_masses
from reports.decide.leave import CleanUp, averages, falling, saturating, today
from reports.decide.stopping import Pan, Stakes, stopping_table
from reports.help.shape import CURRENCY, Example, sign
from trips.calc import pans, units
from trips.calc.allocation import RunEvidence, expect_masses, split_weighin
from trips.calc.counts import CLASS_WORDS, PRIOR_MASSES, ClassCounts, estimate_mass
from trips.calc.words import marked, say

STAKES = Stakes(gain=40.0, cost=1.0, hours=5.0, fallback=3.0, move_hours=0.75)
CLEAN_UPS = ((1.0, 0.42), (1.5, 0.48), (1.0, 0.36), (2.0, 0.40), (1.0, 0.10))
MOVE_HOURS = 0.75
RUNS = (
    (marked("first run"), (1, 6, 18)),
    (marked("second run"), (0, 14, 30)),
    (marked("third run"), (2, 3, 12)),
)
WEIGH_INS = (
    ((3, 25, 102), 155_000),
    ((1, 40, 180), 190_000),
    ((5, 30, 90), 185_000),
    ((0, 22, 75), 88_000),
)
CUBIC_INCH_ML = D("16.387064")


def stopping() -> tuple[Example, ...]:
    """The table of one spot, up to where every count decides."""
    table = stopping_table(1.0, 10.0, [Pan(8.0, 1 / 6)] * 12, STAKES)
    rows = tuple(
        (
            str(row.pans),
            f"{row.litres:g} L",
            "–"
            if row.move_at_most is None
            else say("{move_at_most} or fewer", move_at_most=row.move_at_most),
            "–"
            if row.dig_at_least is None
            else say("{dig_at_least} or more", dig_at_least=row.dig_at_least),
        )
        for row in table.rows[: table.decided]
    )
    return (
        Example(
            say("A spot with five hours left"),
            (
                say(
                    "Believed before the first pan: 0.10 colours per litre, from "
                    "little (one colour in ten litres' worth)."
                ),
                say("Each pan holds 8 L and takes ten minutes."),
                say(
                    "Digging an hour at one colour per litre brings {gain:.0f} "
                    "{currency} and costs {cost:.0f}; the fallback brings "
                    "{fallback:.0f} {currency} an hour after 45 minutes of moving.",
                    gain=STAKES.gain,
                    currency=CURRENCY,
                    cost=STAKES.cost,
                    fallback=STAKES.fallback,
                ),
            ),
            (say("Pans"), say("Gravel"), say("Move at"), say("Dig at")),
            rows,
            (
                say(
                    "Digging at once is worth {dig_now} {currency}, moving at once "
                    "{low_now}, panning first {value}: the pans are worth "
                    "{worth_of_panning}.",
                    dig_now=sign(table.dig_now),
                    currency=CURRENCY,
                    low_now=sign(table.low_now),
                    value=sign(table.value),
                    worth_of_panning=sign(table.worth_of_panning),
                ),
                say("On average {pans:.1f} pans are enough.", pans=table.endings.pans),
            ),
        ),
    )


def leaving() -> tuple[Example, ...]:
    """A falling hole, by the season and by the hours left."""
    rows_in = [CleanUp(hours, grams) for hours, grams in CLEAN_UPS]
    steps = falling(rows_in)
    means = averages(rows_in, MOVE_HOURS)
    best = max(range(len(means)), key=means.__getitem__)
    day = today(saturating(1.2, 3.0), saturating(1.5, 2.5), 5.0, MOVE_HOURS)
    return (
        Example(
            say("Five clean-ups of one hole"),
            (say("The next hole is 45 minutes away."),),
            (
                say("Clean-up"),
                say("Hours"),
                say("Gold"),
                say("Gold an hour"),
                say("Falling rate behind it"),
                say("Average with the move, had one left then"),
            ),
            tuple(
                (
                    str(number),
                    f"{step.hours:g}",
                    f"{step.gain:.2f} g",
                    f"{step.rate:.3f} g",
                    f"{step.fitted:.3f} g",
                    say("{mean:.3f} g an hour", mean=mean),
                )
                for number, (step, mean) in enumerate(zip(steps, means, strict=True), 1)
            ),
            (
                say(
                    "The average is highest after clean-up {best}; the next one "
                    "brought {fitted:.3f} g an hour, less than that average: for a "
                    "season of such holes that is when to leave.",
                    best=best + 1,
                    fitted=steps[best + 1].fitted,
                ),
                say(
                    "The second and third clean-up are taken together, because a rate "
                    "that rises again is luck; the gold still adds up."
                ),
            ),
        ),
        Example(
            say("Five hours left today"),
            (
                say(
                    "Here 1.2 g are left and come with a time constant of three hours; "
                    "at the other place 1.5 g with two and a half."
                ),
            ),
            (say("What"), say("Gold by the evening")),
            (
                (say("stay all day"), f"{day.stay_all:.2f} g"),
                (say("go now"), f"{day.go_now:.2f} g"),
                (
                    say("stay {stay_hours:.2f} h, then go", stay_hours=day.stay_hours),
                    f"{day.best:.2f} g",
                ),
            ),
            (
                say(
                    "Late in the day the season's rule leaves too early: no time is left to use it."
                ),
            ),
        ),
    )


def split() -> tuple[Example, ...]:
    """One weighing of three runs."""
    runs = [RunEvidence(name, ClassCounts(*counts)) for name, counts in RUNS]
    promised = expect_masses(runs)
    done = split_weighin(runs, net_units=150, resolution_ug=1_000)
    return (
        Example(
            say("Three runs weighed together: 150 mg on a scale with steps of 1 mg"),
            (say("A coarse colour is taken as 12 mg, a medium one 2.5 mg, a fine one 0.5 mg."),),
            (
                say("Run"),
                say("Coarse · medium · fine"),
                say("Promised"),
                say("Share"),
                say("Give or take"),
            ),
            tuple(
                (
                    say(name),
                    " · ".join(str(n) for n in counts),
                    say("{mean_ug:.1f} mg", mean_ug=(each.mean_ug or 0) / 1000),
                    say("{mass_ug:.0f} mg", mass_ug=share.mass_ug / 1000),
                    say("± {sd_ug:.1f} mg", sd_ug=(share.sd_ug or 0) / 1000),
                )
                for (name, counts), each, share in zip(RUNS, promised, done.shares, strict=True)
            ),
            (
                say(
                    "Promised {mean_ug:.1f} mg in all; the shares make {mass_ug:.0f} "
                    "mg, what the scale showed, to the last step.",
                    mean_ug=sum((e.mean_ug or 0) for e in promised) / 1000,
                    mass_ug=sum(s.mass_ug for s in done.shares) / 1000,
                ),
            ),
        ),
    )


def colours() -> tuple[Example, ...]:
    """Masses learned from four weigh-ins; one count turned into milligrams."""
    start = PRIOR_MASSES
    fit = fit_masses(
        [
            Weighed(str(n), ClassCounts(*counts), None, mass_ug, 1_000)
            for n, (counts, mass_ug) in enumerate(WEIGH_INS)
        ]
    )
    pan = ClassCounts(0, 3, 9)
    guess = estimate_mass(pan)
    return (
        Example(
            say("Learned from four weigh-ins"),
            tuple(
                say(
                    "{n} colours weighed {mass_ug:.0f} mg.",
                    n=" · ".join(str(n) for n in counts),
                    mass_ug=mass_ug / 1000,
                )
                for counts, mass_ug in WEIGH_INS
            ),
            (say("Class"), say("Starting mass"), say("Learned"), say("Give or take")),
            tuple(
                (
                    name,
                    say("{mean_ug:g} mg", mean_ug=first.mean_ug / 1000),
                    say("{mean:.2f} mg", mean=mean / 1000),
                    say("± {sd:.2f} mg", sd=sd / 1000),
                )
                for name, first, mean, sd in zip(
                    CLASS_WORDS.values(),
                    (start.coarse, start.medium, start.fine),
                    fit.mean_ug,
                    fit.sd_ug,
                    strict=True,
                )
            ),
            (say("The starting masses are own judgement; they give way as weigh-ins come in."),),
        ),
        Example(
            say("One pan: no coarse, 3 medium, 9 fine colours"),
            (say("By the starting masses."),),
            (say("What"), say("Figure")),
            (
                (
                    say("mass"),
                    say("{mass_ug:.1f} mg", mass_ug=guess.mass_ug / 1000)
                    if guess
                    else say("unknown"),
                ),
                (
                    say("give or take"),
                    say("± {sd_ug:.1f} mg", sd_ug=guess.sd_ug / 1000) if guess else say("unknown"),
                ),
                (
                    say("as telling as so many equal colours"),
                    f"{guess.effective_colours:.1f}" if guess else say("unknown"),
                ),
            ),
            (
                say(
                    "About 20 equal colours are needed for ± 50 % (Clifton and others, "
                    "USGS Professional Paper 625-C, 1969, restated by N. Marshall, "
                    "seen second-hand)."
                ),
            ),
        ),
    )


def unit_examples() -> tuple[Example, ...]:
    """Ounces, a pan, the swell, a grade."""
    ozt, grain = units.unit("mass", "ozt"), units.unit("mass", "grain")
    ounce_ug = units.to_base(D("437.5"), grain)
    pan_ml = 336 * CUBIC_INCH_ML
    swell = D("0.20")
    loose = units.grade_mg_per_l(90_000, 600_000) or D(0)
    bank = pans.bank_grade(loose, swell)
    return (
        Example(
            say("Two ounces"),
            (say("A troy ounce has 480 grains, a kitchen ounce 437.5."),),
            (say("Ounce"), say("Grams")),
            (
                (say("troy"), f"{ozt.factor / 1_000_000}"),
                (say("kitchen (avoirdupois)"), f"{D(ounce_ug) / 1_000_000}"),
            ),
            (
                say(
                    "A kitchen ounce is {words:.1f} % lighter.",
                    words=(1 - D(ounce_ug) / ozt.factor) * 100,
                ),
            ),
        ),
        Example(
            say("How many pans make a cubic yard in the bank"),
            (
                say(
                    "A pan of 16 inches holds 336 cubic inches (J. H. Wells, Placer "
                    "Examination, 1969, Part V sec. 2b, seen): {pan_ml:.2f} L.",
                    pan_ml=pan_ml / 1000,
                ),
            ),
            (say("Swell"), say("Pans to the cubic yard")),
            tuple(
                (f"{each * 100:.0f} %", f"{pans.pan_factor(pan_ml, each):.0f}")
                for each in (D(0), D("0.12"), D("0.17"), D("0.20"), D("0.25"), D("0.40"))
            ),
            (
                say(
                    "The customary 180 means a swell of {pan_ml:.0f} %, more than the "
                    "20 to 25 % named beside it.",
                    pan_ml=pans.swell_implied(pan_ml, D(180)) * 100,
                ),
            ),
        ),
        Example(
            say("A grade, loose and in the bank"),
            (say("A box was fed 600 L of loose gravel and gave 90 mg."),),
            (say("Grade"), say("Figure")),
            (
                (say("loose, mg per litre (= g per m³)"), f"{loose:.3f}"),
                (say("in the bank with {swell:.0f} % swell", swell=swell * 100), f"{bank:.3f}"),
                (
                    say("the same in mg per cubic yard in the bank"),
                    f"{units.convert_grade(bank, 'mg_per_l', 'mg_per_yd3'):.0f}",
                ),
            ),
            (
                say(
                    "Grades on the pages are per loose litre; a bank grade needs its "
                    "swell beside it."
                ),
            ),
        ),
    )
