"""Places, lines and vessels of a random installation: the half of it that water runs through by itself."""

from __future__ import annotations

import random
from dataclasses import dataclass, field

from tests.plant.design_text import Draft, Part


@dataclass
class Tank:
    """A system that is topped off: the vessel that is filled, what draws, and where its water stands [mm]."""

    vessel: str
    room: str
    pump: str
    low: int
    high: int
    box: str
    guarded: bool = False


@dataclass
class Plan:
    """A design while it grows: what there is that more can be joined to."""

    rng: random.Random
    draft: Draft
    protected: bool
    rooms: list[str] = field(default_factory=list)
    trays: dict[str, str] = field(default_factory=dict)  # tray -> room
    drains: list[str] = field(default_factory=list)
    boxes: list[str] = field(default_factory=list)
    circuits: list[str] = field(default_factory=list)
    networks: list[str] = field(default_factory=list)
    people: list[str] = field(default_factory=list)
    messages: list[str] = field(default_factory=list)
    vessels: dict[str, tuple[str, int]] = field(default_factory=dict)  # those that pumps draw from -> room, rim
    tanks: list[Tank] = field(default_factory=list)
    valves: list[str] = field(default_factory=list)  # those that take orders
    sumps: list[str] = field(default_factory=list)
    ends: list[str] = field(default_factory=list)  # branching parts with an outlet left: name, as often as outlets
    source_of: dict[str, str] = field(default_factory=dict)  # vessel that is filled -> where from
    homes: dict[str, str] = field(default_factory=dict)  # part -> room
    mains: str = ""  # the part before which things of the feed are put
    product: str = ""  # the part before which things of the product are put
    unit: bool = False

    # -- words ---------------------------------------------------------------------------------------------------------
    def mm(self, low: int, high: int) -> int:
        return self.rng.randrange(low, high + 1, 5)

    def one(self, *words: str) -> str:
        return self.rng.choice(words)

    def put(self, section: str, name: str, kind: str, **keys: object) -> str:
        """A new part; keys are written with underscores for spaces, None is left out."""
        token = self.draft.name(name)
        said = {key.replace("_", " "): str(value) for key, value in keys.items() if value is not None}
        self.draft.parts[token] = Part(section, kind, said)
        if "in" in said:
            self.homes[token] = self.trays.get(said["in"], said["in"])
        return token

    # -- places --------------------------------------------------------------------------------------------------------
    def new_room(self) -> bool:
        if len(self.rooms) >= 3:
            return False
        rng, floor = self.rng, len(self.rooms)
        keys: dict[str, object] = {
            "size": f"{rng.randrange(18, 50) / 10} m x {rng.randrange(15, 40) / 10} m",
            "floor": self.one("glazed tile", "vinyl", "varnished wood", "sealed concrete", "bare wood", "carpet"),
        }
        if floor:
            keys["leads_to"] = rng.choice([*self.rooms, None])
            keys["floor_height"] = f"{270 * floor} cm"
        if rng.random() < 0.3:
            keys["air_humidity"] = f"{{winter: {rng.randrange(25, 60)} %, summer: {rng.randrange(40, 75)} %}}"
        words = ("laundry", "cellar", "scullery"), ("study", "parlour", "hall"), ("loft room", "gallery", "upper room")
        self.rooms.append(self.put("places", rng.choice(words[floor]), "room", **keys))
        return True

    def tray(self) -> bool:
        bare = [room for room in self.rooms if room not in self.trays.values()]
        if not bare:
            return False
        room, drain = self.rng.choice(bare), None
        if self.drains and room == self.rooms[0] and self.rng.random() < 0.5:
            drain = self.drains[0]
        size = f"{self.mm(1200, 1600)} mm x {self.mm(700, 900)} mm"
        tray = self.put("places", "tray", "tray", **{"in": room}, size=size, rim=f"{self.mm(20, 60)} mm", drain=drain)
        self.trays[tray] = room
        return True

    def drain(self) -> bool:
        if self.drains:
            return False
        room = self.rooms[0]
        kind = self.one("floor drain", "standpipe")
        self.drains.append(self.put("places", "drain", "waste drain", **{"in": room}, type=kind))
        if kind == "floor drain" and self.rng.random() < 0.7:
            self.draft.parts[room].keys["drain"] = self.drains[0]
        return True

    def spot(self, room: str) -> str:
        """The room, or a tray in it."""
        trays = [tray for tray, of in self.trays.items() if of == room]
        return trays[0] if trays and self.rng.random() < 0.6 else room

    def at(self, room: str) -> dict[str, object]:
        keys: dict[str, object] = {"in": room}
        if self.rng.random() < 0.3:
            keys["height"] = f"{self.mm(100, 1200)} mm"
        return keys

    # -- lines ---------------------------------------------------------------------------------------------------------
    def tubing(self, after: str, *rooms: str) -> str:
        rng = self.rng
        through = list(dict.fromkeys(rooms))
        return self.put(
            "water", "tube", "tubing", after=after, size=self.one("1/4 in", "1/4 in", "3/8 in", "6x4"),
            length=f"{rng.randrange(10, 120) / 10 + len(through)} m", through=f"[{', '.join(through)}]",
            elbows=rng.randrange(6), tube_ends=rng.randrange(1, 9),
        )  # fmt: skip

    def before(self, part: str, name: str, kind: str, **keys: object) -> str:
        """A new part put in the line before another one, in its room if it says none."""
        after = self.draft.parts[part].keys["after"]
        if "in" not in keys:
            keys = {**self.at(self.rooms[0]), **keys}
        new = self.put("water", name, kind, after=after, **keys)
        self.draft.parts[part].keys["after"] = new
        return new

    def filters(self) -> bool:
        if self.draft.has("pre-filters"):
            return False
        self.mains = self.before(self.mains, "filters", "pre-filters", bowls=self.rng.randrange(1, 4))
        return True

    def membrane_unit(self) -> bool:
        if self.unit:
            return False
        rng = self.rng
        measured = rng.random() < 0.6
        product, waste = rng.randrange(90, 220), rng.randrange(300, 900)
        jugs = f"{{product: {product} mL/min, waste: {waste} mL/min, water: {rng.randrange(8, 20)} C}}"
        unit = self.before(
            self.product, "membrane", "membrane", measured=jugs if measured else None,
            rated=f"{rng.choice((50, 75, 100))} gal/day at 50 psi and 25 C",
            rejection=f"{rng.randrange(93, 99)} %", tube_ends=rng.randrange(6, 24),
            waste_to=self.drains[0] if self.drains else None,
        )  # fmt: skip
        self.mains = unit
        if rng.random() < 0.75:
            closes = rng.choice(("unknown", "67 %", "60 %", None))
            self.put("water", "shut-off", "automatic shut-off", on=unit, closes_at=closes)
        if rng.random() < 0.75:
            self.before(self.product, "check", "check valve")
        self.unit = True
        return True

    def resin(self) -> bool:
        if self.draft.has("deionising resin") or not self.unit:
            return False
        self.before(self.product, "resin", "deionising resin", volume=f"{self.rng.randrange(4, 12) / 10} L")
        return True

    def check_valve(self) -> bool:
        floats = [n for n, p in self.draft.parts.items() if p.kind == "float valve"]
        target = self.rng.choice(floats)
        if self.draft.parts[self.draft.parts[target].keys["after"]].kind == "check valve":
            return False
        room = self.homes[self.draft.parts[target].keys["fills"]]
        self.before(target, "float check", "check valve", **{"in": room}, height=f"{self.mm(50, 500)} mm")
        return True

    def riser(self) -> bool:
        """A second stretch of tube, or a valve worked by hand, before some float."""
        floats = [n for n, p in self.draft.parts.items() if p.kind == "float valve"]
        target = self.rng.choice(floats)
        room = self.homes[self.draft.parts[target].keys["fills"]]
        if self.rng.random() < 0.5:
            self.before(target, "branch tap", "hand valve", **{"in": room})
            return True
        tube = self.tubing(self.draft.parts[target].keys["after"], self.rooms[0], room)
        self.draft.parts[target].keys["after"] = tube
        return True

    def vacuum_break(self) -> bool:
        """At the high point before some float."""
        floats = [n for n, p in self.draft.parts.items() if p.kind == "float valve"]
        target = self.rng.choice(floats)
        if self.draft.has("vacuum break"):
            return False
        vessel = self.draft.parts[target].keys["fills"]
        room, above = self.homes[vessel], f"{self.mm(100, 400)} mm"
        self.before(target, "break", "vacuum break", **{"in": room}, holds_back=vessel, above_its_rim=above)
        return True

    def air_gap(self) -> bool:
        """The end of a float's line, over the rim of what it fills."""
        free = [
            n
            for n, p in self.draft.parts.items()
            if p.kind == "float valve" and "outlet" not in p.keys and not self.draft.follows(n)
        ]
        if not free or self.draft.has("air gap"):
            return False
        target = self.rng.choice(free)
        vessel = self.draft.parts[target].keys["fills"]
        where = {"in": self.homes[vessel], "into": vessel}
        self.put("water", "fill end", "air gap", after=target, **where, gap=f"{self.mm(30, 80)} mm")
        return True

    def waste_line(self) -> bool:
        units = [n for n, p in self.draft.parts.items() if p.kind == "membrane"]
        if not units or not self.drains or self.draft.has("waste line"):
            return False
        unit = units[0]
        self.draft.parts[unit].keys.pop("waste to", None)
        length = f"{self.rng.randrange(10, 40) / 10} m"
        keys = {"waste_of": unit, "to": self.drains[0], "ends_at": f"{self.mm(50, 900)} mm", "length": length}
        self.put("water", "waste line", "waste line", **{"in": self.rooms[0]}, **keys)
        return True

    def branch(self) -> bool:
        """The line parts before a float; each further outlet feeds a vessel of its own."""
        floats = [n for n, p in self.draft.parts.items() if p.kind == "float valve"]
        if sum(p.kind in ("tee", "manifold") for p in self.draft.parts.values()) >= 3:
            return False
        target = self.rng.choice(floats)
        if self.rng.random() < 0.6:
            tee = self.before(target, "tee", "tee")
            return self.outlet(tee)
        block = self.before(target, "block", "manifold", outlets=self.rng.randrange(2, 5))
        self.ends += [block] * (int(self.draft.parts[block].keys["outlets"]) - 2)
        return self.outlet(block)

    def branch_of(self) -> bool:
        """One more outlet of a manifold."""
        return bool(self.ends) and self.outlet(self.ends.pop())

    def outlet(self, after: str) -> bool:
        room = self.rng.choice(self.rooms)
        if self.rng.random() < 0.3:
            self.mixing_vessel(after, self.rooms[0])
            return True
        tube = self.tubing(after, self.rooms[0], room)
        big = self.rng.random() < 0.5
        vessel = self.storage_bin(room) if big and room == self.rooms[0] else self.reservoir(room)
        self.float_valve(tube, vessel)
        return True

    # -- vessels -------------------------------------------------------------------------------------------------------
    def bottom(self, spot: str, low: int, high: int) -> str:
        return f"{self.mm(low, high)} mm above {'tray' if spot in self.trays else 'floor'}"

    def overflow(self, rim: int) -> str | None:
        ends = [f", to: {end}" for end in [*self.drains, self.rooms[0]]]
        if self.rng.random() < 0.6:
            return self.rng.choice(("none", None))
        shape = self.one("", "", ", shape: upright pipe")
        return f"{{at: {rim - 25} mm, bore: {self.rng.randrange(12, 32)} mm{self.one('', *ends)}{shape}}}"

    def reservoir(self, room: str) -> str:
        spot, rim = self.spot(room), self.mm(260, 420)
        evaporation = self.one("50 mL/day", "0 mL/day") if self.rng.random() < 0.3 else None
        name = self.put(
            "water", "reservoir", "reservoir", **{"in": spot}, overflow=self.overflow(rim), evaporation=evaporation,
            footprint=f"{self.mm(250, 500)} mm x {self.mm(250, 400)} mm", rim=f"{rim} mm",
            bottom=self.bottom(spot, 20, 200),
        )  # fmt: skip
        self.vessels[name] = room, rim
        return name

    def storage_bin(self, room: str) -> str:
        spot, rim = self.spot(room), self.mm(450, 700)
        tap = self.one("{at: 20 mm, bore: 10 mm}", "none") if self.rng.random() < 0.4 else None
        name = self.put(
            "water", "bin", "storage bin", **{"in": spot}, overflow=self.overflow(rim), drain_tap=tap,
            footprint=f"{self.mm(350, 550)} mm x {self.mm(350, 500)} mm", rim=f"{rim} mm",
            bottom=self.bottom(spot, 200, 900),
        )  # fmt: skip
        self.vessels[name] = room, rim
        return name

    def mixing_vessel(self, after: str, room: str) -> str:
        holds = self.one("purified water", "salt water") if self.rng.random() < 0.4 else None
        rim = self.mm(350, 600)
        return self.put(
            "water", "bucket", "mixing vessel", after=after, **{"in": room}, holds=holds,
            footprint=f"{self.mm(300, 500)} mm x {self.mm(300, 450)} mm", rim=f"{rim} mm",
            stands_usually=f"{rim // 2} mm" if holds else None,
        )  # fmt: skip

    def float_valve(self, after: str, vessel: str) -> str:
        rim = self.vessels[vessel][1]
        shut = rim - self.mm(35, 70)
        under = self.draft.parts[vessel].keys["in"] not in self.trays and self.rng.random() < 0.25
        return self.put(
            "water", "float", "float valve", after=after, fills=vessel, quite_shut_at=f"{shut} mm",
            starts_to_shut_at=f"{shut - self.rng.randrange(8, 25)} mm",
            seat=self.one("2 mm", "3 mm") if self.rng.random() < 0.4 else None,
            outlet="30 mm above bottom" if under else None,
        )  # fmt: skip

    def bin_line(self) -> bool:
        """A line that comes after a bin, to a vessel that is filled by hand or by a float of its own below it."""
        free = [n for n, p in self.draft.parts.items() if p.kind == "storage bin" and not self.draft.follows(n)]
        if not free:
            return False
        source = self.rng.choice(free)
        room = self.homes[source]
        if self.rng.random() < 0.5:
            self.mixing_vessel(source, room)
            return True
        tube = self.tubing(source, room)
        self.float_valve(tube, self.reservoir(room))
        return True
