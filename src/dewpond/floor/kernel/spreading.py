"""Water that is spilled slowly at one cell of a floor, cell by cell in the order in which it wets them.

The lowest cell at the edge of the water comes next. Water stands in pools, the last one lowest: each rises until the
next cell lies at its level, and where it has risen to the one before, the two are one. What runs downhill keeps its
direction: of a cell's lower neighbours only that one comes at its own level which least leads away from the way of the
water (D8-LTD, Orlandini et al. 2003); the others come when water stands as high as the cell from which they are seen.
"""

from __future__ import annotations

import math

from dewpond.floor.kernel.heap import drop_first, push

DRY = 1e30  # not wetted [m]; and the height of what no water enters


def spread(g, x, leak, most):
    """Spill up to ``most`` [m, over one cell] at a cell; returns how many cells were wetted.

    What was spilled by then stands in ``x.first`` of every wet cell, and the cells in ``x.order``.
    """
    forget(x)
    n = 0
    top = -1
    spilled = 0.0
    count = 0
    n = touch(g, x, n, leak, g.height[leak] + g.film[leak], 0.0)
    while n > 0:
        key = x.key[0]
        cell = x.cell[0]
        n = drop_first(x, n)
        if x.first[cell] < DRY:
            continue
        top, spilled = rise(x, top, spilled, key)
        if spilled > most:
            break
        x.first[cell] = spilled
        x.order[count] = cell
        count += 1
        enters = g.height[cell] + g.film[cell]
        spilled += g.film[cell] + g.soak[cell]
        if top >= 0 and x.level[top] <= enters:
            x.level[top] = enters
            x.spans[top] += 1.0
        else:
            top += 1
            x.level[top] = enters
            x.spans[top] = 1.0
        if g.ends[cell] == 1:
            break
        n = look_round(g, x, n, cell, enters)
    x.count[0] = count
    return count


def rise(x, top, spilled, key):
    """Let the last pool rise to a level, and take in those that it reaches; returns the last pool and what was
    spilled."""
    while top >= 0 and x.level[top] <= key:
        if top > 0 and x.level[top - 1] <= key:
            spilled += x.spans[top] * (x.level[top - 1] - x.level[top])
            x.spans[top - 1] += x.spans[top]
            top -= 1
        else:
            spilled += x.spans[top] * (key - x.level[top])
            x.level[top] = key
            break
    return top, spilled


def forget(x):
    """Make all that the last spill touched dry again."""
    for k in range(x.count[1]):
        cell = x.touched[k]
        x.first[cell] = DRY
        x.best[cell] = DRY
        x.strayed[cell] = 0.0
    x.count[0] = 0
    x.count[1] = 0


def touch(g, x, n, cell, key, strayed):
    """Have a cell come at a level, unless it comes sooner already; returns the number in the heap."""
    if key >= x.best[cell]:
        return n
    if x.best[cell] >= DRY:
        x.touched[x.count[1]] = cell
        x.count[1] += 1
        across = cell % g.columns - x.touched[0] % g.columns
        along = cell // g.columns - x.touched[0] // g.columns
        x.far[cell] = across * across + along * along
    x.best[cell] = key
    x.strayed[cell] = strayed
    return push(x, n, key, cell)


def look_round(g, x, n, cell, enters):
    """Have the dry neighbours of a wet cell come; returns the number in the heap."""
    asked = False
    way = -1
    strayed = 0.0
    for k in range(8):
        other = cell + g.step[k]
        if g.height[other] >= DRY or x.first[other] < DRY or blocked(g, cell, k):
            continue
        key = g.height[other] + g.film[other]
        if key >= enters:
            n = touch(g, x, n, other, key, 0.0)
            continue
        if not asked:  # of a cell in a pool whose lower neighbours are wet nobody needs to know
            way, strayed = downhill(g, x, cell, enters)
            asked = True
        if k == way:
            n = touch(g, x, n, other, key, strayed)
        else:
            n = touch(g, x, n, other, enters, 0.0)
    return n


def blocked(g, cell, k):
    """Whether a neighbour lies behind the corner of two solid cells."""
    if k & 1 == 0:
        return False
    return g.height[cell + g.step[k - 1]] >= DRY and g.height[cell + g.step[(k + 1) & 7]] >= DRY


def downhill(g, x, cell, enters):
    """The neighbour towards which water runs from a cell, -1 for none; and how far it has then strayed from the way of
    steepest descent, in widths of a cell, to the left of it.

    Steepest descent is that over the eight triangles between neighbours (Tarboton 1997).
    """
    way = -1
    away = 0.0
    steepest = 0.0
    before = x.strayed[cell]
    for k in range(0, 8, 2):
        side = cell + g.step[k]
        if g.height[side] >= DRY:
            continue
        falls = enters - g.height[side] - g.film[side]
        for turn in range(-1, 2, 2):  # the triangle to the right of the neighbour, and that to its left
            j = (k + turn) & 7
            corner = cell + g.step[j]
            beyond = 0.0
            if g.height[corner] < DRY and not blocked(g, cell, j):
                beyond = g.height[side] + g.film[side] - g.height[corner] - g.film[corner]
            if beyond <= 0.0:
                slope = falls * falls if falls > 0.0 else 0.0
                if slope > steepest:
                    steepest = slope
                    way = k
                    away = before
            elif beyond >= falls:
                slope = 0.5 * (falls + beyond) * (falls + beyond) if falls + beyond > 0.0 else 0.0
                if slope > steepest:
                    steepest = slope
                    way = j
                    away = before
            else:
                slope = falls * falls + beyond * beyond
                if slope > steepest:
                    steepest = slope
                    size = math.sqrt(slope)
                    # seen from the way of the water the side lies to the right where the corner lies to the left
                    to_side = before - turn * beyond / size
                    to_corner = before + turn * (falls - beyond) / size
                    if abs(to_side) <= abs(to_corner):
                        way = k
                        away = to_side
                    else:
                        way = j
                        away = to_corner
    return way, away
