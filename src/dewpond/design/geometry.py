"""Plane geometry for plans of floors: corners, areas, what lies in what and how deep. Lengths in [m]."""

from __future__ import annotations

import heapq
import math
from collections.abc import Callable
from itertools import combinations, pairwise
from typing import Final

from dewpond.design.plan import Area, Spot, corners

Side = tuple[Spot, Spot]
TOUCH: Final = 1e-6  # what lies no further apart is one spot
THIN: Final = 1e-4  # what is no wider covers nothing
FINE: Final = 5e-3  # how well the widest is found
STEP: Final = 0.02  # between spots that are tried along a line
LATTICE: Final = 12  # spots along each side of an area, of which a share is taken


def ring(area: Area) -> Area:
    """The corners in their order, each once, although the first may be named again as the last."""
    every = corners(area)
    kept = [corner for before, corner in zip((None, *every), every, strict=False) if not _same(before, corner)]
    while len(kept) > 1 and _same(kept[0], kept[-1]):
        kept.pop()
    return tuple(kept)


def sides(area: Area) -> list[Side]:
    """From each corner to the next, and from the last one back to the first."""
    every = ring(area)
    return list(pairwise((*every, every[0])))


def flat(area: Area) -> bool:
    """Whether it covers nothing: all its corners lie on one line, or in one spot."""
    first, *others = ring(area)
    far = max(others, key=lambda corner: math.dist(first, corner), default=first)
    return len(others) < 2 or max(abs(_turn(first, far, corner)) for corner in others) <= THIN


def extent(area: Area) -> float:
    """What an outline that does not cross itself covers [m2]."""
    return 0.5 * abs(sum(_cross(*side) for side in sides(area)))


def crossing(area: Area) -> tuple[Side, Side] | None:
    """Two stretches of the outline that meet elsewhere than in the corner which they share."""
    every = sides(area)
    for (first, one), (second, other) in combinations(enumerate(every), 2):
        if second == first + 1:
            wrong = _folds_back(one, other)
        elif second - first == len(every) - 1:
            wrong = _folds_back(other, one)
        else:
            wrong = meet(one, other)
        if wrong:
            return one, other
    return None


def meet(one: Side, other: Side) -> bool:
    """Whether two stretches cross or touch."""
    if _boxes_apart(box(one), box(other)):
        return False
    ends = [_turn(*one, spot) for spot in other], [_turn(*other, spot) for spot in one]
    if all(min(pair) < -TOUCH and max(pair) > TOUCH for pair in ends):
        return True
    touch = [to_side(spot, one) for spot in other] + [to_side(spot, other) for spot in one]
    return min(touch) <= TOUCH


def to_side(spot: Spot, side: Side) -> float:
    """How far a spot is from a stretch."""
    (x, y), (u, v) = side
    length = math.dist(*side)
    along = 0.0 if length <= TOUCH else ((spot[0] - x) * (u - x) + (spot[1] - y) * (v - y)) / length**2
    share = min(max(along, 0.0), 1.0)
    return math.dist(spot, (x + share * (u - x), y + share * (v - y)))


def depth(spot: Spot, area: Area) -> float:
    """How far inside an area a spot lies, from its edge; below nought: how far outside."""
    return _deep(spot, sides(area))


def strays(line: Side, area: Area) -> float:
    """The farthest that a line comes from the outline of an area."""
    steps = max(1, math.ceil(math.dist(*line) / STEP))
    every = sides(area)
    spots = [_between(line, number / steps) for number in range(steps + 1)]
    return max(min(to_side(spot, side) for side in every) for spot in spots)


def middle(line: Side) -> Spot:
    """The spot half way."""
    return _between(line, 0.5)


def box(area: Area) -> Side:
    """Lower left and upper right corner of the least upright rectangle around it."""
    across, up = zip(*area, strict=True)
    return (min(across), min(up)), (max(across), max(up))


def apart(one: Area, other: Area) -> bool:
    """Whether two areas have no spot in common."""
    if any(depth(corner, other) >= 0.0 for corner in ring(one)) or any(depth(c, one) >= 0.0 for c in ring(other)):
        return False
    return not any(meet(a, b) for a in sides(one) for b in sides(other))


def shared(one: Area, other: Area, least: float) -> tuple[float, Spot]:
    """How wide two areas overlap, as the width of the largest disc in both, and where; 0 where it is not ``least``."""
    if _boxes_apart(box(one), box(other)):
        return 0.0, one[0]
    mine, its = sides(one), sides(other)
    return _widest(one, lambda spot: min(_deep(spot, mine), _deep(spot, its)), least)


def reaches_over(area: Area, outline: Area, least: float) -> float:
    """How far an area reaches over an outline, at its corners or where the outline juts into it; 0: less than that."""
    over = max(-depth(corner, outline) for corner in ring(area))
    if over > least:
        return over
    mine, walls = sides(area), sides(outline)
    return _widest(area, lambda spot: min(_deep(spot, mine), -_deep(spot, walls)), least)[0]


def overlap(one: Area, other: Area) -> float:
    """Share of one area that lies in another [1], from a lattice of spots."""
    (left, low), (right, high) = box(one)
    shares = [(k + 0.5) / LATTICE for k in range(LATTICE)]
    spots = [(left + x * (right - left), low + y * (high - low)) for x in shares for y in shares]
    own = [spot for spot in spots if depth(spot, one) > 0.0]
    return sum(depth(spot, other) > 0.0 for spot in own) / len(own) if own else 1.0


def _widest(area: Area, deep: Callable[[Spot], float], least: float) -> tuple[float, Spot]:
    """Twice the most that ``deep`` is in the box around an area, and where; it changes by no more than the way.

    A square whose middle is so deep holds nothing deeper than that and half its diagonal: it is parted only if that
    could be more than what was found.
    """
    (left, low), (right, high) = box(area)
    half = 0.5 * max(right - left, high - low)
    spot = (0.5 * (left + right), 0.5 * (low + high))
    best, at = 0.5 * least, spot
    todo = [(-deep(spot), half, spot)]
    while todo:
        value, half, (x, y) = heapq.heappop(todo)
        if -value > best:
            best, at = -value, (x, y)
        more = -value + half * math.sqrt(2.0) - best
        if half < 0.5 * FINE or more <= (FINE if best > 0.5 * least else 0.0):
            continue
        half *= 0.5
        for across in (x - half, x + half):
            for up in (y - half, y + half):
                heapq.heappush(todo, (-deep((across, up)), half, (across, up)))
    return (2.0 * best if best > 0.5 * least else 0.0), at


def _boxes_apart(one: Side, other: Side) -> bool:
    return any(one[1][k] < other[0][k] - TOUCH or other[1][k] < one[0][k] - TOUCH for k in (0, 1))


def _deep(spot: Spot, every: list[Side]) -> float:
    """See ``depth``; ``every`` side of the area."""
    edge = min(to_side(spot, side) for side in every)
    return edge if _within(spot, every) else -edge


def _within(spot: Spot, every: list[Side]) -> bool:
    """Whether a line to the right of the spot crosses the outline an odd number of times."""
    x, y = spot
    crossed = False
    for (left, low), (right, high) in every:
        if (low > y) != (high > y) and x < left + (y - low) * (right - left) / (high - low):
            crossed = not crossed
    return crossed


def _folds_back(one: Side, after: Side) -> bool:
    """Whether a stretch goes back along the one before it."""
    (x, y), (u, v), (s, t) = one[0], one[1], after[1]
    back = (u - x) * (s - u) + (v - y) * (t - v) < 0.0
    return back and (to_side(after[1], one) <= TOUCH or to_side(one[0], after) <= TOUCH)


def _between(line: Side, share: float) -> Spot:
    (x, y), (u, v) = line
    return x + share * (u - x), y + share * (v - y)


def _cross(one: Spot, other: Spot) -> float:
    return one[0] * other[1] - one[1] * other[0]


def _turn(a: Spot, b: Spot, spot: Spot) -> float:
    """How far a spot lies to the left of the line from a to b."""
    return _cross((b[0] - a[0], b[1] - a[1]), (spot[0] - a[0], spot[1] - a[1])) / math.dist(a, b)


def _same(one: Spot | None, other: Spot) -> bool:
    return one is not None and math.dist(one, other) <= TOUCH
