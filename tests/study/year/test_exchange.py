"""A pair of pumps that exchanges water day by day: against the balance of salt and of water, written here."""

import math
from datetime import date
from pathlib import Path

import pytest

from dewpond.design.reader import read_text
from dewpond.parts import KINDS
from dewpond.plant.lower import lower
from dewpond.study.flows import flows
from dewpond.study.year.model import DAY, Year
from dewpond.study.year.year import year

TODAY = date(2026, 11, 28).toordinal()
LITRES = 1e3
PAIR = (
    "  tee: {{kind: tee, after: resin, in: utility room}}\n"
    "  salt bin: {{kind: mixing vessel, after: tee, in: living room, footprint: 40 cm x 40 cm, rim: 60 cm, "
    "stands usually: {level} cm, holds: salt water}}\n"
    "  pair: {{kind: water replacement pair, of: sump, from: salt bin, a day: 4.8 L, portions: 24, "
    "measured: {{out: 200 mL, in: {jug} mL}}, outlet: 60 cm above floor}}\n\nsensors:"
)


def of_text(text: str) -> Year:
    return year(read_text(text, "house.yaml"), KINDS, today=TODAY)


@pytest.fixture(scope="module")
def text(repository: Path) -> str:
    return (repository / "examples" / "first_float.yaml").read_text("utf-8")


def paired(text: str, jug: float, level: int = 55) -> str:
    changed = text.replace("{kind: tubing,             after: resin,", "{kind: tubing, after: tee,")
    changed = changed.replace("\nsensors:", PAIR.format(jug=jug, level=level), 1)
    assert changed != text
    return changed


@pytest.mark.parametrize("jug", [190.0, 200.0, 180.0])
def test_pair_leads_to_the_new_water_s_strength_times_in_over_out(text: str, jug: float) -> None:
    """S_inf = S_in q_in / q_out with the time constant V / q_out, although the bin is empty long before."""
    (drift,) = of_text(paired(text, jug)).drifts
    end = 35.0 * jug / 200.0
    pace = 4.8e-3 / drift.volume
    assert drift.year == pytest.approx(end + (35.0 - end) * math.exp(-365.0 * pace), abs=0.15)
    assert drift.month == pytest.approx(end + (35.0 - end) * math.exp(-30.0 * pace), abs=0.15)
    assert drift.brought * DAY * LITRES == pytest.approx(24.0 * jug / 1000.0, rel=0.03)


def test_pair_asks_the_unit_for_no_more_than_the_difference_of_its_pumps(text: str) -> None:
    plain, made = of_text(text), of_text(paired(text, 190.0))
    more = (made.total("need") - plain.total("need")) * LITRES
    assert more == pytest.approx(365.0 * 24.0 * 0.010, abs=60.0)  # by jugs 0.24 L a day
    assert made.total("product") == pytest.approx(made.total("need"))
    own, before = (one.winter.lasts["reservoir"][0] for one in (made, plain))
    assert 0.85 * before < own < before


def test_vessel_of_new_water_is_no_reservoir_and_lasts_its_water_over_its_draw(text: str) -> None:
    made = of_text(paired(text, 200.0))
    assert [one.vessel for one in made.reservoirs] == ["reservoir"]
    (new,) = made.exchanges
    assert (new.part, new.vessel, new.tank) == ("pair", "salt bin", "reef")
    assert new.usable * LITRES == pytest.approx(1.6 * (55.0 - 2.0), rel=0.02)
    assert new.usable / new.flow / DAY == pytest.approx(new.usable * LITRES / 4.8, rel=0.03)


@pytest.mark.parametrize("level", [55, 8, 4])
@pytest.mark.slow
def test_bin_that_runs_dry_within_the_ordinary_days_moves_no_forecast(text: str, level: int) -> None:
    """By hand: what the pair takes and gives a day is what its jugs say, and the ruler has nothing to do with how much
    stands in the bin. At 8 cm its 9.6 L last 2.1 days; at 4 cm its 3.2 L last less than one."""
    slow = text.replace("rim: 300 mm,", "rim: 300 mm, measured evaporation: {fell: 41 mm, over: 24 h, on: 2026-01-20},")
    made = of_text(paired(slow, 190.0, level))
    (drift,), (new,) = made.drifts, made.exchanges
    assert drift.lost * DAY * LITRES == pytest.approx(4.8, rel=0.01 if level > 4 else 0.1)
    assert new.flow * DAY * LITRES == pytest.approx(24.0 * 0.190, rel=0.01 if level > 4 else 0.1)
    assert new.lasts / DAY == pytest.approx(1.6 * (level - 2.0) / 4.56, rel=0.05 if level > 4 else 0.1)
    assert drift.year < drift.month < drift.start
    assert made.calibration.evidence[0].factor == pytest.approx(0.923, abs=0.05)  # with a full bin


@pytest.mark.slow
def test_bin_that_runs_dry_and_a_top_off_that_is_stopped_for_it_turn_no_forecast_round(
    text: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Thirty days are run, as of a unit that starts seldom, and the bin lasts 3.5 of them. A day's cap is
    below what is taken out then: the tank falls to the inlet of the out pump, which draws air."""
    monkeypatch.setattr("dewpond.study.flows.LOOKED_AT", 30.0 * DAY)
    capped = paired(text, 190.0, 12)
    row = "effect: {top-off pump: running}"
    assert row in capped
    capped = capped.replace(row, f"{row}, per day: 2.6 L")
    made, plain = of_text(capped), of_text(paired(text, 190.0, 55))
    assert made.drifts[0].year == pytest.approx(plain.drifts[0].year, abs=0.1)
    assert made.drifts[0].year < 35.0


@pytest.mark.slow
def test_ruler_is_not_less_by_what_a_pair_carries_off_and_brings(text: str) -> None:
    ruler = "rim: 300 mm, measured evaporation: {fell: 41 mm, over: 24 h, on: 2026-01-20},"
    ruled = text.replace("rim: 300 mm,", ruler)
    plain, made = (of_text(one).calibration.evidence[0].factor for one in (ruled, paired(ruled, 200.0)))
    assert made == pytest.approx(plain, rel=0.05)


# --- other water that goes to drains ----------------------------------------------------------------------------------

SOFT = (
    "  softener: {{kind: softener, after: stop tap, in: utility room, regenerates every: {every} days, "
    "regeneration lasts: 40 min, water for it: 100 L, rinse water to: standpipe}}\n"
    "  filters:      {{kind: pre-filters,        after: softener, "
)


def softened(text: str, every: int) -> str:
    changed = text.replace("  filters:      {kind: pre-filters,        after: stop tap, ", SOFT.format(every=every))
    assert changed != text
    return changed


@pytest.mark.slow
@pytest.mark.parametrize("every", [2, 9])
def test_water_of_a_softener_is_told_by_its_part_and_is_no_waste_of_the_unit(text: str, every: int) -> None:
    """The key says 100 L every so many days, by a jug at its drain."""
    plain, made = of_text(text), of_text(softened(text, every))
    assert plain.drains == {}
    assert set(made.drains) == {"softener"}
    assert made.drains["softener"] * DAY * LITRES == pytest.approx(100.0 / every, rel=0.15)
    assert made.total("waste") == pytest.approx(plain.total("waste"), rel=0.1)


def test_waste_of_a_long_fill_is_that_of_the_table_of_flows(text: str) -> None:
    design = read_text(text, "house.yaml")
    both = [flows(lower(design, season)).waste_ratio for season in ("winter", "summer")]
    assert min(both) < of_text(text).long_fill < max(both)


# --- a bin behind a reservoir -----------------------------------------------------------------------------------------

BIN = (
    "  bin: {kind: storage bin, in: utility room, footprint: 50 cm x 40 cm, rim: 600 mm, bottom: 10 cm above floor, "
    "bulkhead fitting: 5 cm, starts at: 500 mm}\n"
    "  lift pump: {kind: transfer pump, from: bin, to: reservoir, flow: 100 L/h, outlet: 80 cm above floor, driven by: "
    "small box, vent hole above the water: present}\n"
    "\nsensors:\n  res low: {kind: level switch, in: reservoir, calls at: 100 mm, is satisfied at: 200 mm, "
    "wired to: small box, contact: closes when low, read as low when: closed}\n"
)
REFILL = "\nmatrix:\n  - {cause: res low low, effect: {lift pump: running}}\n"


def test_bin_that_refills_a_reservoir_by_a_pump_counts_with_the_feed_shut(text: str) -> None:
    """From 500 mm to the fitting at 50 mm 0.2 m2 hold 90 L, some four times what the reservoir gives by itself."""
    plain = of_text(text)
    with_bin = text.replace("\nsensors:\n", "\n" + BIN, 1).replace("\nmatrix:\n", REFILL, 1)
    assert with_bin.count("lift pump") == 2
    made = of_text(with_bin)
    (one,) = made.reservoirs
    assert one.usable == pytest.approx(plain.reservoirs[0].usable)
    ((vessel, more),) = one.behind
    assert vessel == "bin"
    assert more * LITRES == pytest.approx(200.0 * (0.50 - 0.05), rel=0.1)
    longer = one.whole / one.usable
    assert longer > 4.0
    ratio = made.winter.lasts["reservoir"][0] / plain.winter.lasts["reservoir"][0]
    assert 0.95 * longer < ratio < 1.2 * longer


# --- what a year alone knows ------------------------------------------------------------------------------------------


def test_only_the_year_knows_the_ruler_as_the_docs_say(text: str, repository: Path) -> None:
    """A ruler of half as much again moves the year, and no water of a run."""
    ruler = "rim: 300 mm, measured evaporation: {fell: 60 mm, over: 24 h, on: 2026-01-20},"
    ruled = text.replace("rim: 300 mm,", ruler)
    runs = [sum(water.rate for water in lower(read_text(one, "house.yaml"), "winter").waters) for one in (text, ruled)]
    assert runs[0] == runs[1]
    assert of_text(ruled).total("need") > 1.1 * of_text(text).total("need")
    told = " ".join((repository / "docs" / "year.md").read_text("utf-8").split())
    assert "know neither the ruler nor the log" in told
