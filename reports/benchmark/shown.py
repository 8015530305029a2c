"""What was measured, as tables that may be pasted into the docs."""

from collections.abc import Iterable, Sequence
from statistics import median

from django.db import connection
from django.db.backends.base.base import BaseDatabaseWrapper
from django.test import Client

from claims.models import Party
from reports.benchmark import measure
from reports.benchmark.alone import asked_of
from reports.benchmark.floors import floor_of
from reports.benchmark.imports import Import
from reports.benchmark.measure import in_turns
from reports.benchmark.pages import pages_of
from reports.benchmark.ranking import Ranked
from reports.benchmark.record import Built

Lines = Iterable[str]
HEADS = ("what", "time, ms", "floor", "ratio", "budget", "queries", "budget of them", "")


def row(cells: Sequence[object]) -> str:
    """A line of a table."""
    return f"| {' | '.join(str(cell) for cell in cells)} |"


def head(cells: Sequence[str]) -> Lines:
    """The head of a table: numbers to the right, the first column to the left."""
    yield row(cells)
    yield row(["---", *["---:"] * (len(cells) - 1)])


def pages(built: Built, listed, repeats: int) -> Lines:
    """Time, ratio and queries of each page of a party, with its budgets."""
    client = measure.sign_in(built.user)
    yield from head(HEADS)
    for page in pages_of(built.party, listed):
        seen = measure.look(client, page.address)
        floor = floor_of(page.floor, seen, built.party, measure.environ_of(client, page.address))
        ask = measure.asking(client, page.address)
        spent, *rest = in_turns(ask, *([floor] if floor else []), repeats=repeats)
        ratio = spent / rest[0] if rest else None
        over = [
            word
            for word, is_over in (
                ("ratio", ratio is not None and page.ratio is not None and ratio > page.ratio),
                ("queries", len(seen.queries) > page.queries),
            )
            if is_over
        ]
        yield row(
            [
                page.name, f"{1000 * spent:.0f}", page.floor.value,
                "–" if ratio is None else f"{ratio:.2f}", page.ratio or "–",
                len(seen.queries), page.queries, f"over: {', '.join(over)}" if over else "",
            ]
        )  # fmt: skip


def imports(found: Iterable[Import], repeats: int) -> Lines:
    """Rows a second of each import and its ratio; 1.67 is 0.6 of the floor's pace."""
    yield from head(("import", "rows", "rows a second", "ratio", "budget", "against"))
    for each in found:
        spent, floor = in_turns(each.work, each.floor, repeats=repeats)
        pace = f"{each.rows / spent:.0f}"
        budget = each.budget or "–"
        yield row([each.name, each.rows, pace, f"{spent / floor:.2f}", budget, each.against])


def ranking(found: Ranked) -> Lines:
    """Ranking and refit against one gamma fill."""
    yield from head(("ranking", "time, ms", "ratio", "budget"))
    name = f"float32 gamma fill of {found.sites} sites × 10,000"
    yield row([name, f"{1000 * found.fill:.0f}", 1, "–"])
    for words, spent, budget in (
        ("ranking, at tested spots", found.tested, 0.25),
        ("ranking, at untested spots", found.untested, "–"),
        ("refit of the belief", found.refit, "–"),
    ):
        yield row([words, f"{1000 * spent:.0f}", f"{spent / found.fill:.2f}", budget])


def times_and_queries(built: Built, listed, repeats: int) -> dict[str, tuple[float, int]]:
    """Seconds, in turns with the yardstick and in its unit, and queries of each page."""
    client = measure.sign_in(built.user)
    found = {}
    for page in pages_of(built.party, listed):
        count = len(measure.look(client, page.address).queries)
        ask = measure.asking(client, page.address)
        spent, unit = in_turns(ask, measure.yardstick, repeats=repeats)
        found[page.name] = (spent * measure.YARD / unit, count)
    return found


def growth(runs: Sequence[tuple[int, dict[str, tuple[float, int]]]]) -> Lines:
    """Times and queries side by side; `runs` are (times the rows, what was found)."""
    names = [f"×{factor}" for factor, _ in runs]
    yield from head(
        (
            "page",
            *(f"{n}, ms" for n in names),
            "time, last to first",
            *(f"{n}, queries" for n in names),
        )
    )
    for name in runs[0][1]:
        cells = [found[name] for _, found in runs]
        first, last = cells[0][0], cells[-1][0]
        yield row(
            [name, *(f"{1000 * t:.0f}" for t, _ in cells), f"{last / first:.1f}",
             *(count for _, count in cells)]
        )  # fmt: skip


def neighbours(
    client: Client, party: Party, alone: BaseDatabaseWrapper, listed, repeats: int
) -> Lines:
    """One party's pages without and with the club beside it, in turns, so a busy moment hits both.

    The client signed in before the copy was made. The same process looks at both: what it keeps of
    one, it keeps of the other.
    """
    yield from head(("page", "alone, ms", "in the club, ms", "ratio", "queries"))
    ratios = []
    for page in pages_of(party, listed):

        def queries(address=page.address) -> int:
            return len(measure.look(client, address).queries)

        ask = measure.asking(client, page.address)
        counts = dict.fromkeys((asked_of(alone, queries)(), queries()))
        apart, beside = in_turns(asked_of(alone, ask), ask, repeats=repeats)
        ratios.append(beside / apart)
        count = ", then ".join(map(str, counts))
        yield row(
            [page.name, f"{1000 * apart:.1f}", f"{1000 * beside:.1f}", f"{ratios[-1]:.2f}", count]
        )
    yield f"Median ratio {median(ratios):.2f} ({connection.vendor})."
