"""Random installations as design files, grown from a seed by a grammar: sound enough to be read without an error.

A plan begins as a supply, a valve, a tube, a float and a vessel, and grows by one thing at a time - a filter, a
branch, a tank, a probe with its row - until it has as many parts as wanted. The same seed grown further holds what
it had before. Everything in it is invented.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Mapping

from tests.plant import further_orders, newer_kinds
from tests.plant.design_text import Draft
from tests.plant.random_lines import Plan, Tank


def random_design(seed: int, parts: int, *, protected: bool = True, newer: bool = False, further: bool = True) -> Draft:
    """A design of about so many parts. ``protected``: with things in it that stop water by themselves or by order;
    ``newer``: with kinds put in that the grammar does not grow, and not ``further``: with the first six of them."""
    plan = Whole(random.Random(f"design {seed}"), Draft(), protected)
    plan.begin()
    while len(plan.draft.parts) < parts and plan.grow():
        pass
    if newer:
        newer_kinds.add(plan.draft, random.Random(f"newer {seed}"))
        if further:
            further_orders.add(plan.draft, seed)
    return plan.draft


class Whole(Plan):
    """A design with tanks, boxes, protections and people as well."""

    # -- what a house begins with --------------------------------------------------------------------------------------
    def begin(self) -> None:
        rng = self.rng
        self.draft.supply = {
            "pressure": f"{rng.randrange(25, 52) / 10} bar",
            "temperature": f"{{winter: {rng.randrange(5, 11)} C, summer: {rng.randrange(14, 22)} C}}",
            "dissolved solids": f"{rng.randrange(8, 45) * 10} ppm",
        }
        self.new_room()
        tap = self.put("water", "stop tap", "hand valve", after="supply", **self.at(self.rooms[0]))
        tube = self.tubing(tap, self.rooms[0], self.rooms[0])
        self.mains = self.product = tube
        room = self.rooms[0]
        vessel = self.reservoir(room)
        self.float_valve(tube, vessel)
        self.new_person()

    def grow(self) -> bool:
        """One thing more, of those that can be had; False: nothing can."""
        ways: list[Callable[[], bool]] = [
            self.new_room, self.new_room, self.tray, self.drain, self.filters, self.membrane_unit, self.membrane_unit,
            self.resin, self.riser, self.branch, self.branch, self.branch_of, self.bin_line, self.sump_system,
            self.sump_system, self.lone_tank, self.skimmer, self.new_person, self.circuit_of_all, self.sounder,
            self.network, self.message, self.sign_of_life, self.pause, self.check_valve, self.vacuum_break,
            self.air_gap, self.waste_line, self.water_change, self.sitter,
        ]  # fmt: skip
        if self.protected:
            ways += [
                self.cell_valve, self.feed_valve, self.feed_valve, self.high_mark, self.high_mark, self.probe,
                self.probe, self.probe, self.stock_mark, self.second_valve,
            ]  # fmt: skip
        self.rng.shuffle(ways)
        return any(way() for way in ways)

    # -- tanks ---------------------------------------------------------------------------------------------------------
    def new_box(self) -> str:
        """A box for a tank: one that is there, or a new one."""
        if self.boxes and (len(self.boxes) >= 3 or self.rng.random() < 0.5):
            return self.rng.choice(self.boxes)
        memory = self.one("kept", "cleared", "unknown")
        box = self.put(
            "controllers", "box", "controller", power=self.circuit(),
            after_a_restart=f"{{trips: {memory}, counts: {self.one('kept', 'cleared')}}}",
            waits_after_a_restart=self.one("2 min", "5 min") if self.rng.random() < 0.3 else None,
            when_it_hangs=self.one("keeps last order", "outputs stopped", "unknown"),
        )  # fmt: skip
        self.boxes.append(box)
        return box

    def circuit(self) -> str:
        if (len(self.circuits) < 3 and self.rng.random() < 0.6) or not self.circuits:
            self.circuits.append(self.put("power", "circuit", "power circuit"))
        return self.rng.choice(self.circuits)

    def fed(self) -> str:
        """A circuit, or a small supply plugged into one."""
        if self.rng.random() < 0.35:
            buffer = self.one("0 s", "10 min", "4 h")
            return self.put("power", "small supply", "low-voltage supply", power=self.circuit(), buffer=buffer)
        return self.circuit()

    def socket(self) -> str | None:
        """A switched socket in the lead of something, now and then."""
        if self.rng.random() < 0.75:
            return None
        over = self.rng.choice(self.networks) if self.networks and self.rng.random() < 0.7 else None
        return self.put(
            "controllers", "socket", "switched socket", power=self.circuit(), ordered_over=over,
            without_orders=self.one("keeps last order", "cuts the lead", "unknown") if over else None,
        )  # fmt: skip

    def pumped(self, kind: str, to: str, outlet: str, box: str) -> str:
        return self.put(
            "water", "pump", kind, **{"from": self.source_of[to]}, to=to, outlet=outlet, driven_by=box,
            flow=f"{self.rng.randrange(4, 60)} L/h" if kind == "top-off pump" else
            f"{self.rng.randrange(8, 40) / 10} L/h",
            vent_hole_above_the_water=self.one("present", "absent") if kind == "top-off pump" else None,
            lifts_at_most="4 m" if kind == "top-off pump" else None, through=self.socket(),
            power=self.fed() if self.rng.random() < 0.3 else None,
        )  # fmt: skip

    def sump_system(self) -> bool:
        if len(self.tanks) >= 3:
            return False
        source = self.rng.choice(list(self.vessels))
        room = self.vessels[source][0]
        spot, rim = self.spot(room), self.mm(360, 450)
        running, rise = self.mm(200, 240), self.mm(40, 70)
        sump = self.put(
            "water", "sump", "sump", **{"in": spot}, footprint=f"{self.mm(600, 1000)} mm x {self.mm(350, 450)} mm",
            bottom=self.bottom(spot, 30, 120), rim=f"{rim} mm", running_level=f"{running} mm",
            rises_when_the_return_pump_stops=f"{rise} mm", return_pump_needs=f"{self.mm(100, 130)} mm",
            return_chamber=f"{self.mm(140, 200)} mm x 350 mm",
        )  # fmt: skip
        nozzle = f"{self.mm(20, 80)} mm" if self.rng.random() < 0.4 else None
        self.put(
            "water", "reef", "display tank", drains_to=sump,
            surface=f"{self.mm(800, 1300)} mm x {self.mm(450, 600)} mm", volume=f"{self.mm(180, 420)} L",
            salinity=f"{self.rng.randrange(32, 37)} ppt", nozzle_below_water=nozzle,
            power=self.circuit() if self.rng.random() < 0.7 else None,
            evaporation=f"{self.rng.randrange(15, 60) / 10} L/day" if self.rng.random() < 0.4 else None,
        )  # fmt: skip
        self.source_of[sump] = source
        self.sumps.append(sump)
        high = running + rise + 15
        self.topped(
            Tank(sump, room, "", running - 8, high, self.new_box()), f"{running}", f"{rim + 120} mm above floor"
        )
        return True

    def lone_tank(self) -> bool:
        if len(self.tanks) >= 3:
            return False
        source = self.rng.choice(list(self.vessels))
        room = self.vessels[source][0]
        wide, long, deep = self.mm(350, 450), self.mm(500, 700), self.mm(250, 350)
        free = self.mm(50, 70)
        tank = self.put(
            "water", "lagoon", "display tank", **{"in": room}, bottom=f"{self.mm(600, 800)} mm above floor",
            surface=f"{long} mm x {wide} mm", volume=f"{wide * long * deep // 1000000} L",
            free_above_water=f"{free} mm", salinity=self.one("0 ppt", "33 ppt", "35 ppt"),
            covered_by=self.one("open", "mesh screen", "glass lid with gaps"),
        )  # fmt: skip
        self.source_of[tank] = source
        self.topped(Tank(tank, room, "", free + 4, free - 25, self.new_box()), f"{free}", "1250 mm above floor")
        return True

    def topped(self, tank: Tank, full: str, outlet: str) -> None:
        """The pump of a tank, the mark that calls for it, and its row."""
        lone = tank.vessel not in self.sumps
        below = " below rim" if lone else ""
        kind = "dosing pump" if lone or self.rng.random() < 0.3 else "top-off pump"
        tank.pump = self.pumped(kind, tank.vessel, outlet, tank.box)
        calls = self.one("closed", "open")
        mark = self.put(
            "sensors", "mark", "level switch", type=self.one("float", "optical"), **{"in": tank.vessel},
            calls_at=f"{tank.low} mm{below}", is_satisfied_at=f"{full} mm{below}", wired_to=tank.box,
            contact="closes when low" if calls == "closed" else "opens when low", read_as_low_when=calls,
        )  # fmt: skip
        limits = {}
        if self.protected and self.rng.random() < 0.7:
            limits = {"at most": "90 min a run" if kind == "dosing pump" else "15 min a run"}
            if self.rng.random() < 0.7:
                limits |= {"gap": "20 min", "per day": f"{self.rng.randrange(3, 9)} L"}
            if self.rng.random() < 0.6:
                until = self.one("cause ends", "re-armed by hand when the level is normal")
                limits["when a run is too long"] = f"{{effect: stopped, until: {until}{self.tell(' tell:')}}}"
        self.draft.rows.append({"cause": f"{mark} low", "effect": f"{{{tank.pump}: running}}", **limits})
        self.tanks.append(tank)

    def skimmer(self) -> bool:
        bare = [s for s in self.sumps if not any(p.keys.get("in") == s and p.kind == "skimmer"
                                                 for p in self.draft.parts.values())]  # fmt: skip
        if not bare:
            return False
        drained = self.drains[0] if self.drains and self.rng.random() < 0.4 else None
        self.put(
            "water", "skimmer", "skimmer", **{"in": self.rng.choice(bare)}, skimmate_to=drained,
            skimmate=f"{self.rng.randrange(1, 5) / 10} L/day", power=self.circuit(),
        )  # fmt: skip
        return True

    # -- protections ---------------------------------------------------------------------------------------------------
    def tell(self, key: str = "tell") -> str:
        """A message to be sent, as the end of a row, if there is one."""
        if not self.messages or self.rng.random() < 0.3:
            return ""
        return f",{key} {self.rng.choice(self.messages)}" if key.startswith(" ") else self.rng.choice(self.messages)

    def told(self) -> dict[str, str]:
        message = self.tell()
        return {"tell": message} if message else {}

    def cell_valve(self) -> bool:
        if self.draft.has("battery leak valve"):
            return False
        spot = self.spot(self.rng.choice(self.rooms))
        self.mains = self.before(
            self.mains, "cell valve", "battery leak valve", probe=f"{{in: {spot}, at: under the unit}}",
            when_its_probe_dries=self.one("stays shut", "opens again", "unknown"),
        )  # fmt: skip
        return True

    def feed_valve(self) -> bool:
        return not self.valves and self.driven_valve(self.mains)

    def second_valve(self) -> bool:
        return 0 < len(self.valves) < 2 and self.driven_valve(self.product)

    def driven_valve(self, before: str) -> bool:
        box = self.new_box()
        keys: dict[str, object] = {"driven_by": box, "through": self.socket()}
        if self.rng.random() < 0.4:
            keys["power"] = self.fed()
        if self.rng.random() < 0.6:
            rest = self.one("shut", "shut", "open", "stays as it is", "unknown")
            valve = self.before(before, "feed valve", "solenoid valve", without_power=rest, **keys)
        else:
            rest = self.one("shut by a spring", "shut by a capacitor", "stays as it is", "open by a spring")
            valve = self.before(before, "feed valve", "motorised ball valve", without_power=rest, **keys)
        if before == self.mains:
            self.mains = valve
        self.valves.append(valve)
        self.leak_row()
        return True

    def wet(self) -> str:
        """A new probe somewhere, wired to some box."""
        spot = self.rng.choice([*self.rooms, *self.trays])
        contact = self.one("closed", "closed", "open")
        return self.put(
            "sensors", "probe", "leak probe", **{"in": spot}, at="beside the wall",
            wired_to=self.rng.choice(self.boxes),
            contact="closes when wet" if contact == "closed" else "opens when wet", read_as_wet_when=contact,
            reached_by=f"{self.rng.randrange(2, 20) / 10} L" if self.rng.random() < 0.4 else None,
            seen_to_work_with_purified_water=self.one("2026-05-04", "unknown"),
        )  # fmt: skip

    def leak_row(self) -> None:
        probe = self.wet()
        orders = [f"{valve}: shut" for valve in self.valves[-1:]]
        orders += [f"{tank.pump}: stopped" for tank in self.tanks if self.rng.random() < 0.5]
        until = self.one("re-armed by hand when dry", "re-armed by hand when dry", "cause ends")
        self.draft.rows.append(
            {"cause": f"{probe} wet", "lasting": f"{self.rng.randrange(2, 15)} s", "effect": f"{{{', '.join(orders)}}}",
             "until": until, **self.told()}
        )  # fmt: skip

    def probe(self) -> bool:
        """One probe more: in a row that there is, or in one of its own."""
        rows = [row for row in self.draft.rows if " wet" in row["cause"] and not row["cause"].startswith('"')]
        if not rows:
            return False
        row, probe = self.rng.choice(rows), self.wet()
        row["cause"] += f" or {probe} wet"
        if row["cause"].count(" or ") == 2 and self.rng.random() < 0.3:
            row["cause"] = f'"2 of: {row["cause"].replace(" or ", ", ")}"'
        return True

    def high_mark(self) -> bool:
        """A mark for high water that stops a pump, through a relay in its lead or by the box."""
        bare = [tank for tank in self.tanks if not tank.guarded]
        if not bare:
            return False
        tank = self.rng.choice(bare)
        tank.guarded = True
        below = "" if tank.vessel in self.sumps else " below rim"
        relay = None
        if self.rng.random() < 0.6:
            rest = self.one("cuts the lead", "lets current through", "unknown")
            relay = self.put("controllers", "cut-out", "relay", power=self.fed(), without_power=rest)
        high = self.one("closed", "open")
        mark = self.put(
            "sensors", "high mark", "level switch", type=self.one("float", "optical"), **{"in": tank.vessel},
            at=f"{tank.high} mm{below}", wired_to=relay or tank.box,
            contact="closes when high" if high == "closed" else "opens when high", read_as_high_when=high,
        )  # fmt: skip
        carried = {"by": relay} if relay else {}
        self.draft.rows.append(
            {"cause": f"{mark} high", "effect": f"{{{tank.pump}: stopped}}", "until": "cause ends", **carried,
             **self.told()}
        )  # fmt: skip
        return True

    def stock_mark(self) -> bool:
        if not self.messages or not self.boxes:
            return False
        vessel = self.rng.choice(list(self.vessels))
        box = self.rng.choice(self.boxes)
        mark = self.put(
            "sensors", "stock mark", "level switch", **{"in": vessel}, at=f"{self.mm(50, 90)} mm", wired_to=box,
            contact="opens when low", read_as_low_when="open",
        )  # fmt: skip
        self.draft.rows.append(
            {"cause": f"{mark} low", "lasting": "2 h", "effect": "{}", "tell": self.rng.choice(self.messages)}
        )
        return True

    def pause(self) -> bool:
        if not self.tanks or self.draft.has("pause"):
            return False
        ends = self.one("30 min", "2 h") if self.rng.random() < 0.6 else None
        name = self.put("work", "pause", "pause", lasts=f"{self.mm(10, 25)} min", ends_by_itself_after=ends)
        pumps = [tank.pump for tank in self.tanks]
        self.draft.rows.append(
            {"cause": f"{name} begun", "effect": f"{{{self.rng.choice(pumps)}: stopped}}", "until": "cause ends"}
        )
        return True

    def water_change(self) -> bool:
        if not self.tanks or self.draft.has("water change"):
            return False
        tank, litres = self.rng.choice(self.tanks), f"{self.rng.randrange(2, 10)} L"
        name = self.put("work", "change", "water change", of=tank.vessel, litres=litres, ends_by_itself_after="2 h")
        self.draft.rows.append({"cause": f"{name} begun", "effect": f"{{{tank.pump}: stopped}}", "until": "cause ends"})
        return True

    def sitter(self) -> bool:
        if not self.tanks or self.draft.has("hand top-up"):
            return False
        into = self.rng.choice(self.tanks).vessel
        self.put("work", "sitter", "hand top-up", into=into, a_day=f"{self.rng.randrange(1, 6)} L")
        return True

    # -- people and messages -------------------------------------------------------------------------------------------
    def sounder(self) -> bool:
        if sum(p.kind == "sounder" for p in self.draft.parts.values()) >= 2:
            return False
        spot = self.rng.choice([*self.rooms, *self.trays])
        night = self.one("heard in the bedroom", "not heard in the bedroom", "unknown")
        self.put("sensors", "screamer", "sounder", **{"in": spot}, at="by the door", at_night=night)
        return True

    def network(self) -> bool:
        if self.networks:
            return False
        power = self.circuit() if self.rng.random() < 0.8 else None
        self.networks.append(self.put("controllers", "router", "network", power=power))
        return True

    def message(self) -> bool:
        if not self.boxes or len(self.messages) >= 3:
            return False
        name = self.draft.name("message")
        path = [self.rng.choice(self.boxes), *self.networks[:1], self.rng.choice(self.people)]
        keys = {"priority": self.one("now", "now", "today", "this week"), "path": f"[{', '.join(path)}]"}
        if len(self.people) > 1 and self.rng.random() < 0.5:
            keys["unanswered for 30 min"] = next(p for p in self.people if p != path[-1])
        self.draft.messages[name] = keys
        self.messages.append(name)
        return True

    def sign_of_life(self) -> bool:
        if not self.networks or not self.boxes or any("from" in keys for keys in self.draft.messages.values()):
            return False
        self.draft.messages[self.draft.name("sign of life")] = {
            "from": f"[{', '.join(self.boxes)}]", "every": "30 min", "path": f"[{self.networks[0]}]", "missed": "2",
            "watched": "outside the house", "tell": f"[{', '.join(self.people)}]",
        }  # fmt: skip
        return True

    def new_person(self) -> bool:
        if len(self.people) >= 2:
            return False
        taps = [name for name, part in self.draft.parts.items() if part.kind == "hand valve"]
        # said, since the one left out is the first of the file, and the file may be dealt anew
        keys: dict[str, object] = {"reaches_the_stop_tap_in": self.one("5 min", "10 min", "1 h"), "shuts": taps[0]}
        if not self.people or self.rng.random() < 0.3:
            asleep, out = self.rng.randrange(7, 10), self.rng.randrange(4, 11)
            keys["day"] = f"{{at home awake: {24 - asleep - out} h, asleep: {asleep} h, out: {out} h}}"
            keys["travelling"] = f"{self.rng.randrange(1, 5)} weeks a year"
        self.people.append(self.put("people", "keeper" if not self.people else "neighbour", "person", **keys))
        return True

    def circuit_of_all(self) -> bool:
        """The main switch of the house, before two circuits."""
        if len(self.circuits) < 2 or any("feeds" in p.keys for p in self.draft.parts.values()):
            return False
        self.put("power", "house power", "power circuit", feeds=f"[{', '.join(self.circuits[:2])}]")
        return True


def kinds_of(drafts: Mapping[int, Draft]) -> set[str]:
    """Every kind that turns up in some of these."""
    return {part.kind for draft in drafts.values() for part in draft.parts.values()}
