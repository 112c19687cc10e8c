"""The matrix in words: causes, positions, how contacts are read. Every face and every file of it shares them."""

from __future__ import annotations

from typing import Final

from dewpond.design.model import cause_text
from dewpond.plant.rows import GOES
from dewpond.report.views.shown import NOTHING, Shown, joined
from dewpond.study.matrix.model import PERMITS, Alone, Box, Effect, Limits, Line, Losses, Matrix, Sensor

RUNS: Final = {GOES[0]: "open", GOES[1]: "run"}
HAS_RUN: Final = {GOES[0]: "has been open", GOES[1]: "has run"}
NOT_KNOWN: Final = "not known, taken as “{taken}”"
LEGEND: Final = (
    "T trips: the part goes to its ordered position, in brackets above, and stays there until somebody re-arms it",
    "t trips while it lasts: once the cause is over, the part may act again",
    "P permits: the part runs, or opens, only while this lasts, and only while nothing trips it",
    "M tells: the message is sent",
    "B bypass: alone, a pause that somebody takes on purpose; behind another mark, what such a pause holds off",
)
ANY_STOP: Final = "Several boxes on one part: any stop wins, whichever box gives it."


def cause_words(line: Line, matrix: Matrix, shown: Shown) -> str:
    """The cause of a line, with how long it must last."""
    if line.sort == "run":
        go = matrix.effect(line.whose).go
        return f"{line.whose} {HAS_RUN[go]} for {shown.duration(line.limits.at_most)}"
    if line.cause is not None:
        lasts = f", for {shown.duration(line.lasting)}" if line.lasting else ""
        return f"{cause_text(line.cause)}{lasts}"
    if line.litres is not None:
        return f"{shown.litres(line.litres)} through {line.whose} in one draw"
    if line.level is not None:
        return f"{line.where} full to {shown.height(line.level)} above its bottom"
    if line.where:
        spot = f", {line.spot}" if line.spot else ""
        return f"water at the probe of {line.whose} ({line.where}{spot})"
    return f"all that stands behind {line.whose} is shut, and the pressure there rises"


def until_words(line: Line) -> str:
    """Until when what a line does stands."""
    if line.not_known:
        return NOT_KNOWN.format(taken="armed again by hand" if line.latched else "the cause ends")
    if line.sort == "own":
        return "armed again by hand" if line.latched else "the cause ends"
    when = f"re-armed by hand{f' when {line.rearm_when}' if line.rearm_when else ''}"
    if line.latched and line.only_asks:
        return f"the cause ends; its message: {when}" if line.tells else "the cause ends"
    return when if line.latched else "the cause ends"


def limits_words(limits: Limits, shown: Shown) -> str:
    """The limits of a demand, in one line; empty for none."""
    said = []
    if limits.at_most is not None:
        said.append(f"at most {shown.duration(limits.at_most)} a run")
    if limits.gap is not None:
        said.append(f"{shown.duration(limits.gap)} between runs")
    if limits.per_day is not None:
        said.append(f"at most {shown.litres(limits.per_day)} a day")
    return ", ".join(said)


def carried_words(line: Line) -> str:
    """Who carries a line out."""
    if line.sort == "own":
        return f"{line.whose} itself"
    if not line.carried:
        return "nothing: no box drives it"
    if len(line.carried) == 1:
        return next(iter(line.carried))
    return "; ".join(f"{box} ({joined(parts)})" for box, parts in line.carried.items())


def sense_words(sensor: Sensor) -> str:
    """What a contact does, and how its input must read it; of a reading, where its marks are set."""
    if sensor.sort == "work":
        return f"{sensor.part}: begun and ended by hand, or by its own timer"
    if sensor.sort == "reading":
        return f"{sensor.part}: pulses or a figure, which {sensor.wired_to} makes “{sensor.state}” of"
    if sensor.sort == "clock":
        return f"{sensor.part}: by the clock of {sensor.wired_to}"
    wired = f", wired to {sensor.wired_to}" if sensor.wired_to else ""
    return f"{sensor.part}: contact {sensor.contact}; read as {sensor.state} when {sensor.read_when}{wired}"


def senses_words(line: Line, matrix: Matrix) -> str:
    """The same for all that the cause of a line asks."""
    if line.cause is None or line.sort == "run":
        return ""
    return "; ".join(dict.fromkeys(sense_words(matrix.sensor(term)) for term in line.cause.terms))


def place_words(sensor: Sensor) -> str:
    """Where a sensor is."""
    return f"{sensor.where}, {sensor.spot}" if sensor.spot else sensor.where


def position_without_power(effect: Effect) -> str:
    """Where a part goes when its power is gone."""
    return "needs none" if effect.losses is None else without_power(effect.losses)


def without_power(losses: Losses) -> str:
    """The same of what is lost."""
    return NOT_KNOWN.format(taken=losses.power) if "power" in losses.not_known else losses.power


def position_without_signal(effect: Effect) -> str:
    """Where it goes when its wire is broken, or what drives it gives no power."""
    if effect.losses is None or not effect.boxes:
        return NOTHING
    taken = effect.losses.signal
    return NOT_KNOWN.format(taken=taken) if "power" in effect.losses.not_known else taken


def position_without_network(effect: Effect) -> str:
    """The same for the network over which its orders come, where they do."""
    if effect.losses is None or effect.losses.network is None:
        return NOTHING
    taken = f"{effect.losses.network} (over {effect.losses.over}, by {effect.losses.through})"
    return NOT_KNOWN.format(taken=taken) if "orders" in effect.losses.not_known else taken


def box_hangs(box: Box) -> str:
    """What the outputs of a box do when it hangs."""
    if not box.program:
        return "has no program, and does not hang"
    does = "keeps last order" if box.hang_keeps_order else "outputs stopped"
    return NOT_KNOWN.format(taken=does) if "hangs" in box.not_known else does


def hang_words(effect: Effect, matrix: Matrix) -> str:
    """What becomes of a part when a box on it hangs."""
    return "; ".join(f"{name}: {box_hangs(matrix.box(name))}" for name in effect.boxes) or NOTHING


def memory_words(box: Box, shown: Shown) -> str:
    """What a box remembers in a restart, and how long it then waits."""
    waits = f"; gives no order for {shown.duration(box.wait)} after power is back" if box.wait else ""
    if not box.program:
        return f"has no memory, and does at once what its wires tell it{waits}"
    trips, counts = ("kept" if kept else "cleared" for kept in (box.keeps_trips, box.keeps_counts))
    trips = NOT_KNOWN.format(taken=trips) if "trips" in box.not_known else trips
    counts = NOT_KNOWN.format(taken=counts) if "counts" in box.not_known else counts
    return f"in a power cut: trips {trips}, counts {counts}{waits}"


def ordered_words(effect: Effect, matrix: Matrix) -> str:
    """The positions of a part: the one in which it protects first, and what it does while no cause stops it."""
    if not effect.stop:
        return "tells"
    if unasked(effect, matrix) == effect.go:
        return f"{effect.stop}, else {effect.go}"
    runs = RUNS[effect.go]
    rows = [line.number for line in matrix.lines if PERMITS in line.marks.get(effect.key, "")]
    if not rows:
        return f"at rest {effect.stop}; no row of the file makes it {runs}"
    called = f"row {rows[0]} calls" if len(rows) == 1 else f"row {joined(rows, 'or')} calls"
    return f"at rest {effect.stop}; it {runs}s only while {called} for it and nothing stops it"


def unasked(effect: Effect, matrix: Matrix) -> str:
    """Where a part stands while no cause acts on it: what is only ever run on demand rests until then."""
    demanded = any(PERMITS in line.marks.get(effect.key, "") for line in matrix.lines)
    return effect.stop if demanded or (effect.driven and effect.go == GOES[1]) else effect.go


def driver_words(effect: Effect) -> str:
    """What gives a part its order."""
    if effect.boxes and effect.driven:
        return effect.boxes[0]
    return (
        f"{effect.name} itself" if effect.sort == "own" else f"nothing: its power alone ({effect.power or 'not named'})"
    )


def lead_words(effect: Effect) -> str:
    """What else stands in its lead."""
    return ", ".join(effect.boxes[1:] if effect.driven else effect.boxes)


def alone_words(part: Alone) -> str:
    """When a part acts that no box and no row has a say in."""
    return f"{part.acting} while {part.power or 'its circuit'} has power"
