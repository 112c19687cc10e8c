"""Whether what is to be built fits: the sections that stand behind the flows."""

from __future__ import annotations

from collections.abc import Iterator

from dewpond.report.views.blocks import Section
from dewpond.report.views.shown import Shown
from dewpond.report.views.sizing_build import end_blocks, hammer_blocks, lead_blocks, reach_blocks
from dewpond.report.views.sizing_water import bore_blocks, pressure_blocks, servo_blocks, what_if_blocks
from dewpond.study.sizing.sizing import Sizing


def sizing_sections(sizing: Sizing, shown: Shown) -> Iterator[Section]:
    """Those that have something to say, in the water of one season."""
    parts = (
        ("pressure", "Where the pressure goes", pressure_blocks(sizing, shown)),
        ("what-if", "With a weaker or a colder supply", what_if_blocks(sizing, shown)),
        ("bores", "Tubes in another size", bore_blocks(sizing, shown)),
        ("leads", "Leads and coils", (*servo_blocks(sizing.servos, shown), *lead_blocks(sizing.leads, shown))),
        ("hammer", "Water hammer", hammer_blocks(sizing.slams, shown)),
        ("ends", "Open ends", end_blocks(sizing.ends, shown)),
        ("reach", "How far it reaches, and what to buy", reach_blocks(sizing, shown)),
    )
    for key, title, made in parts:
        blocks = tuple(made)
        if blocks:
            yield Section(key, title, blocks)


NOTES = (
    (
        "Pressures, tubes and valves are looked at in the water of the coldest season asked for. Other supplies are "
        "put on the same plant: a membrane stays the one that its jugs showed."
    ),
    (
        "Hammer: Joukowsky, or a column that is slowed evenly and up to twice that (Michaud, from memory), in a tube "
        "of soft polyethylene (0.3 to 0.6 GPa, from memory). Creep, which damps it, and the pipes of the house are "
        "left out. What is taken to bear 8.3 bar is of a usual class (from memory)."
    ),
    "A break pours what the tubes before it let through, before anything has acted on it.",
    (
        "Across a room counts its shorter side, and only where a tube runs right through: ways along walls are longer. "
        "Up and down counts from floor to floor."
    ),
)
