"""Plans laid on a grid: areas, doors, steps, trays, ways out, by hand; what is spilled on them, by closed forms."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest

from dewpond.design.model import Design
from dewpond.design.reader import read_text
from dewpond.floor.fitted import Fitted, Floor, fitted
from dewpond.floor.shapes import Frame, edge_of, plane_through
from dewpond.floor.sites import candidates, probes_of, sites_of
from dewpond.floor.storey import Storey, joined, storey
from dewpond.floor.wetting import Wetted, share_wet, spread_of, table, wetted
from dewpond.parts import KINDS
from dewpond.study.floors import Asked, look, too_fine
from tests.floor.plans import HOUSE, TWO_ROOMS, house

LITRE = 1e-3


def laid(floors: str, cell: float = 0.02, **keys: str) -> Storey:
    design = house(floors, **keys)
    return storey(design, KINDS, joined(design)[0], cell)


def area_of(made: Storey, place: str) -> float:
    return float((made.of == made.places.index(place)).sum()) * made.frame.size**2


def smooth(made: Storey, film: float = 2.7e-3) -> Fitted:
    """One member: the plan itself, without waves, of one film."""
    one = fitted(made, 1).floors[0]
    height = made.base.copy()
    for tray in made.trays:
        height[tray.ring] += tray.rim
    height[made.of < 0] = math.inf
    grid = type(one.grid)(one.grid.size, height, np.full_like(height, film), np.zeros_like(height), one.grid.ends)
    return Fitted(made, (Floor(grid, one.takes),), 0, (), {}, 0)


def spilt(
    made: Storey, part: str, place: str, film: float = 2.7e-3, cap: float = 1.0, design: Design | None = None
) -> Wetted:
    design = design or house(TWO_ROOMS)
    site = next(s for s in sites_of(design, KINDS, made) if (s.part, s.place) == (part, place))
    return wetted(smooth(made, film), site, cap)


# -- shapes ------------------------------------------------------------------------------------------------------------
def test_polygon_covers_its_area_and_a_rectangle_is_exact() -> None:
    frame = Frame((0.0, 0.0), 0.02, 150, 200)
    assert frame.inside(((0.5, 0.5), (2.5, 1.5))).sum() == 100 * 50
    ell = ((0.0, 0.0), (3.0, 0.0), (3.0, 1.0), (1.0, 1.0), (1.0, 2.0), (0.0, 2.0))
    assert frame.inside(ell).sum() * 0.02**2 == pytest.approx(4.0)
    triangle = ((0.1, 0.1), (3.1, 0.2), (1.2, 2.3))
    assert frame.inside(triangle).sum() * 0.02**2 == pytest.approx(0.5 * (3.0 * 2.2 - 1.1 * 0.1), rel=0.01)


def test_narrow_area_holds_the_cell_of_its_middle() -> None:
    frame = Frame((0.0, 0.0), 0.02, 50, 50)
    found = np.argwhere(frame.inside(((0.505, 0.1), (0.509, 0.108))))
    assert found.tolist() == [[5, 25]]


def test_way_has_no_gaps_and_begins_and_ends_where_it_does() -> None:
    frame = Frame((0.0, 0.0), 0.02, 100, 100)
    way = frame.along(((0.1, 0.1), (1.1, 0.3), (1.1, 1.5)))
    assert way[0] == (5, 5)
    assert way[-1] == (75, 55)
    assert all(max(abs(a[0] - b[0]), abs(a[1] - b[1])) == 1 for a, b in pairwise(way))


def test_edge_of_a_square_is_its_outer_ring() -> None:
    cells = np.zeros((12, 12), dtype=bool)
    cells[2:9, 3:10] = True
    assert edge_of(cells).sum() == 4 * 7 - 4


def test_plane_is_found_again_under_noise_of_none() -> None:
    row, column = np.mgrid[0:20, 0:30]
    height = 1e-3 * row - 2e-3 * column + 0.1
    cells = np.zeros((20, 30), dtype=bool)
    cells[4:12, 7:20] = True
    assert np.abs(plane_through(height, cells) - height[cells]).max() < 1e-12


# -- rooms and doors ---------------------------------------------------------------------------------------------------
@pytest.mark.parametrize("cell", [0.01, 0.02, 0.04])
def test_rooms_have_their_areas_and_the_door_its_strip(cell: float) -> None:
    made = laid(TWO_ROOMS, cell)
    assert made.places == ("laundry", "hall", "pan")
    assert area_of(made, "hall") + area_of(made, "pan") == pytest.approx(6.0)
    assert float(made.trays[0].inner.sum()) * cell**2 == pytest.approx(0.32, rel=0.01)
    assert area_of(made, "laundry") == pytest.approx(4.0 + 0.8 * 0.1, abs=1.7 * cell)
    assert not made.ways_out


def test_rooms_that_no_opening_joins_are_laid_apart() -> None:
    floors = TWO_ROOMS.replace(
        "    openings: [{between: [2 m x 0.5 m, 2 m x 1.3 m], sill: 10 mm, leads to: hall}]\n", ""
    )
    assert [[plan.place for plan in plans] for plans in joined(house(floors))] == [["laundry"], ["hall"]]


def test_rooms_a_flight_of_stairs_apart_do_not_join_and_water_is_gone_down_them() -> None:
    floors = """
  laundry:
    outline: [0 m x 0 m, 2 m x 2 m]
    openings: [{between: [0 m x 2 m, 0.9 m x 2 m], leads to: cellar}]
  cellar:
    outline: [0 m x 0 m, 5 m x 5 m]
    openings: [{between: [0 m x 5 m, 0.9 m x 5 m], leads to: laundry}]
"""
    down, up = (storey(house(floors), KINDS, plans) for plans in joined(house(floors)))
    assert [(way.by, way.leads_to, way.takes) for way in down.ways_out] == [("opening", "cellar", math.inf)]
    assert up.ways_out == ()


def test_room_that_lies_lower_is_lower_on_the_grid() -> None:
    made = laid(TWO_ROOMS, hall=", floor height: -12 cm")
    assert made.base[made.frame.cell((3.0, 1.5))] == pytest.approx(-0.12)
    assert made.base[made.frame.cell((1.0, 1.0))] == 0.0
    assert made.base[made.frame.cell((2.05, 1.0))] == pytest.approx(0.01)


def test_hollow_is_deepest_under_the_tank_and_gone_where_it_no_longer_reaches() -> None:
    floors = TWO_ROOMS.replace(
        "    spots:\n      tap", "    hollows: [{under: membrane, depth: 4 mm, reaches: 0.5 m}]\n    spots:\n      tap"
    )
    made = laid(floors)
    assert made.base[made.frame.cell((0.4, 1.65))] == pytest.approx(-4e-3)
    assert made.base[made.frame.cell((0.4, 1.25))] == pytest.approx(-2e-3, abs=1.5e-4)
    assert made.base[made.frame.cell((0.4, 0.9))] == 0.0


# -- water on them -----------------------------------------------------------------------------------------------------
def test_tray_on_the_plan_holds_what_its_area_and_rim_do() -> None:
    """Closed form V = A (H + e); the rim's own film comes on top of it."""
    made = laid(TWO_ROOMS)
    spilled = spilt(made, "riser", "pan")
    inner, ring = (float(cells.sum()) * 0.02**2 for cells in (made.trays[0].inner, made.trays[0].ring))
    outside = spilled.first[0][made.of == made.places.index("hall")].min()
    assert inner * (0.03 + 2.7e-3) <= outside <= inner * (0.03 + 2.7e-3) + ring * 2.7e-3


def test_what_stands_near_a_rim_stands_on_its_own_side_of_it() -> None:
    """A probe 1 cm inside the rim and one 1 cm outside it, on every cell: a rim that eats spots would mislead."""
    plan = TWO_ROOMS.replace("pan probe: 4.1 m x 0.3 m", "pan probe: 4.01 m x 0.21 m")
    plan = plan.replace("hall probe: 2.3 m x 1 m", "hall probe: 3.99 m x 0.3 m")
    for cell in (0.01, 0.02, 0.03, 0.05):
        made = laid(plan, cell)
        found = {probe.name: probe for probe in probes_of(house(plan), KINDS, made)}
        assert all(made.trays[0].inner[one] for one in found["pan probe"].cells)
        assert found["hall probe"].place == "hall"
        assert all(made.of[one] == made.places.index("hall") for one in found["hall probe"].cells)


def test_sill_keeps_what_the_room_holds_below_it() -> None:
    """Closed form: the laundry fills to the sill, V = A (s + e), before the hall gets wet."""
    made = laid(TWO_ROOMS)
    spilled = spilt(made, "tap", "laundry")
    hall = spilled.first[0][made.of == made.places.index("hall")].min()
    assert hall == pytest.approx(4.0 * (0.01 + 2.7e-3), rel=0.01)


def two_doors(wall: float, sills: tuple[float, float], back: tuple[float, float], first: str) -> Storey:
    """The laundry and the hall with one door, drawn in both plans: its sill in each [mm], its ends in the hall [m]."""
    plans = {
        "laundry": f"""
  laundry:
    outline: [0 m x 0 m, 2 m x 2 m]
    openings: [{{between: [2 m x 0.5 m, 2 m x 1.3 m], sill: {sills[0]} mm, leads to: hall}}]
    spots: {{tap: 0.3 m x 0.3 m}}""",
        "hall": f"""
  hall:
    outline: [{2.0 + wall} m x 0 m, {5.0 + wall} m x 2 m]
    openings:
      - {{between: [{2 + wall} m x {back[0]} m, {2 + wall} m x {back[1]} m], sill: {sills[1]} mm,
         leads to: laundry}}""",
    }
    return laid("".join(plans[name] for name in sorted(plans, key=lambda name: name != first)))


@pytest.mark.parametrize("first", ["laundry", "hall"])
@pytest.mark.parametrize("sills", [(5.0, 20.0), (20.0, 5.0)])
@pytest.mark.parametrize("back", [(0.5, 1.3), (0.45, 1.35), (0.6, 1.2), (0.54, 1.34)])
@pytest.mark.parametrize("wall", [0.0, 0.1, 0.3])
def test_of_two_sills_of_one_door_the_higher_counts(
    first: str, sills: tuple[float, float], back: tuple[float, float], wall: float
) -> None:
    """Closed form as above, by whichever plan comes first, however wide the door is drawn; rooms that are drawn without
    a wall between them join by their door only."""
    made = two_doors(wall, sills, back, first)
    spilled = spilt(made, "tap", "laundry").first[0]
    columns = np.arange(made.frame.columns) * made.frame.size + made.frame.origin[0]
    beyond = np.broadcast_to(columns > 2.1 + wall, made.of.shape) & (made.of == made.places.index("hall"))
    assert spilled[beyond].min() == pytest.approx(4.0 * (0.02 + 2.7e-3), rel=0.02)


@pytest.mark.parametrize("off", [-0.05, -0.03, 0.03, 0.05])
def test_opening_that_is_drawn_a_little_off_its_wall_lets_water_by_all_the_same(off: float) -> None:
    """What lies 5 cm off counts as at the wall, says the file; closed form as above, to a door and to a way out."""
    plan = TWO_ROOMS.replace("[2 m x 0.5 m, 2 m x 1.3 m]", f"[{2 + off} m x 0.5 m, {2 + off} m x 1.3 m]")
    made = laid(plan)
    hall = spilt(made, "tap", "laundry").first[0][made.of == made.places.index("hall")].min()
    assert hall == pytest.approx(4.0 * (0.01 + 2.7e-3), rel=0.02)
    made = laid(plan.replace("sill: 10 mm, leads to: hall", "sill: 10 mm").partition("  hall:")[0])
    assert spilt(made, "tap", "laundry").out[0].min() == pytest.approx(4.0 * (0.01 + 2.7e-3), rel=0.02)


@pytest.mark.parametrize("cell", [0.02, 0.05])
@pytest.mark.parametrize("begins", [0.5, 0.503, 0.511, 0.519])
def test_opening_that_is_narrower_than_a_cell_is_one_cell_wide(begins: float, cell: float) -> None:
    door = f"[2 m x {begins} m, 2 m x {begins + 0.012} m]"
    made = laid(TWO_ROOMS.replace("[2 m x 0.5 m, 2 m x 1.3 m]", door), cell)
    assert np.isfinite(spilt(made, "tap", "laundry").first[0][made.of == made.places.index("hall")]).any()


def test_table_counts_in_the_hall_from_its_first_water() -> None:
    made = laid(TWO_ROOMS)
    design, spilled = house(TWO_ROOMS), spilt(made, "tap", "laundry")
    probes = probes_of(design, KINDS, made)
    found = table(smooth(made), [spilled], probes)
    hall = next(k for k, probe in enumerate(probes) if probe.name == "hall probe")
    begins = spilled.first[0][made.of == made.places.index("hall")].min()
    assert found.litres[0, 0, hall] == pytest.approx(float(spilled.reached(probes[hall].cells)[0] - begins))
    assert found.holds[0, 0, made.places.index("laundry")] == pytest.approx(float(begins))
    assert found.litres[0, 0, hall] < found.holds[0, 0, made.places.index("laundry")]


def test_a_tray_in_a_tray_fills_before_the_outer_one_gets_wet() -> None:
    """Closed form: over the rim of the inner one once it holds its area times rim and film."""
    plan = TWO_ROOMS.replace("      riser: [2.2", "      cup: [4.2 m x 0.3 m, 4.5 m x 0.5 m]\n      riser: [2.2")
    text = HOUSE.format(floors=plan, laundry="", hall="").replace(
        "rim: 30 mm}\n", "rim: 30 mm}\n  cup: {kind: tray, in: pan, size: 30 cm x 20 cm, rim: 10 mm}\n"
    ).replace("through: [laundry, hall, pan]", "through: [laundry, hall, pan, cup]")  # fmt: skip
    design = read_text(text, "cup.yaml")
    made = storey(design, KINDS, next(iter(joined(design))), 0.02)
    assert made.places == ("laundry", "hall", "pan", "cup")
    spilled = spilt(made, "riser", "cup", design=design)
    outer = spilled.first[0][made.of == made.places.index("pan")].min()
    inner, ring = (float(cells.sum()) * 0.02**2 for cells in (made.trays[1].inner, made.trays[1].ring))
    assert inner * (0.01 + 2.7e-3) * 0.999 <= outer <= inner * (0.01 + 2.7e-3) + ring * 2.7e-3
    assert spilled.first[0][made.of == made.places.index("hall")].min() > outer


UP_AND_DOWN = """
  hall:
    outline: [0 m x 0 m, 3 m x 2 m]
    joints: [{area: [0 m x 0 m, 0.1 m x 0.1 m], takes: 1 L/min, leads to: cellar}]
    openings: [{between: [3 m x 0 m, 3 m x 1 m], leads to: cellar}]
    spots: {pan: [2 m x 0.2 m, 2.8 m x 0.6 m]}
  cellar:
    outline: [10 m x 0 m, 15 m x 5 m]
    joints: [{area: [10 m x 0 m, 10.1 m x 0.1 m], takes: 1 L/min, leads to: hall}]
    openings: [{between: [15 m x 0 m, 15 m x 1 m], leads to: hall}]
    spots: {drain: 12 m x 2 m}
"""


def test_water_comes_down_a_stair_and_never_up() -> None:
    """The stair is drawn above and, to show where it comes down, below; and somebody has drawn a gap that leads up."""
    design = house(UP_AND_DOWN)
    up, down = (storey(design, KINDS, plans, 0.05) for plans in joined(design))
    assert [way.by for way in up.ways_out] == ["opening", "joint"]
    assert [way.by for way in down.ways_out] == ["drain"]
    assert not any(site.comes for site in sites_of(design, KINDS, up))
    assert [site.part for site in sites_of(design, KINDS, down) if site.comes] == ["hall"]


LEDGE = """    joints: [{{area: [0 m x 0 m, 0.1 m x 0.1 m], takes: {takes}, leads to: cellar}}]
    furniture: [{{area: [0 m x 0 m, 0.3 m x 0.3 m], stands on: plinth, gap: 14 mm}}]
    spots:
      tap: 1 m x 1 m
"""


@pytest.mark.parametrize(("takes", "last"), [("5 L/min", "cellar"), ("0.05 L/min", "pan")])
def test_table_says_to_which_place_water_goes_on_next(takes: str, last: str) -> None:
    """From the laundry over its sill; once the hall, which has no way out, stands as high, by the joint of the laundry
    behind a ledge, where that takes all that comes, else over the rim of the pan."""
    made = laid(TWO_ROOMS.replace("    spots:\n      tap: 0.3 m x 0.3 m\n", LEDGE.format(takes=takes)))
    found = table(smooth(made), [spilt(made, "tap", "laundry")], ())
    laundry, hall = made.places.index("laundry"), made.places.index("hall")
    assert found.onto[0, 0, laundry] == "hall"
    assert found.onto[0, 0, hall] == last
    assert math.isfinite(found.holds[0, 0, hall])


def test_drain_takes_all_and_a_joint_its_share() -> None:
    """A joint of 0.1 L/min beside a leak of 0.2: once it is wet, twice as much is spilled for what lies."""
    drained = TWO_ROOMS.replace("tap: 0.3 m x 0.3 m", "tap: 0.3 m x 0.3 m\n      drain: 1 m x 1 m")
    made = laid(drained)
    spilled = spilt(made, "tap", "laundry")
    assert np.isfinite(spilled.out[0]).all()
    assert np.nanmax(np.where(np.isfinite(spilled.first[0]), spilled.first[0], 0.0)) == pytest.approx(
        spilled.out[0].min()
    )
    plain = spilt(laid(TWO_ROOMS), "tap", "laundry")
    leaky = TWO_ROOMS.replace(
        "    spots:\n      tap",
        "    joints: [{area: [0.9 m x 0.9 m, 1 m x 1 m], takes: 0.1 L/min}]\n    spots:\n      tap",
    )
    lost = spilt(laid(leaky), "tap", "laundry")
    wet, far = float(lost.out[0].min()), laid(TWO_ROOMS).frame.cell((1.9, 1.9))
    lies = float(plain.first[0][far])
    assert float(lost.first[0][far]) == pytest.approx(wet + 2.0 * (lies - wet), rel=1e-3)


def test_blocked_drain_takes_nothing_and_water_wells_up_at_it() -> None:
    drained = TWO_ROOMS.replace("tap: 0.3 m x 0.3 m", "tap: 0.3 m x 0.3 m\n      drain: 1 m x 1 m")
    design = house(drained)
    plans = joined(design)[0]
    clear, blocked = (storey(design, KINDS, plans, 0.02, shut) for shut in ((), ("drain",)))
    assert [way.by for way in clear.ways_out] == ["drain"]
    assert blocked.ways_out == ()
    assert all(site.part != "drain" for site in sites_of(design, KINDS, clear))
    (well,) = (site for site in sites_of(design, KINDS, blocked) if site.part == "drain")
    assert (well.place, well.cells) == ("laundry", (blocked.frame.cell((1.0, 1.0)),))


# -- floors that fit ---------------------------------------------------------------------------------------------------
READ = TWO_ROOMS.replace(
    "    spots:\n      tap",
    "    readings:\n"
    "      - {by: water tube, at: 0.2 m x 0.2 m, height: 101 mm, within: 0.1 mm}\n"
    "      - {by: laser, at: 1.8 m x 0.2 m, height: 109 mm, within: 0.1 mm}\n"
    "      - {by: batten, from: 0.3 m x 1.2 m, to: 1.3 m x 1.2 m, rises: 3 mm, within: 0.1 mm}\n"
    "      - {by: cup, at: 1 m x 1 m, poured: 0.2 L, puddle: 40 cm x 30 cm}\n"
    "    spots:\n      tap",
)  # fmt: skip


def test_floors_have_the_heights_and_the_film_that_were_read() -> None:
    found = fitted(laid(READ), 6, 3)
    assert (found.read, found.odd) == (3, ())
    at = found.storey.frame.cell
    for floor in found.floors:
        height = floor.grid.height
        assert height[at((1.8, 0.2))] - height[at((0.2, 0.2))] == pytest.approx(8e-3, abs=0.6e-3)
        assert height[at((1.3, 1.2))] - height[at((0.3, 1.2))] == pytest.approx(3e-3, abs=0.6e-3)
        film = 0.2 * LITRE / (0.25 * math.pi * 0.4 * 0.3)
        assert 0.69 * film < floor.grid.film[at((1.0, 1.0))] < 1.31 * film


def test_cup_on_carpet_tells_what_it_soaks_up() -> None:
    """By hand: 0.5 L over pi/4 x 0.4 m x 0.2 m are 7.96 mm, all of it soak, to within two errors of 5 % three times."""
    carpet = TWO_ROOMS.replace(
        "    spots:\n      tap",
        "    patches: [{area: [0.5 m x 0.5 m, 1.5 m x 1.5 m], floor: carpet}]\n"
        "    readings: [{by: cup, at: 1 m x 1 m, poured: 0.5 L, puddle: 40 cm x 20 cm}]\n    spots:\n      tap",
    )
    found = fitted(laid(carpet), 40, 3)
    soaks = [floor.grid.soak[found.storey.frame.cell((1.0, 1.0))] for floor in found.floors]
    taken = 0.5 * LITRE / (0.25 * math.pi * 0.4 * 0.2)
    assert np.median(soaks) == pytest.approx(taken, rel=0.03)
    assert (min(soaks) / taken, max(soaks) / taken) == (pytest.approx(0.83, abs=0.03), pytest.approx(1.17, abs=0.03))
    assert {floor.grid.film[found.storey.frame.cell((1.0, 1.0))] for floor in found.floors} == {0.0}


def test_reading_that_contradicts_is_named_by_its_line() -> None:
    wrong = READ.replace("rises: 3 mm", "rises: -60 mm")
    found = fitted(laid(wrong), 2, 3)
    assert [one.what for one in found.odd] == [
        f"reading 3 of laundry (batten, line {house(wrong).plans[0].readings[2].line})"
    ]


def test_tray_lies_flat_on_every_floor() -> None:
    made = laid(TWO_ROOMS)
    for floor in fitted(made, 3, 1).floors:
        inner = made.trays[0].inner
        assert np.abs(plane_through(floor.grid.height, inner) - floor.grid.height[inner]).max() < 1e-12


# -- where parts leak --------------------------------------------------------------------------------------------------
def test_parts_leak_where_they_stand_and_borrow_a_spot_where_they_have_none() -> None:
    made = laid(TWO_ROOMS)
    sites = {(s.part, s.place): s for s in sites_of(house(TWO_ROOMS), KINDS, made)}
    assert sites["tap", "laundry"].cells == (made.frame.cell((0.3, 0.3)),)
    assert len(sites["membrane", "laundry"].cells) == 2  # the way between its two spots
    assert len(sites["riser", "hall"].cells) == 7
    assert all(made.place_at(cell) == "pan" for cell in sites["riser", "pan"].cells)
    assert sites["reservoir", "pan"].like == "riser"  # the float, which is nearer, has none either
    assert sites["float", "pan"].like == "riser"


def test_water_from_above_comes_down_the_stairs_or_anywhere() -> None:
    below = """
  cellar:
    outline: [0 m x 0 m, 5 m x 5 m]{}
"""
    stairs = "\n    openings: [{between: [0 m x 2 m, 0 m x 3 m], leads to: hall}]"
    for floors, cells, like in ((below.format(stairs), 1, ""), (below.format(""), 60, "anywhere on that floor")):
        design = house(floors, hall=", leads to: cellar")
        made = storey(design, KINDS, joined(design)[0], 0.05)
        site = next(s for s in sites_of(design, KINDS, made) if s.part == "hall")
        assert (site.place, len(site.cells), site.like) == ("cellar", cells, like)
    foot = storey(house(below.format(stairs), hall=", leads to: cellar"), KINDS, joined(house(below.format(stairs)))[0])
    first = next(s for s in sites_of(house(below.format(stairs), hall=", leads to: cellar"), KINDS, foot))
    assert foot.frame.spot(*first.cells[0]) == (pytest.approx(0.01, abs=0.02), pytest.approx(2.5, abs=0.02))


def test_candidates_are_a_lattice_off_walls_rims_and_sills() -> None:
    made = laid(TWO_ROOMS)
    cells = candidates(made, 0.1)
    assert 900 < len(cells) < 1050
    assert all(made.stands[cell] and made.of[cell] >= 0 for cell in cells)
    assert all(made.place_at(cell) == "pan" for cell in candidates(made, 0.1, ["pan"]))


# -- the whole look ----------------------------------------------------------------------------------------------------
def test_same_seed_gives_the_same_figures_with_and_without_machine_code() -> None:
    design = house(TWO_ROOMS)
    one, again = (look(design, KINDS, Asked(0.05, 4, 2))[0] for _ in range(2))
    other = look(design, KINDS, Asked(0.05, 4, 3))[0]
    for a, b in zip(one.wetted, again.wetted, strict=True):
        assert a.first.tobytes() == b.first.tobytes()
    assert any(a.first.tobytes() != b.first.tobytes() for a, b in zip(one.wetted, other.wetted, strict=True))
    slow = wetted(one.fitted, one.sites[0], compiled=False)
    assert slow.first.tobytes() == one.wetted[0].first.tobytes()


def test_grid_of_millimetres_over_a_house_is_told_and_not_begun() -> None:
    found = too_fine(house(TWO_ROOMS), Asked(0.001))
    assert found is not None
    assert found.cells > 10_000_000
    assert too_fine(house(TWO_ROOMS), Asked(found.finest * 1.01)) is None
    assert too_fine(house(TWO_ROOMS), Asked()) is None


def test_spread_counts_floors_on_which_it_is_never_reached() -> None:
    values = [1.0] * 17 + [5.0] + [math.inf] * 2
    found = spread_of(values)
    assert (found.low, found.middle) == (1.0, 1.0)
    assert math.isinf(found.high)
    assert found.never == pytest.approx(0.1)


def test_share_of_floors_that_are_wet_is_between_none_and_all() -> None:
    one = look(house(TWO_ROOMS), KINDS, Asked(0.05, 8))[0]
    little, much = (share_wet(one.wetted[0].first, v * LITRE) for v in (1.0, 20.0))
    assert (little <= much).all()
    assert 0.0 <= little.min() < much.max() <= 1.0
