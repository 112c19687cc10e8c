"""Which faults have begun, and the smallest sets of them with which the bad comes about."""

from __future__ import annotations

from dewpond.proof.tables import FREE, N_SETS, WORD


def mark_begun(t, w):
    """The faults that have begun, as words; how many."""
    for k in range(len(w.mask)):
        w.mask[k] = 0
    count = 0
    for f in range(len(t.f_ends)):
        if w.faults[f] != FREE:
            w.mask[f // WORD] |= 1 << (f % WORD)
            count += 1
    return count


def is_part(found, r, w):
    """Whether a set of faults that was found is part of those that have begun."""
    for k in range(len(w.mask)):
        if found.sets[r, k] & ~w.mask[k] != 0:
            return False
    return True


def covered(found, w):
    """Whether the bad comes about with fewer of these faults, or the same."""
    for r in range(found.counts[N_SETS]):
        if is_part(found, r, w):
            return True
    return False


def note(found, w, s):
    """Keep a set of faults with which the bad comes about; sets that hold it go."""
    kept = 0
    for r in range(found.counts[N_SETS]):
        larger = True
        for k in range(len(w.mask)):
            if w.mask[k] & ~found.sets[r, k] != 0:
                larger = False
        if not larger:
            for k in range(len(w.mask)):
                found.sets[kept, k] = found.sets[r, k]
            found.set_state[kept] = found.set_state[r]
            kept += 1
    for k in range(len(w.mask)):
        found.sets[kept, k] = w.mask[k]
    found.set_state[kept] = s
    found.counts[N_SETS] = kept + 1
