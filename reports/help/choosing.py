"""Worked examples of choosing a place: ranking, belief, intervals."""

from reports.decide.belief import learn
from reports.decide.comparing import gamma_better, say_better
from reports.decide.evidence import Spot, Washed
from reports.decide.gammas import GammaMix
from reports.decide.hierarchy import Region
from reports.decide.ranking import Outing, rank
from reports.decide.scouting import Prospect, evpi, evsi
from reports.help.shape import CURRENCY, Example, pct, sign
from trips.calc.counts import ClassCounts, poisson_interval, zero_bound
from trips.calc.floods import usual_effect
from trips.calc.returns import interval, ratio_of_sums, seed_from

# Three invented creeks: name, shape and litres of the belief, gain, cost, hours door to door.
CREEKS = (
    ("Mill Bend, an hour away", 14.0, 100.0, 520.0, 22.0, 7.0),
    ("High Fork, three hours away", 24.0, 100.0, 520.0, 61.0, 11.0),
    ("Otter Bar, never tried", 0.8, 8.0, 520.0, 30.0, 7.5),
)
# Eight invented trips: net in the main unit, hours door to door.
NETS = (-22.0, 14.0, -31.0, 55.0, 3.0, -18.0, 40.0, -27.0)
HOURS = (6.0, 7.0, 5.5, 9.0, 6.0, 4.0, 8.0, 5.0)


def ranking() -> tuple[Example, ...]:
    """Three creeks in order, and what a look at the unknown one is worth."""
    outings = [
        Outing(number, GammaMix((1.0,), (shape,), (litres,)), gain, cost, hours)
        for number, (_, shape, litres, gain, cost, hours) in enumerate(CREEKS)
    ]
    order = rank(outings, 0.3)
    rows = []
    for row in order.rows:
        name, shape, litres, gain, cost, hours = CREEKS[row.site_id]
        net = gain * shape / litres - cost
        rows.append(
            (
                name,
                f"{shape / litres:.2f}",
                sign(net),
                f"{hours:g} h",
                sign(row.mean),
                f"{sign(row.low)} to {sign(row.high)}",
                pct(row.best_chance),
                sign(row.regret),
            )
        )
    best = order.rows[0]
    _, shape, litres, gain, cost, _ = CREEKS[2]
    prospect = Prospect(shape, litres, gain, cost)
    other = max(g * s / v - c for n, (_, s, v, g, c, _) in enumerate(CREEKS) if n != 2)
    look, most = evsi(prospect, 40.0, other), evpi(prospect, other)
    return (
        Example(
            "Three creeks for one day",
            (
                f"At each, a colour per litre brings {CREEKS[0][3]:.0f} {CURRENCY} a day; price, "
                "mass of a colour and what the box keeps are uncertain by about 30 % together.",
            ),
            (
                "Creek",
                "Colours per litre",
                f"Net of the day, {CURRENCY}",
                "Door to door",
                f"Net an hour, {CURRENCY}",
                "80 % range",
                "Chance of being best",
                "Given up on average",
            ),
            tuple(rows),
            (
                f"{CREEKS[best.site_id][0]} stands first with {sign(best.mean)} {CURRENCY} an "
                "hour: net of the day over its hours.",
                f"The chances make {pct(sum(row.best_chance for row in order.rows))}. The creek "
                "that nobody tried keeps a fair one because little is known of it.",
            ),
        ),
        Example(
            "What a look is worth",
            (
                f"Ten pans (40 L after the scatter of pans) at {CREEKS[2][0].split(',')[0]}; the "
                f"best known day leaves {sign(other)} {CURRENCY}.",
            ),
            ("What", f"{CURRENCY} a later day"),
            (
                ("Choosing with what the pans show, more than without", sign(look)),
                ("If one knew the rate for sure: no look can add more", sign(most)),
            ),
            (
                f"With four later trips and one in five falling through, the look adds "
                f"{sign(4 * 0.8 * look)} {CURRENCY}; it is worth going if it costs less.",
            ),
        ),
    )


def belief() -> tuple[Example, ...]:
    """Few pans against what the other sites say; and a flood."""
    names = {1: "Mill Bend, inside bend", 2: "Mill Bend, boulder", 3: "High Fork, crevice"}
    told = {1: (5, 24.0), 2: (0, 16.0), 3: (13, 48.0)}
    sites = {1: 1, 2: 1, 3: 2}
    spots = [
        Spot(key, sites[key], (Washed(ClassCounts(0, 0, colours), litres),))
        for key, (colours, litres) in told.items()
    ]
    found = learn(spots, Region(0.1, 1.0, 1.5, 1.5))
    rows = [
        (
            names[key],
            f"{colours} in {litres:g} L",
            f"{colours / litres:.2f}",
            f"{found.spot(key).mean():.2f}",
            f"{found.spot(key).quantile(0.1):.2f} to {found.spot(key).quantile(0.9):.2f}",
            pct(found.spot_shares(key, sites[key]).spot),
        )
        for key, (colours, litres) in told.items()
    ]
    for label, mix in (
        ("Mill Bend, a spot not tried", found.new_spot(1)),
        ("A site not tried", found.untested_site()),
    ):
        rows.append(
            (
                label,
                "nothing",
                "unknown",
                f"{mix.mean():.2f}",
                f"{mix.quantile(0.1):.2f} to {mix.quantile(0.9):.2f}",
                pct(0),
            )
        )
    floods = [
        (f"Once in {years:g} years or rarer" if years else "Size not known", *usual_effect(years))
        for years in (None, 2.0, 5.0)
    ]
    return (
        Example(
            "Three spots at two sites",
            (
                "Over all sites 0.10 colours per litre; pans scatter 1.5 times as much as by "
                "chance alone, so every count is worth two thirds.",
            ),
            (
                "Spot",
                "Counted",
                "Colours over litres",
                "Believed",
                "80 % range",
                "Own evidence",
            ),
            tuple(rows),
            (
                f"The boulder showed nothing, and is still believed to hold "
                f"{found.spot(2).mean():.2f}: its neighbour is good, and 16 L are little.",
            ),
        ),
        Example(
            "What a flood leaves of what was seen before it",
            ("Starting shares, which are judgement; each flood may carry its own.",),
            ("Flood", "Counts at the spot", "Counts for the site"),
            tuple((words, pct(spot), pct(site)) for words, spot, site in floods),
            (
                "A flood moves where in the bar the gold lies more than how much the site gets.",
                "One of unknown size takes nothing, and the page asks for its size.",
            ),
        ),
    )


def intervals() -> tuple[Example, ...]:
    """Counts, nothing found, trips, and is A better than B."""
    counts = []
    for colours, litres in ((0, 24), (3, 24), (12, 96), (48, 384)):
        got = poisson_interval(colours, litres, 0.95)
        counts.append(
            (
                f"{colours} in {litres} L",
                f"{colours / litres:.3f}",
                f"{got.low:.3f} to {got.high:.3f}" if got else "unknown",
            )
        )
    trips = interval(NETS, HOURS, 0.8, seed_from("help"))
    rate = ratio_of_sums(NETS, HOURS) or 0.0
    few = interval(NETS[:2], HOURS[:2], 0.8)
    pairs = ((7.0, 20.0, 3.0, 20.0), (12.0, 30.0, 9.0, 30.0))
    better = [
        (
            f"{a:g} in {v:g} L against {b:g} in {w:g} L",
            pct(gamma_better(a, v, b, w)),
            pct(gamma_better(a, v, b, w, 1.5)),
            say_better(gamma_better(a, v, b, w)),
        )
        for a, v, b, w in pairs
    ]
    return (
        Example(
            "Colours counted, and the rates that fit them",
            ("Exact 95 % range of a count (Garwood 1936, from memory).",),
            ("Counted", "Colours per litre", "95 % range"),
            tuple(counts),
            (
                "Four times as much gravel with the same rate makes the range about half as wide.",
                f"After 24 L without any colour the rate is below {zero_bound(24.0) or 0:.3f} with "
                "90 % confidence; it is not zero.",
            ),
        ),
        Example(
            "Eight trips",
            (
                f"Net in {CURRENCY}: {', '.join(sign(n, 0) for n in NETS)}; hours "
                f"{', '.join(f'{h:g}' for h in HOURS)}.",
            ),
            ("Trips", "Net an hour", "80 % range"),
            (
                ("first two", sign(ratio_of_sums(NETS[:2], HOURS[:2]) or 0.0), few.note),
                (
                    "all eight",
                    sign(rate),
                    f"{sign(trips.low or 0)} to {sign(trips.high or 0)}",
                ),
            ),
            ("One big nugget that nobody has found yet is in no such range.",),
        ),
        Example(
            "Is A better than B?",
            ("Each belief by its own counts alone.",),
            ("A against B", "A is better", "Half as much again better", "In words"),
            tuple(better),
            ("Less than half as much again hardly ever pays for a move.",),
        ),
    )
