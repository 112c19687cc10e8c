"""The engine's inner part: one source, run interpreted on lists for single questions, compiled by numba for many.

For the compiler these files are laid together in one (``flatten``), because numba's cache does not see edits of callees
in other files; so no two functions share a name. The rules that keep both ways equal to the byte: no integer powers, no
fast-math, no reordered sums, only ``math`` functions, only element access on the fields of
:class:`~dewpond.plant.primitives.Arrays` and ``State``.

A step: stores are integrated together with the network. Each island of the network (parts joined by water between
vessels) is solved by the gradient method of Todini and Pilati (1988), with flows as unknowns of the edges and pressures
as unknowns of the nodes; the vessels and springs it touches are implicit unknowns, in the two stages of a stiffly
accurate method of second order (Alexander 1977), so a float valve or an overflow in balance needs no short steps. A
shut-off that cycles fast against a float is replaced by the mean of both modes that holds its pressure (Filippov's
sliding mode), with its starts counted.
"""
