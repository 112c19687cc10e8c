"""The floor seen from above with the probes of now and the best spots, and where any of the leaks comes to."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

import numpy as np

from dewpond.design.model import Design
from dewpond.floor.wetting import share_wet
from dewpond.parts import KINDS
from dewpond.report.views.blocks import FloorMap, FloorMark
from dewpond.report.views.floor_shapes import frame_of, outlets_of, ruler_of, shapes_of
from dewpond.report.views.shown import Shown, joined
from dewpond.study.floors import Looked
from dewpond.study.probes.model import NOW, Probes

VOLUMES: Final = (1e-3, 5e-3, 20e-3)  # spilled, of which it is drawn where water is by then [m3]
HALF: Final = 0.5  # of the floors


def maps(found: Probes, design: Design, shown: Shown) -> Iterator[FloorMap]:
    """One for each storey on which something may leak."""
    vessels = [part.name for part in design.parts if KINDS[part.kind].role == "vessel"]
    for number, looked in enumerate(found.looked):
        if not looked.wetted:
            continue
        storey, frame = looked.storey, frame_of(looked.storey)
        shares = [(f"{shown.litres(volume)} of any leak", _share(looked, volume)) for volume in VOLUMES]
        contours = tuple(
            (shown.litres(volume), np.nan_to_num(share) >= HALF)
            for volume, (_, share) in zip(VOLUMES, shares, strict=True)
        )
        marks = (*_leaks(looked), *_probes(found, number), *outlets_of(storey))
        told = (
            f"On how many of the floors each spot of {storey.name} is wet by at least one of the leaks, after "
            f"{joined([shown.litres(volume) for volume in VOLUMES])} of it. Of the spots best on average here: "
            f"{joined([one.name for one in marks if one.kind == 'best']) or 'none'}."
        )
        yield FloorMap(
            f"Where leaks come to on {storey.name}, and where probes should stand", told, shapes_of(storey, vessels),
            marks, frame, tuple(shares), contours, None, ruler_of(frame, shown),
        )  # fmt: skip


def _share(looked: Looked, volume: float) -> Any:
    """Share of the floors on which a cell is wet by one leak or another, shape (rows, columns) [1]; NaN where no water
    enters."""
    share = share_wet(np.min([leak.first for leak in looked.wetted], axis=0), volume)
    return np.where(looked.storey.of >= 0, share, np.nan)


def _leaks(looked: Looked) -> Iterator[FloorMark]:
    """Where parts may leak; those that leak at the same spots together."""
    alike: dict[tuple[tuple[int, int], ...], list[str]] = {}
    for leak in looked.wetted:
        names = alike.setdefault(tuple(dict.fromkeys(leak.at)), [])
        if leak.site.part not in names:
            names.append(leak.site.part)
    for cells, names in alike.items():
        yield FloorMark(joined(names, "or"), "leak", tuple(looked.storey.frame.spot(*cell) for cell in cells))


def _probes(found: Probes, storey: int) -> Iterator[FloorMark]:
    for one in found.cases.columns:
        if one.sort == NOW and one.storey == storey:
            yield FloorMark(one.name, "present", tuple(found.spot(storey, cell) for cell in one.cells))
    for number, column in enumerate(found.chosen.average.spots, 1):
        one = found.cases.columns[column]
        if one.storey == storey and one.sort != NOW:
            spots = tuple(found.spot(storey, cell) for cell in one.cells)
            yield FloorMark(f"number {number}", "best", spots)
