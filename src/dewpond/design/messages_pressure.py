"""The texts about pressure that a regulator takes away or a pump adds: D270, D271. See ``messages``."""

from __future__ import annotations

from typing import Final

from dewpond.design.texts import warning

PRESSURE: Final = {
    "D270": warning(
        "The pressure is above {limit}{bare}. Plastic filter bowls and push-in joints age fast at such a pressure, and "
        "in many places rules ask for a pressure reducing valve.",
        "Have a plumber look at the pressure reducing valve of the house, or fit one before the unit and describe it: "
        "`kind: pressure regulator`.",
    ),
    "D271": warning(
        "At rest the pressure may reach {highest} there, with what the pump adds to that of the supply, and that is "
        "more than these are made for: {parts}.{assumed}",
        "Put a pressure regulator before the pump (a plumber's work in many places), take a pump that adds less, or "
        "parts that bear more.",
    ),
}
