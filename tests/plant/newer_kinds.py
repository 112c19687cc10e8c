"""Kinds that the grammar of random designs does not grow: put into a grown one, from a stream of chance of their own.

So a house grown from a seed stays as it was, and tests that have found something in one still find it there.
"""

from __future__ import annotations

import random

from tests.plant.design_text import Draft, Part


def add(draft: Draft, rng: random.Random) -> None:
    """Some of each: other sensors for a mark, what feeds a circuit on, a heater, a rope."""
    _other_marks(draft, rng)
    _feeding_on(draft, rng)
    _heater(draft, rng)
    _rope(draft, rng)


def of_kind(draft: Draft, kind: str) -> list[str]:
    return [name for name, part in draft.parts.items() if part.kind == kind]


def _put(draft: Draft, section: str, name: str, kind: str, keys: dict[str, str]) -> str:
    token = draft.name(name)
    draft.parts[token] = Part(section, kind, keys)
    return token


def _other_marks(draft: Draft, rng: random.Random) -> None:
    """A switch with two marks becomes a mark pair or a level sensor."""
    for name in of_kind(draft, "level switch"):
        keys = draft.parts[name].keys
        kind = rng.choice(("level switch", "level switch", "mark pair", "level sensor")) if "calls at" in keys else ""
        if kind == "mark pair":
            draft.parts[name] = Part("sensors", kind, dict(keys))
        elif kind == "level sensor":
            kept = {key: keys[key] for key in ("in", "calls at", "is satisfied at", "wired to")}
            sort = {"type": rng.choice(("ultrasonic", "pressure"))}
            draft.parts[name] = Part("sensors", kind, kept | sort)


def _feeding_on(draft: Draft, rng: random.Random) -> None:
    """Something hangs on a residual-current device, or on a supply with a battery, instead of on its circuit."""
    circuits = of_kind(draft, "power circuit")
    hanging = [name for name, part in draft.parts.items() if part.keys.get("power") in circuits]
    if not hanging or rng.random() < 0.4:
        return
    part = draft.parts[rng.choice(hanging)]
    keys = {"power": part.keys["power"]}
    if rng.random() < 0.5:
        keys |= {"holds for": rng.choice(("20 min", "3 h", "unknown"))}
        part.keys["power"] = _put(draft, "power", "battery", "uninterruptible supply", keys)
        return
    if rng.random() < 0.7:
        rooms = [*of_kind(draft, "room"), *of_kind(draft, "tray")]
        keys |= {"socket in": rng.choice(rooms), "wet from": f"{rng.randrange(5, 40) / 10} L"}
    part.keys["power"] = _put(draft, "power", "guard", "residual-current device", keys)


def _heater(draft: Draft, rng: random.Random) -> None:
    fed = [*of_kind(draft, "power circuit"), *of_kind(draft, "residual-current device")]
    sumps = of_kind(draft, "sump")
    if sumps and fed and rng.random() < 0.5:
        keys = {"in": rng.choice(sumps), "rated": rng.choice(("100 W", "0.5 kW")), "power": rng.choice(fed[::-1]),
                "must stay under water to": f"{rng.randrange(120, 180, 5)} mm"}  # fmt: skip
        _put(draft, "water", "heater", "heater", keys)


def _rope(draft: Draft, rng: random.Random) -> None:
    """In a row of its own, which does what one of a probe does."""
    rows = [row for row in draft.rows if " wet" in row["cause"] and not row["cause"].startswith('"')]
    boxes = of_kind(draft, "controller")
    if not rows or not boxes or rng.random() < 0.5:
        return
    places = [*of_kind(draft, "room"), *of_kind(draft, "tray")]
    along = rng.sample(places, min(len(places), rng.randrange(1, 3)))
    contact = rng.choice(("closed", "open"))
    keys = {
        "through": f"[{', '.join(along)}]", "at": "along the wall", "wired to": rng.choice(boxes),
        "contact": "closes when wet" if contact == "closed" else "opens when wet", "read as wet when": contact,
        "seen to work with purified water": rng.choice(("2026-05-04", "unknown")),
    }  # fmt: skip
    if rng.random() < 0.5:
        keys["reached by"] = f"[{', '.join(f'{rng.randrange(5, 40) / 100} L' for _ in along)}]"
    rope = _put(draft, "sensors", "rope", "rope sensor", keys)
    draft.rows.append({**rng.choice(rows), "cause": f"{rope} wet"})
