"""The texts about plans of floors: D300 on. See ``messages``."""

from __future__ import annotations

from typing import Final

from dewpond.design.texts import error, note, warning

FLOORS: Final = {
    "D300": error(
        "The plans of floors stand under the names of their rooms, each with keys of its own.",
        "For instance: {example}",
    ),
    "D301": error(
        'A plan is given for "{got}", and no place with a floor is called so.',
        "{near}Places that may have one: {known}.",
    ),
    "D302": error("The spots are names with where they stand, a line each.", "For instance: {example}"),
    "D303": error(
        '"{got}" shall stand on this floor, and no part is called so.',
        '{near}Write the name of a part, or "probe of ..." for the probe of a device that has its own.',
    ),
    "D304": error(
        "A reading says by what it was made and what it gave, in braces behind a hyphen.", "For instance: {example}"
    ),
    "D305": error('A reading by "{got}" is not known.', "{near}Known are: {known}."),
    "D306": error(
        "{what} covers nothing: {why}.",
        "Two corners are opposite corners of a rectangle, three or more are the corners in their order. What is thin "
        "has a width all the same: 1 cm.",
    ),
    "D307": error(
        "{what} crosses itself: the stretch from {a} to {b} meets the one from {c} to {d}.",
        "Name the corners in their order round it, each once; from the last it goes back to the first.",
    ),
    "D308": error(
        "The outline {has}: no room is like that.",
        "Mind the unit, m or cm, and that each corner is two lengths from the corner of the storey.",
    ),
    "D309": error(
        "{what} has {count} {things}, and at most {most} are read.",
        "Leave out what tells nothing new, as a corner nearly on a line between two others, or a reading close to "
        "another.",
    ),
    "D310": warning(
        "The outline covers {drawn}; by `size: {size}` the room covers {covers}.",
        "Measure again, and correct the outline or `size`: the runs over time reckon with that one.{fits}",
    ),
    "D311": error(
        "It overlaps the floor of {other}, on the same storey, by {wide} about {spot}.",
        "All rooms of a storey are measured from one corner. Find a wall that both share, and correct one of them. If "
        "one lies above the other, give it its `floor height`.",
    ),
    "D312": error(
        '"{place}" lies in "{room}", and has no plan of its own.',
        'Name it among the `spots` of {room}, with two corners: "{place}: [1 m x 0.2 m, 1.8 m x 0.65 m]".',
    ),
    "D313": error(
        "{what} lies at {spot}, {far} outside the outline.",
        "Every spot counts from the corner of the storey, first to the right, then up. Correct the spot, or the "
        "outline.",
    ),
    "D314": error(
        "{what} lies at {spot}, inside an area that no water enters (`walls`).",
        "Correct the spot, or the area of the wall.",
    ),
    "D315": error(
        "{what} reaches {far} over the outline.",
        "Correct its corners, or the outline: what stands in a room ends at its walls.",
    ),
    "D316": error(
        '"{name}" shall stand on this floor; by the rest of the file it stands in: {places}.',
        "Take its spot out here and put it on the plan of its own room, or correct where it stands.",
    ),
    "D317": warning(
        '"{name}" is drawn {drawn}; its `size` is {size}.',
        "Measure it again, and correct its corners or its `size`. A tray is drawn as it lies on the floor, by its "
        "walls.",
    ),
    "D318": note(
        "Without a spot on this plan: {names}. Until then leaks of such a part are taken at the spot of the part next "
        "to it in the line, and where such a probe or tray lies is not known.",
        "Add them to `spots` as you find them: so far to the right x so far up. A few centimetres do not matter.",
    ),
    "D319": error(
        'Water leaves this room by "{drain}", and the plan does not say where that is.',
        "Add it to `spots`: the middle of its grating.",
    ),
    "D320": error(
        "The opening {has}.",
        "Name its two ends on the outline: `between: [3.2 m x 0 m, 4 m x 0 m]`.",
    ),
    "D321": error(
        "The opening ends at {spot}, {far} from the outline.",
        "An opening lies in a wall of the room: both its ends are spots on the outline.",
    ),
    "D322": error(
        "The opening from {a} to {b} does not follow the wall: between its ends it is {far} from the outline.",
        "Both ends lie on one straight stretch. What goes round a corner is two openings.",
    ),
    "D323": error(
        '{what} leads to "{place}", {why}.',
        "Name the room behind it; leave `leads to` out where the file has no such room.",
    ),
    "D324": error(
        'The opening leads to "{place}", whose outline begins {far} from it.',
        "By its plan that room is no neighbour here. Mind that both are measured from one corner of the storey; or "
        "correct `leads to`.",
    ),
    "D325": warning(
        '{what} leads to "{place}", whose floor lies {up} higher: no water goes that way until it stands so high.',
        "Correct the `floor height` of one of the two rooms, or where it leads to. Stairs that lead up are drawn only "
        "to show where water comes down them: then `leads to` of the room above, or an opening of its plan, names this "
        "room.",
    ),
    "D326": warning(
        'By the rest of the file water goes on from here to "{place}", and no opening, joint or drain of the plan '
        "leads there{others}.",
        "Draw the door, the stair or the gap by which it goes there, or correct `leads to` of the room.",
    ),
    "D327": warning(
        'By the plan water goes on from here to "{place}"; the room has no `leads to`, so that all of it stays where '
        "no plan is asked: in `prove`, `limits` and `ways`.",
        "Write `leads to: {place}` at the room, or take it out here.",
    ),
    "D328": warning(
        "The plan has no opening, no joint and no drain: as it stands water can only rise in here.",
        "Is a door missing? Draw each with its sill, one that leads to no room of the file too.",
    ),
    "D329": warning(
        "{what} lies wholly outside the outline, and counts for nothing.",
        "Every spot counts from the corner of the storey, first to the right, then up. Correct it, or take it out.",
    ),
    "D330": warning(
        "The opening is {wide} wide.",
        "Name both ends of it. A gap through which water leaves for the room below is a joint.",
    ),
    "D331": error(
        'A hollow lies under "{name}", which {has}.',
        "Name two corners of it among the `spots`: what it covers is what it presses in.",
    ),
    "D332": error(
        "It begins and ends at {spot}.",
        "Measure where both ends were: a rise needs some way to show.",
    ),
    "D333": warning(
        "The batten lies over {length}, and such a long one bends.",
        "Mind the unit; or read heights by a water tube at both ends.",
    ),
    "D334": warning(
        "{own} was read here, and {other} in reading {number}, {apart} from it: they differ by {differ}, where "
        "{expected} could be expected.",
        "Read both again. Heights of one room count from one level line; a step between them is a patch, `raised by` "
        "its height.",
    ),
    "D335": error(
        "{poured} on {drawn} would be {film} deep{why}.",
        "Measure again what was poured and the puddle, its whole width where it is widest. Mind the units.",
    ),
    "D336": error(
        "It was poured at {spot}, {far} outside the puddle that was drawn.",
        "Correct one of them: a puddle holds the spot at which it was poured.",
    ),
    "D337": error(
        "The probe acted after {after}, and only {poured} had been poured in all.",
        "Write in `poured` all that was poured, and in `after` what of it had been when the probe acted.",
    ),
    "D338": error(
        "It says after how much a probe acted, and not which.",
        "Name the probe in `probe`, or take `after` out.",
    ),
    "D339": warning(
        "Nothing is said of what became of the water that was poured: it tells nothing.",
        "Draw the puddle's edge as `outline`, or name in `probe` the probe that lay there, with `after` if it acted.",
    ),
    "D340": error(
        'The plan does not say where the probe of the pour lies: "{name}".',
        'Add "{name}" to `spots`.',
    ),
    "D341": warning(
        'The opening leads to "{place}", and the plan of that room has none that leads back here.',
        "Draw the door in both plans: there with `leads to: {own}`, its two ends in its own wall.",
    ),
    "D342": error(
        '"{name}" is no probe on a floor: what it says is {states}.',
        "Name the leak probe, the rope, or the valve with a probe of its own that lay there.",
    ),
    "D343": error(
        '{what} lies {far} {side} the rim of "{tray}", and by the rest of the file it stands in "{own}".',
        "Correct the spot, or where it stands: on one side of a rim it feels and loses other water than on the other.",
    ),
    "D344": warning(
        'The probe "{probe}" {own}; in reading {number} (line {its_line}), {apart}, it {other}. By the one that took '
        "less, {most} at most should have done for the other (our prior).",
        "Pour once more, slowly, on a floor that has been dry for a day, and see first that the probe feels a drop of "
        "the same water. Strike out the reading in which the floor was still wet, or the probe lay elsewhere or was "
        "dead; correct what is mistyped.",
    ),
    "D345": warning(
        "{own}; in reading {number} (line {its_line}), {apart}, {other}. On one dry floor more water covers no less.",
        "Pour once more on a floor that has been dry for a day, and draw the edge at once. Strike out the reading in "
        "which the floor was still wet; correct what is mistyped.",
    ),
    "D346": warning(
        'The sill of this door lies {sill} over this floor, and in the plan of "{place}" (line {its_line}) {back} over '
        "that one{heights}: the tops differ by {differ}. The higher one is taken, {top} over this floor.",
        "Measure the sill from both sides, at its lowest spot, and correct the one that is wrong; a door without "
        "`sill` has none.{or_heights}",
    ),
    "D347": warning(
        'The probe "{name}" kept silent, and lies {far} inside the puddle that was drawn.',
        "Pour a little of the same water right over it. If it keeps silent it is dead, not connected, or does not see "
        "purified water, and protects nothing: take it out of this reading, and see to it first. If it acts, correct "
        "its spot or the outline, or write in `after` when it acted.",
    ),
    "D348": warning(
        'The probe "{name}" acted, and lies {far} outside the puddle that was drawn.',
        "Correct its spot or the outline: a puddle that was drawn at the end of the pour holds the probe that it "
        "reached.",
    ),
    "D349": warning(
        '"{name}" reaches {far} past the rim of "{tray}", in which it stands: what leaks there misses the tray, and is '
        "taken as caught.",
        "Draw it where it stands, correct the corners of the tray, or have a wider tray.",
    ),
    "D350": error(
        '"{name}" lies {far} beside "{tray}". It has no `in`, and so counts as standing there with the sump it drains '
        "to: all that it loses would be taken as caught.",
        "Write `in: {room}` if it stands on the floor of the room; otherwise correct its corners, or those of the "
        "tray.",
    ),
    "D351": note(
        '"{name}" has one spot, its middle, and it matters which way it lies: taken are {right} to the right x {up} up '
        "on the plan, by its `size`.{past}",
        "Name two opposite corners instead, as it lies: `{name}: [1 m x 0.2 m, 1.8 m x 0.65 m]`.",
    ),
    "D352": warning(
        'The plan of "{place}" (line {its_line}) draws this door elsewhere: the ends differ by {differ}. {taken}',
        "Measure from the corner of the storey to both its posts, and correct the one that is wrong. If they are two "
        "doors, draw each in both plans.",
    ),
    "D353": error(
        '"{name}" is given {count} spots without brackets.',
        "Two opposite corners of what covers an area, or the corners of a way, stand in brackets: `{name}: [{spots}]`.",
    ),
    "D354": note(
        'All that was read of this floor lies on one side of "{drain}", and nothing {beyond}.',
        "Read on the far side of the drain too, a height or two, or a batten from the drain outwards: where the floor "
        "goes on falling past it, water runs past it.",
    ),
    "D355": warning(
        "{poured} on {drawn} would be {film} deep; from {low} to {high} is usual on {surface}. It is taken all the "
        "same, for all such floor.",
        "Measure the puddle again as soon as it stands still, its longest way and the way across it, and mind the "
        "units. Water goes further on a floor that is wet, soapy or sloping, and stands deeper in a hollow: pour on a "
        "dry and level spot.",
    ),
    "D360": warning(
        "The puddle of {own} and that of {other} in reading {number} (line {its_line}), {apart}, share hardly any "
        "floor.",
        "On one floor less water lies where more does. See whether one outline is drawn the wrong way round, or one "
        "pour belongs to another spot; else pour once more, and draw the edge at once.",
    ),
}

THE_PLAN: Final = "The plan"
CORNERS: Final = "corners"
OUTLINE: Final = "The outline"
NUMBERED: Final = "Number {number} in `{key}`"
NAMED: Final = '"{name}"'
PUDDLE: Final = "The puddle that was drawn"
THE_OPENING: Final = "The opening"
READ_HERE: Final = "The reading"
BEGINS: Final = "The beginning of the reading"
ENDS: Final = "The end of the reading"
ONE_CORNER: Final = "it has one corner"
ON_A_LINE: Final = "its corners lie on one line"
COVERS_LITTLE: Final = "covers {area}"
LONG_WALL: Final = "has a wall of {length}"
NO_ENDS: Final = "is not drawn by its two ends"
ENDS_MEET: Final = "begins and ends at {spot}"
LEADS_TO_ITSELF: Final = "which is this room itself"
LEADS_TO_A_TRAY: Final = 'which lies in "{room}"'
LEADS_ELSEWHERE: Final = " (they lead to: {places})"
ROOM_ITSELF: Final = "no other room, since it is one"
NO_SPOT: Final = "has no spot on this plan"
NO_AREA: Final = "is drawn as one spot"
A_PUDDLE: Final = "a puddle of {area}"
TOO_DEEP: Final = ": no puddle stands deeper than {most} on a floor like that"
TOO_THIN: Final = ": water draws together before it is so thin"

ACTED: Final = "acted after {after}"
KEPT_SILENT: Final = "kept silent up to {poured}"
COVERED: Final = "{poured} covered {area}"
HIGHER: Final = ", which lies {up} higher"
LOWER: Final = ", which lies {up} lower"
OR_FLOOR_HEIGHT: Final = " Or correct the `floor height` of one of the two rooms."
AT_ONE_SPOT: Final = "poured at the same spot"
APART: Final = "poured {far} from it"

SPOT_OF: Final = 'The spot of "{name}"'
MIDDLE_OF: Final = 'The middle of "{name}"'
SO_OVER_THE_WALL: Final = " So it would reach {far} over the outline of the room."
TAKEN_AS_ONE: Final = "They are taken as one door, open at least where that plan has it, {wide} wide."
TAKEN_AS_TWO: Final = "The two do not meet, and water is taken to pass at both."
TO_THE_RIGHT, TO_THE_LEFT = "to the right of it", "to the left of it"
ABOVE, BELOW = "above it on the plan", "below it on the plan"
NO_RECTANGLE: Final = (
    " Of a room that is no rectangle `size` is a length x a width of the same area: by this outline `size: {fits}`."
)
OUTSIDE, INSIDE = "outside", "inside"
PLAN: Final = "floor of {place}"
READING: Final = "reading {number}, {where}"
NOTHING_YET: Final = "none in this file"
EXAMPLE_PLAN: Final = "study: {outline: [0 m x 0 m, 4.2 m x 3.5 m]}"
SAMPLE_PLAN: Final = (
    "study: {outline: [0 m x 0 m, 4.2 m x 3.5 m], walls: [[4 m x 1 m, 4.2 m x 1.6 m]], "
    "openings: [{between: [1 m x 3.5 m, 1.8 m x 3.5 m], sill: 15 mm, leads to: hall}], "
    "furniture: [{area: [2 m x 0 m, 3 m x 0.4 m], stands on: plinth}], "
    "patches: [{area: [1 m x 1 m, 2.6 m x 2.2 m], floor: carpet}], "
    "joints: [{area: [0 m x 2 m, 0.05 m x 2.1 m], leads to: laundry}], "
    "hollows: [{under: tank, depth: 2 mm}]}"
)
SAMPLE_READINGS: Final = {
    "water tube": "1: {at: 1 m x 0.5 m, height: 12 mm}",
    "laser": "1: {at: 1 m x 0.5 m, height: 12 mm}",
    "batten": "1: {from: 0.5 m x 1 m, to: 1.5 m x 1 m, rises: 4 mm, within: 0.5 mm}",
    "phone": "1: {from: 0.5 m x 1 m, to: 1.5 m x 1 m, angle: 0.2 deg}",
    "marble": "1: {from: 0.5 m x 1 m, to: 1 m x 1.2 m}",
    "cup": "1: {at: 2 m x 1 m, poured: 250 mL, puddle: 41 cm x 30 cm}",
    "pour": "1: {at: 1 m x 1 m, poured: 1 L, outline: [0.8 m x 0.8 m, 1.5 m x 0.9 m, 1.2 m x 1.4 m], "
    "probe: study probe, after: 0.6 L}",
}
"""Figures as a floor has them, for what is missing: by what was read -> its keys."""
EXAMPLE_SPOTS: Final = "study probe: 0.3 m x 0.4 m"
EXAMPLE_READING: Final = "- {by: water tube, at: 1 m x 0.5 m, height: 12 mm}"
SCHEMA_FLOORS: Final = (
    "The floors of rooms seen from above: outlines, openings, what stands where, what was read of them."
)
SCHEMA_PLAN: Final = "One floor. Every spot is so far to the right x so far up, from one corner for the whole storey."
SCHEMA_SPOTS: Final = (
    "Where parts stand: a spot, two corners of what covers an area, or the corners of the way that a tube takes."
)
SCHEMA_READINGS: Final = "What was read of the floor, each reading with its accuracy."
SCHEMA_BY: Final = "What the reading was made with."
