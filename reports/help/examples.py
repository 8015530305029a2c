"""The worked examples by page of help, made once."""

from reports.help import at_creek, choosing, money, ruled
from reports.help.shape import Example, MakeExamples
from trips.calc.words import remembered

EXAMPLES: dict[str, MakeExamples] = {
    "ranking": choosing.ranking,
    "belief": choosing.belief,
    "interval": choosing.intervals,
    "stopping": at_creek.stopping,
    "leaving": at_creek.leaving,
    "split": at_creek.split,
    "colours": at_creek.colours,
    "units": at_creek.unit_examples,
    "value": money.value,
    "cost": money.cost,
    "ladder": money.ladder,
    "mean": money.mean,
    "rules": ruled.rules,
    "ground": ruled.ground,
}


@remembered(64)
def examples(key: str) -> tuple[Example, ...]:
    """The examples of a page; none for a page that only tells.

    Nothing in them ever changes but the language and manner in which a person reads them.
    """
    make = EXAMPLES.get(key)
    return make() if make else ()
