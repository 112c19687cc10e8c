"""The house's cold water, at the point where this installation takes it.

It gives without end at its own pressure. It fails by losing pressure (work in the street, a burst main) and by having
too much of it, mostly at night when nobody draws. Pressures: 40 to 80 psi are usual in the United States; above 80 psi
(5.5 bar) US model codes want a reducing valve (UPC 608.2, IRC 2021 P2903.3.1). Temperatures and the strength of the
night pressure are our priors.
"""

from __future__ import annotations

from dewpond.errors import Finding
from dewpond.parts.base import Fault, Kind, Lowering, Param, PartView, Port, Rate, Source, amount
from dewpond.parts.plumbing import BEARS_HEAT, HEIGHT, PRIOR, TRADE, height_in_place

HOT = 313.15  # above that, no cold pipe's water [K]; our prior, 303 to 313
COLD_PIPE, MIXER_TAP = "cold pipe", "mixer tap"
NIGHT = 1.4  # pressure at night over the one measured by day [1]; our prior, 1.1 to 1.6

PARAMS = (
    Param(
        "pressure",
        "pressure",
        "Water pressure at the tap while nobody draws water. Late in the evening it is highest: measure it then.",
        default=4.0e5,
        low=0.5e5,
        high=10e5,
        find_out="Screw a gauge on a tap near the unit, or ask the water supplier.",
        source=Source("middle of the usual 40 to 80 psi", TRADE, 2.8e5, 5.5e5),
        also=("water pressure", "line pressure"),
        usual=(1.2e5, 8e5),
    ),
    Param(
        "temperature",
        "map",
        "Temperature of the cold water in the cold and in the warm season. Let the tap run for a minute first.",
        default={"winter": 281.15, "summer": 291.15},
        fields=(
            Param(
                "winter", "temperature", "In the coldest month.", low=273.65, high=BEARS_HEAT, usual=(274.15, 299.15)
            ),
            Param(
                "summer", "temperature", "In the warmest month.", low=273.65, high=BEARS_HEAT, usual=(277.15, 305.15)
            ),
        ),
        source=Source("8 C and 18 C: buried mains in a mild climate", PRIOR, 277.15, 298.15),
    ),
    Param(
        "dissolved solids",
        "dissolved solids",
        "What a conductivity pen shows in the tap water, in ppm.",
        default=0.25,
        low=0.0,
        high=2.0,
        source=Source(
            "250 ppm: middling tap water, also the strength at which many membranes are rated", PRIOR, 0.05, 0.5
        ),
        also=("TDS", "hardness"),
        usual=(0.015, 1.2),
    ),
    Param(
        "carbon dioxide",
        "dissolved solids",
        "Dissolved gas, which passes the membrane, wears the resin out and shows on no conductivity pen.",
        default=5e-3,
        low=0.0,
        high=0.2,
        usual=(0.0, 0.06),
        find_out="Look up alkalinity and pH in the supplier's report: 100 mg/L alkalinity at pH 7.6 goes with 5 mg/L.",
        source=Source("carbonate balance of tap water, 100 mg/L as CaCO3 at pH 7.6; 7.0 to 8.0", PRIOR, 2e-3, 20e-3),
        also=("CO2", "free carbon dioxide"),
    ),
    Param(
        "taken from",
        "word",
        "A cold pipe, such as that of a washing machine, or a mixer tap, through which hot water can cross over.",
        default=COLD_PIPE,
        words=(COLD_PIPE, MIXER_TAP),
        source=Source("a fitting at the cold pipe, as units are sold with", TRADE),
        also=("tap", "connection", "connected to"),
        trade={"kitchen tap": MIXER_TAP, "faucet": MIXER_TAP, "washing machine tap": COLD_PIPE},
    ),
    Param("in", "place", "The room in which the water is taken; left out: as low as the lowest room.", default=None),
    HEIGHT,
)

FAULTS = (
    Fault(
        "pressure lost",
        "event",
        "The house has no water pressure.",
        "no water at any tap",
        lasts=4.0 * 3600.0,
    ),
    Fault(
        "pressure high",
        "event",
        "The pressure rises by four tenths for eight hours, as it may at night while nobody else draws water.",
        "a gauge that keeps its highest reading",
        lasts=8.0 * 3600.0,
    ),
    Fault(
        "hot water through the mixer tap",
        "event",
        "For an hour hot water comes into the line: the lever was moved, or a worn seal lets it cross over.",
        "a hand on the first tube: it is warm",
        Rate(
            0.1,
            "per year",
            5.0,
            Source("a lever that somebody moves while the unit fills, worn seals", PRIOR, 0.02, 0.5),
        ),
        3600.0,
    ),
)


def lower(p: PartView, b: Lowering) -> None:
    """A node at the supply's own pressure."""
    z = height_in_place(p, b) if p["in"] else float(p["height"])
    node = b.source(p["pressure"], z, p["dissolved solids"])
    b.bind("out", node)
    b.fault("pressure lost", [("source", node, 0.0)])
    b.fault("pressure high", [("source", node, NIGHT)])
    hot = b.hot_water()
    if hot is not None:
        b.say(hot, f"hot water comes from {p.name}", f"cold water comes from {p.name} again")
        b.fault("hot water through the mixer tap", [("force", hot, 1.0)])


def check(p: PartView) -> list[Finding]:
    """Seasons the wrong way round, and hot water."""
    found = []
    warmest = max(p["temperature"].values())
    if warmest > HOT:
        found.append(
            Finding(
                "supply-hot",
                "warning",
                p.name,
                f"The water is given as warm as {amount(warmest, 'temperature')}: that is hot water. A membrane is "
                f"usually ruined above {amount(BEARS_HEAT, 'temperature')}, resin wears out, and tubes and bowls that "
                "are made for cold water burst sooner.",
                "Take the water from a cold pipe, or correct the figure: let the tap run for a minute, then measure.",
                key="temperature",
            )
        )
    if p["taken from"] == MIXER_TAP:
        found.append(
            Finding(
                "supply-mixer-tap",
                "note",
                p.name,
                "Through a mixer tap hot water can cross over into the line, when its lever is moved or a seal is "
                "worn; the study tries that.",
                "Take the water from a cold pipe before any mixer, or fit a thermometer that has the feed shut.",
                key="taken from",
            )
        )
    if p["temperature"]["winter"] > p["temperature"]["summer"]:
        found.append(
            Finding(
                "supply-seasons",
                "warning",
                p.name,
                "The water is given as warmer in winter than in summer.",
                "Change the two figures over, or leave them if a boiler room warms the pipe in winter.",
                key="temperature",
            )
        )
    return found


KIND = Kind(
    word="house supply",
    also=("mains", "tap water", "water main", "feed water"),
    section="supply",
    role="source",
    summary="The cold water of the house, where this installation takes it.",
    fails="It can lose its pressure, and it can have too much, mostly at night. It never ends by itself.",
    params=PARAMS,
    ports=(Port("out"),),
    faults=FAULTS,
    lower=lower,
    check=check,
    symbol='<path d="M2 4 V16 M2 10 H38 M26 5 L36 10 L26 15" fill="none" stroke="currentColor" stroke-width="2"/>',
    example="supply: {pressure: 3.6 bar, temperature: {winter: 7 C, summer: 17 C}, dissolved solids: 240 ppm}",
    cautions=(
        "Above 5.5 bar (80 psi) many places ask for a pressure reducing valve: check with the local code or a plumber.",
        "Take it from a cold pipe: hot water, as through a mixer tap, ruins the membrane and weakens tubes and bowls.",
        "Shut the water off and let the pressure out before you cut a tube.",
        "Work on the main before or at the stop tap is a plumber's in many places.",
        "A fill hose that hangs in tank water joins the tank to the drinking water of the house: keep an air gap.",
    ),
    notes=(
        "The supply holds its pressure however much is drawn: the pipes of the house are not part of the design.",
        (
            "The high pressure is taken as 1.4 times the one given (our prior, 1.1 to 1.6), for eight hours. It comes "
            "when the drill says, by day too."
        ),
        "Lost pressure comes back after four hours (our prior).",
        "Hot water through a mixer tap comes for an hour (our prior): that is told, its temperature is not followed.",
    ),
)
