"""What one run of a whole design costs, compiled: every single fault of two examples, and a study of the first.

The cost of a run decides how many pairs, leaves and next steps the later parts of a study can afford.
"""

from __future__ import annotations

import time
from pathlib import Path

from _table import milliseconds, show

from dewpond.design.reader import read
from dewpond.plant import engine
from dewpond.plant.consequence import judge
from dewpond.plant.lower import lower
from dewpond.plant.plant import Onset, Plant, Scenario
from dewpond.study.study import run_study

EXAMPLES = Path(__file__).resolve().parent.parent / "examples"
DAY = 86400.0
WHO = (("travelling", 14.0 * DAY), ("at home", DAY))


def scenarios(plant: Plant, who: str, horizon: float) -> list[Scenario]:
    """Nothing fails, then every fault alone."""
    alone = [Onset(f.label, 0.0 if f.timing == "latent" else 3600.0) for f in plant.faults]
    return [Scenario(who, horizon), *(Scenario(who, horizon, (onset,)) for onset in alone)]


def runs_of(name: str) -> list[tuple[str, str]]:
    """Figures of one example; the work of every run is asserted."""
    start = time.perf_counter()
    plant = lower(read(EXAMPLES / f"{name}.yaml"), "winter")
    rows = [("reading and lowering", milliseconds(time.perf_counter() - start))]
    engine.run(plant, Scenario("travelling", 60.0), compiled=True)  # loads the compiled kernel
    for who, horizon in WHO:
        costs, steps, doubtful = [], 0, 0
        planned = scenarios(plant, who, horizon)
        for scenario in planned:
            start = time.perf_counter()
            trace = engine.run(plant, scenario, compiled=True)
            judge(plant, trace)
            costs.append((time.perf_counter() - start, scenario.onsets[0].label if scenario.onsets else "nothing"))
            assert trace.end == horizon or trace.doubtful
            steps += trace.steps
            doubtful += trace.doubtful > 0
        assert len(costs) == len(plant.faults) + 1
        assert steps > 5 * len(costs)
        total = sum(cost for cost, _ in costs)
        costs.sort()
        speed = f"{len(costs)} runs in {total:.2f} s, {len(costs) / total:.0f} runs/s"
        work = f"{steps} steps, {1e6 * total / steps:.1f} us a step, {doubtful} doubtful"
        rows.append((f"{who}, {horizon / DAY:.0f} d: middle run", milliseconds(costs[len(costs) // 2][0])))
        rows.append(("  longest run", f"{milliseconds(costs[-1][0])}  {costs[-1][1]}"))
        rows.append(("  all", f"{speed}, {work}"))
    return rows


def main() -> None:
    for name in ("first_float", "two_tanks"):
        show(f"bench_study: single runs of {name}", runs_of(name))
    design = read(EXAMPLES / "first_float.yaml")
    start = time.perf_counter()
    result = run_study(design, pairs=False)
    spent = time.perf_counter() - start
    assert result.finished
    assert len(result.failures) > 50
    show(
        "bench_study: study of first_float, every fault alone",
        [("time", f"{spent:.2f} s"), ("runs told of", str(len(result.failures)))],
    )


if __name__ == "__main__":
    main()
