import math

import pytest

from dewpond.design.reader import read_text
from dewpond.parts.tubing import KIND
from dewpond.physics.water import density, viscosity
from dewpond.plant import engine
from dewpond.plant.lower import lower
from dewpond.plant.plant import STARTS, Onset, Scenario
from tests.parts.recording import Recording, lowered, sampled

PLACES = ("laundry", "wall shaft", "study", "cabinet tray")


def run(**given: object) -> Recording:
    keys = {key.replace("_", " "): value for key, value in given.items()}
    return lowered(KIND, {"length": 9.5, "through": PLACES, **keys})


def test_length_and_elbows_are_shared_out_among_the_places() -> None:
    tubes = run(elbows=4).every("tube")
    assert [one["length"] for one in tubes] == [pytest.approx(9.5 / 4)] * 4
    assert [one["k"] for one in tubes] == [pytest.approx(3.0)] * 4
    assert [one["b"] for one in tubes[:-1]] == [one["a"] for one in tubes[1:]]


def test_given_lengths_are_used() -> None:
    assert [one["length"] for one in run(lengths=(2.0, 3.0, 4.0, 0.5)).every("tube")] == [2.0, 3.0, 4.0, 0.5]


@pytest.mark.parametrize(
    ("size", "bore"),
    [("1/4 in", 4.318e-3), ("3/8 in", 6.35e-3), ("1/2 in", 9.525e-3), ("6x4", 4e-3), ("8x6", 6e-3)],
)
def test_bore_is_that_of_the_catalogue_and_never_the_outside(size: str, bore: float) -> None:
    assert {one["bore"] for one in run(size=size).every("tube")} == {bore}
    assert {one["bore"] for one in run(size=size, bore=5e-3).every("tube")} == {5e-3}


def test_every_place_has_its_four_leaks_at_the_start_of_its_stretch() -> None:
    asked = run(tube_ends=8)
    starts = {place: tube["a"] for place, tube in zip(PLACES, asked.every("tube"), strict=True)}
    assert len(asked.every("leak")) == 16
    for leak in asked.every("leak"):
        assert leak["where"] == f"in {leak['place']}"
        assert leak["node"] == starts[leak["place"]]
    assert sum(one["sites"] for one in asked.leaks("burst")) == pytest.approx(9.5)
    assert sum(one["sites"] for one in asked.leaks("joint weeps")) == pytest.approx(8.0)


def test_burst_is_the_full_bore_and_a_weep_two_litres_an_hour_at_four_bar() -> None:
    asked = run()
    assert asked.leaks("burst")[0]["area"] == pytest.approx(math.pi / 4.0 * 4.318e-3**2)
    weep = asked.leaks("joint weeps")[0]
    assert weep["cd"] * weep["area"] * math.sqrt(2.0 * 4e5 / 1000.0) * 3.6e6 == pytest.approx(2.0, rel=0.15)


def test_it_gives_way_as_case_h124_says() -> None:
    """H124: 10 m of 1/4 in tube take up 0.836 mL for 2.7 bar (thick cylinder, 0.3 GPa)."""
    spring = run(length=10.0).only("spring")
    assert spring["compliance"] * 2.7e5 * 1e6 == pytest.approx(0.8356, rel=0.02)


@pytest.mark.parametrize("lengths", [(1.0, 2.0), (1.0, 2.0, 3.0, 4.0)])
def test_lengths_that_fit_neither_places_nor_whole_are_refused(lengths: tuple[float, ...]) -> None:
    assert KIND.check is not None
    view = sampled(KIND, "riser", {}, {"after": "resin", "through": PLACES, "length": 9.5, "lengths": lengths})
    assert [one.code for one in KIND.check(view)] == ["tubing-lengths"]


def test_refused_lengths_are_told_by_example() -> None:
    assert KIND.check is not None
    keys = {"after": "resin", "through": ("hall", "attic"), "length": 9.0, "lengths": (4.0, 4.0)}
    (finding,) = KIND.check(sampled(KIND, "riser", {}, keys))
    assert "lengths: [{4.5 length 3}, {4.5 length 3}]" in finding.remedy


HOUSE = """
format: 1
title: A long tube (invented)
shown in: metric
supply: {pressure: 0.5 bar, temperature: {winter: 12 C, summer: 12 C}, dissolved solids: 0 ppm, height: 60 cm}
places:
  study:     {kind: room, size: 4 m x 3 m, floor: glazed tile}
water:
  riser:     {kind: tubing, after: supply, through: [study], length: 10 m, elbows: 0, tube ends: 2}
  float:     {kind: float valve, after: riser, fills: reservoir, starts to shut at: 28 cm, quite shut at: 295 mm,
              seat: 8 mm}
  reservoir: {kind: reservoir, in: study, bottom: 30 cm above floor, footprint: 50 cm x 50 cm, rim: 300 mm,
              starts at: 10 mm}
"""


def filled(*labels: str) -> float:
    """What an hour adds [L]."""
    plant = lower(read_text(HOUSE, "house.yaml"))
    onsets = tuple(Onset(label, 0.0) for label in labels)
    trace = engine.run(plant, Scenario("travelling", 3600.0, onsets, STARTS["travelling"]), compiled=True)
    return (trace.volume[0] - 0.25 * 0.01) * 1e3


def test_overgrown_it_gives_what_laminar_flow_gives_at_a_sixteenth_of_the_pressure() -> None:
    """Closed form: Q = pi d^4 p / (16 x 128 mu L), the law of Hagen and Poiseuille; half the bore, d^4."""
    flow = math.pi * 4.318e-3**4 * 0.5e5 / (16.0 * 128.0 * viscosity(285.15) * 10.0)
    assert 4.0 * flow * density(285.15) / (math.pi * 4.318e-3 * viscosity(285.15)) < 1000.0
    assert filled("riser: overgrown") == pytest.approx(flow * 3.6e6, rel=5e-3)
    assert filled() > 5.0 * filled("riser: overgrown")


def test_kinked_next_to_nothing_comes_through() -> None:
    assert 0.0 <= filled("riser: kinked") < 1e-3 * filled()


def test_frozen_nothing_passes_and_thawed_it_is_a_burst() -> None:
    """Twelve hours of ice, and then the same litres as from a burst that begins then."""
    frosty = HOUSE.replace("elbows: 0,", "elbows: 0, frost in: study,")
    frozen, split = (told(frosty, hours * 3600.0, "riser: freezes and bursts, in study") for hours in (12.0, 14.0))
    assert frozen == (pytest.approx(2.5), 0.0)
    burst = told(frosty, 2.0 * 3600.0, "riser: burst, in study")
    assert split == pytest.approx(burst, rel=1e-3)
    assert burst[1] > 100.0


def told(text: str, time: float, label: str) -> tuple[float, float]:
    """Litres in the reservoir, and litres that fell on the floor."""
    plant = lower(read_text(text, "house.yaml"))
    trace = engine.run(plant, Scenario("travelling", time, (Onset(label, 0.0),), STARTS["travelling"]), compiled=True)
    return trace.volume[0] * 1e3, trace.place_total[0] * 1e3


def test_frost_comes_only_where_it_runs() -> None:
    assert KIND.check is not None
    for place, codes in (("study", []), ("garage", ["tubing-frost"])):
        view = sampled(KIND, "it", {}, {"through": PLACES, "frost in": place})
        assert [one.code for one in KIND.check(view)] == codes
