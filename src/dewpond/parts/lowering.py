"""What a part may ask of the plant while it is lowered. Parts import it from ``base``."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Protocol

from dewpond.parts.measuring import Measuring
from dewpond.parts.open_water import OpenWater
from dewpond.parts.seen import Floor, Lead, Level, PartView, StoreSpec


class Lowering(Measuring, Protocol):
    """What a part may ask for while it is lowered. Implemented by ``plant.lower``; numbers are SI.

    Nodes, stores, places, gates and signals are plain integers. A signal may be negated with :meth:`no`.
    """

    # -- the house -------------------------------------------------------------------------------------------------
    def season(self, name: str, place: str = "") -> float:
        """``water`` temperature [K] of the season under study, ``air`` temperature [K], ``humidity`` [0..1] of the room
        that ``place`` is, or lies in; left out: that of the part being lowered.

        Of the supply: ``dissolved`` matter [kg/m3], and ``supply``, the gauge pressure it would have at the datum [Pa].
        """

    def part(self, name: str) -> PartView: ...

    def place_height(self, place: str) -> float:
        """Height of the place's floor above the datum [m]."""

    def height(self, part: PartView, level: Level, vessel: str = "") -> float:
        """A level of ``part`` (or of the vessel it names) as a height above the datum [m]."""

    def vessel_level(self, vessel: str, level: Level) -> float:
        """A level as metres above that vessel's bottom [m]."""

    # -- places ----------------------------------------------------------------------------------------------------
    def place(self, floor: Floor, next_place: str | None, to_drain: bool, drying: float) -> int:
        """Make the part being lowered a place. What it cannot hold goes into the house drain or on to ``next_place``;
        what lies there dries with the time constant ``drying`` [s]. Places are lowered before all other parts."""

    def empties(self, place: int, flow: float, signal: int) -> None:
        """Give a place an outlet into the house drain: ``flow`` [m3/s] while ``signal`` is true, and from a puddle that
        is smaller than the film over its floor less, in proportion. What is more goes on as from any place."""

    def place_number(self, place: str) -> int:
        """The number of another place, for patches."""

    def floor(self, place: str) -> Floor:
        """How water lies in another place."""

    # -- nodes and edges -------------------------------------------------------------------------------------------
    def outlet(self, part_name: str, port: str = "out", feels: bool = False) -> int:
        """The node at a port of another part (made on first use); ``feels``: its pressure is, no water is taken."""

    def port(self, port: str, z: float) -> int:
        """The node at a port of the part being lowered; ``z`` [m] is its height."""

    def joined(self, port: str = "out") -> bool:
        """Whether another part has its water from that port of the part being lowered."""

    def bind(self, port: str, node: int) -> None:
        """Make ``node`` the node of a port of the part being lowered."""

    def follower(self, part_name: str) -> str:
        """The first part that says it comes ``after`` that one and leads on; empty when there is none."""

    def one_way(self, part_name: str) -> bool:
        """Whether a part lets no water back, so that pressure stands behind it."""

    def junction(self, z: float) -> int: ...

    def spring(self, node: int, compliance: float) -> None:
        """Give a junction a gas spring [m3/Pa], so that it holds pressure when all round it is shut; springs add."""

    def pressure_while_drawn(self, part_name: str, z: float, flow: float, water_then: float) -> float | None:
        """Gauge pressure [Pa] behind a part, at the height ``z`` [m], while ``flow`` [m3/s] of water of ``water_then``
        [K] is drawn there and nowhere else, all that lies before it quite open. Nothing or less: it cannot have been
        drawn. None where no supply leads there."""

    def doubt(self, what: str, said: float, reckoned: float) -> None:
        """A reading of the part being lowered does not fit the rest of the design: what it says, and what it should.

        what: ``starved``, more water than comes there; ``pressure`` noted with jugs, ``at rest`` or ``while filling``
        that of a gauge [Pa]; ``rating``, a share of it [1].
        """

    def source(self, gauge: float, z: float, dissolved: float) -> int:
        """A supply at a fixed gauge pressure [Pa]."""

    def vessel(self, name: str) -> StoreSpec:
        """What a vessel's own ``store`` said of it."""

    def tap(self, vessel: str) -> int:
        """A node that draws from (or feeds) a vessel below its water line."""

    def cushion(self, z: float, shell: float, precharge: float, start: float) -> int:
        """A node in a closed tank of ``shell`` [m3] with air in it at ``precharge`` [Pa]; it begins at ``start``."""

    def spout(self, vessel: str, z: float) -> int:
        """An outlet into a vessel at height ``z``: open air above the water, or under it."""

    def open_end(self, z: float, place: str) -> int:
        """An open end in air at ``z`` whose water falls on ``place`` (or runs off, where the place is a drain)."""

    def drain_end(self, z: float) -> int:
        """An open end into the house drain."""

    def evaporates(self, tap: int, water: OpenWater, opened: float, shut: float) -> None:
        """Water leaves a vessel by a ``tap`` for the air, without its salt, at levels as for gate_level [m]."""

    def tube(self, a: int, b: int, bore: float, length: float, k: float, gate: int = -1) -> int: ...

    def orifice(self, a: int, b: int, k: float, gate: int = -1) -> int:
        """dp = k Q|Q| [Pa/(m3/s)2]."""

    def check(self, a: int, b: int, cracking: float, k: float, holds: bool = True) -> int:
        """One way only, from a pressure ``cracking`` [Pa] on; ``holds``: pressure stands behind it."""

    def regulator(self, a: int, b: int, held: float, droop: float, rises: float, k: float) -> int:
        """One way: holds the gauge pressure ``held`` - ``droop`` x Q behind it, at rest ``rises`` more; else k Q^2."""

    def membrane(self, a: int, b: int, permeability: float, osmotic: float, passage: float, gate: int = -1) -> int:
        """Q = permeability x (drop - osmotic)."""

    def pump(self, a: int, b: int, head: float, flow: float, gate: int) -> int:
        """Pump curve: ``head`` [Pa] at no flow, ``flow`` [m3/s] at no head, quadratic between."""

    def fixed_flow(self, a: int, b: int, flow: float, gate: int = -1, passage: float = 1.0) -> int: ...

    def weir(self, vessel: str, b: int, coefficient: float, full_bore: float, gate: int = -1) -> int:
        """Overflow of a vessel, its crest at the height of ``b``: Q = coefficient H^1.5 [m1.5/s], never more than
        ``full_bore`` H^0.5 [m2.5/s]."""

    def passage(self, edge: int, share: float) -> None:
        """Share of the dissolved matter that goes through; the rest is taken out, by a membrane or fixed flow left."""

    # -- gates -----------------------------------------------------------------------------------------------------
    def gate_signal(self, signal: int) -> int:
        """Open while the signal is true."""

    def gate_level(
        self, vessel: str, opened: float, shut: float, hysteresis: float = 0.0, also: int | None = None
    ) -> int:
        """Opening from a level: quite open at ``opened``, shut at ``shut`` (heights above the bottom; either order),
        and shut while the signal ``also`` is false."""

    def gate_ratio(self, sensed: int, against: int, shuts: float, opens: float) -> int:
        """Shuts when gauge(sensed) > shuts x gauge(against), opens below ``opens`` x."""

    def gate_primed(self, running: int, edge_of: int = -1) -> int:
        """A passive path through a stopped pump: open once it has run and stays full of water."""

    def gate_leak(self) -> int:
        """Shut until a fault opens it."""

    def gate_slot(self, part_name: str, slot: str) -> int:
        """A gate that another part may take over (the membrane's feed, taken by a shut-off); open if nobody does."""

    def fill_slot(self, part_name: str, slot: str, gate: int) -> None: ...

    def leak(
        self,
        node: int,
        z: float,
        place: str,
        fault: str,
        area: float,
        cd: float = 0.7,
        where: str = "",
        sites: float = 1.0,
        cuts: bool = False,
    ) -> None:
        """A leak site at a node: a hole [m2] that a fault opens, and its water falls on ``place``; a tube that comes
        off ``cuts`` what leads on from there.

        It stands for ``sites`` equal ones side by side (joints, metres of tube), one of which leaks: their rates add;
        with none it ties no fault.
        """

    # -- logic -----------------------------------------------------------------------------------------------------
    def no(self, signal: int) -> int: ...

    def always(self, value: bool) -> int: ...

    def vote(self, need: int, signals: Sequence[int]) -> int: ...

    def any(self, *signals: int) -> int: ...

    def all(self, *signals: int) -> int: ...

    def on_delay(self, signal: int, seconds: float) -> int: ...

    def off_delay(self, signal: int, seconds: float) -> int: ...

    def timed(self, signal: int, seconds: float, put_back: int) -> int:
        """True when ``signal`` has been so for so many seconds in all, over any number of times, since ``put_back``."""

    def latch(self, set_: int, reset: int, forget: int) -> int:
        """Set-dominant; ``reset`` puts it back when ``set_`` is false, so does ``forget`` (volatile memory)."""

    def rearm(self, what: str) -> int:
        """True while somebody re-arms ``what`` by hand: never within a run; the proof tries it at any time."""

    def hold(self, signal: int, freeze: int) -> int:
        """Keeps its last value while ``freeze`` is true."""

    def later(self) -> int:
        """A signal to be defined afterwards with :meth:`define` (feedback: the value of the round before is read);
        false for ever if nobody does."""

    def define(self, later: int, signal: int) -> None: ...

    def level_above(self, vessel: str, on: float, off: float) -> int:
        """True from ``on`` upwards, false again below ``off`` [m above the vessel's bottom]."""

    def pressure_above(self, node: int, on: float, off: float) -> int:
        """Gauge pressure at a node of a line [Pa]; what feels it gives way, so that the node is a spring."""

    def pool_above(self, place: str, on: float, off: float) -> int:
        """Litres lying in a place [m3]."""

    def touches(self, place: str, on: float, off: float, measured: bool) -> int:
        """Signal of its own: litres lying in a place [m3] touch a probe of the part being lowered. Unless they were
        ``measured``, the plan of a floor may put others in their place for a run."""

    def pool_salty(self, place: str, on: float) -> int:
        """Dissolved matter of the water lying in a place [kg/m3]."""

    def who(self, person: str, state: str) -> int:
        """True while the person is ``at home``, ``awake`` or ``travelling``; the study sets the timetable."""

    def clock(self, begins: float, lasts: float, every_days: float = 1.0) -> int:
        """True by the clock of the house: from ``begins`` [s after midnight] on for ``lasts`` [s], on the day in which
        a run begins and then every so many days; a part of one (1/24: every hour) counts from ``begins`` on.

        ``lasts`` ends before it begins again. The proof takes each to come at any time, as often as that, no longer."""

    def circuit(self, name: str) -> int:
        """True while the power circuit of that name has power."""

    def feed(self, circuit: str, signal: int) -> None:
        """Make a circuit follow a signal: it has power while that is true. Others have it until a fault cuts it."""

    def switched(self, circuit: str) -> bool:
        """Whether that circuit, or one before it, gives its power at hours of its own, as a timer does."""

    def leaks_to_earth(self, circuit: str, signal: int) -> None: ...

    def earth_leakage(self, circuit: str) -> int:
        """True while current leaks to earth from anything on that circuit, as told by :meth:`leaks_to_earth`."""

    def backed_up(self, place: str) -> int | None:
        """True while that drain takes no water; None where the place is no drain."""

    def plugged(self) -> int:
        """True until a person pulls the plugs of the top-off pumps: that stops one that runs on, too."""

    def switched_on(self, circuit: str) -> int:
        """True once somebody who was at home has found a circuit dead and switches it on, until it has power again."""

    def listens(self, box: str) -> int:
        """True while the controller of that name has power and works."""

    def circuits_behind(self, name: str) -> tuple[str, ...]:
        """Names of all circuits that go dead with that one, at any depth, itself first."""

    def say(self, signal: int, true: str, false: str = "", kind: str = "note") -> None:
        """Words for the story when the signal changes. ``kind``: note, notice, found, stop, start, harm, trip, act;
        of a protection also ``reached`` (what it waits for is there) and ``silent`` (and yet nothing comes of it)."""

    def tally(self, word: str, whose: str, signal: int) -> None:
        """For the consequence, when the signal first comes true: ``return pump dry`` of a tank, ``reservoir empty`` of
        a vessel, ``overdose`` by a part."""

    # -- between parts ---------------------------------------------------------------------------------------------
    def condition(self, word: str, signal: int, meant: bool = False) -> None:
        """``<part> <word>`` may be used as a cause in the matrix: ``tray probe wet``. ``meant``: a clock or a hand
        brings it about on purpose, so that what it stops is no protection."""

    def actuator(self, resting: str, acting: str, power: str, follow: Callable[[int, int], None]) -> None:
        """This part obeys orders. ``acting`` is the word that needs an order or power (``running``, ``open``),
        ``resting`` the other. ``follow(signal)`` is called with the final order once the matrix is lowered."""

    def box(
        self,
        powered: int,
        alive: int,
        keeps_trips: bool,
        keeps_counts: bool,
        hang_keeps_order: bool,
        wait: float,
        leads: Callable[[Lead], None],
        lets_without_power: bool = False,
    ) -> None:
        """This part carries out rows of the matrix. ``leads`` is called for each part in whose lead it stands, once the
        matrix is lowered. ``lets_without_power``: without power itself, it lets that part act."""

    def carries(self, signal: int) -> None:
        """This part carries messages and orders while the signal is true."""

    def carried(self, name: str) -> int:
        """True while the network of that name carries orders."""

    def passes_orders(self, arrive: Callable[[str, int], int]) -> None:
        """Orders to parts that go ``through`` this one pass it: ``arrive(part, order)`` gives what comes out."""

    def sounds(self, signal: int, wakes: bool) -> None:
        """This part makes a noise while the signal is true; everybody at home and awake hears it, and whoever sleeps if
        it ``wakes``."""

    def hand_shut(self, gate_signal: Callable[[int], None], run_to: bool = True) -> None:
        """A person can shut this part by hand; called with the signal "a person has shut it".

        ``run_to``: a valve that people run to, of which each shuts one. Else whoever acts shuts it as well, for it
        stands where the water is: a tap that was left running."""

    def person(
        self,
        present: int,
        awake: int,
        hears: int,
        brushes_off: int,
        reach: float,
        sees_after: float,
        sees_hidden_after: float,
        sees_from: float,
        sees_dead_after: float,
        shuts: str,
    ) -> None:
        """A person who may notice water or be told, and shut a hand valve ``reach`` seconds later.

        ``present``, ``awake`` and ``hears`` (messages reach the person's ears) and ``brushes_off``
        (acknowledges a message, so that nobody else is told, and does nothing) are signals. Water is seen from
        ``sees_from`` [m3] upwards: ``sees_after`` seconds of being at home and awake in a room, ``sees_hidden_after``
        in a place inside another one; that a circuit is dead, ``sees_dead_after`` seconds. ``shuts``: name of the hand
        valve; empty: the first one."""

    # -- faults ----------------------------------------------------------------------------------------------------
    def fault(
        self,
        name: str,
        patches: Sequence[tuple[str, int, float]],
        where: str = "",
        sites: float = 1.0,
        until: int | None = None,
        trigger: int | None = None,
        lasts: float | None = None,
    ) -> None:
        """Tie a declared fault to primitives. A patch is (what, number, value): ``("low", gate, 1.0)`` keeps a gate
        at least that open, ``("high", gate, 0.0)`` at most, ``("force", signal, 0|1)``, ``("scale", edge, factor)`` (on
        the pressure lost; on the flow of a fixed flow, the head of a pump), ``("source", node, factor)``,
        ``("passage", edge, share)``, ``("holds", place, factor)`` on what a place holds before water goes on.
        ``where`` in words that may follow the name: "in study", "before the valve". ``until``: a signal that puts an
        end to it; ``trigger``: of a triggered fault, the one that brings it; ``lasts``: how long this one lasts [s],
        where the declaration does not say."""
