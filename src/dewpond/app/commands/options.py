"""Options that several commands share."""

from __future__ import annotations

import math
from typing import Any

import click


class Within(click.FloatRange):
    """A number between two others. One that is none, `nan`, lies beyond no bound and yet between none."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """The number; refused in words where it is none, or outside."""
        made = super().convert(value, param, ctx)
        if math.isnan(made):
            self.fail(f"{value!r} is not a number from {self.min:g} to {self.max:g}.", param, ctx)
        return made


SEASONS = ("winter", "summer")
FILE = click.argument("file", metavar="FILE")
AS_JSON = click.option("--json", "as_json", is_flag=True, help="Print JSON instead of text; see docs/json.md.")
SEASON = click.option("--season", type=click.Choice(SEASONS), default="winter", show_default=True,
                      help="Whose water and air are taken.")  # fmt: skip
PLACES_TO_BE = ("at home", "asleep", "out", "travelling")
HOW_FULL = ("as the file says", "just filled", "about to call", "after a long power cut")
START = click.option("--start", type=click.Choice(HOW_FULL), default=HOW_FULL[0], show_default=True,
                     help="How full the vessels are at first.")  # fmt: skip

FAULTS = click.option("--faults", type=click.IntRange(1, 3), default=2, show_default=True,
                      help="How many things may fail, in any order and at any moment.")  # fmt: skip
MOST_STATES = click.option("--most-states", type=click.IntRange(1000, 20_000_000), default=300_000, show_default=True,
                           help="How many states a question may have; beyond, it is not finished.")  # fmt: skip

MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
          "December")  # fmt: skip
READINGS = click.option(
    "--readings",
    metavar="CSV",
    help="A log: a line a day, with a date and what was read, such as top-off (L), air (C), humidity (%), salinity "
    "(ppt). See docs/year.md.",
)
COLDEST = click.option(
    "--coldest",
    type=click.Choice(MONTHS, case_sensitive=False),
    callback=lambda _ctx, _param, month: None if month is None else MONTHS.index(month) + 1,
    help="The month in the middle of which the winter figures hold. Left out: by the time zone of FILE.",
)
TODAY = click.option("--today", metavar="DATE", help="Count from this day, such as 2026-11-28, instead of today.")
