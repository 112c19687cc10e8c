"""The texts of the checks on lines, and on what protections have in common: D181-D214. See ``messages``."""

from __future__ import annotations

from typing import Final

from dewpond.design.texts import error, note, warning

LINES: Final = {
    "D181": warning(
        "No valve that shuts by itself stands before {parts}; the figures are what runs out at most when it breaks. "
        "It runs until somebody shuts the water by hand.",
        "Put a valve that a probe shuts, or one with a probe and cells of its own, right behind the stop tap.",
    ),
    "D182": warning(
        'No valve that shuts by itself stands between "{vessel}" and {parts}: what breaks there lets out the {litres} '
        "that the vessel holds{more}.",
        "Put a valve that a probe shuts right behind the vessel.",
    ),
    "D183": warning(
        "The probes that shut it lie in {places}, and no water from what lies behind it comes there; it comes to "
        "{reached}.",
        "Lay a probe where the water behind this valve would run, or let the valve stand before what the probe guards.",
    ),
    "D184": warning(
        'Its end lies under the water of "{vessel}", and no check valve stands between it and {parts}: a leak there '
        "draws up to {litres} back out of the vessel, though the feed be shut{also}.",
        "Let it end above the highest water; or put a check valve right before it.",
    ),
    "D185": warning(
        "The pressure of the supply may reach {highest}, at night when nobody else draws, and that is more than these "
        "are made for: {parts}.{assumed}",
        "Put a pressure regulator before them (a plumber's work in many places), or parts that bear more.",
    ),
    "D186": warning(
        'It is {made}brass, and behind "{membrane}" the water is purified: that eats brass, and takes copper and zinc '
        "to the tank, which few invertebrates bear.",
        "Take one whose wetted parts are of plastic or stainless steel, and write `wetted parts: plastic`.",
    ),
    "D187": warning(
        'From mark to mark "{vessel}" takes {litres}. In winter {hourly} an hour come at most, so that a fill takes '
        '{needs}; "at most" ends it after {at_most}.',
        "Let a fill last twice as long as that takes in winter.",
    ),
    "D188": warning(
        "No row of the matrix is carried out by it, none asks a sensor that is wired to it, and no message passes it: "
        "it does nothing.",
        "Add `by: {box}` to the row that it shall carry out, or take the part out.",
    ),
    "D189": warning(
        "Only {box} stops it at high water, and runs it as well. Should that hang while it runs, and keep its last "
        'order, nothing stops the pump: "{vessel}" takes {space}, which is there after {after}, and then runs over.',
        "Let the row for high water be carried out by a relay in its lead (`by: ...`), to which the switch is wired.",
    ),
    "D190": warning(
        "Should it hang or lose its power, nobody is told, and these get no orders from it: {drives}{when}.",
        "Let it send a sign of life that somebody outside the house misses: a line in messages, with `from`, `every`, "
        "`path` and `tell`.",
    ),
    "D191": warning(
        "Should it fail, nothing that goes over it arrives ({messages}), and nothing else tells that it is dead.",
        "Send a sign of life over it that somebody outside the house misses: a line in messages, with `from`, `every`, "
        "`path` and `tell`.",
    ),
    "D192": note(
        'The probes of {valve} and {other} all lie in "{place}": a puddle that goes another way there is seen by '
        "neither.",
        "Lay the probes of one of them where the water goes on to, or at another low spot of it.",
    ),
    "D193": warning(
        "Its lead is too short, even if it ran straight: {why}.",
        "Measure the way of the cable; check the lengths, `floor height` and `in`.",
    ),
    "D194": warning(
        'Each time the return pump stops, {litres} come down, and the water in "{vessel}" stands at {to}: it reports '
        "high water at {height}, although nothing is wrong.",
        "Set the mark above that, as far as the rim allows.",
    ),
    "D195": note(
        '"{sensor}" speaks and falls silent within {apart} of water, and no pause is kept between two runs: waves '
        "start and stop the pump again and again, where an ordinary run gives {litres} and lasts {run}.",
        "Add `gap: 10 min` to the row, and set the marks further apart where you can.",
    ),
    "D196": note(
        "With power back it gives orders at once, and how long {pump} has run is forgotten: while its switch sticks, "
        'each flicker of the power brings another run of up to {litres} into "{vessel}".',
        "Let it wait, and write `waits after a restart: 5 min`; or let it keep its counts "
        "(`after a restart: {{counts: kept, ...}}`).",
    ),
    "D197": note(
        'Nobody has seen it work with purified water, and no other comes to "{place}": it is taken as blind to it. '
        "{most} would run there without a report of it.",
        "Pour a cup of water from the reservoir over it. Does it report? Then write `seen to work with purified water` "
        "with the day; else take another kind of probe.",
    ),
    "D198": warning(
        'With the water at the rim its overflow takes {takes} an hour. At high pressure and not shut, "{filler}" '
        "brings up to {brings} an hour: {more} an hour then run over the rim.",
        "Give it a wider overflow, further below the rim.",
    ),
    "D199": warning(
        '"{told}" has no effect: "{taker}" says `{leads}: ...` and takes its water.',
        'Take the key out, and let "{taker}" say where the water goes.',
    ),
    "D200": warning(
        'Nothing rests meanwhile: no row of the matrix asks for "{work} {word}".',
        "Add a row that stops what fills or doses: `{{cause: {work} {word}, effect: {{...: stopped}}}}`.",
    ),
    "D201": warning(
        "With power back it has forgotten that it had tripped: {parts} may run or open again by itself, with whatever "
        "made it trip still there.",
        "Let it keep its trips, where it can (`after a restart: {{trips: kept, ...}}`); else add a valve that stays "
        "shut by itself.",
    ),
    "D202": note(
        "With power back its limits begin anew: while a switch sticks, each power cut may bring so much more: {more}.",
        "Let it keep its counts, where it can (`after a restart: {{counts: kept, ...}}`); else set the limits so that "
        "the tank bears two of them.",
    ),
    "D203": warning(
        "It may be re-armed while the probe is still wet: {parts} then starts or opens with the leak still there.",
        "Write `until: re-armed by hand when dry`, and see to it that the box refuses it otherwise.",
    ),
    "D204": warning(
        "Only a hand ends it. Forgotten, {pumps} rests for good{when}.",
        "Let it end by itself: `ends by itself after: 30 min`, or a few hours for a water change.",
    ),
    "D205": note(
        "Nobody has written down that it was heard: until then it may be a message that never arrives.",
        "Wet a probe with purified water and wait for the message; then write `heard after a wetted probe` with the "
        "day.",
    ),
    "D206": note(
        'It and {others} fill "{vessel}" side by side: should one of them stick open, the others stop nothing.',
        "Let one come after the other in the line (`after: ...`): then either one shuts it.",
    ),
    "D207": warning(
        'The water in "{vessel}" shuts it, and what comes through it goes on to "{into}" by {other}.',
        "Name the vessel in which the line ends.",
    ),
    "D208": warning(
        '{litres} are changed, and "{vessel}" holds {holds}: more goes in than came out, and it runs over.',
        "Change less at a time, or name the vessel out of which the water is really taken.",
    ),
    "D209": warning(
        'Salt water is put into "{vessel}", which is no tank: what is drawn from it then brings salt.',
        "Name the tank or its sump.",
    ),
    "D210": note(
        "It and {other}, one after the other, shut within {apart} of each other: when one of them fails, the other "
        "holds at the same mark, and nobody sees that only one is left.",
        "Set one a centimetre or two higher: water that stands there then shows that the other no longer shuts.",
    ),
    "D211": warning(
        'It is said to hold back the water of "{vessel}", and its line leads into {into}.',
        "Name the vessel in which its line ends.",
    ),
    "D212": warning(
        "It is {length} long, and from {membrane} to its end it must bridge {apart} of height.",
        "Measure it along its way, and both heights from the same floor. Mind the units.",
    ),
    "D213": error(
        '"{drain}" is a standpipe: its mouth stands above the floor, and takes nothing of what lies there.',
        "Name a floor drain, or leave the drain out: water on this floor then goes where the floor leads.",
    ),
    "D214": warning(
        'Its new water has {new}, and that of "{tank}" {old}: with every change the salinity moves.',
        "Write the salinity of the new water as it is mixed; for a fresh-water tank `salinity: 0 ppt`.",
    ),
}
