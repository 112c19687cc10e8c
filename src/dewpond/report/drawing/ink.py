"""What all drawings share: how a number is written, and how the SVG begins."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from typing import Any, Final

FONT: Final = "DejaVu Sans, Verdana, sans-serif"


def number(value: float) -> str:
    """A number to two places, without zeros at its end."""
    return f"{value:.2f}".rstrip("0").rstrip(".")


def opening(wide: float, high: float, least: float, prefix: str, title: str, description: str) -> str:
    """The first lines of a drawing of so many pixels, which is moved sideways rather than shown narrower than
    ``least``. ``prefix`` keeps its ids apart from others in a page."""
    size = f'viewBox="0 0 {number(wide)} {number(high)}" width="{number(wide)}" height="{number(high)}"'
    style = f"max-width: 100%; min-width: {number(least)}px; height: auto; color: black"
    begins = f'<svg xmlns="http://www.w3.org/2000/svg" {size} role="img" aria-labelledby="{prefix}-t {prefix}-d"'
    return "\n".join([
        f'{begins} font-family="{FONT}" style="{style}">',
        f'<title id="{prefix}-t">{escape(title)}</title>',
        f'<desc id="{prefix}-d">{escape(description)}</desc>',
        f'<rect width="{number(wide)}" height="{number(high)}" fill="white"/>',
    ])  # fmt: skip


def closed(lines: Sequence[Any]) -> str:
    """What is drawn of closed lines, each of shape (points, 2) [px], in steps of tenths of a pixel."""
    import numpy as np

    found = []
    for line in lines:
        tenths = np.rint(10.0 * line).astype(int)
        steps = np.diff(tenths, axis=0)
        steps = steps[(steps != 0).any(axis=1)]
        found.append(f"M{_tenths(tenths[0])}l{''.join(map(_step, steps.tolist())).lstrip()}z")
    return "".join(found)


def _tenths(point: Any) -> str:
    return " ".join(number(int(value) / 10) for value in point)


def _step(step: list[int]) -> str:
    across, down = (number(value / 10) for value in step)
    return f" {across}{'' if down.startswith('-') else ' '}{down}"
