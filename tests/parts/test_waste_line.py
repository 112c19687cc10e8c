"""A waste line: its friction against the law of laminar flow, and whole runs of a unit that fills without end."""

import math

import pytest

from dewpond.design.checks import check
from dewpond.design.reader import read_text
from dewpond.parts.waste_line import KIND
from dewpond.physics.water import viscosity
from dewpond.plant import engine
from dewpond.plant.consequence import judge
from dewpond.plant.lower import lower
from dewpond.plant.plant import STARTS, Onset, Scenario
from dewpond.plant.trace import Trace
from tests.parts.recording import sampled

HOUR = 3600.0
HOUSE = """
format: 1
title: A unit and its waste line (invented)
shown in: metric
supply: {{pressure: 3 bar, temperature: {{winter: 12 C, summer: 12 C}}, dissolved solids: 200 ppm, height: 50 cm}}
places:
  study:     {{kind: room, size: 4 m x 3 m, floor: glazed tile}}
  bath:      {{kind: room, size: 3 m x 3 m, floor: glazed tile}}
  standpipe: {{kind: waste drain, in: bath, type: standpipe}}
water:
  membrane:  {{kind: membrane, after: supply, in: study{waste},
              measured: {{product: 100 mL/min, waste: 400 mL/min, water: 12 C}}}}
{line}
  end:       {{kind: air gap, after: membrane, in: study, into: reservoir}}
  reservoir: {{kind: reservoir, in: study, footprint: 50 cm x 40 cm, rim: 300 mm, starts at: 10 mm}}
"""
LINE = "  waste line: {kind: waste line, waste of: membrane, in: bath, to: standpipe, length: 2 m, ends at: 90 cm}"


def run(line: str, time: float, *labels: str, waste: str = "") -> tuple[Trace, dict[str, float]]:
    plant = lower(read_text(HOUSE.format(line=line, waste=waste), "house.yaml"))
    onsets = tuple(Onset(label, 0.0) for label in labels)
    trace = engine.run(plant, Scenario("travelling", time, onsets, STARTS["travelling"]), compiled=True)
    return trace, dict(zip((place.name for place in plant.places), trace.place_total, strict=True))


def waste(trace: Trace, fallen: dict[str, float]) -> float:
    """What left the unit and did not become product [m3]."""
    product = trace.volume[0] - 0.5 * 0.4 * 0.01
    return trace.total[0] - product - fallen["study"]


def test_tube_takes_what_laminar_friction_its_fittings_and_its_rise_take() -> None:
    """Closed form: 128 mu L Q / (pi d^4), 7 velocity heads and 40 cm of rise, out of the 2.9 bar at the restrictor."""
    direct = waste(*run("", HOUR, waste=", waste to: standpipe"))
    led = waste(*run(LINE, HOUR))
    flow, bore = 400e-6 / 60.0, 4.318e-3
    mu = viscosity(285.15)
    speed = flow / (math.pi / 4.0 * bore**2)
    assert 1000.0 * speed * bore / mu < 2000.0
    taken = 128.0 * mu * 2.0 * flow / (math.pi * bore**4) + 7.0 * 500.0 * speed**2 + 1000.0 * 9.80665 * 0.4
    before = 3e5 - 1e5 * (0.5 / 5.0) ** 2  # 5 L/min at 1 bar through the inlet
    assert direct * 1e3 == pytest.approx(24.0, rel=2e-3)
    assert led / direct == pytest.approx(math.sqrt(1.0 - taken / before), rel=5e-4)


def test_out_of_its_drain_all_waste_falls_on_the_floor_of_that_room() -> None:
    """24 L an hour by the jug, a hundredth less for the tube; none of it where the unit stands."""
    sound = run(LINE, HOUR)[1]
    assert sum(sound.values()) == 0.0
    trace, fallen = run(LINE, HOUR, "waste line: out of its drain")
    assert fallen["bath"] == pytest.approx(waste(trace, {"study": 0.0}), rel=1e-5)
    assert fallen["bath"] * 1e3 == pytest.approx(24.0, rel=0.02)
    assert fallen["study"] == 0.0


def test_drain_that_backs_up_does_the_same() -> None:
    out, backed = (
        run(LINE, HOUR, label)[1]["bath"] for label in ("waste line: out of its drain", "standpipe: backs up")
    )
    assert backed == pytest.approx(out, rel=1e-9)


def test_blocked_no_waste_runs_and_half_blocked_little() -> None:
    assert waste(*run(LINE, HOUR, "waste line: blocked")) == pytest.approx(0.0, abs=1e-6)
    half = waste(*run(LINE, HOUR, "waste line: half blocked"))
    assert 1e-3 < half < 0.8 * waste(*run(LINE, HOUR))


def test_off_at_the_unit_the_waste_falls_there() -> None:
    fallen = run(LINE, HOUR, "membrane: waste line off after the restrictor")[1]
    assert fallen["bath"] == 0.0
    assert fallen["study"] * 1e3 == pytest.approx(24.0, rel=2e-3)


def test_checks_object_to_an_end_that_hangs_too_low_and_to_two_answers() -> None:
    assert KIND.check is not None
    for gap, codes in ((0.03, []), (0.02, ["air-gap-small"]), (-0.3, ["air-gap-small"])):
        assert [one.code for one in KIND.check(sampled(KIND, "line", {}, {"air gap": gap}))] == codes
    found = check(read_text(HOUSE.format(line=LINE, waste=""), "house.yaml"))
    assert not [one for one in found if one.where == "water: waste line"]
    both = check(read_text(HOUSE.format(line=LINE, waste=", waste to: standpipe"), "house.yaml"))
    assert "D199" in {one.code for one in both}


def test_a_blocked_one_has_failed_and_a_narrow_one_is_told_to_do_nothing() -> None:
    plant = lower(read_text(HOUSE.format(line=LINE, waste=""), "house.yaml"))
    assert judge(plant, run(LINE, HOUR, "waste line: blocked")[0]).failed == ("waste line",)
    assert judge(plant, run(LINE, HOUR, "waste line: half blocked")[0]).failed == ()
