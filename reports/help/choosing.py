"""Worked examples of choosing a place: ranking, belief, intervals."""

from reports.decide.belief import learn
from reports.decide.comparing import gamma_better, say_better
from reports.decide.evidence import Spot, Washed
from reports.decide.gammas import GammaMix
from reports.decide.hierarchy import Region
from reports.decide.ranking import Outing, Ranking, rank
from reports.decide.scouting import Prospect, evpi, evsi
from reports.help.shape import CURRENCY, Example, pct, sign
from trips.calc.counts import ClassCounts, poisson_interval, zero_bound
from trips.calc.floods import usual_effect
from trips.calc.returns import interval, ratio_of_sums, seed_from
from trips.calc.words import marked, say

# Three invented creeks: name, shape and litres of the belief, gain, cost, hours door to door.
CREEKS = (
    (marked("Mill Bend, an hour away"), 14.0, 100.0, 520.0, 22.0, 7.0),
    (marked("High Fork, three hours away"), 24.0, 100.0, 520.0, 61.0, 11.0),
    (marked("Otter Bar, never tried"), 0.8, 8.0, 520.0, 30.0, 7.5),
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
    return _creeks_in_order(rank(outings, 0.3)), _worth_of_a_look()


def _creeks_in_order(order: Ranking) -> Example:
    rows = []
    for row in order.rows:
        name, shape, litres, gain, cost, hours = CREEKS[row.site_id]
        name = say(name)
        net = gain * shape / litres - cost
        rows.append(
            (
                name,
                f"{shape / litres:.2f}",
                sign(net),
                f"{hours:g} h",
                sign(row.mean),
                say("{low} to {high}", low=sign(row.low), high=sign(row.high)),
                pct(row.best_chance),
                sign(row.regret),
            )
        )
    best = order.rows[0]
    return Example(
        say("Three creeks for one day"),
        (
            say(
                "At each, a colour per litre brings {creeks:.0f} {currency} a day; "
                "price, mass of a colour and what the box keeps are uncertain by "
                "about 30 % together.",
                creeks=CREEKS[0][3],
                currency=CURRENCY,
            ),
        ),
        (
            say("Creek"),
            say("Colours per litre"),
            say("Net of the day, {currency}", currency=CURRENCY),
            say("Door to door"),
            say("Net an hour, {currency}", currency=CURRENCY),
            say("80 % range"),
            say("Chance of being best"),
            say("Given up on average"),
        ),
        tuple(rows),
        (
            say(
                "{creeks} stands first with {mean} {currency} an hour: net of the "
                "day over its hours.",
                creeks=say(CREEKS[best.site_id][0]),
                mean=sign(best.mean),
                currency=CURRENCY,
            ),
            say(
                "The chances make {best_chance}. The creek that nobody tried keeps "
                "a fair one because little is known of it.",
                best_chance=pct(sum(row.best_chance for row in order.rows)),
            ),
        ),
    )


def _worth_of_a_look() -> Example:
    _, shape, litres, gain, cost, _ = CREEKS[2]
    prospect = Prospect(shape, litres, gain, cost)
    other = max(g * s / v - c for n, (_, s, v, g, c, _) in enumerate(CREEKS) if n != 2)
    look, most = evsi(prospect, 40.0, other), evpi(prospect, other)
    return Example(
        say("What a look is worth"),
        (
            say(
                "Ten pans (40 L after the scatter of pans) at {words}; the best "
                "known day leaves {other} {currency}.",
                words=say(CREEKS[2][0]).split(",")[0],
                other=sign(other),
                currency=CURRENCY,
            ),
        ),
        (say("What"), say("{currency} a later day", currency=CURRENCY)),
        (
            (say("Choosing with what the pans show, more than without"), sign(look)),
            (say("If one knew the rate for sure: no look can add more"), sign(most)),
        ),
        (
            say(
                "With four later trips and one in five falling through, the look "
                "adds {words} {currency}; it is worth going if it costs less.",
                words=sign(4 * 0.8 * look),
                currency=CURRENCY,
            ),
        ),
    )


def belief() -> tuple[Example, ...]:
    """Few pans against what the other sites say; and a flood."""
    return _three_spots(), _after_floods()


def _three_spots() -> Example:
    names = {
        1: say("Mill Bend, inside bend"),
        2: say("Mill Bend, boulder"),
        3: say("High Fork, crevice"),
    }
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
            say("{colours} in {litres:g} L", colours=colours, litres=litres),
            f"{colours / litres:.2f}",
            f"{found.spot(key).mean():.2f}",
            say(
                "{words:.2f} to {words_2:.2f}",
                words=found.spot(key).quantile(0.1),
                words_2=found.spot(key).quantile(0.9),
            ),
            pct(found.spot_shares(key, sites[key]).spot),
        )
        for key, (colours, litres) in told.items()
    ]
    for label, mix in (
        (say("Mill Bend, a spot not tried"), found.new_spot(1)),
        (say("A site not tried"), found.untested_site()),
    ):
        rows.append(
            (
                label,
                say("nothing"),
                say("unknown"),
                f"{mix.mean():.2f}",
                say(
                    "{words:.2f} to {words_2:.2f}",
                    words=mix.quantile(0.1),
                    words_2=mix.quantile(0.9),
                ),
                pct(0),
            )
        )
    return Example(
        say("Three spots at two sites"),
        (
            say(
                "Over all sites 0.10 colours per litre; pans scatter 1.5 times as "
                "much as by chance alone, so every count is worth two thirds."
            ),
        ),
        (
            say("Spot"),
            say("Counted"),
            say("Colours over litres"),
            say("Believed"),
            say("80 % range"),
            say("Own evidence"),
        ),
        tuple(rows),
        (
            say(
                "The boulder showed nothing, and is still believed to hold "
                "{mean:.2f}: its neighbour is good, and 16 L are little.",
                mean=found.spot(2).mean(),
            ),
        ),
    )


def _after_floods() -> Example:
    floods = [
        (
            say("Once in {years:g} years or rarer", years=years)
            if years
            else say("Size not known"),
            *usual_effect(years),
        )
        for years in (None, 2.0, 5.0)
    ]
    return Example(
        say("What a flood leaves of what was seen before it"),
        (say("Starting shares, which are judgement; each flood may carry its own."),),
        (say("Flood"), say("Counts at the spot"), say("Counts for the site")),
        tuple((words, pct(spot), pct(site)) for words, spot, site in floods),
        (
            say("A flood moves where in the bar the gold lies more than how much the site gets."),
            say("One of unknown size takes nothing, and the page asks for its size."),
        ),
    )


def intervals() -> tuple[Example, ...]:
    """Counts, nothing found, trips, and is A better than B."""
    return _counted(), _eight_trips(), _better()


def _counted() -> Example:
    counts = []
    for colours, litres in ((0, 24), (3, 24), (12, 96), (48, 384)):
        got = poisson_interval(colours, litres, 0.95)
        counts.append(
            (
                say("{colours} in {litres} L", colours=colours, litres=litres),
                f"{colours / litres:.3f}",
                say("{low:.3f} to {high:.3f}", low=got.low, high=got.high)
                if got
                else say("unknown"),
            )
        )
    return Example(
        say("Colours counted, and the rates that fit them"),
        (say("Exact 95 % range of a count (Garwood 1936, from memory)."),),
        (say("Counted"), say("Colours per litre"), say("95 % range")),
        tuple(counts),
        (
            say("Four times as much gravel with the same rate makes the range about half as wide."),
            say(
                "After 24 L without any colour the rate is below {words:.3f} with "
                "90 % confidence; it is not zero.",
                words=zero_bound(24.0) or 0,
            ),
        ),
    )


def _eight_trips() -> Example:
    trips = interval(NETS, HOURS, 0.8, seed_from("help"))
    rate = ratio_of_sums(NETS, HOURS) or 0.0
    few = interval(NETS[:2], HOURS[:2], 0.8)
    return Example(
        say("Eight trips"),
        (
            say(
                "Net in {currency}: {n}; hours {h}.",
                currency=CURRENCY,
                n=", ".join(sign(n, 0) for n in NETS),
                h=", ".join(f"{h:g}" for h in HOURS),
            ),
        ),
        (say("Trips"), say("Net an hour"), say("80 % range")),
        (
            (say("first two"), sign(ratio_of_sums(NETS[:2], HOURS[:2]) or 0.0), few.note),
            (
                say("all eight"),
                sign(rate),
                say("{low} to {high}", low=sign(trips.low or 0), high=sign(trips.high or 0)),
            ),
        ),
        (say("One big nugget that nobody has found yet is in no such range."),),
    )


def _better() -> Example:
    pairs = ((7.0, 20.0, 3.0, 20.0), (12.0, 30.0, 9.0, 30.0))
    better = [
        (
            say("{a:g} in {v:g} L against {b:g} in {w:g} L", a=a, v=v, b=b, w=w),
            pct(gamma_better(a, v, b, w)),
            pct(gamma_better(a, v, b, w, 1.5)),
            say(say_better(gamma_better(a, v, b, w))),
        )
        for a, v, b, w in pairs
    ]
    return Example(
        say("Is A better than B?"),
        (say("Each belief by its own counts alone."),),
        (
            say("A against B"),
            say("A is better"),
            say("Half as much again better"),
            say("In words"),
        ),
        tuple(better),
        (say("Less than half as much again hardly ever pays for a move."),),
    )
