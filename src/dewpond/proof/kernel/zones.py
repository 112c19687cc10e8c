"""Time: for the clocks of a machine, all that they may show together, as bounds on differences.

zone[i * n + j] is the most that clock i - 1 can be ahead of clock j - 1; number 0 is no clock and shows nothing. Clocks
of what rests stand still, and only those that are of use (``live``, number 0 first) are looked at. That is the zone of
timed automata (Dill 1989; Bengtsson and Yi 2004), with clocks that may stand still: what those and the others have in
common is then bounded from outside, which only adds behaviour.
"""

from __future__ import annotations

from dewpond.proof.tables import ENDLESS


def tighten(w, n, i, j, most):
    """Clock i - clock j is at most so much; False where nothing is left."""
    if w.zone[i * n + j] <= most:
        return True
    if most + w.zone[j * n + i] < 0:
        return False
    w.zone[i * n + j] = most
    for p in range(w.lives[0]):
        a = w.live[p]
        before = w.zone[a * n + i]
        if before < ENDLESS:
            for q in range(w.lives[0]):
                b = w.live[q]
                after = w.zone[j * n + b]
                if after < ENDLESS:
                    way = before + most + after
                    if way < w.zone[a * n + b]:
                        w.zone[a * n + b] = way
    return True


def set_clock(w, n, c):
    """A clock begins anew."""
    for p in range(w.lives[0]):
        j = w.live[p]
        if j != c:
            w.zone[c * n + j] = w.zone[j]
            w.zone[j * n + c] = w.zone[j * n]
    w.zone[c * n + c] = 0


def drop_clock(w, n, c):
    """A clock that is of no use shows nothing."""
    for j in range(n):
        w.zone[c * n + j] = 0
        w.zone[j * n + c] = 0


def let_pass(w, n):
    """Any time passes: the clocks that run go on together, the others stand."""
    for p in range(1, w.lives[0]):
        i = w.live[p]
        if w.running[i] == 1:
            for q in range(w.lives[0]):
                j = w.live[q]
                if w.running[j] == 0:
                    w.zone[i * n + j] = ENDLESS


def close(w, n):
    """Every bound as tight as the others make it."""
    for r in range(w.lives[0]):
        k = w.live[r]
        for p in range(w.lives[0]):
            i = w.live[p]
            if w.zone[i * n + k] < ENDLESS:
                for q in range(w.lives[0]):
                    j = w.live[q]
                    if w.zone[k * n + j] < ENDLESS:
                        way = w.zone[i * n + k] + w.zone[k * n + j]
                        if way < w.zone[i * n + j]:
                            w.zone[i * n + j] = way


def widen(t, w, n):
    """Forget what no later comparison tells apart: that keeps the zones finite in number, and few.

    More than the longest time that a clock is waited for is all one, as is less than the longest after which it is
    overdue. Of a clock that is never overdue, what it shows allows all that less would: its least does not count
    (Behrmann, Bouyer, Larsen, Pelanek 2006: bounds of lower and of upper guards apart)."""
    changed = False
    for p in range(w.lives[0]):
        i = w.live[p]
        for q in range(w.lives[0]):
            j = w.live[q]
            if i == j:
                continue
            k = i * n + j
            before = w.zone[k]
            if i > 0 and before > t.clk_waited[i - 1]:
                w.zone[k] = ENDLESS
            elif j > 0 and t.clk_overdue[j - 1] < 0:
                w.zone[k] = 0 if i == 0 else ENDLESS
            elif j > 0 and before < -t.clk_overdue[j - 1]:
                w.zone[k] = -t.clk_overdue[j - 1]
            if w.zone[k] != before:
                changed = True
    if changed:
        close(w, n)


def within(w, found, n, number):
    """Whether a zone lies within one that is kept, of the same clocks."""
    for p in range(w.lives[0]):
        i = w.live[p]
        for q in range(w.lives[0]):
            k = i * n + w.live[q]
            if w.zone[k] > found.zones[number, k]:
                return False
    return True
