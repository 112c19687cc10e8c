"""JSON: the keys that docs/json.md promises, units at the end of keys, numbers that JSON knows."""

import json
import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from dewpond.care.readings import read_readings
from dewpond.design.checks import check
from dewpond.design.model import Design
from dewpond.design.reader import read, read_text
from dewpond.floor.roughness import Judged
from dewpond.parts import KINDS
from dewpond.plant import engine
from dewpond.plant.lower import lower
from dewpond.plant.plant import DAY, Lying, Onset
from dewpond.proof.proving import prove
from dewpond.proof.verdicts import Proof
from dewpond.report import (
    floor_records,
    limit_records,
    matrix_records,
    probe_records,
    proof_records,
    records,
    ways_records,
    year_records,
)
from dewpond.report.views.sources import every_figure
from dewpond.study import filling, floors
from dewpond.study.by_floor import AskedFor, ByFloor, Group, ProbeWets
from dewpond.study.clocks import Hours
from dewpond.study.drills import Drill
from dewpond.study.flows import flows
from dewpond.study.limits.limits import limits
from dewpond.study.matrix.build import build
from dewpond.study.moved import ProbeMoved
from dewpond.study.outcome import Change, NotRun, StudyResult, TankState, UnknownEffect
from dewpond.study.probes.model import HEIGHT, POUR, Asked, More, Telling
from dewpond.study.probes.probes import probes
from dewpond.study.sizing.sizing import size
from dewpond.study.spills import spilled
from dewpond.study.study import kept
from dewpond.study.ways.model import Hangs
from dewpond.study.ways.ways import Filled, House, Stock, ways
from dewpond.study.year.model import Calibration, Exchange, Prices, Trip
from dewpond.study.year.year import year
from tests.study.planned import planned

# Documented by a reference to another document; mappings from the design's own names.
SAME = {"failure": "failures[]", "normal[]": "failures[]", "flows": "seasons[]"}
MAPPINGS = {"litres_by_place", "levels_mm", "lying_litres", "tubes_m", "leads_m"}
# Named without a unit by the issue that asked for them.
UNITLESS = {
    "long_fill_waste_ratio",
    "salinity_low",
    "salinity_high",
    "reopenings",
    "line",
    "waste_per_product",
    "varies",
    "winter_per_summer",
    "measured_per_reckoned",
}
# Days, shares, money, a month's number and what has the unit W as its whole key.
UNITLESS |= {
    "coldest_month", "month", "days", "room_read_days", "humidity", "risks", "factor", "spread", "spread_before",
    "daily_spread", "likeness_of_days", "held_share", "water_cost", "evaporation_heat_cost", "w",
    "winter_per_summer", "read_ppt_a_month", "seed",
}  # fmt: skip
MEASURED = Calibration((), 1.0, 0.25, 0.25, 0.5, 0.15, tanks=("reef",), factors=(1.0,), covariance=((0.0625,),))
NAMES = (
    "check",
    "flows",
    "drill",
    "study",
    "schema",
    "sources",
    "prove",
    "matrix",
    "limits",
    "ways",
    "year",
    "floor",
    "probes",
)
LONG = ("prove", "matrix")  # of two tanks, which takes seconds
HOUSE = House(
    need=5e-8,
    high=9e-8,
    usable=20e-3,
    stocks=(Stock("reservoir", 20e-3, 2.5 * DAY),),
    filled=(Filled("reservoir", 20e-3, 1.0),),
    trips=2.0,
)
each = pytest.mark.parametrize(
    "name", [pytest.param(name, marks=pytest.mark.slow) if name in LONG else name for name in NAMES]
)
Documents = Callable[[str], list[dict[str, Any]]]
UNITS = (
    "_l_per_min", "_bar", "litres", "_mm", "_s", "_c", "_ppt", "_ppm", "_count", "_m", "_w", "_v", "_fraction", "_mg",
    "_kwh", "_m2",
)  # fmt: skip


def paths(value: Any, path: str = "") -> Iterator[str]:
    """The address of every leaf, in the notation of the page."""
    if isinstance(value, dict) and path.rpartition(".")[2] in MAPPINGS:
        for inner in value.values():
            yield from paths(inner, f"{path}{{}}")
        if not value:
            yield f"{path}{{}}"
    elif isinstance(value, dict):
        for key, inner in value.items():
            yield from paths(inner, f"{path}.{key}" if path else key)
    elif isinstance(value, list):
        for inner in value:
            yield from paths(inner, f"{path}[]")
        if not value:
            yield f"{path}[]"
    else:
        yield path


def promised(page: str, document: str) -> set[str]:
    part = page.partition(f"## dewpond.{document}/1\n")[2].partition("\n## ")[0]
    return set(re.findall(r"^- `([^`]+)`:", part, re.MULTILINE))


@pytest.fixture(scope="module")
def page(repository: Path) -> str:
    return (repository / "docs" / "json.md").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def first_float(repository: Path) -> Design:
    return read(repository / "examples" / "first_float.yaml")


def proved(design: Design) -> dict[str, Any]:
    """The document of a proof."""
    plant = lower(design)
    found = prove(design, plant, KINDS, 2, compiled=True, most_states=20_000, answered=True, cured=True)
    return proof_records.proof(design, plant, harmed(found))


@pytest.fixture(scope="module")
def documents(studied: StudyResult, first_float: Design, repository: Path) -> Documents:
    """Gives a document by its name, from a design in which every key has something in it; each is made once."""
    plant = lower(first_float, "winter")
    drill = Drill((Onset("float: stuck open", 0.0),), "", "travelling", DAY)
    trace = engine.run(plant, drill.scenario, rows=20)
    outcome = kept(plant, trace, "")
    consequence = replace(
        outcome.told, messages=((5.0, "m"),), failed=("float",), unordered=("stop tap",), marks=("doubtful: x",),
        onward={"study": ("hall", 1e-3)},
    )  # fmt: skip
    told = replace(outcome, told=consequence)
    floors = ByFloor(
        2, (0, 1), 0, Lying(), (AskedFor("study", ("float", "study"), "float", ("riser",)),),
        (ProbeWets("probe", "study", (1e-3, float("inf")), False),),
        (Group((0, 1), (consequence, consequence)),), 0.06,
    )  # fmt: skip
    unknown = first_float.unknowns[0]
    hangs = Hangs(unknown.part, unknown.key, unknown.taken, unknown.tried[1], unknown.find_out, 1e-3, False)
    effect = UnknownEffect.of(unknown, unknown.tried[1], [Change(consequence, consequence, ())])
    table = flows(plant)
    full = replace(
        studied, design=first_float, flows=table, normal=(told,),
        failures=(replace(told, floors=floors), told.copied(told.faults * 2, "")),
        findings=check(first_float), remarks=(), unknowns=(effect,), tanks=(TankState("reef", 0.25, 35.0, 34.9, 35.1),),
        not_run=NotRun(0, (("shut-off", "closes at"),), 9),
    )  # fmt: skip
    two = (repository / "examples" / "two_tanks.yaml").read_text("utf-8")
    overflowing = two.replace("overflow: none", "overflow: {at: 300 mm, bore: 12 mm}").replace(
        "salinity: 35 ppt,", "salinity: 35 ppt, evaporation: 6 L/day,"
    )
    overflowing = overflowing.replace("{top-off pump: running}", "{top-off pump: running, small doser: running}")
    made: dict[str, Callable[[], list[dict[str, Any]]]] = {
        "check": lambda: [records.check("f.yaml", check(first_float))],
        "flows": lambda: [sized(first_float), sized(with_lead(repository))],
        "drill": lambda: [
            records.drill(first_float, plant, trace, told, (), "as the file says"),
            records.faults(first_float, plant.faults),
        ],
        "study": lambda: [records.study(full)],
        "ways": lambda: [
            ways_records.ways(
                first_float, "winter", HOUSE, [replace(way, hangs=(hangs,)) for way in ways(filling.look(plant), HOUSE)]
            )
        ],
        "year": lambda: [of_year(repository)],
        "floor": lambda: [of_floor(repository)],
        "probes": lambda: of_probes(repository),
        "schema": lambda: [records.schema({"type": "object"})],
        "sources": lambda: [records.sources(every_figure())],
        "prove": lambda: [proved(read(repository / "examples" / "two_tanks.yaml"))],
        "matrix": lambda: [
            matrix_records.matrix(one, build(one))
            for one in (first_float, read(repository / "examples" / "two_tanks.yaml"), on_a_timer(repository))
        ],
        "limits": lambda: [
            limit_records.limits(limits(one, calibration=MEASURED))
            for one in (
                read(repository / "examples" / "two_tanks.yaml"),
                read(repository / "examples" / "bin_and_branch.yaml"),
                read_text(overflowing, "overflow.yaml"),
            )
        ],
    }
    assert set(made) == set(NAMES)
    return cache(lambda name: made[name]())


def of_probes(repository: Path) -> list[dict[str, Any]]:
    """The document of probes on a coarse floor, one of them kept, with a reading of either sort; and where a drain
    takes what none of them feels."""
    design = planned(repository)
    asked = Asked(number=1, stay=("tray probe",), barred=(((2.0, 0.0), (3.0, 1.0)),), rope=0.8, tray=(0.3, 0.2))
    found = probes(design, KINDS, asked, floors.Asked(cell=0.04, members=5))
    pour = found.pours[0]
    more = tuple(More(by, 0, pour.cell, "", column, 1e-3, 0.0, 2e-3) for by, column in ((HEIGHT, -1), (POUR, 0)))
    cases, told = found.cases, Telling(more, more[1], 1e-4)
    drained = replace(cases, litres=np.full_like(cases.litres, np.inf), drained=np.full_like(cases.drained, 1e-3))
    found = replace(found, more=told, watched=found.chosen.worst)
    return [probe_records.probes(design, replace(found, cases=each)) for each in (cases, drained)]


def sized(design: Design) -> dict[str, Any]:
    """The document of flows and of what is built, in winter."""
    plant = lower(design, "winter")
    table = flows(plant)
    return records.flows(design, [table], (), size(design, plant, table))


def with_lead(repository: Path) -> Design:
    """Two tanks, with a valve of which the lead and the coil are known."""
    text = (repository / "examples" / "two_tanks.yaml").read_text(encoding="utf-8")
    said = "needs at least: 0.3 bar, coil: 8 W at 12 V, cable: {length: 6 m, gauge: 0.5 mm2}"
    return read_text(text.replace("needs at least: 0.3 bar", said), "two_tanks.yaml")


def of_floor(repository: Path) -> dict[str, Any]:
    """The document of a floor with a tray, a door, readings of which one is a slip, a marble that shows nothing, and a
    pour that contradicts all floors."""
    heights = "".join(
        f"      - {{by: water tube, at: {x} m x {y} m, height: {z} mm}}\n"
        for x, y, z in ((0.5, 0.5, 3), (2.5, 0.5, 3), (0.5, 2.0, 3), (1.5, 1.2, 3), (1.55, 1.2, 43))
    )
    plan = (
        "\nfloors:\n  study:\n    outline: [0 m x 0 m, 3 m x 2.5 m]\n    openings:\n"
        "      - {between: [0 m x 0 m, 0 m x 0.6 m], leads to: kitchen}\n    spots:\n"
        "      cabinet tray: [2 m x 1.5 m, 2.8 m x 2.1 m]\n      tray probe: 2.5 m x 1.8 m\n"
        "      riser: [1.5 m x 1.5 m, 2.5 m x 1.7 m]\n    walls: [[2.5 m x 0 m, 3 m x 0.5 m]]\n"
        f"    readings:\n{heights}"
        "      - {by: marble, from: 1 m x 0.5 m, to: 1.3 m x 0.5 m}\n"
        "      - {by: marble, from: 2.8 m x 0.2 m, to: 2.9 m x 0.2 m}\n"
        "      - {by: pour, at: 0.3 m x 2.2 m, poured: 0.5 L, probe: tray probe, after: 1 mL}\n"
    )
    text = (repository / "examples" / "two_tanks.yaml").read_text(encoding="utf-8")
    design, asked = read_text(text + plan, "two.yaml"), floors.Asked(cell=0.05)
    (looked,) = floors.look(design, KINDS, asked, lambda site: site.part in ("riser", "float"))
    found = spilled(looked)
    assert found.moved is not None
    moved = replace(found.moved, probes=(ProbeMoved("tray probe", 0.45, 0.9),))
    against = replace(looked, fitted=replace(looked.fitted, judged=(Judged("study", "finished", True, "old"),)))
    return floor_records.floors(design, [replace(found, moved=moved, looked=against)], asked)


def on_a_timer(repository: Path) -> Design:
    """A house without a controller, of whose valve nobody knows what it does without power."""
    text = (repository / "examples" / "timer_only.yaml").read_text(encoding="utf-8")
    return read_text(text.replace("without power: shut", "without power: unknown"), "timer_only.yaml")


def of_year(repository: Path) -> dict[str, Any]:
    """The document of a year with a log, a ruler, a coil and a price."""
    text = (repository / "examples" / "two_tanks.yaml").read_text(encoding="utf-8")
    ruler = "rim: 320 mm, measured evaporation: {fell: 60 mm, over: 24 h, on: 2026-11-02},"
    late = "measured evaporation: {fell: 9 mm, over: 24 h, on: 2027-11-02}, rim: 10 cm"
    spare = f"  spare: {{kind: reservoir, in: study, footprint: 20 cm x 20 cm, {late}}}\n\nsensors"
    design = read_text(text.replace("rim: 320 mm,", ruler).replace("\nsensors", spare), "two.yaml")
    today = date(2026, 11, 28).toordinal()
    readings, found = read_readings(repository / "examples" / "readings.csv", today)
    made = year(design, KINDS, readings, today=today, south=False)
    tanks = (replace(made.drifts[0], unit=3.0, read=0.1), *made.drifts[1:])
    first, *others = made.reservoirs
    traded = Exchange(
        "pair", "salt bin", made.drifts[0].tank, 5e-8, 36.0, 0.06
    )  # the example has none, and no softener, no clock, and nothing that stands shut
    made = replace(
        made, drifts=tanks, exchanges=(traded,), drains={"softener": 1e-7},
        reservoirs=(replace(first, behind=(("bin", 0.09),)), *others),
        gates=(Hours("timer", 600.0, 86400.0),), shut={"valve": ("row 1",)}, heeds=("switch",), broken={"summer": 9e4},
        trips=(Trip("winter", "stop", "stop shuts", 3600.0, 0.0),),
    )  # fmt: skip
    return year_records.year(design, made, Prices(4.2, 1e-7, "EUR"), found, len(readings))


def harmed(found: Proof) -> Proof:
    """The same with a cure that breaks another rule, and an answer with which a search was cut off: the example has
    neither."""
    cured = (
        replace(v, cures=tuple(replace(cure, also_broken=(("IL-15", "a probe"),)) for cure in v.cures))
        for v in found.verdicts
    )
    cut_off = (
        replace(key, others=tuple(replace(one, unfinished=found.verdicts[:1]) for one in key.others))
        for key in found.open
    )
    return replace(found, verdicts=tuple(cured), open=tuple(cut_off))


@each
@pytest.mark.slow
def test_document_holds_what_the_page_promises_and_nothing_else(documents: Documents, page: str, name: str) -> None:
    found = set()
    for document in documents(name):
        assert document["schema"] == f"dewpond.{name}/1"
        for path in paths(document):
            head = next((ref for ref in SAME if path == ref or path.startswith(f"{ref}.")), "")
            found.add(head or path)
            if head:
                inner = SAME[head] + path.removeprefix(head)
                assert inner.removesuffix(".") in promised(page, "study") | promised(page, "flows")
    # a list of things with keys may be empty somewhere
    found = {path for path in found if not any(other.startswith((f"{path}.", f"{path}[")) for other in found)}
    found = {"json_schema" if path.startswith("json_schema") else path for path in found}
    assert found - {"schema"} == promised(page, name)


@each
@pytest.mark.slow
def test_documents_are_json_without_infinities(documents: Documents, studied: StudyResult, name: str) -> None:
    more = [records.study(studied)] if name == "study" else []
    for document in [*documents(name), *more]:
        text = json.dumps(document, allow_nan=False)
        assert json.loads(text) == document


@each
def test_every_number_has_its_unit_at_the_end_of_its_key(documents: Documents, name: str) -> None:
    def numbers(value: Any, key: str = "") -> Iterator[str]:
        if isinstance(value, dict):
            for inner_key, inner in value.items():
                # Mappings from names hand their own key, which has the unit, down.
                yield from numbers(inner, key if key in MAPPINGS else inner_key)
        elif isinstance(value, list):
            for inner in value:
                yield from numbers(inner, key)
        elif isinstance(value, int | float) and not isinstance(value, bool):
            yield key

    for key in {k for document in documents(name) for k in numbers(document)} - UNITLESS:
        assert key.endswith(UNITS) or key.startswith("litres_") or key in ("l_per_min", "litres"), key


def test_numbers_are_in_the_unit_of_their_key(studied: StudyResult) -> None:
    document = records.study(studied)
    burst = next(f for f in document["failures"] if f["faults"] == ["tap: joint blows off, before the valve"])
    told = next(o.told for o in studied.failures if o.faults == ("tap: joint blows off, before the valve",))
    assert burst["litres_on_floors"] == pytest.approx(told.on_floors * 1000.0, rel=1e-5)
    assert burst["litres_by_place"] == {"shed": burst["litres_on_floors"]}
    assert burst["passed_on"] == []
    # all that came is all that went or is there: numbers of six digits
    came = burst["litres_from_supply"] + burst["litres_poured_by_hand"] + burst["litres_in_vessels_before"]
    went = ("to_drain", "off_floors_to_drain", "evaporated", "dried", "lying", "in_vessels_after")
    assert came == pytest.approx(sum(burst[f"litres_{key}"] for key in went), rel=1e-5)
    assert (burst["first_water_s"], burst["stopped_s"], burst["still_running"]) == (3600.0, None, True)
    tap = next(link for link in document["flows"]["links"] if link["part"] == "tap")
    assert tap["inlet_bar"] == pytest.approx(3.0, rel=1e-3)
    assert document["flows"]["supply_c"] == 10.0
    assert document["flows"]["waste_per_product"] is None


def test_links_stand_in_the_order_of_the_file(studied: StudyResult) -> None:
    parts = [link["part"] for link in records.study(studied)["flows"]["links"]]
    assert parts == ["tap", "leak stop", "tube", "ball"]


def test_keys_the_issue_asks_for_are_there(studied: StudyResult) -> None:
    document = records.study(studied)
    assert {"design", "findings", "flows", "tanks", "failures"} <= document.keys()
    assert {"part", "l_per_min", "inlet_bar", "outlet_bar"} <= document["flows"]["links"][0].keys()
    wanted = (
        "faults order who litres_on_floors litres_by_place litres_to_drain first_water_s first_noticed_s noticed_by "
        "stopped_s stopped_by reopenings still_running salinity_low salinity_high return_pump_dry_s reservoir_empty_s "
        "asked layers_failed marks story"
    )
    assert set(wanted.split()) <= document["failures"][0].keys()
