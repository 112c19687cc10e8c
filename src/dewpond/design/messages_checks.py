"""The texts of the checks over the whole design, by code: D100-D199. See ``messages``."""

from __future__ import annotations

from typing import Final

from dewpond.design.texts import error, note, warning

# "Contact sense" and others speak of what follows, because the file may be right and the house wrong, or the reverse.
CHECKS: Final = {
    "D100": error(
        "Nothing follows {port} of this part: the water that comes out of it has nowhere to go.",
        "Add the part that comes after it, or check the names that other parts give after `after:`.",
    ),
    "D101": error(
        "These parts come after each other in a ring: {ring}.",
        "Follow the water from the supply on and correct the `after:` of one of them.",
    ),
    "D102": warning("Nothing fills this vessel.", "Say which part leads into it, or take the vessel out."),
    "D103": warning(
        "Nothing draws water from this vessel.",
        "Say which part draws from it; if you dip or tap the water by hand, leave it as it is.",
    ),
    "D104": error(
        'The file says that the contact {contact} and that the input reads "{state}" when it is {reading}. If so, it '
        'reads "{state}" exactly when it is {opposite}.',
        "Dip the sensor and look at what the controller shows, then correct one of the two lines. If the file is "
        "right, turn the input round.",
    ),
    "D105": error(
        'Two drivers give orders to "{actuator}": {drivers}. The file does not say which wins.',
        "Add `combination: any stop wins`, or let one driver carry out all rows.",
    ),
    "D106": error(
        'The cause asks whether "{part}" is "{word}"; it can only be asked whether it is: {known}.',
        "{near}Correct the word.",
    ),
    "D107": error(
        'The cause asks whether "{part}" is {word}, and the kind "{kind}" tells nobody in what state it is.',
        "Name a sensor that is wired to a controller.",
    ),
    "D108": error('"{part}" cannot be ordered to be {word}; it can be: {known}.', "{near}Correct the word."),
    "D109": error(
        '"{part}" takes no orders: the kind "{kind}" acts by itself or is worked by hand.',
        "Name a valve or a pump that a controller drives.",
    ),
    "D110": error("This row can never act: {why}.", "Correct the cause, or take the row out."),
    "D111": warning(
        "No row of the matrix orders it to be {acting}: it stays {resting} for ever.",
        "Add a row with `effect: {{{name}: {acting}}}`, or take the part out.",
    ),
    "D112": warning(
        'No switch for high water stops this pump: should it run on, "{vessel}" takes {space}, which is there after '
        "{after} at the earliest, and then runs over.",
        "Put a level switch above the highest ordinary water, and a row by which it stops the pump; best "
        "through a relay in its lead, which works when the controller hangs.",
    ),
    "D113": warning(
        'The row runs "{part}" without a longest run: if its cause sticks, it runs until the source is empty.',
        "Add `at most: ...` with the time of a normal run and a margin.",
    ),
    "D114": error(
        'The mark "{key}" is {height} above the bottom of "{vessel}", higher than its rim at {rim}: the water runs '
        "over before it gets there.",
        "Measure both from the bottom of the vessel, and correct the wrong one.",
    ),
    "D115": error(
        'The mark "{key}" lies {height} below the bottom of "{vessel}".', "Measure it again, from the bottom upwards."
    ),
    "D116": warning(
        'No line declares the power circuit "{got}", and there is a "{near}". If both are the same circuit, it is not '
        "seen that they fail together.",
        "If they are the same, write the same name; else declare both in the section power.",
    ),
    "D118": warning(
        'The path names "{got}", which no part is called; "{near}" is nearly the same.',
        "If you mean that part, write its name exactly; then what fails there cuts the path.",
    ),
    "D119": warning(
        "The row shuts something off until somebody comes, and tells nobody.", "Add `tell: ...` with a message."
    ),
    "D120": warning("There is no way for water into the design: no supply is described.", "Add the section `supply:`."),
    "D122": warning(
        "Nobody is at the end of this message: its path names no person of this file.",
        "Add the name of a person to its path; people of this file: {known}.",
    ),
    "D123": warning("No row sends this message.", "Add `tell: {name}` to a row, or take the message out."),
    "D124": error(
        "Nothing carries this row out: it does not say by which box, and nothing it names is driven by one or wired to "
        "one.",
        "Add `by: ...` with the name of a controller or relay.",
    ),
    "D125": error('These parts have each other in "{key}", in a ring: {ring}.', "Correct the line of one of them."),
    "D126": warning(
        "This pump gives {flow}. If it runs on, it takes no longer than {bears} until its fresh water has lowered the "
        'salinity of "{vessel}" and all that circulates with it ({volume} of water) from {before} to {after}, from '
        "where on animals are at risk.",
        "A weaker pump, or a thinner tube, gives everything else more time to stop it. {gentle} puts back what "
        "evaporates in a day from an ordinary tank in an hour or two.",
    ),
    "D127": warning(
        'One run of {at_most} puts {added} into "{vessel}": from {begun}, where a switch that sticks may let it begin, '
        "its water rises by {rise}{over}{salt}.",
        "{usual}",
    ),
    "D128": warning(
        '{per_day} a day into "{vessel}" takes the salinity of it and all that circulates with it ({volume}) from '
        "{before} to {after} in a day, if nothing stops it.",
        "Write the most that evaporates in a day, and a quarter more: a week of readings tells.",
    ),
    "D129": warning(
        '{per_day} a day is less than even a covered tank loses from {area} of water, as here: "{vessel}" dries up '
        "slowly.",
        "Check the figure and its unit; {least} a day is about the least to expect.",
    ),
    "D130": warning(
        'From the mark "{low}" to the mark "{high}" the pump needs about {normal}; "at most" cuts every run off after '
        "{at_most}.",
        "Let a run last about twice as long as an ordinary one.",
    ),
    "D131": warning(
        'It is larger than the place it stands in: {own} in "{place}" with {floor}.',
        "Measure both, or name the place it really stands in.",
    ),
    "D132": warning(
        "The row waits for {lasting} while a probe is wet, before it stops the water.",
        "A few seconds are enough to let a splash pass. Check the figure and its unit.",
    ),
    "D133": warning(
        'It is quite shut only when the water in "{vessel}" stands at {height}, and the overflow there runs from '
        "{runs} on: water would run away without end.",
        "Set the float lower, or check both heights.",
    ),
    "D134": warning(
        'It calls for water at {height}, and the return pump in "{vessel}" draws air below {needs}: it calls too late.',
        "Set the mark between what the return pump needs and the running level, or check both heights.",
    ),
    "D135": warning(
        'The mark for high water stands at {height}, and the water in "{vessel}" at {start} while all is well: it '
        "tells of high water all the time.",
        "Measure both from the bottom of the vessel, and correct the wrong one.",
    ),
    "D136": warning(
        "When the return pump stops, {litres} would come down, and the tanks above would fall by {falls}; 10 to 50 mm "
        "would be usual.",
        "Unplug the return pump and look at both with a ruler; check the sizes of sump and tank, and the units.",
    ),
    "D137": warning(
        "No row of the matrix asks for this sensor: whatever it finds, nothing follows and nobody is told.",
        "Add a row with `cause: {name} {word}`, or take the part out.",
    ),
    "D138": warning(
        'The end of its tube stands {end} above the bottom of "{vessel}", under the highest water there, '
        "{water}{when}. A stopped pump is an open pipe, full once it has run: water would run by itself {way}.",
        "Lift the end of the tube above the highest water of both; or make a small hole in the tube above the water, "
        "and write `vent hole above the water: present`.",
    ),
    "D139": note(
        'Nobody is told when a run of "{part}" reaches {at_most} and is ended; {after}.',
        "To be told, write {add} with one of the messages: {known}.",
    ),
    "D140": note(
        'This pump gives {flow}. A run that reaches `at most: {at_most}` lowers the salinity of "{vessel}" and all '
        "that circulates with it ({volume} of water) from {before} to {ended}. A pump that runs on although it is told "
        "to stop knows no such limit: it takes {bears} until the salinity is {after}, from where on animals are at "
        "risk.",
        "A weaker pump, or a thinner tube, gives everything else more time to stop it. {gentle} puts back what "
        "evaporates in a day from an ordinary tank in an hour or two.",
    ),
    "D141": warning(
        "It lifts at most {lifts}, and the end of its tube stands {low} above the lowest water it draws from "
        '"{vessel}": {when}.',
        "Measure how high it lifts: raise the end of a tube until nothing comes. Else lower the outlet, or take a pump "
        "that lifts higher.",
    ),
    "D142": error('It draws from "{vessel}" and ends in it.', "Name the vessel that it fills in `to`."),
    "D143": warning(
        'It draws air below {dry}, and "{vessel}" is no fuller than {start}: it would never draw water.',
        "Measure both from the bottom of the vessel, and mind the units.",
    ),
    "D144": warning(
        'The end of its tube stands {below} lower than the water in "{source}". A stopped pump is an open pipe, full '
        'once it has run: water would run on by itself into "{vessel}".',
        "Lift the end of the tube above the highest water of both; or make a small hole in the tube above it, and "
        "write `vent hole above the water: present`.",
    ),
    "D145": warning(
        'It leads to "{place}", whose floor lies higher: {there} above that of the lowest room, its own {own}. Water '
        "does not run uphill.",
        "Correct `leads to`, or the `floor height` of one of the two: where that is left out, a floor counts as the "
        "lowest.",
    ),
    "D146": warning(
        'Whenever this row orders "{part}" to be {go}, {other} (line {other_line}) orders it to be {stop}, and a stop '
        "always wins: for it this row does nothing.",
        "Correct the cause or the order of one of the two, or take one out.",
    ),
    "D147": warning(
        'The row lets "{part}" run while "{sensor}" is {state}, that is while there is water enough in "{vessel}", '
        "which the pump fills: it runs into a full vessel, and rests while water is wanted.",
        "Let it run while a sensor there is low, and stop while one is high; or check which sensor is meant.",
    ),
    "D148": warning(
        '"{pump}" rests only when the water in "{vessel}" stands at {height}, and while all is well it stands at '
        "{start}: {added} too much would be added{when}{salt}.",
        "Measure both from the bottom of the vessel, and set the mark no higher than where the water shall stand.",
    ),
    "D149": warning(
        '"{key}" names the floor of "{place}", no drain: the waste runs onto it whenever water is made.',
        "Name the drain in which the tube ends; if the file has none, add it to the section places.",
    ),
    "D150": note(
        '"{key}" names the floor of "{place}", no drain: what comes out lies there.',
        "Name the drain in which it ends; if there is none, leave it as it is.",
    ),
    "D151": warning(
        '"{key}" counts from a tray, and it stands in none: it is taken as measured from the floor.',
        "Write `above floor` or `below floor`, or name the tray as the place it stands in.",
    ),
    "D152": warning(
        '"{got}" shall be told, and no person is called so: nobody would hear of it.',
        "{near}People here: {known}.",
    ),
    "D153": error(
        '"{part}" has {has}, and its water goes to {names} already.',
        'Where the water parts, put a part that is made for it{split} after "{part}", and name that one here; or '
        "correct the line that names the wrong part.{count}",
    ),
    "D154": warning(
        'It has {has}, and only "{alone}" comes after it: the rest is taken as plugged.',
        "Say of what else it feeds that it comes `after: {part}`; or take it out of the file.",
    ),
    "D155": warning(
        "Its air is at {air} on an ordinary winter day: in a hard frost the water in {parts} may freeze, and what has "
        "burst leaks when it thaws.",
        "Keep the room well above freezing, lead the line another way, or shut it off and empty it before the frost.",
    ),
    # Of a value, as D069: its numbers are used up.
    "D156": error(
        '"{key}" is "{got}", and says from where it counts; it always counts from the same.',
        'Write only "{height}", counted so: {help}',
    ),
}
