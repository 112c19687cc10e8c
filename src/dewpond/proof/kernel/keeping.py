"""States as rows of words: taken apart, put together, and kept where none holds them already."""

from __future__ import annotations

from dewpond.proof.kernel.settling import set_forces
from dewpond.proof.kernel.zones import close, within
from dewpond.proof.tables import CELL_BITS, ENDLESS, N_DEPTH, N_STATES, TWO, WORD

MOST_ALIKE = 150  # zones of one state; our prior
HASH = (1 << 30) - 1
STIR = 668265263  # odd, and large: spreads what is multiplied by it


def put(w, at, bits, v):
    """Write a number into the key at a bit; where the next one goes."""
    word = at // WORD
    if at - word * WORD + bits > WORD:
        word += 1
        at = word * WORD
    w.key[word] |= v << (at - word * WORD)
    return at + bits


def pack(t, w):
    for k in range(len(w.key)):
        w.key[k] = 0
    at = len(t.op)
    for first in range(0, at, WORD):
        word = 0
        for i in range(first, min(first + WORD, at)):
            word |= w.bits[i] << (i - first)
        w.key[first // WORD] = word
    for q in range(len(t.q_marks)):
        at = put(w, at, CELL_BITS, w.cells[q])
        at = put(w, at, TWO, w.entry[q])
    for f in range(len(t.f_ends)):
        at = put(w, at, TWO, w.faults[f])


def take(found, s, at, bits):
    """Read a number of so many bits; beside it, where the next one stands."""
    word = at // WORD
    if at - word * WORD + bits > WORD:
        word += 1
        at = word * WORD
    return (found.keys[s, word] >> (at - word * WORD)) & ((1 << bits) - 1), at + bits


def unpack(t, w, found, s):
    """Take a state apart, for it to be brought back as often as something is tried in it."""
    at = len(t.op)
    for first in range(0, at, WORD):
        word = found.keys[s, first // WORD]
        for i in range(first, min(first + WORD, at)):
            w.old_bits[i] = (word >> (i - first)) & 1
    for q in range(len(t.q_marks)):
        w.old_cells[q], at = take(found, s, at, CELL_BITS)
        w.old_entry[q], at = take(found, s, at, TWO)
    for f in range(len(t.f_ends)):
        w.old_faults[f], at = take(found, s, at, TWO)
    bring_back(t, w)


def bring_back(t, w):
    """The state that was taken apart last; nothing is dirty, nothing has begun anew."""
    for i in range(len(t.op)):
        w.bits[i] = w.old_bits[i]
        w.anew[i] = 0
    for q in range(len(t.q_marks)):
        w.cells[q] = w.old_cells[q]
        w.entry[q] = w.old_entry[q]
        w.anew[len(t.op) + q] = 0
    other = False
    for f in range(len(t.f_ends)):
        if w.faults[f] != w.old_faults[f]:
            other = True
            w.faults[f] = w.old_faults[f]
    if other:
        set_forces(t, w)


def hash_of(w):
    h = 7
    for k in range(len(w.key)):
        h = stirred(h, w.key[k] & HASH)
        h = stirred(h, w.key[k] >> 30)
    return h


def stirred(h, part):
    """Both below 2 to the 30th, so that nothing overflows."""
    h = (h ^ part) * STIR
    return ((h >> 30) ^ h) & HASH


def place(old, more):
    """Find the first states with each key in a larger table."""
    for slot in range(len(old.table)):
        s = old.table[slot]
        if s >= 0:
            at = more.hash[s] & (len(more.table) - 1)
            while more.table[at] >= 0:
                at = (at + 1) & (len(more.table) - 1)
            more.table[at] = s


def give_up(w, found, n, known):
    """So many zones of one state are told apart by times that keep changing: what is later or earlier here than in one
    of them may be so at any time. That only adds behaviour."""
    for p in range(w.lives[0]):
        i = w.live[p]
        for q in range(w.lives[0]):
            j = w.live[q]
            k = i * n + j
            if i != j and w.zone[k] <= found.zones[known, k]:
                w.zone[k] = found.zones[known, k]
            elif i != j:
                w.zone[k] = ENDLESS if i > 0 else 0
    close(w, n)


def keep(t, w, found, n, parent, kind, which):
    """Add a state unless it is known, or lies within one that is."""
    pack(t, w)
    size = n * n
    hashed = hash_of(w)
    slot = hashed & (len(found.table) - 1)
    first = found.table[slot]
    while first >= 0:
        same = True
        for k in range(len(w.key)):
            if found.keys[first, k] != w.key[k]:
                same = False
                break
        if same:
            break
        slot = (slot + 1) & (len(found.table) - 1)
        first = found.table[slot]
    known = first
    count = 0
    while known >= 0:
        if within(w, found, n, known):
            return
        count += 1
        if count == MOST_ALIKE:
            give_up(w, found, n, known)
        known = found.alike[known]
    s = found.counts[N_STATES]
    found.counts[N_STATES] = s + 1
    for k in range(len(w.key)):
        found.keys[s, k] = w.key[k]
    for k in range(size):
        found.zones[s, k] = w.zone[k]
    found.hash[s] = hashed
    found.parent[s] = parent
    found.kind[s] = kind
    found.which[s] = which
    found.depth[s] = 0 if parent < 0 else found.depth[parent] + 1
    found.counts[N_DEPTH] = max(found.counts[N_DEPTH], found.depth[s])
    if first < 0:
        found.table[slot] = s
        found.alike[s] = -1
    else:
        found.alike[s] = found.alike[first]
        found.alike[first] = s
