"""A grown random house as further kinds find it: what stands there, and how one thing more is put in.

All lists are taken before anything is put in, and each kind has a stream of chance of its own: so one kind more moves
none of the others.
"""

from __future__ import annotations

import random
from collections.abc import Iterable

from tests.plant.design_text import Draft, Part

VALVES = ("solenoid valve", "motorised ball valve")
PUMPS = ("top-off pump", "dosing pump")
PARTING = ("tee", "manifold", "float valve", "vacuum break", "mixing vessel", "air gap")
"""Kinds before which a line ends: what stands before one of them stands before all that is behind it."""


class House:
    """A draft, and what its grammar had put into it."""

    def __init__(self, draft: Draft, seed: int) -> None:
        self.draft, self.seed = draft, seed
        self.names = tuple(draft.parts)
        self.rooms, self.trays, self.drains = self.of("room"), self.of("tray"), self.of("waste drain")
        self.people, self.sumps, self.membranes = self.of("person"), self.of("sump"), self.of("membrane")
        self.vessels = [*self.of("reservoir"), *self.of("storage bin")]
        self.buckets = self.of("mixing vessel")
        self.boxes, self.circuits = self.of("controller"), self.of("power circuit")
        # one that feeds others is the main switch: nothing is plugged into it
        self.circuits = [name for name in self.circuits if "feeds" not in draft.parts[name].keys]
        self.valves = [name for kind in VALVES for name in self.of(kind)]
        self.pumps = [name for kind in PUMPS for name in self.of(kind)]
        self.rows = tuple(draft.rows)
        whole = self._line(self.of("hand valve")[0])
        kinds = [draft.parts[name].kind for name in whole]
        unit = kinds.index("membrane") if "membrane" in kinds else len(whole) - 1
        self.feed = whole[1 : unit + 1]  # the parts before which something of the feed can be put
        self.product = whole[unit + 1 :]  # and of the product, behind a membrane

    def of(self, *kinds: str) -> list[str]:
        return [name for name in self.names if self.draft.parts[name].kind in kinds]

    def _line(self, first: str) -> list[str]:
        """What follows a part without parting, with the part before which it ends."""
        line = [first]
        while self.draft.parts[line[-1]].kind not in PARTING:
            line += [name for name in self.names if self.draft.parts[name].keys.get("after") == line[-1]][:1]
        return line

    # -- putting in ----------------------------------------------------------------------------------------------------
    def put(self, section: str, name: str, kind: str, **keys: object) -> str:
        """A new part; keys are written with underscores for spaces, None is left out."""
        token = self.draft.name(name)
        said = {key.replace("_", " "): str(value) for key, value in keys.items() if value is not None}
        self.draft.parts[token] = Part(section, kind, said)
        return token

    def before(self, rng: random.Random, part: str, name: str, kind: str, **keys: object) -> str:
        """A new part in the line before another one, in the room of the line there."""
        follower = self.draft.parts[part]
        fills = follower.keys.get("fills", follower.keys.get("holds back", ""))
        room = self.room_of(fills) if fills in self.names else self.rooms[0]
        height = f"{rng.randrange(100, 1200, 5)} mm" if rng.random() < 0.3 else None
        where = {"after": follower.keys["after"], "in": room, "height": height}
        new = self.put("water", name, kind, **where, **keys)
        follower.keys["after"] = new
        return new

    def room_of(self, part: str) -> str:
        """The room that something stands in, or the one that its tray stands in."""
        place = self.draft.parts[part].keys["in"]
        return self.draft.parts[place].keys["in"] if place in self.trays else place

    def circuit(self, rng: random.Random) -> str:
        if not self.circuits:
            self.circuits.append(self.put("power", "circuit", "power circuit"))
        return rng.choice(self.circuits)

    def box(self, rng: random.Random) -> str:
        """A controller that is there; in a house without one the first that asks brings it."""
        if not self.boxes:
            own = random.Random(f"newer {self.seed} box")
            restart = f"{{trips: {own.choice(('kept', 'cleared'))}, counts: kept}}"
            hangs = own.choice(("keeps last order", "outputs stopped"))
            keys = {"after_a_restart": restart, "when_it_hangs": hangs}
            self.boxes.append(self.put("controllers", "box", "controller", power=self.circuit(own), **keys))
        return rng.choice(self.boxes)

    def wired(self, rng: random.Random, word: str) -> dict[str, object]:
        """A contact that says a word, and how it is read."""
        read = rng.choice(("closed", "open"))
        does = "closes" if read == "closed" else "opens"
        return {"wired_to": self.box(rng), "contact": f"{does} when {word}", f"read as {word} when": read}

    # -- rows ----------------------------------------------------------------------------------------------------------
    def row(self, cause: str, effect: str, **keys: str) -> None:
        said = {key.replace("_", " "): value for key, value in keys.items()}
        self.draft.rows.append({"cause": cause, "effect": effect, **said})

    def stops(self, rng: random.Random, cause: str, until: Iterable[str] = ("cause ends",), **keys: str) -> None:
        """A row that shuts a valve or stops a pump; in a house that has neither, a valve is put in for it."""
        obey = [f"{valve}: shut" for valve in self.ordered()] + [f"{pump}: stopped" for pump in self.pumps]
        self.row(cause, f"{{{rng.choice(obey)}}}", until=rng.choice(list(until)), **keys)

    def ordered(self) -> list[str]:
        """The valves that take orders; where neither they nor pumps are there, one before the first float."""
        if not self.valves and not self.pumps:
            own = random.Random(f"newer {self.seed} valve")
            rest = own.choice(("shut", "open"))
            keys = {"driven_by": self.box(own), "without_power": rest}
            self.valves.append(self.before(own, self.feed[-1], "shut valve", "solenoid valve", **keys))
        return self.valves
