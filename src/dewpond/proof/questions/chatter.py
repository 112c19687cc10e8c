"""Does what a level at its mark starts and stops switch again and again?"""

from __future__ import annotations

from dewpond.plant.plant import Plant
from dewpond.proof.draft import Draft
from dewpond.proof.machine import Machine
from dewpond.proof.questions.dosing import Dose
from dewpond.proof.questions.layers import layers
from dewpond.proof.signals import by_hand, order_of

REST = 60.0  # what starts again sooner after it has stopped chatters [s]; our prior


def restarts(plant: Plant, dose: Dose, gate: int) -> tuple[Machine, int]:
    """The machine of a pump whose level ripples about its marks at any pace, with the question: it starts again sooner
    than REST after it has stopped. Protections that trip do not count: what they cut is not to start again."""
    trips = {layer.trip for layer in layers(plant) if layer.gate in dose.gates}
    fixed = dict.fromkeys([*trips, *plant.rearms, *by_hand(plant)], False)
    d = Draft(plant, [order_of(plant, gate)], fixed)
    runs = d.any(d.at(order_of(plant, gate)))
    rested = d.lasting(d.no(runs), REST)
    lately = d.once(d.all(d.no(runs), d.no(rested), d.once(runs)), rested)
    d.timed()
    bad = d.all(runs, lately)
    return d.machine(()), bad
