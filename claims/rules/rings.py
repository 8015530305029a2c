"""Rings of positions: their area, and where they cross; exact on whole numbers."""

from collections.abc import Sequence

Position = tuple[int, int]
Ring = list[Position]


def twice_area(ring: Ring) -> int:
    """Twice the area in squared millionths of a degree; positive if counterclockwise on a map."""
    return sum(
        lon1 * lat2 - lon2 * lat1
        for (lat1, lon1), (lat2, lon2) in zip(ring, [*ring[1:], ring[0]], strict=True)
    )


def crossing(rings: Sequence[Ring]) -> Position | None:
    """The start of an edge that meets another edge other than its neighbours; exact integers."""
    edges = []
    for number, ring in enumerate(rings):
        for i, point in enumerate(ring):
            edges.append((point, ring[(i + 1) % len(ring)], number, i, len(ring)))
    edges.sort(key=lambda edge: min(edge[0][0], edge[1][0]))
    for n, (a, b, ring_one, i, count) in enumerate(edges):
        top = max(a[0], b[0])
        for c, d, ring_two, j, _ in edges[n + 1 :]:
            if min(c[0], d[0]) > top:
                break
            beside = ring_one == ring_two and (abs(i - j) == 1 or abs(i - j) == count - 1)
            if beside:
                if _folds_back(a, b, c, d):
                    return a
            elif _meet(a, b, c, d):
                return a if i < j or ring_one != ring_two else c
    return None


def _folds_back(a: Position, b: Position, c: Position, d: Position) -> bool:
    """Whether two edges with a common end lie on each other."""
    common = b if b in (c, d) else a
    one, other = (a if common == b else b), (d if common == c else c)
    return (
        turn(one, common, other) == 0
        and (one[0] - common[0]) * (other[0] - common[0])
        + (one[1] - common[1]) * (other[1] - common[1])
        > 0
    )


def turn(a: Position, b: Position, c: Position) -> int:
    value = (b[1] - a[1]) * (c[0] - a[0]) - (b[0] - a[0]) * (c[1] - a[1])
    return (value > 0) - (value < 0)


def _meet(a: Position, b: Position, c: Position, d: Position) -> bool:
    one, two, three, four = turn(a, b, c), turn(a, b, d), turn(c, d, a), turn(c, d, b)
    if one != two and three != four:
        return True
    return any(
        turn == 0 and _between(p, q, r)
        for turn, p, q, r in ((one, a, b, c), (two, a, b, d), (three, c, d, a), (four, c, d, b))
    )


def _between(a: Position, b: Position, c: Position) -> bool:
    return min(a[0], b[0]) <= c[0] <= max(a[0], b[0]) and min(a[1], b[1]) <= c[1] <= max(a[1], b[1])
