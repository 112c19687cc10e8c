"""Time: for the clocks of a machine, all that they may show together, as bounds on differences.

zone[i * n + j] is the most that clock i - 1 can be ahead of clock j - 1; number 0 is no clock and shows nothing. Clocks
of what rests stand still. That is the zone of timed automata (Dill 1989; Bengtsson and Yi 2004), with clocks that may
stand still: what those and the others have in common is then bounded from outside, which only adds behaviour.
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
    for a in range(n):
        before = w.zone[a * n + i]
        if before < ENDLESS:
            for b in range(n):
                after = w.zone[j * n + b]
                if after < ENDLESS:
                    way = before + most + after
                    if way < w.zone[a * n + b]:
                        w.zone[a * n + b] = way
    return True


def set_clock(w, n, c, shows):
    """A clock is set."""
    for j in range(n):
        if j != c:
            w.zone[c * n + j] = w.zone[j] + shows if w.zone[j] < ENDLESS else ENDLESS
            w.zone[j * n + c] = w.zone[j * n] - shows if w.zone[j * n] < ENDLESS else ENDLESS


def let_pass(w, n):
    """Any time passes: the clocks that run go on together, the others stand."""
    for i in range(1, n):
        if w.running[i] == 1:
            for j in range(n):
                if w.running[j] == 0:
                    w.zone[i * n + j] = ENDLESS


def close(w, n):
    """Every bound as tight as the others make it."""
    for k in range(n):
        for i in range(n):
            if w.zone[i * n + k] < ENDLESS:
                for j in range(n):
                    if w.zone[k * n + j] < ENDLESS:
                        way = w.zone[i * n + k] + w.zone[k * n + j]
                        if way < w.zone[i * n + j]:
                            w.zone[i * n + j] = way


def widen(t, w, n):
    """Forget what lies beyond the longest time that a clock is compared with: that keeps the zones finite in number."""
    changed = False
    for i in range(n):
        for j in range(n):
            if i == j:
                continue
            k = i * n + j
            if i > 0 and w.zone[k] < ENDLESS and w.zone[k] > t.clk_most[i - 1]:
                w.zone[k] = ENDLESS
                changed = True
            elif j > 0 and w.zone[k] < -t.clk_most[j - 1]:
                w.zone[k] = -t.clk_most[j - 1]
                changed = True
    if changed:
        close(w, n)


def within(w, found, number, size):
    """Whether a zone lies within one that is kept."""
    for k in range(size):
        if w.zone[k] > found.zones[number, k]:
            return False
    return True
