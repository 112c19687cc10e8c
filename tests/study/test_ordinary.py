"""Fills and ordinary days of a house that heeds who is there, each against the same house without that."""

from pathlib import Path

import pytest

from dewpond.design.reader import read_text
from dewpond.parts import KINDS
from dewpond.plant import engine
from dewpond.plant.lower import lower
from dewpond.plant.plant import DAY, STARTS, Plant, Scenario
from dewpond.report.views.flows import flow_sentences
from dewpond.report.views.shown import shown_in
from dewpond.study import filling, ordinary
from dewpond.study.clocks import stays
from dewpond.study.flows import flows
from dewpond.study.remarks import filling as remarks
from dewpond.study.starting import JUST_FILLED, begin
from dewpond.study.year.model import Year
from dewpond.study.year.year import year

SWITCH = (
    "  holiday: {{kind: away switch, turned by: keeper, turned: {}, wired to: cellar box, contact: closes when away, "
    "read as away when: closed}}\n"
)
TURNED = ("for a journey", "on leaving the house", "on leaving and at bedtime")
BUTTON = (
    "  button: {kind: fill button, runs for: %s, pressed by: keeper, pressed every: 2 days, while it is held down: %s, "
    "wired to: cellar box, contact: closes when pressed, read as pressed when: closed}\n"
)
DOWN = ("its time ends all the same", "its time begins anew and again")
TWO = Path("examples/two_tanks.yaml").read_text("utf-8")


def with_(sensor: str, row: str) -> str:
    assert TWO.count("\nsensors:\n") == TWO.count("\nmatrix:\n") == 1
    return TWO.replace("\nsensors:\n", f"\nsensors:\n{sensor}").replace("\nmatrix:\n", f"\nmatrix:\n  - {row}\n")


def away(turned: str = TURNED[0]) -> str:
    """The feed shut while nobody is there."""
    return with_(SWITCH.format(turned), "{cause: holiday away, effect: {feed valve: shut}}")


def pressed(runs: str = "3 h", down: str = DOWN[0]) -> str:
    """The feed opened by a button, which nobody presses who is not there."""
    return with_(BUTTON % (runs, down), "{cause: button pressed, effect: {feed valve: open}}")


def plant_of(text: str) -> Plant:
    return lower(read_text(text, "house.yaml"), "winter")


def year_of(text: str) -> Year:
    return year(read_text(text, "house.yaml"), KINDS, today=739_000)


PLAIN = plant_of(TWO)


def test_a_house_that_heeds_nobody_is_looked_at_with_nobody_there() -> None:
    assert PLAIN.residents
    assert ordinary.heeded_by(PLAIN) == ()
    assert ordinary.ordinary(PLAIN, DAY) == Scenario("travelling", DAY, (), STARTS["travelling"])


@pytest.mark.parametrize("text", [*(away(turned) for turned in TURNED), *(pressed(down=down) for down in DOWN)])
@pytest.mark.slow
def test_a_fill_is_that_of_the_same_house_without_what_heeds_who_is_there(text: str) -> None:
    plant = plant_of(text)
    assert ordinary.who(plant) == "at home"
    (fill,), (plain,) = filling.fills(plant), filling.fills(PLAIN)
    assert fill.flow == pytest.approx(plain.flow, rel=1e-6)
    assert not [one for one in remarks(plant, flows(plant)) if one.code == "S207"]


@pytest.mark.slow
@pytest.mark.parametrize("runs", ["2 min", "20 min", "10 h"])
def test_a_fill_behind_a_button_is_that_of_its_minutes_however_few_they_are(runs: str) -> None:
    plant = plant_of(pressed(runs))
    (fill,), (plain,) = filling.fills(plant), filling.fills(PLAIN)
    assert fill.flow == pytest.approx(plain.flow, rel=1e-6)
    assert flows(plant).clocks == ("button",)
    ((clock, _),) = plant.clocks.items()
    minutes = {"2 min": 2.0, "20 min": 20.0, "10 h": 600.0}[runs]
    assert stays(plant, clock) == pytest.approx(60.0 * minutes)


@pytest.mark.parametrize(("text", "named"), [(away(), "holiday"), (pressed(), "button")])
@pytest.mark.slow
def test_it_is_said_who_is_taken_to_be_there_and_by_what_it_matters(text: str, named: str) -> None:
    shown = shown_in("metric")
    told = " ".join(flow_sentences(flows(plant_of(text)), shown))
    assert "Somebody is taken to be at home" in told
    assert f"{named} heeds" in told
    assert "at home" not in " ".join(flow_sentences(flows(PLAIN), shown))


@pytest.mark.slow
def test_an_ordinary_year_with_an_away_switch_makes_what_the_year_without_makes() -> None:
    """Nothing of it is carried; what a run starts and wastes differs by the hour at which it begins."""
    other, plain = year_of(away()), year_of(TWO)
    assert not other.idle
    assert other.total("product") == pytest.approx(plain.total("product"), rel=1e-9)
    assert other.total("waste") == pytest.approx(plain.total("waste"), rel=0.1)


@pytest.mark.slow
def test_how_long_a_reservoir_lasts_with_the_feed_shut_hangs_on_nobody() -> None:
    plain = year_of(TWO)
    for text in (away(), pressed()):
        assert year_of(text).winter.lasts["reservoir"] == pytest.approx(plain.winter.lasts["reservoir"], rel=1e-9)


@pytest.mark.slow
def test_a_run_that_begins_just_filled_begins_as_full_with_an_away_switch() -> None:
    """Seen in ordinary days: with the feed shut by the switch nothing would be filled in them."""
    design = read_text(away(), "house.yaml")
    full, written = begin(design, "winter", JUST_FILLED), lower(design, "winter")
    reservoir = written.stores.index("reservoir")
    plain = begin(read_text(TWO, "house.yaml"), "winter", JUST_FILLED)
    assert full.arrays.store_start[reservoir] == pytest.approx(plain.arrays.store_start[reservoir], rel=0.01)


def test_travelling_the_switch_still_shuts_the_feed() -> None:
    """The run of the engine with nobody there, as before."""
    plant = plant_of(away())
    trace = engine.run(plant, Scenario("travelling", 2.0 * DAY, (), STARTS["travelling"]), compiled=True)
    assert sum(trace.moved[edge] for _, edge in plant.membranes) <= 0.0
