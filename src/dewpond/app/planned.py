"""What the commands about floors share: quantities that were typed, files without a plan, machine code not made yet."""

from __future__ import annotations

from typing import TYPE_CHECKING

from dewpond.app import work
from dewpond.errors import Finding, UnitError, UsageError
from dewpond.units import parse, show
from dewpond.units.typed import parse_pair

if TYPE_CHECKING:
    from dewpond.design.model import Design


def typed(text: str, option: str, quantity: str, least: float, most: float) -> float:
    """A quantity between two limits [SI]. Raises UsageError."""
    try:
        value = parse(text.strip(), quantity)
    except UnitError as error:
        raise UsageError(f"{option}: {error.what}", error.remedy) from None
    return within(value, text, option, quantity, least, most)


def typed_pair(text: str, option: str) -> tuple[float, float]:
    """Two lengths, "40 cm x 30 cm" [m]. Raises UsageError."""
    try:
        return parse_pair(text.strip(), "length")
    except UnitError as error:
        raise UsageError(f"{option}: {error.what}", error.remedy) from None


def within(value: float, text: str, option: str, quantity: str, least: float, most: float) -> float:
    """The same value if it lies between two limits. Raises UsageError."""
    if not least <= value <= most:
        limits = f"{show(least, quantity)} to {show(most, quantity)}"
        raise UsageError(f"{option}: {work.short(text)} is out of range.", f"Allowed is {limits}.")
    return value


def no_plan(design: Design) -> Finding:
    """That the file has no plan, with a line that it can take as it stands."""
    from dewpond.design.messages_floors import EXAMPLE_PLAN
    from dewpond.parts import KINDS

    room = next((part.name for part in design.parts if KINDS[part.kind].role == "place"), "study")
    plan = f"{room}{EXAMPLE_PLAN[EXAMPLE_PLAN.index(':') :]}"
    what = "The file has no plan of a floor, so nobody knows where its water goes."
    remedy = (
        "Write the walls of a room, with its spots and readings later, such as\n"
        f"floors: {{{plan}}}\ndocs/floor.md tells what to measure."
    )
    return Finding("F001", "warning", "floors", what, remedy, design.file)


def tell_compiling() -> None:
    """On standard error, where the machine code is not there yet."""
    from dewpond.floor.compile import SPREAD

    if not SPREAD.is_made():
        work.note("What spreads water is being compiled; that is done once, and takes some seconds.")
