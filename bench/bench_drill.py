"""One drill of fourteen days beside EPANET: the network N1 of the published cases, a reservoir and its float.

House mains at 40 m, a tube to a tee, an open branch that is blown off on the second day for two hours, a branch that
feeds 0.8 L/min to a purifier, and one that fills a reservoir of 0.12 m2 behind a float. Once nothing is taken from the
reservoir, and once 4 L a day, so that the float opens and throttles again and again.
The same job for the EPANET 2.2 engine, through wntr, with hourly steps and the float as two controls; by the bare
engine and as wntr runs it. The litres of both are compared. Aim: 100 times faster than wntr's run.
"""

from __future__ import annotations

import math
import tempfile
import warnings
from pathlib import Path

from _table import best_of, milliseconds, show

from dewpond.plant import primitives as prim
from dewpond.plant.build import Net
from dewpond.plant.compile import run_once
from dewpond.plant.primitives import Arrays, State

FOOT = 0.3048
G, NU, RHO = 32.2 * FOOT, 1.1e-5 * FOOT * FOOT, 1000.0  # what the EPANET engine reckons with
PER_MINUTE = 1.0 / 60000.0
HOUR, DAY = 3600.0, 86400.0
DAYS = 14
AREA, LOW, HIGH, START = 0.12, 0.270, 0.285, 0.15  # reservoir [m2], float's band and first level [m]
SEAT, LOSS = 0.002, 40.0  # float valve: bore [m] and velocity heads
LEAK_AT, LEAK_ENDS = 24, 26  # [h]

INP = f"""[TITLE]
N1 with a reservoir behind a float
[JUNCTIONS]
 T    0.0  0
 RO   0.3  0.8
 F    0.5  0
 USE  0.0  %.8f
[RESERVOIRS]
 MAIN 40
 OPEN 0.5
[TANKS]
 TANK 0.2 {START} 0 1.0 {2.0 * math.sqrt(AREA / math.pi):.8f} 0
[PIPES]
 P1 MAIN T    5   6.350 0.0015 6.0 Open
 P2 T    OPEN 10  4.318 0.0015 4.0 Closed
 P3 T    RO   3   4.318 0.0015 3.0 Open
 P4 T    F    8   4.318 0.0015 6.0 Open
 P5 F    TANK 0.3 {1e3 * SEAT:.3f} 0.0015 {LOSS} Open
 P6 TANK USE  1.0 6.350 0.0015 1.0 Open
[CONTROLS]
 LINK P2 OPEN AT TIME {LEAK_AT}
 LINK P2 CLOSED AT TIME {LEAK_ENDS}
 LINK P5 CLOSED IF NODE TANK ABOVE {HIGH}
 LINK P5 OPEN IF NODE TANK BELOW {LOW}
[OPTIONS]
 Units LPM
 Headloss D-W
 Viscosity 1.0
 Specific Gravity 1.0
 Trials 500
 Accuracy 0.00001
 Quality None
[TIMES]
 Duration {24 * DAYS}:00
 Hydraulic Timestep 1:00
 Report Timestep 1:00
[REPORT]
 Status No
[END]
"""


def house(used: float) -> tuple[Arrays, dict[str, int]]:
    """The plant, with the blown-off branch as a fault and ``used`` [L/min] drawn, and its edges by name."""
    net = Net()
    floor, drain = prim.R_PLACE, prim.R_DRAIN
    net.places.append((1e30, prim.R_NONE, 0, 1e9, 1e30, -1))
    net.bodies.append(0.0)
    net.tables.append(((0.0, 1.0), (0.0, AREA)))
    net.stores.append((0.2, AREA, 0, drain, 0, AREA * START, -1))
    mains = net.node(prim.FIXED, 0.0, value=40.0 * RHO * G)
    tee, far = net.node(prim.JUNCTION, 0.0), net.node(prim.JUNCTION, 0.3)
    before, inside = net.node(prim.JUNCTION, 0.5), net.node(prim.JUNCTION, 0.55)
    blown = net.gate(prim.G_CONST)
    valve = net.gate(prim.G_LEVEL, 0, -1, LOW, HIGH, 0.01)

    loss = LOSS * RHO / (2.0 * (0.25 * math.pi * SEAT * SEAT) ** 2)

    def tube(a: int, b: int, length: float, bore: float, k: float, gate: int = -1) -> int:
        return net.edge(a, b, prim.TUBE, gate, (bore, length, 1.5e-6 / bore, k))

    edges = {
        "P1": tube(mains, tee, 5.0, 0.00635, 6.0),
        "P2": tube(tee, net.node(prim.AIR, 0.5, rkind=floor, rref=0), 10.0, 0.004318, 4.0, blown),
        "P3": tube(tee, far, 3.0, 0.004318, 3.0),
        "P4": tube(tee, before, 8.0, 0.004318, 6.0),
        "P5": tube(before, inside, 0.3, SEAT, 0.0),
        "float": net.edge(inside, net.node(prim.SPOUT, 0.55, ref=0), prim.ORIFICE, valve, (loss,)),
        "RO": net.edge(far, net.node(prim.AIR, 0.3, rkind=drain), prim.FLOW, p=(0.8 * PER_MINUTE,)),
        "USE": net.edge(
            net.node(prim.TAP, 0.2, ref=0), net.node(prim.AIR, 0.0, rkind=drain), prim.FLOW, p=(used * PER_MINUTE,)
        ),
    }
    arrays = net.arrays((RHO, G, NU, 1.0, 120.0, DAY, 1e-3))._replace(
        fault_time=[LEAK_AT * HOUR], fault_signal=[0], fault_delay=[0.0], fault_end=[(LEAK_ENDS - LEAK_AT) * HOUR],
        fault_until=[-1],
        patch_at=[0, 1], patch_kind=[prim.P_GATE_LOW], patch_ref=[blown], patch_value=[1.0],
    )  # fmt: skip
    return arrays, edges


def drill(arrays: Arrays, *, compiled: bool) -> State:
    return run_once(arrays, 1, DAYS * DAY, compiled=compiled)


def by_wntr(source: Path, used: float) -> dict[str, float]:
    """wntr's own run, from the input file to its tables: litres blown off, and litres filled by the tank's balance."""
    import wntr

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it remarks that roughness keeps its unit under Darcy-Weisbach
        network = wntr.network.WaterNetworkModel(str(source))
    found = wntr.sim.EpanetSimulator(network).run_sim(file_prefix=str(source.with_suffix("")))
    blown_off, level = found.link["flowrate"]["P2"], found.node["pressure"]["TANK"]
    assert len(blown_off) == 24 * DAYS + 1
    # it fills between two reports, so the flows on the hour do not show it
    filled = AREA * (float(level.iloc[-1]) - START) * 1e3 + used * 60.0 * 24.0 * DAYS
    return {"P2": float(blown_off.iloc[:-1].sum()) * HOUR * 1e3, "P5": filled}


def by_engine(source: Path) -> int:
    """The bare engine on the same file: number of its hydraulic steps."""
    from wntr.epanet.toolkit import ENepanet

    engine, steps = ENepanet(), 0
    engine.ENopen(str(source), str(source.with_suffix(".rpt")), "")
    engine.ENopenH()
    engine.ENinitH(0)
    ahead = 1
    while ahead > 0:
        engine.ENrunH()
        ahead = engine.ENnextH()
        steps += 1
    engine.ENcloseH()
    engine.ENclose()
    return steps


def compare(title: str, litres_a_day: float) -> None:
    """Both do the same job; work and litres are asserted, times are shown."""
    used = litres_a_day / 24.0 / 60.0
    arrays, edges = house(used)
    state, plain = drill(arrays, compiled=True), drill(arrays, compiled=False)
    assert [float(v) for v in state.moved] == plain.moved
    steps, solves = int(state.clock[prim.C_STEPS]), int(state.clock[prim.C_SOLVES])
    assert float(state.clock[prim.C_NOW]) == DAYS * DAY
    assert state.clock[prim.C_DOUBTFUL] == 0.0
    assert steps >= 10
    assert solves >= 5  # what stands still between two switchings is not solved again
    litres = {name: float(state.moved[edge]) * 1e3 for name, edge in edges.items()}
    assert abs(litres["RO"] - 0.8 * 60 * 24 * DAYS) < 1e-6 * litres["RO"]
    assert abs(litres["USE"] - litres_a_day * DAYS) < 1e-6
    assert abs(float(state.place_total[0]) * 1e3 - litres["P2"]) < 1e-9
    with tempfile.TemporaryDirectory() as folder:
        source = Path(folder) / "n1.inp"
        source.write_text(INP % used, encoding="utf-8")
        theirs, engine_steps = by_wntr(source, used), by_engine(source)
        assert engine_steps >= 24 * DAYS
        assert abs(litres["P2"] - theirs["P2"]) < 0.01 * litres["P2"], (litres["P2"], theirs["P2"])
        # a float that throttles and two controls part by what lies between the marks at most
        assert abs(litres["P5"] - theirs["P5"]) < 1e3 * AREA * (HIGH - LOW), (litres["P5"], theirs["P5"])
        slow = best_of(5, lambda: by_wntr(source, used))
        bare = best_of(5, lambda: by_engine(source))
    quick = best_of(30, lambda: drill(arrays, compiled=True))
    alone = best_of(3, lambda: drill(arrays, compiled=False))
    show(
        title,
        [
            ("compiled, from lists to result", milliseconds(quick)),
            ("plain Python", milliseconds(alone)),
            ("wntr, input file to tables", milliseconds(slow)),
            ("EPANET engine alone", milliseconds(bare)),
            ("work", f"{steps} steps and {solves} solves here, {engine_steps} steps there"),
            ("litres blown off", f"{litres['P2']:.2f} here, {theirs['P2']:.2f} there"),
            ("litres filled", f"{litres['P5']:.2f} here, {theirs['P5']:.2f} there"),
            ("faster than wntr's run", f"{slow / quick:.1f} times (aim 100)"),
            ("faster than the engine alone", f"{bare / quick:.1f} times"),
        ],
    )


def main() -> None:
    compare(f"bench_drill: {DAYS} days of N1 with a reservoir that fills once", 0.0)
    compare("bench_drill: the same, and 4 L a day are taken from the reservoir", 4.0)


if __name__ == "__main__":
    main()
