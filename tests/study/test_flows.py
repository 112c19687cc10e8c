"""The table of flows against pipes solved by another method, and against the keeper's own jugs."""

from dataclasses import replace
from pathlib import Path

import pytest
from scipy.optimize import brentq

from dewpond.design.reader import read, read_text
from dewpond.physics import pipes, water
from dewpond.plant.balance import balance
from dewpond.plant.house import House
from dewpond.plant.lower import lower
from dewpond.plant.plant import Plant
from dewpond.report.views.flows import _often
from dewpond.report.views.shown import shown_in
from dewpond.study.filling import NO_FLOW
from dewpond.study.flows import Flows, flows, flows_and_days
from dewpond.study.remarks import filling
from tests.plant.houses import design

PER_MINUTE = 60e3  # [m3/s] -> [L/min]


@pytest.fixture(scope="module")
def table(plant: Plant) -> Flows:
    return flows(plant)


def test_water_of_a_fill_runs_through_every_part_in_a_row(table: Flows) -> None:
    assert {row.part for row in table.rows} == {"tap", "leak stop", "tube", "ball"}
    for row in table.rows:
        assert row.flow == pytest.approx(table.supply, rel=2e-5)  # its springs settle in a few long steps
        assert row.inlet > row.outlet
        assert (row.way, row.when) == ("", "")


def test_pressure_behind_a_part_is_that_before_the_next(table: Flows) -> None:
    rows = {row.part: row for row in table.rows}
    for before, after in (("tap", "leak stop"), ("leak stop", "tube"), ("tube", "ball")):
        assert rows[before].outlet == pytest.approx(rows[after].inlet, abs=1.0)
    assert rows["tap"].inlet == pytest.approx(3e5, rel=1e-3)


def test_tube_loses_what_the_friction_law_says_by_root_finding(table: Flows) -> None:
    """The same law, but solved for the flow by scipy from the two pressures of the table."""
    row = next(row for row in table.rows if row.part == "tube")
    density, viscosity = water.density(283.15), water.viscosity(283.15)

    def missing(flow: float) -> float:
        drop = pipes.tube_pressure_drop(flow, 4.318e-3, 6.0, 6.0, density, viscosity)
        return drop - (row.inlet - row.outlet)

    # Inlet and outlet stand at different heights, which is a few per cent of the drop.
    lift = density * water.G * 0.4
    assert abs(row.inlet - row.outlet) > 10.0 * lift
    assert row.flow == pytest.approx(brentq(missing, 1e-6, 1e-3), rel=0.05)


def test_fill_time_is_volume_by_flow_and_the_engine_takes_about_as_long(table: Flows, plant: Plant) -> None:
    from dewpond.plant import engine
    from dewpond.plant.plant import Scenario

    (fill,) = table.fills
    assert (fill.part, fill.vessel) == ("ball", "tub")
    assert fill.volume == pytest.approx(0.5 * 0.4 * 0.4)
    assert fill.time == pytest.approx(fill.volume / fill.flow)
    empty = replace(plant, arrays=plant.arrays._replace(store_start=[0.0]))
    trace = engine.run(empty, Scenario("travelling", fill.time), rows=50)
    assert trace.volume[0] == pytest.approx(fill.volume, rel=0.03)


def test_no_membrane_makes_no_waste(table: Flows) -> None:
    assert (table.product, table.waste) == (0.0, 0.0)
    assert table.waste_ratio == float("inf")


def test_fill_at_the_temperature_of_the_jugs_gives_about_the_jugs(repository: Path) -> None:
    """Jugs of first_float: 150 and 600 mL in a minute at 12 C. A tube and a float behind take a little of it."""
    text = (repository / "examples" / "first_float.yaml").read_text().replace("winter: 8 C", "winter: 12 C")
    table = flows(lower(read_text(text, "jugs.yaml"), "winter"))
    assert table.product * PER_MINUTE == pytest.approx(0.150, rel=0.06)
    assert table.waste * PER_MINUTE == pytest.approx(0.600, rel=0.03)
    assert table.waste_ratio == pytest.approx(4.0, rel=0.08)


def test_cold_water_makes_less(repository: Path) -> None:
    design = read(repository / "examples" / "first_float.yaml")
    winter, summer = (flows(lower(design, season)) for season in ("winter", "summer"))
    assert winter.product < summer.product
    assert winter.fills[0].time > summer.fills[0].time


def test_pumps_are_looked_at_when_they_run(repository: Path) -> None:
    table = flows(lower(read(repository / "examples" / "first_float.yaml"), "winter"))
    (pump,) = [row for row in table.rows if row.part == "top-off pump"]
    assert pump.when == "top-off pump"
    assert pump.flow * PER_MINUTE == pytest.approx(50.0 / 60.0, rel=0.05)  # as written in the file
    assert {row.way for row in table.rows if row.part == "membrane"} == {"", "product", "waste"}
    assert {row.way for row in table.rows if row.part == "reef"} == {"circulation", "overflow"}


def test_vessel_that_waits_for_a_lower_one_on_the_same_line_is_looked_at_once_that_is_full(repository: Path) -> None:
    """As the engine goes from both empty: the low one up to its mark, and only then water for the high one."""
    from dewpond.plant import engine
    from dewpond.plant.plant import Scenario

    text = (repository / "examples" / "first_float.yaml").read_text()
    (line,) = (one for one in text.splitlines() if one.startswith("  float: "))
    both = (
        "  fork:   {kind: tee, after: tube, in: living room}\n"
        "  low float: {kind: float valve, after: fork, fills: low, starts to shut at: 90 mm, quite shut at: 100 mm}\n"
        "  low:    {kind: reservoir, in: living room, footprint: 20 cm x 20 cm, rim: 120 mm}\n"
    ) + line.replace("after: tube", "after: fork")
    plant = lower(read_text(text.replace(line, both), "two.yaml"), "winter")
    table = flows(plant)
    fills = {fill.vessel: fill for fill in table.fills}
    assert (fills["low"].once, fills["reservoir"].once) == ((), ("low",))
    assert fills["reservoir"].flow == pytest.approx(table.product, rel=0.02)
    assert {row.part for row in table.rows} >= {"float", "low float", "fork"}
    assert "S207" not in [remark.code for remark in filling(plant, table)]
    at = {name: plant.stores.index(name) for name in fills}
    start = [0.0 if number in at.values() else held for number, held in enumerate(plant.arrays.store_start)]
    empty = replace(plant, arrays=plant.arrays._replace(store_start=start))
    times = (0.9 * fills["low"].time, fills["low"].time + fills["reservoir"].time)
    early, late = (engine.run(empty, Scenario("travelling", time)) for time in times)
    assert early.volume[at["low"]] == pytest.approx(0.9 * fills["low"].volume, rel=0.03)
    assert early.volume[at["reservoir"]] == pytest.approx(0.0, abs=1e-9)
    assert late.volume[at["reservoir"]] == pytest.approx(fills["reservoir"].volume, rel=0.05)


def test_membrane_without_pressure_is_remarked(repository: Path) -> None:
    text = (repository / "examples" / "first_float.yaml").read_text()
    text = text.replace("pressure: 3.8 bar", "pressure: 0.5 bar").replace("260 ppm", "1500 ppm")
    plant = lower(read_text(text, "weak.yaml"), "winter")
    table = flows(plant)
    assert [remark.code for remark in filling(plant, table)] == ["S211", "S207"]  # so it cannot have filled jugs
    assert table.fills[0].time == float("inf")


def test_product_that_feeds_another_membrane_is_purified_water_for_nobody(repository: Path) -> None:
    """All of it runs to waste behind the second: what is made and what is wasted were more than what was drawn."""
    text = (repository / "examples" / "first_float.yaml").read_text()
    second = (
        "  second:       {kind: membrane, after: membrane, in: utility room, rated: 75 gal/day at 50 psi and 25 C, "
        "waste to: standpipe}\n"
    )
    text = text.replace("  check:        {kind", f"{second}  check:        {{kind").replace(
        "kind: check valve,        after: membrane,", "kind: check valve, after: second,"
    )
    plant = lower(read_text(text, "two.yaml"), "winter")
    table = flows(plant)
    made = {row.part: row.flow for row in table.rows if row.way == "product"}
    assert made["membrane"] > 1e-6
    assert table.product + table.waste == pytest.approx(table.supply, rel=1e-3)
    assert table.product < 0.1 * made["membrane"]


@pytest.mark.slow
def test_product_of_which_a_part_feeds_another_membrane_is_counted_once(repository: Path) -> None:
    text = (repository / "examples" / "first_float.yaml").read_text()
    branch = """  fork:         {kind: tee, after: membrane, in: utility room}
  second: {kind: membrane, after: fork, in: utility room, rated: 75 gal/day at 50 psi and 25 C, waste to: standpipe}
"""
    text = text.replace("  check:        {kind", f"{branch}  check:        {{kind").replace(
        "kind: check valve,        after: membrane,", "kind: check valve, after: fork,"
    )
    table = flows(lower(read_text(text, "tee.yaml"), "winter"))
    made = {row.part: row.flow for row in table.rows if row.way == "product"}
    assert 0.1 * made["membrane"] < table.product < made["membrane"]
    assert table.product + table.waste == pytest.approx(table.supply, rel=1e-3)


def test_a_vessel_that_stands_higher_is_not_called_unfilled_because_a_lower_one_takes_all_at_first(
    repository: Path,
) -> None:
    """Two floats on one line: each is filled by what the unit makes, once the other is shut."""
    text = (repository / "examples" / "first_float.yaml").read_text("utf-8")
    line = next(line for line in text.splitlines() if line.startswith("  float:"))
    can = next(line for line in text.splitlines() if line.startswith("  reservoir:"))
    upper = (
        line.replace("  float:", "  upper float:").replace("fills: reservoir", "fills: can")
        + "\n"
        + can.replace("  reservoir:", "  can:").replace("overflow: none", "bottom: 12 m above floor, overflow: none")
    )
    # 12 m are 1.2 bar: the product still comes there, but not while the lower float stands open
    plant = lower(read_text(text.replace(can, f"{can}\n{upper}"), "two_floats.yaml"), "winter")
    fills = {fill.vessel: fill.flow for fill in flows(plant).fills}
    assert fills["reservoir"] > 0.0
    assert fills["can"] > 0.5 * fills["reservoir"]


def binned(repository: Path, tail: str = "") -> str:
    """first_float with a bin in the loft between tube and float: the reservoir is filled from it."""
    text = (repository / "examples" / "first_float.yaml").read_text("utf-8")
    (line,) = (one for one in text.splitlines() if one.startswith("  float: "))
    bin_ = (
        "  ball:   {kind: float valve, after: tube, fills: loft, starts to shut at: 380 mm, quite shut at: 400 mm}\n"
        "  loft:   {kind: storage bin, in: living room, footprint: 40 cm x 40 cm, rim: 450 mm, drain tap: none,\n"
        "           bottom: 2 m above floor, bulkhead fitting: 3 cm}\n"
        "  fall:   {kind: tubing, after: loft, size: 3/8 in, length: 3 m, through: [living room]}\n"
    ) + line.replace("after: tube", "after: fall")
    return text.replace(line, bin_) + tail


def test_a_vessel_filled_from_a_bin_is_looked_at_with_that_full(repository: Path) -> None:
    """Second way: the time that a whole run takes from the same levels; the bin hardly sinks meanwhile."""
    from dewpond.plant import engine
    from dewpond.plant.plant import Scenario

    plant = lower(read_text(binned(repository), "bin.yaml"), "winter")
    table = flows(plant)
    fills = {fill.vessel: fill for fill in table.fills}
    assert fills["reservoir"].beside == ("loft",)
    assert fills["loft"].flow == pytest.approx(table.product, rel=0.02)
    assert fills["reservoir"].flow > 3.0 * table.product
    at = {name: plant.stores.index(name) for name in fills}
    start = list(plant.arrays.store_start)
    start[at["reservoir"]] = 0.0
    start[at["loft"]] = 0.4 * 0.4 * 0.4
    lying = replace(plant, arrays=plant.arrays._replace(store_start=start))
    time = 0.5 * fills["reservoir"].time
    trace = engine.run(lying, Scenario("travelling", time))
    assert trace.volume[at["reservoir"]] == pytest.approx(0.5 * fills["reservoir"].volume, rel=0.08)
    assert all(row.inlet > -5e3 for row in table.rows)  # nothing sucks at a full bin


def test_a_small_vessel_is_looked_at_before_it_is_full(repository: Path) -> None:
    """Two litres are filled long before flows are looked at elsewhere; how large it is makes no difference to flows."""
    text = (repository / "examples" / "first_float.yaml").read_text("utf-8")
    (can,) = (line for line in text.splitlines() if line.startswith("  reservoir:"))
    small = can.replace(can.split("footprint: ")[1].split(",")[0], "8 cm x 8 cm")
    assert small != can
    big, little = (flows(lower(read_text(t, "small.yaml"), "winter")) for t in (text, text.replace(can, small)))
    assert little.fills[0].flow == pytest.approx(big.fills[0].flow, rel=0.02)
    assert little.waste_ratio == pytest.approx(big.waste_ratio, rel=0.02)


def test_raw_water_that_fills_a_vessel_is_no_waste(repository: Path) -> None:
    """A hose with a float at the tap fills a barrel: what the membrane wastes is what leaves through its restrictor."""
    text = (repository / "examples" / "first_float.yaml").read_text("utf-8")
    (line,) = (one for one in text.splitlines() if "kind: pre-filters" in one)
    barrel = (
        "  fork:   {kind: tee, after: stop tap, in: utility room}\n"
        "  hose:   {kind: float valve, after: fork, fills: barrel, starts to shut at: 400 mm, quite shut at: 420 mm}\n"
        "  barrel: {kind: reservoir, in: utility room, footprint: 50 cm x 50 cm, rim: 500 mm}\n"
    )
    more = flows(
        lower(read_text(text.replace(line, barrel + line.replace("after: stop tap", "after: fork")), "b.yaml"))
    )
    assert more.supply > 1.5 * (more.product + more.waste)
    (waste,) = (row.flow for row in more.rows if (row.part, row.way) == ("membrane", "waste"))
    assert more.waste == pytest.approx(waste, rel=1e-3)


def test_two_floats_fill_one_vessel_together(repository: Path) -> None:
    """As fast as the whole product, whichever of the two brings how much of it."""
    text = (repository / "examples" / "first_float.yaml").read_text("utf-8")
    (line,) = (one for one in text.splitlines() if one.startswith("  float: "))
    both = "  fork:   {kind: tee, after: tube, in: living room}\n" + "\n".join(
        line.replace("  float: ", f"  {name}: ").replace("after: tube", "after: fork") for name in ("float", "second")
    )
    table = flows(lower(read_text(text.replace(line, both), "two.yaml")))
    for fill in table.fills:
        assert fill.flow == pytest.approx(table.product, rel=0.01)
        assert fill.time == pytest.approx(fill.volume / table.product, rel=0.01)


@pytest.mark.slow
def test_a_fill_that_ends_in_an_air_gap_is_a_fill(repository: Path) -> None:
    """The free end takes a velocity head: next to nothing beside a float and a membrane."""
    text = (repository / "examples" / "two_tanks.yaml").read_text("utf-8")
    gap = "  fill end: {kind: air gap, after: float, in: study, into: reservoir, gap: 50 mm}\n"
    plain, ended = (
        flows(lower(read_text(words, "two_tanks.yaml")), compiled=True)
        for words in (text, text.replace("  reservoir:", gap + "  reservoir:", 1))
    )
    assert len(ended.fills) == len(plain.fills) == 1
    assert ended.fills[0].vessel == plain.fills[0].vessel == "reservoir"
    assert ended.fills[0].flow == pytest.approx(plain.fills[0].flow, rel=0.02)
    assert ended.product == pytest.approx(plain.product, rel=0.02)
    assert plain.product > 0.0


SECOND = (
    "  second:       {kind: membrane, after: membrane, in: utility room, rated: 150 gal/day at 50 psi and 25 C, "
    "waste to: standpipe%s}\n"
)
IN_THE_BIN = """  lift:         {kind: tubing, after: membrane, size: 1/4 in, length: 3 m, through: [utility room]}
  bin float:    {kind: float valve, after: lift, fills: bin, starts to shut at: 480 mm, quite shut at: 500 mm}
  bin:          {kind: storage bin, in: utility room, footprint: 50 cm x 40 cm, rim: 600 mm, bottom: 1.5 m above floor,
                 bulkhead fitting: 5 cm}
  down tube:    {kind: tubing, after: bin, size: 3/8 in, length: 3 m, through: [utility room]}
"""


def in_stages(repository: Path, pressure: str, second: str, between: str = "") -> Plant:
    """The first float, with a membrane more behind the one there is."""
    text = (repository / "examples" / "first_float.yaml").read_text("utf-8")
    second = second.replace("after: membrane", "after: down tube") if between else second
    for old, new in (
        ("pressure: 3.8 bar", f"pressure: {pressure}"),
        ("closes at: unknown}\n", "closes at: 67 %}\n" + between + second),
        ("check valve,        after: membrane", "check valve, after: second"),
    ):
        assert old in text
        text = text.replace(old, new)
    return lower(read_text(text, "stages.yaml"))


@pytest.mark.slow
def test_a_second_membrane_is_fed_with_the_product_of_the_first(repository: Path) -> None:
    """Water in = product + waste; what comes before the second is what the first makes."""
    table = flows(in_stages(repository, "5.4 bar", SECOND % ", restrictor: 0.02 L/min at 1 bar"), compiled=True)
    first, second = table.products
    assert second.feed == first.steady
    assert first.feed == pytest.approx(0.26, rel=0.01)
    assert second.steady < second.feed < 0.1 * first.feed
    assert table.supply == pytest.approx(table.product + table.waste, rel=1e-6)


@pytest.mark.slow
def test_the_membrane_that_makes_nothing_is_named(repository: Path) -> None:
    plant = in_stages(repository, "3.8 bar", SECOND % "")  # its waste takes all that the first makes
    (found,) = filling(plant, flows(plant, compiled=True))
    assert (found.code, found.parts) == ("S207", ("second",))


@pytest.mark.slow
def test_what_a_membrane_draws_from_a_vessel_is_not_drawn_from_the_supply(repository: Path) -> None:
    plant = in_stages(repository, "5.4 bar", SECOND % "", IN_THE_BIN)
    table = flows(plant, compiled=True)
    made = {row.part: row.flow for row in table.rows if row.way == "product"}
    assert table.supply == pytest.approx(table.product + table.waste, rel=1e-4)
    assert table.product == pytest.approx(made["membrane"], rel=1e-4)
    first, second = table.products
    assert second.feed == first.steady


@pytest.mark.slow
def test_days_in_which_water_gets_out_are_no_ordinary_ones(repository: Path) -> None:
    plant = lower(read(repository / "examples" / "first_float.yaml"))
    dry = flows(plant, compiled=True)
    a = plant.arrays
    reservoir = plant.stores.index("reservoir")
    rims = [0.3 * v if s == reservoir else v for s, v in enumerate(a.store_rim)]  # below the float's mark
    wet = flows(replace(plant, arrays=a._replace(store_rim=rims)), compiled=True)
    assert (dry.wet, wet.wet) == (False, True)


# --- what fills by the clock only -------------------------------------------------------------------------------------
TIMER = "power:\n  timer: {kind: time switch, power: wall, on from: %s, for: 90 min, its time in a power cut: kept}\n"


@pytest.mark.parametrize(
    ("rests", "hours"), [("shut", "20:00"), ("shut", "08:00"), ("open", "20:00"), ("open", "08:00")]
)
def test_a_fill_is_looked_at_in_the_hours_in_which_a_timer_lets_it(rests: str, hours: str) -> None:
    """The same flows as with the valve always open, whichever way the timer works and whenever a look begins."""
    text, driven = design(at_rest=rests), f"without power: {rests}, driven by: box"
    assert text.count(driven) == 1
    timed = lower(
        read_text(text.replace(driven, f"without power: {rests}, power: timer") + TIMER % hours, "timed.yaml")
    )
    always = lower(read_text(text.replace(driven, "without power: shut, power: wall"), "always.yaml"))
    (mine,), (other,) = flows(timed).fills, flows(always).fills
    assert mine.flow > NO_FLOW
    assert (mine.vessel, mine.flow, mine.time) == (other.vessel, pytest.approx(other.flow), pytest.approx(other.time))


JUGS = """
format: 1
title: Jugs under a unit (invented)
supply: {{pressure: 3 bar, temperature: {{winter: 12 C, summer: 12 C}}, dissolved solids: 200 ppm{taken}}}
places:
  cellar: {{kind: room, size: 4 m x 3 m, floor: glazed tile}}
  gully: {{kind: waste drain, in: cellar}}
water:
  membrane: {{kind: membrane, after: supply, in: cellar, waste to: gully,
             measured: {{product: 200 mL/min, waste: 800 mL/min, water: 12 C}}}}
  end:      {{kind: air gap, after: membrane, in: cellar, into: box}}
  box:      {{kind: reservoir, in: cellar, footprint: 60 cm x 60 cm, rim: 500 mm, starts at: 10 mm}}
"""


TAKEN = ("", ", in: cellar", ", height: 2 m", ", in: cellar, height: 0 cm")


@pytest.mark.parametrize("taken", TAKEN)
def test_jugs_filled_without_a_gauge_come_out_again_wherever_the_supply_stands(taken: str) -> None:
    """What was measured flows: at the pressure of the supply, less the height of the unit above it."""
    made = flows(lower(read_text(JUGS.format(taken=taken), "jugs.yaml"), "winter"))
    assert made.product * 60e6 == pytest.approx(200.0, rel=3e-3)
    assert made.waste * 60e6 == pytest.approx(800.0, rel=3e-3)


@pytest.mark.parametrize(("taken", "height"), list(zip(TAKEN, (0.5, 0.5, 2.0, 0.0), strict=True)))
def test_supply_has_its_pressure_where_it_stands(taken: str, height: float) -> None:
    """Hydrostatics, at 12 C: what parts are told that it has at the lowest floor."""
    found = House(read_text(JUGS.format(taken=taken), "jugs.yaml"), "winter").season("supply")
    assert found == pytest.approx(3e5 + 999.5 * 9.80665 * height, rel=1e-6)


def test_a_unit_that_is_pressed_every_other_day_makes_what_evaporates() -> None:
    """By the balance of the water: in the long run it makes what evaporates, whatever the reservoir began with."""
    text = Path("examples/two_tanks.yaml").read_text(encoding="utf-8")
    keys = "runs for: 3 h, pressed by: keeper, pressed every: 2 days, wired to: cellar box"
    contact = "contact: closes when pressed, read as pressed when: closed"
    button = f"  fill button: {{kind: fill button, {keys}, {contact}}}\n"
    row = "  - {cause: fill button pressed, effect: {feed valve: open}}\n"
    text = text.replace("sensors:\n", f"sensors:\n{button}").replace("matrix:\n", f"matrix:\n{row}")
    plant = lower(read_text(text, "pressed.yaml"), "winter")
    table, days = flows_and_days(plant)
    (product,) = table.products
    assert product.volume == pytest.approx(balance(plant, days).evaporated, rel=0.1)


@pytest.mark.parametrize(
    ("a_day", "said"), [(1.0, "once a day"), (0.98, "once a day"), (1.3, "once a day"), (0.5, "once in 2 days")]
)
def test_once_a_day_is_said_so(a_day: float, said: str) -> None:
    assert _often(a_day, shown_in("metric")) == said
