"""Cells in the order in which water comes to them: a heap of four branches, the nearer of two equal ones first."""

from __future__ import annotations


def sooner(x, key, cell, other_key, other):
    """Whether a cell with its key comes before another one with its own."""
    if key != other_key:
        return key < other_key
    return x.far[cell] < x.far[other]


def push(x, n, key, cell):
    """Put a cell among the ``n`` of the heap; returns how many there are now."""
    k = n
    while k > 0:
        up = (k - 1) // 4
        if not sooner(x, key, cell, x.key[up], x.cell[up]):
            break
        x.key[k] = x.key[up]
        x.cell[k] = x.cell[up]
        k = up
    x.key[k] = key
    x.cell[k] = cell
    return n + 1


def drop_first(x, n):
    """Take the first of ``n`` cells out of the heap; returns how many are left."""
    n -= 1
    key = x.key[n]
    cell = x.cell[n]
    k = 0
    while 4 * k + 1 < n:
        best = 4 * k + 1
        for other in range(4 * k + 2, min(4 * k + 5, n)):
            if sooner(x, x.key[other], x.cell[other], x.key[best], x.cell[best]):
                best = other
        if not sooner(x, x.key[best], x.cell[best], key, cell):
            break
        x.key[k] = x.key[best]
        x.cell[k] = x.cell[best]
        k = best
    x.key[k] = key
    x.cell[k] = cell
    return n
