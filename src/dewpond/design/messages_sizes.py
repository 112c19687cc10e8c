"""The texts of the checks on leads and lengths: D260-D264. See ``messages``."""

from __future__ import annotations

from typing import Final

from dewpond.design.texts import note, warning

SIZES: Final = {
    "D260": warning(
        "Of the {voltage} that it is made for, {drop} are lost in its {length} of {gauge}, there and back, at the "
        "{current} that it draws: {share} %, and most bear 10 % (from memory). It may not move.",
        "Take a thicker lead{longest}, a shorter one, or a supply that hangs nearer to it.",
    ),
    "D261": warning(
        "Its tube is {length} long, and on its way it goes up or down by {rise}: too short however it is laid.",
        "Measure it along its way, and both heights from the same floor. Mind the units.",
    ),
    "D262": note(
        "Its tube is {length} long, goes up and down by {rise}, and crosses {rooms}: {crossing} more along their "
        "shorter sides. It fits only if it cuts corners.",
        "Measure it along its way, with the bends and what hangs loose at both ends.",
    ),
    "D263": warning(
        'Its lead is {length} long, and between it and "{box}" lie {apart} of height: too short even if it ran '
        "straight.",
        "Measure the way of the cable; check `floor height`, `height` and `in`.",
    ),
    "D264": warning(
        'It is made for {voltage}, and "{supply}", on which it hangs, gives {gives}.',
        "Take a supply of its own voltage: with too little it does not move, with too much it burns.",
    ),
}
