"""Sediment and carbon filters in screwed bowls before the membrane.

They fail where they hold pressure: a bowl cracks, its seal is left leaking after a change; and they clog. Loss of a
bowl: our prior. Rates: bowl from the smallest filter leak of HyRAM+ (Sandia) taken down to what is seen at home; "left
leaking" from HEART, task E.
"""

from __future__ import annotations

from dewpond.parts.base import (
    WATER,
    Fault,
    Kind,
    Lowering,
    Param,
    PartView,
    Port,
    ProofTest,
    Rate,
    Source,
    Upkeep,
    Wear,
)
from dewpond.parts.plumbing import (
    AFTER,
    BEARS,
    HEIGHT,
    IN,
    JOINT_FAULTS,
    JOINT_NOTE,
    MONTH,
    PRIOR,
    WEEP,
    disc,
    height_in_place,
    leak_at_joints,
    loss_of_flow,
    tube_ends,
)

CRACK = 3e-6  # area of a cracked bowl [m2]; our prior, 0.3 to 30 mm2
CLOGGED = 30.0  # loss of a clogged filter over that of a clean one [1]; our prior, 10 to 100
CHOKED = 1e6  # and of one that sand and rust have choked [1]; our prior, 1e4 to shut
RATED = 1e-3 / 60.0  # flow at which the loss of a bowl is given [m3/s]

PARAMS = (
    AFTER,
    IN,
    HEIGHT,
    Param(
        "bowls",
        "count",
        "How many filter bowls stand one behind the other.",
        default=3,
        low=1,
        high=8,
        usual=(1, 5),
        source=Source("one for sediment, two for carbon", "common practice, no source", 1.0, 4.0),
    ),
    Param(
        "drop of a bowl",
        "pressure",
        "Pressure that one clean filter takes at 1 L/min.",
        default=5e3,
        low=0.0,
        high=1e5,
        usual=(3e2, 5e4),
        source=Source("clean 10 in cartridges at a tenth of their rated flow", PRIOR, 1e3, 2e4),
    ),
    Param(
        "good for",
        "volume",
        "Water that the set is made for, as printed on the cartridge that lasts least; left out: time alone counts.",
        default=None,
        low=0.1,
        high=500.0,
        usual=(1.0, 100.0),
        also=("rated for", "lasts", "capacity"),
    ),
    BEARS,
    tube_ends(6),
    Param("changed on", "date", "When the filters were changed last.", default=None),
)

FAULTS = (
    Fault(
        "bowl cracks",
        "initiator",
        "A filter bowl cracks: water runs out at house pressure.",
        "water under the unit; a bowl older than ten years, or crazed, is due",
        Rate(
            0.001,
            "per housing-year",
            5.0,
            Source("filter leaks of HyRAM+ (Sandia), 2.5e-3 to 4.8e-5 a year, and our judgement", PRIOR, 2e-4, 5e-3),
        ),
    ),
    Fault(
        "left leaking after a change",
        "initiator",
        "After a change of filters the seal of a bowl does not sit: a thin trickle.",
        "a dry tissue round the bowls ten minutes, an hour and a day after the change",
        Rate(0.02, "per change", 3.0, Source("HEART, task E, 0.02 (Williams 1986)", "derived", 0.007, 0.06)),
    ),
    Fault(
        "clogged",
        "latent",
        "The filters are clogged: little pressure is left for the membrane.",
        "a gauge behind them; product and waste both become less",
    ),
    Fault(
        "choked by dirt after street work",
        "event",
        "Rust and sand come with the water, and the first filter is choked within the hour: next to nothing passes.",
        "brown water at the other taps; a gauge behind the filters",
        Rate(
            0.03, "per year", 5.0, Source("work in one's street; shut the unit off while it lasts", PRIOR, 0.006, 0.15)
        ),
    ),
    *JOINT_FAULTS,
)


def wears(p: PartView) -> Wear | None:
    """What is printed on the cartridges, if it was given."""
    return None if p["good for"] is None else Wear(WATER, (p["good for"],) * 3)


def lower(p: PartView, b: Lowering) -> None:
    """One loss for all bowls; they leak in front of it, where the pressure is highest."""
    z = height_in_place(p, b)
    inlet, outlet = b.outlet(p["after"]), b.port("out", z)
    bowls, place = p["bowls"], p["in"]
    edge = b.orifice(inlet, outlet, max(bowls * loss_of_flow(RATED, p["drop of a bowl"]), 1.0))
    b.fault("clogged", [("scale", edge, CLOGGED)])
    b.fault("choked by dirt after street work", [("scale", edge, CHOKED)])
    b.leak(inlet, z, place, "bowl cracks", CRACK, sites=bowls)
    b.leak(inlet, z, place, "left leaking after a change", disc(WEEP), sites=bowls)
    leak_at_joints(b, inlet, z, place, p["tube ends"])


KIND = Kind(
    word="pre-filters",
    also=("sediment filter", "carbon filter", "carbon block", "filter housing", "filter"),
    section="water",
    role="line",
    summary="Filters in screwed bowls that take grit and chlorine out before the membrane.",
    fails="Bowls crack or are left leaking after a change, tube ends leak, and the filters clog.",
    params=PARAMS,
    ports=(Port("in"), Port("out")),
    faults=FAULTS,
    lower=lower,
    wears=wears,
    tests=(
        ProofTest(
            "dry tissue",
            "Wipe every bowl and tube end dry, then hold a dry tissue against each: ten minutes, an hour and a day "
            "after any work.",
            "The tissue stays dry.",
            6.0 * MONTH,
        ),
    ),
    upkeep=(Upkeep("Change the filters; look at the bowls and wet the seals.", 6.0 * MONTH, "changed on"),),
    symbol='<path d="M0 10 H12 M28 10 H40 M12 2 H28 V18 H12 Z M20 2 V18" fill="none" stroke="currentColor" '
    'stroke-width="1.5" stroke-dasharray="none"/>',
    example="filters: {kind: pre-filters, after: feed valve, in: laundry, bowls: 3}",
    cautions=(
        "Shut the water before you open a bowl, and let the pressure out first.",
        "Many bowls are made for 6 to 8 bar: the pressure at night is the one that counts.",
    ),
    notes=(
        "A cracked bowl is a hole of 3 mm2 (our prior, 0.3 to 30 mm2).",
        "A clogged set loses thirty times what a clean one does (our prior, 10 to 100 times), a choked one a million.",
        "Dirt that gets past them onto the seat of a valve is a fault of that valve: it does not shut tight.",
        JOINT_NOTE,
    ),
)
