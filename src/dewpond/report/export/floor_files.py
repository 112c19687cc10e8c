"""The files of `dewpond floor --into`: each floor as a picture, and cell by cell as a table and as arrays."""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from typing import Any, Final

import numpy as np

from dewpond.design.model import Design
from dewpond.floor.storey import joined
from dewpond.floor.wetting import share_wet, spreads
from dewpond.report.charts import png
from dewpond.report.drawing.floor import svg
from dewpond.report.views.floor import floor_map
from dewpond.report.views.floor_words import Words
from dewpond.report.views.shown import shown_in
from dewpond.study.spills import Spilled

CSV_MARK: Final = "right [m],up [m],place,"
NPZ_MARK: Final = "PK"
SVG_MARK: Final = "<svg"
PNG_MARK: Final = "\x89PNG"
SHARES: Final = (5, 50, 95)  # per cent of the floors


def marks(design: Design) -> dict[str, str]:
    """Names of the files of all storeys, and how each begins."""
    found: dict[str, str] = {}
    for name in _names(design).values():
        found |= {f"{name}.svg": SVG_MARK, f"{name}.png": PNG_MARK, f"{name}.csv": CSV_MARK, f"{name}.npz": NPZ_MARK}
    return found


def _names(design: Design) -> dict[str, str]:
    """Of each storey by its first room, in the order of the file."""
    rooms = [plans[0].place for plans in joined(design)]
    return {room: "floor" if len(rooms) == 1 else f"floor_{number}" for number, room in enumerate(rooms, 1)}


def files(design: Design, found: Sequence[Spilled]) -> dict[str, str | bytes]:
    """Name -> what stands in it: of each storey the leak that worries most."""
    shown = shown_in(design.shown_in)
    made: dict[str, str | bytes] = {}
    for one in found:
        if one.spills:
            name = _names(design)[one.looked.storey.plans[0].place]
            arrays = arrays_of(one, Words(one, shown).leak(one.worst))
            drawing = svg(floor_map(design, one, one.worst))
            made |= {f"{name}.svg": drawing, f"{name}.png": png(drawing)}
            made |= {f"{name}.csv": csv_of(one, arrays), f"{name}.npz": npz_of(arrays)}
    return made


def arrays_of(found: Spilled, leak: str) -> dict[str, Any]:
    """Arrays by name, the unit at its end; inf: not before what water is followed to; NaN: no water enters."""
    looked, spill = found.looked, found.worst
    frame, open_ = looked.storey.frame, looked.storey.of >= 0
    right, up = frame.middles()
    shares = np.stack([share_wet(spill.made.first, volume) for volume in found.volumes])
    return {
        "right_m": right[0].copy(),
        "up_m": up[:, 0].copy(),
        "place": looked.storey.of.astype(np.int32),
        "places": np.array(looked.storey.places),
        "leak": np.array(leak),
        "floors_percent": np.array(SHARES),
        "first_wet_litres": np.where(open_, 1e3 * spreads(spill.made.first), np.nan),
        "volumes_litres": 1e3 * np.array(found.volumes),
        "wet_fraction": np.where(open_, shares, np.nan),
    }


def npz_of(arrays: dict[str, Any]) -> bytes:
    """The same arrays give the same bytes: numpy dates what it packs to the first day of 1980."""
    packed = io.BytesIO()
    np.savez_compressed(packed, **arrays)
    return packed.getvalue()


def csv_of(found: Spilled, arrays: dict[str, Any]) -> str:
    """A line for each cell that water may enter; an empty field: not before what water is followed to."""
    litres = [f"{1e3 * volume:g}" for volume in found.volumes]
    head = [*(f"first wet on {share} % of floors [L]" for share in SHARES), *(f"wet at {v} L [share]" for v in litres)]
    lines = [CSV_MARK + ",".join(head)]
    first, wet, places = arrays["first_wet_litres"], arrays["wet_fraction"], found.looked.storey.places
    for row, column in np.argwhere(arrays["place"] >= 0):
        spot = f"{arrays['right_m'][column]:.4g},{arrays['up_m'][row]:.4g}"
        place = '"' + places[arrays["place"][row, column]].replace('"', '""') + '"'
        figures = [f"{v:.3g}" if math.isfinite(v) else "" for v in first[:, row, column]]
        shares = [f"{v:.3g}" for v in wet[:, row, column]]
        lines.append(",".join([spot, place, *figures, *shares]))
    return "\n".join(lines) + "\n"
