"""Keep panning, dig or move: the best thing to do after each pan, in money, worked out backwards.

Belief about a spot's colours per litre is Gamma(shape, rate), mean shape/rate. Litres are loose,
times in hours, money in the main unit. Dispersion `phi` (1 = plain chance) divides what each pan
teaches and widens what the next one may show. Source: finite-horizon optimal stopping by
backward induction; gamma-Poisson and negative binomial as in any handbook of statistics.

Digging is linear in the belief and the belief is a fair game, so digging after one more pan is
worth on average what digging on the present belief for the shorter time is. Only the excess of
stopping otherwise has to be summed, and that is zero above the digging threshold: the sums are
short and have no tail to cut.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, inf, log
from typing import TYPE_CHECKING, Literal

from trips.calc.errors import OutOfRange

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Truths = NDArray[np.bool_]

Action = Literal["pan", "dig", "move", "home"]
MOST_COLOURS = 1000  # a threshold above this is no number that anybody counts
NOISE = 1e-12  # of the sums' size: less than so much is no reason to wash another pan
NEARLY = 1.1  # litres washed, times this, count as reached
_UNDERFLOW = 600.0  # beyond this exponent the plain product would lose digits


@dataclass(frozen=True)
class Stakes:
    """What an hour brings: `gain` per digging hour for each colour per litre, less `cost`.

    hours: left before the first pan. fallback: the second choice's net per hour; move_hours: to
    get there. Without a second choice both are zero and moving means going home.
    """

    gain: float
    cost: float
    hours: float
    fallback: float = 0.0
    move_hours: float = 0.0


@dataclass(frozen=True)
class Pan:
    """One pan as planned: loose litres, and hours to fill, wash and count it."""

    litres: float
    hours: float


@dataclass(frozen=True)
class Row:
    """After `pans` pans: move (or go home) with so many colours or fewer, dig with so many or more.

    None: no count says so. `low` is what a poor count means: "move" to the fallback, or "home".
    """

    pans: int
    litres: float
    move_at_most: int | None
    dig_at_least: int | None
    low: Action = "move"


@dataclass(frozen=True)
class Endings:
    """How it ends under a rule: chance of each ending, expected pans and expected money."""

    dig: float
    move: float
    home: float
    pans: float
    value: float


@dataclass(frozen=True)
class StoppingTable:
    """The rule and what it is worth: `value` with panning, `dig_now` and `low_now` without.

    `rows` go as far as time and pans allow; from the one after `decided` pans on every count has
    decided, so nobody should still be panning. `low_now` is moving at once or going home.
    """

    value: float
    first: Action
    dig_now: float
    low_now: float
    rows: tuple[Row, ...]
    decided: int
    endings: Endings

    @property
    def worth_of_panning(self) -> float:
        """What the pans are worth: the value with them less the best without."""
        return self.value - max(self.dig_now, self.low_now)


def stopping_table(
    shape: float,
    rate: float,
    pans: Sequence[Pan],
    stakes: Stakes,
    phi: float = 1.0,
    most_colours: int | None = None,
) -> StoppingTable:
    """The best rule for at most `len(pans)` pans of given litres, by backward induction.

    Args: shape, rate: belief before the first pan. pans: in order, any litres. most_colours:
        widens the worked table to that many colours; the result does not depend on it.
    Raises: OutOfRange for a belief, litres or gain that aren't above zero, a dispersion below 1,
        or negative hours, costs or moving time.
    """
    _check(shape, rate, pans, stakes, phi)
    import numpy as np

    game = _Game(shape, rate, tuple(pans), stakes, phi)
    even = game.even_counts()
    size = max(min(MOST_COLOURS, ceil(max([0.0, *even])) + 1), most_colours or 0) + 1
    is_open = any(count <= MOST_COLOURS for count in even)  # else nothing can be learned by a pan
    colours = np.arange(size, dtype=np.float64)
    found: list[tuple[int | None, int | None]] = []
    excess: Floats = np.empty(0)
    value = first_value = 0.0
    first: Action = "pan"
    for done in range(len(pans), -1, -1):
        dig, low = game.dig(done, colours), game.low(done)[1]
        stop = np.maximum(dig, low)
        best = stop
        if is_open and done < len(pans) and game.left(done + 1) > 0:
            best = np.maximum(stop, game.pan(done, colours, excess))
        keeps = best - stop > NOISE * np.maximum(np.abs(dig), 1.0)
        digs = ~keeps & (dig > low)
        found.append(_thresholds(keeps, digs))
        over = best - dig
        excess = over[: int(np.flatnonzero(over > 0)[-1]) + 1] if (over > 0).any() else over[:0]
        value, first_value = float(best[0]), float(dig[0])
        first = "pan" if keeps[0] else "dig" if digs[0] else game.low(done)[0]
    found.reverse()
    rows = game.rows(found)
    endings = play(shape, rate, pans, stakes, rows, phi, first)
    decided = next((row.pans for row in rows if _decides(row)), len(rows))
    return StoppingTable(value, first, first_value, game.low(0)[1], rows, decided, endings)


def play(
    shape: float,
    rate: float,
    pans: Sequence[Pan],
    stakes: Stakes,
    rows: Sequence[Row],
    phi: float = 1.0,
    first: Action = "pan",
) -> Endings:
    """What following `rows` leads to under the belief: an exact recursion over counts.

    The last row decides every count: what is above `move_at_most` digs. `first` other than
    "pan" ends before any pan. Raises: as `stopping_table`.
    """
    _check(shape, rate, pans, stakes, phi)
    import numpy as np

    game = _Game(shape, rate, tuple(pans), stakes, phi)
    dig_now = float(game.dig(0, np.zeros(1))[0])
    word, low_now = game.low(0)
    if first != "pan" or not rows:
        digs = first == "dig"
        return Endings(
            float(digs),
            float(not digs and word == "move"),
            float(not digs and word == "home"),
            0.0,
            dig_now if digs else low_now,
        )
    chance = {"dig": 0.0, "move": 0.0, "home": 0.0}
    expected = value = 0.0
    alive = np.ones(1)
    for row in rows:
        top = row.move_at_most if row.dig_at_least is None else row.dig_at_least - 1
        if row is rows[-1]:
            top = -1 if row.move_at_most is None else row.move_at_most
        if top is None:
            top = alive.size - 1 + MOST_COLOURS
        after, mean_dig = game.step(row.pans - 1, alive, top)
        expected += float(alive.sum())
        word, low = game.low(row.pans)
        counts = np.arange(after.size, dtype=np.float64)
        chance["dig"] += max(0.0, float(alive.sum() - after.sum()))
        value += mean_dig - float(after @ game.dig(row.pans, counts))
        cut = -1 if row.move_at_most is None else row.move_at_most
        poor = float(after[: cut + 1].sum())
        chance[word] += poor
        value += poor * low
        alive = after.copy()
        alive[: cut + 1] = 0.0
        if not alive.any():
            break
    return Endings(chance["dig"], chance["move"], chance["home"], expected, value)


@dataclass(frozen=True)
class _Game:
    shape: float
    rate: float
    pans: tuple[Pan, ...]
    stakes: Stakes
    phi: float

    def left(self, done: int) -> float:
        return self.stakes.hours - sum(pan.hours for pan in self.pans[:done])

    def litres(self, done: int) -> float:
        return sum(pan.litres for pan in self.pans[:done])

    def belief(self, done: int, colours: "Floats") -> tuple["Floats", float]:
        return self.shape + colours / self.phi, self.rate + self.litres(done) / self.phi

    def dig(self, done: int, colours: "Floats") -> "Floats":
        shape, rate = self.belief(done, colours)
        worth: Floats = max(0.0, self.left(done)) * (
            self.stakes.gain * shape / rate - self.stakes.cost
        )
        return worth

    def low(self, done: int) -> tuple[Literal["move", "home"], float]:
        """The better of moving and going home, the same for every count."""
        there = max(0.0, self.left(done) - self.stakes.move_hours) * self.stakes.fallback
        return ("move", there) if there > 0 else ("home", 0.0)

    def even_counts(self) -> list[float]:
        """By pans done while time is left: the count at which digging and stopping low are even."""
        found = []
        for done in range(len(self.pans) + 1):
            left = self.left(done)
            if left <= 0:
                break
            rate = self.rate + self.litres(done) / self.phi
            even = (self.stakes.cost + self.low(done)[1] / left) / self.stakes.gain
            found.append(self.phi * (even * rate - self.shape))
        return found

    def pan(self, done: int, colours: "Floats", excess: "Floats") -> "Floats":
        """Expected value of one more pan: digging after it, and the excess of not digging."""
        shape, rate = self.belief(done, colours)
        mean = self.stakes.gain * shape / rate - self.stakes.cost
        worth: Floats = self.left(done + 1) * mean
        lower = min(excess.size, colours.size)
        if lower:
            chances = self.chances(done, colours[:lower], lower)
            worth[:lower] += (chances * _shifted(excess, lower)).sum(axis=1)
        return worth

    def chances(self, done: int, colours: "Floats", size: int) -> "Floats":
        """Probability of x = 0 … size-1 further colours in the next pan, one row per count."""
        import numpy as np

        shape, rate = self.belief(done, colours)
        litres = self.pans[done].litres
        ratio = litres / rate
        number = ratio * shape / (self.phi - 1 + ratio)
        stay = 1 / (self.phi + ratio)
        x = np.arange(1, size, dtype=np.float64)
        steps = (number[:, None] + x - 1) / x * (1 - stay)
        logs = number * log(stay)
        if logs.size and -logs.min() > _UNDERFLOW:
            sums = np.cumsum(np.log(steps), axis=1)
            wide = np.concatenate([np.zeros((logs.size, 1)), sums], axis=1)
            long: Floats = np.exp(logs[:, None] + wide)
            return long
        products = np.concatenate([np.exp(logs)[:, None], steps], axis=1)
        filled: Floats = np.cumprod(products, axis=1)
        return filled

    def step(self, done: int, alive: "Floats", top: int) -> tuple["Floats", float]:
        """Counts up to `top` after one more pan, and the mean worth of digging over all counts."""
        import numpy as np

        colours = np.arange(alive.size, dtype=np.float64)
        shape, rate = self.belief(done, colours)
        worth = max(0.0, self.left(done + 1)) * (self.stakes.gain * shape / rate - self.stakes.cost)
        after = np.zeros(top + 1)
        if top >= 0:
            chances = self.chances(done, colours, top + 1)
            for count in np.flatnonzero(alive):
                room = top + 1 - int(count)
                if room > 0:
                    after[count:] += alive[count] * chances[count, :room]
        return after, float(alive @ worth)

    def rows(self, found: Sequence[tuple[int | None, int | None]]) -> tuple[Row, ...]:
        rows = []
        for done, (low, dig) in enumerate(found):
            if done == 0:
                continue
            if self.left(done) <= 0:
                break
            rows.append(Row(done, self.litres(done), low, dig, self.low(done)[0]))
        return tuple(rows)


def _decides(row: Row) -> bool:
    """No count keeps panning: the thresholds are next to each other."""
    low = -1 if row.move_at_most is None else row.move_at_most
    return low >= MOST_COLOURS if row.dig_at_least is None else row.dig_at_least == low + 1


def _thresholds(keeps: "Truths", digs: "Truths") -> tuple[int | None, int | None]:
    """Greatest count up to which all stop low, and smallest from which all dig."""
    import numpy as np

    not_low, not_dig = np.flatnonzero(keeps | digs), np.flatnonzero(~digs)
    low = int(not_low[0]) - 1 if not_low.size else keeps.size - 1
    dig = int(not_dig[-1]) + 1 if not_dig.size else 0
    return (None if low < 0 else low), (None if dig >= digs.size else dig)


def _shifted(values: "Floats", size: int) -> "Floats":
    """values[y + x] for y, x below size; zero beyond the end."""
    import numpy as np

    padded = np.concatenate([values, np.zeros(size)])
    return np.lib.stride_tricks.sliding_window_view(padded, size)[:size]


def _check(shape: float, rate: float, pans: Sequence[Pan], stakes: Stakes, phi: float) -> None:
    if not (0 < shape < inf and 0 < rate < inf and 1 <= phi < inf):
        raise OutOfRange(
            f"A belief of shape {shape} and rate {rate} with dispersion {phi} was given; a belief "
            "above zero and a dispersion of 1 or more were expected."
        )
    if any(not (pan.litres > 0 and pan.hours > 0) for pan in pans):
        raise OutOfRange("A pan holds more than zero litres and takes more than zero hours.")
    if not stakes.gain > 0 or min(stakes.cost, stakes.hours, stakes.move_hours) < 0:
        raise OutOfRange(
            f"Gain {stakes.gain}, cost {stakes.cost}, {stakes.hours} h left, {stakes.move_hours} h "
            "to move: a gain above zero and the rest zero or more were expected."
        )


def row_for(rows: Sequence[Row], litres: float) -> Row | None:
    """The row that speaks once so many litres are washed: the last whose litres are reached.

    A tenth less than planned still counts as reached, because nobody fills a pan to the drop.
    None before the first row; beyond the last row the last one speaks.
    """
    reached = [row for row in rows if row.litres <= litres * NEARLY + 1e-9]
    return reached[-1] if reached else None


def says(row: Row, colours: float) -> Action:
    """What a row says to a count, which may be a fraction when colours are weighted."""
    if row.dig_at_least is not None and colours >= row.dig_at_least:
        return "dig"
    if row.move_at_most is not None and colours <= row.move_at_most:
        return row.low
    return "pan"
