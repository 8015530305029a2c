"""Worked examples at the creek: the stopping table, leaving a hole, sharing out, colours, units."""

from decimal import Decimal as D

from reports.decide.colour_mass import Weighed, fit_masses
from reports.decide.leave import CleanUp, averages, falling, saturating, today
from reports.decide.stopping import Pan, Stakes, stopping_table
from reports.help.shape import CURRENCY, Example, sign
from trips.calc import pans, units
from trips.calc.allocation import RunEvidence, expect_masses, split_weighin
from trips.calc.counts import PRIOR_MASSES, ClassCounts, estimate_mass

STAKES = Stakes(gain=40.0, cost=1.0, hours=5.0, fallback=3.0, move_hours=0.75)
CLEAN_UPS = ((1.0, 0.42), (1.5, 0.48), (1.0, 0.36), (2.0, 0.40), (1.0, 0.10))
MOVE_HOURS = 0.75
RUNS = (("first run", (1, 6, 18)), ("second run", (0, 14, 30)), ("third run", (2, 3, 12)))
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
            "–" if row.move_at_most is None else f"{row.move_at_most} or fewer",
            "–" if row.dig_at_least is None else f"{row.dig_at_least} or more",
        )
        for row in table.rows[: table.decided]
    )
    return (
        Example(
            "A spot with five hours left",
            (
                "Believed before the first pan: 0.10 colours per litre, from little (one colour "
                "in ten litres' worth).",
                "Each pan holds 8 L and takes ten minutes.",
                f"Digging an hour at one colour per litre brings {STAKES.gain:.0f} {CURRENCY} and "
                f"costs {STAKES.cost:.0f}; the fallback brings {STAKES.fallback:.0f} {CURRENCY} an "
                "hour after 45 minutes of moving.",
            ),
            ("Pans", "Gravel", "Move at", "Dig at"),
            rows,
            (
                f"Digging at once is worth {sign(table.dig_now)} {CURRENCY}, moving at once "
                f"{sign(table.low_now)}, panning first {sign(table.value)}: the pans are worth "
                f"{sign(table.worth_of_panning)}.",
                f"On average {table.endings.pans:.1f} pans are enough.",
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
            "Five clean-ups of one hole",
            ("The next hole is 45 minutes away.",),
            (
                "Clean-up",
                "Hours",
                "Gold",
                "Gold an hour",
                "Falling rate behind it",
                "Average with the move, had one left then",
            ),
            tuple(
                (
                    str(number),
                    f"{step.hours:g}",
                    f"{step.gain:.2f} g",
                    f"{step.rate:.3f} g",
                    f"{step.fitted:.3f} g",
                    f"{mean:.3f} g an hour",
                )
                for number, (step, mean) in enumerate(zip(steps, means, strict=True), 1)
            ),
            (
                f"The average is highest after clean-up {best + 1}; the next one brought "
                f"{steps[best + 1].fitted:.3f} g an hour, less than that average: for a season of "
                "such holes that is when to leave.",
                "The second and third clean-up are taken together, because a rate that rises again "
                "is luck; the gold still adds up.",
            ),
        ),
        Example(
            "Five hours left today",
            (
                "Here 1.2 g are left and come with a time constant of three hours; at the other "
                "place 1.5 g with two and a half.",
            ),
            ("What", "Gold by the evening"),
            (
                ("stay all day", f"{day.stay_all:.2f} g"),
                ("go now", f"{day.go_now:.2f} g"),
                (f"stay {day.stay_hours:.2f} h, then go", f"{day.best:.2f} g"),
            ),
            ("Late in the day the season's rule leaves too early: no time is left to use it.",),
        ),
    )


def split() -> tuple[Example, ...]:
    """One weighing of three runs."""
    runs = [RunEvidence(name, ClassCounts(*counts)) for name, counts in RUNS]
    promised = expect_masses(runs)
    done = split_weighin(runs, net_units=150, resolution_ug=1_000)
    return (
        Example(
            "Three runs weighed together: 150 mg on a scale with steps of 1 mg",
            ("A coarse colour is taken as 12 mg, a medium one 2.5 mg, a fine one 0.5 mg.",),
            ("Run", "Coarse · medium · fine", "Promised", "Share", "Give or take"),
            tuple(
                (
                    name,
                    " · ".join(str(n) for n in counts),
                    f"{(each.mean_ug or 0) / 1000:.1f} mg",
                    f"{share.mass_ug / 1000:.0f} mg",
                    f"± {(share.sd_ug or 0) / 1000:.1f} mg",
                )
                for (name, counts), each, share in zip(RUNS, promised, done.shares, strict=True)
            ),
            (
                f"Promised {sum((e.mean_ug or 0) for e in promised) / 1000:.1f} mg in all; the "
                f"shares make {sum(s.mass_ug for s in done.shares) / 1000:.0f} mg, what the scale "
                "showed, to the last step.",
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
            "Learned from four weigh-ins",
            tuple(
                f"{' · '.join(str(n) for n in counts)} colours weighed {mass_ug / 1000:.0f} mg."
                for counts, mass_ug in WEIGH_INS
            ),
            ("Class", "Starting mass", "Learned", "Give or take"),
            tuple(
                (
                    name,
                    f"{first.mean_ug / 1000:g} mg",
                    f"{mean / 1000:.2f} mg",
                    f"± {sd / 1000:.2f} mg",
                )
                for name, first, mean, sd in zip(
                    ("coarse", "medium", "fine"),
                    (start.coarse, start.medium, start.fine),
                    fit.mean_ug,
                    fit.sd_ug,
                    strict=True,
                )
            ),
            ("The starting masses are own judgement; they give way as weigh-ins come in.",),
        ),
        Example(
            "One pan: no coarse, 3 medium, 9 fine colours",
            ("By the starting masses.",),
            ("What", "Figure"),
            (
                ("mass", f"{guess.mass_ug / 1000:.1f} mg" if guess else "unknown"),
                ("give or take", f"± {guess.sd_ug / 1000:.1f} mg" if guess else "unknown"),
                (
                    "as telling as so many equal colours",
                    f"{guess.effective_colours:.1f}" if guess else "unknown",
                ),
            ),
            (
                "About 20 equal colours are needed for ± 50 % (Clifton and others, USGS "
                "Professional Paper 625-C, 1969, restated by N. Marshall, seen second-hand).",
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
            "Two ounces",
            ("A troy ounce has 480 grains, a kitchen ounce 437.5.",),
            ("Ounce", "Grams"),
            (
                ("troy", f"{ozt.factor / 1_000_000}"),
                ("kitchen (avoirdupois)", f"{D(ounce_ug) / 1_000_000}"),
            ),
            (f"A kitchen ounce is {(1 - D(ounce_ug) / ozt.factor) * 100:.1f} % lighter.",),
        ),
        Example(
            "How many pans make a cubic yard in the bank",
            (
                "A pan of 16 inches holds 336 cubic inches (J. H. Wells, Placer Examination, "
                f"1969, Part V sec. 2b, seen): {pan_ml / 1000:.2f} L.",
            ),
            ("Swell", "Pans to the cubic yard"),
            tuple(
                (f"{each * 100:.0f} %", f"{pans.pan_factor(pan_ml, each):.0f}")
                for each in (D(0), D("0.12"), D("0.17"), D("0.20"), D("0.25"), D("0.40"))
            ),
            (
                f"The customary 180 means a swell of {pans.swell_implied(pan_ml, D(180)) * 100:.0f}"
                " %, more than the 20 to 25 % named beside it.",
            ),
        ),
        Example(
            "A grade, loose and in the bank",
            ("A box was fed 600 L of loose gravel and gave 90 mg.",),
            ("Grade", "Figure"),
            (
                ("loose, mg per litre (= g per m³)", f"{loose:.3f}"),
                (f"in the bank with {swell * 100:.0f} % swell", f"{bank:.3f}"),
                (
                    "the same in mg per cubic yard in the bank",
                    f"{units.convert_grade(bank, 'mg_per_l', 'mg_per_yd3'):.0f}",
                ),
            ),
            ("Grades on the pages are per loose litre; a bank grade needs its swell beside it.",),
        ),
    )
