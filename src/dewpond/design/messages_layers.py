"""The texts of the checks on protections and on what nobody would notice: D157-D180. See ``messages``."""

from __future__ import annotations

from typing import Final

from dewpond.design.texts import note, warning

LAYERS: Final = {
    "D157": warning(
        "Nothing keeps {valve} shut once {probes} is dry again: when the puddle has dried, the water starts again by "
        "itself, and so again and again{much}.",
        "Write `until: re-armed by hand when dry`, and let a message tell somebody.",
    ),
    "D158": warning(
        "The file says `without power: {does}`: {opens}{much}.",
        "Take a valve that shuts without power, or put one before it that shuts by its own spring or cells.",
    ),
    "D159": warning(
        "{valve} and {other} both hang on {shared}: what fails there keeps both open, so they count as one layer.",
        "Give one of them a probe and a driver of its own, such as a valve with its own cells.",
    ),
    "D160": warning(
        "{watched} shall miss the signs of life of {sender}, and both hang on {same}: whatever stops the one stops the "
        "other, and nobody is told.",
        "Let somebody outside the house miss them, or a box with power of its own.",
    ),
    "D161": warning(
        "Its water goes to {pumps}, and nobody is told when it runs low: it holds {litres}, and after that the tank "
        "has no fresh water.",
        "Put a level switch near its bottom, and add a row that tells somebody: `cause: ... low`, `tell: ...`.",
    ),
    "D162": warning(
        'It looks at the water in "{tank}", whose level stays where its overflow is: what evaporates is missing in '
        '"{sump}", and this switch finds nothing before that has run dry.',
        'Put it into the return chamber of "{sump}".',
    ),
    "D163": warning(
        'It needs {needs} to work, and it stands behind "{before}": {why}.',
        "Take a valve that needs no pressure (`needs at least: 0 bar`; it acts directly, or a motor turns it), or "
        "put this one before the membrane.",
    ),
    "D164": note(
        "No probe lies in it: {first}",
        "Put a probe at its lowest point.",
    ),
    "D165": warning(
        "Water can get out in {places}, and no probe lies there or where it goes on to: only a person finds "
        "it.{sounds}",
        "Put a probe at the lowest spot, or take the line where one lies.",
    ),
    "D166": warning(
        "It opens again when its probe has dried: the water starts again by itself, and so again and again{much}.",
        "Look whether it can be set to stay shut until somebody opens it; else take one that does.",
    ),
    "D167": warning(
        'No check valve stands behind "{membrane}": the pressure that keeps this shut-off shut leaks back, and the '
        "waste runs on for ever, down a drain where no probe sees it.",
        "Put a check valve into the product tube, right behind the membrane.",
    ),
    "D168": warning(
        "Nothing shuts its feed when {vessel} is full: the waste runs on for ever, down a drain where no probe "
        "sees it.",
        "Add an automatic shut-off on it and a check valve behind it, or a valve before it that a level switch shuts.",
    ),
    "D169": warning(
        'The row orders "{part}" to be {word} while "{cause}", and that is so whenever all is well: it stays {word}.',
        "Write the state in which it shall be {word}, or take the row out.",
    ),
    "D170": warning(
        'It draws from "{source}", whose water is the tank\'s, and fills "{vessel}" with it: salt water where fresh '
        "water should be.",
        "Change `from` and `to` over, if the pump tops the tank up.",
    ),
    "D171": warning(
        "Nobody can shut the water: this person would run to a stop tap, and no hand valve is described.",
        "Add the stop tap with its place: `stop tap: {{kind: hand valve, after: supply, in: ...}}`, and let the rest "
        "come after it.",
    ),
    "D172": warning(
        'A wet probe opens "{part}": the row orders it {word} while "{cause}".',
        "Order it shut while a probe is wet.",
    ),
    "D173": warning(
        'After a power cut of {cut} some {lost} may be missing in "{vessel}" beside the {band} between its two marks: '
        "the run that makes it good takes {needs}, and is cut off after {at_most} and locked until somebody re-arms "
        "it; the tank then gets nothing.",
        "Set `at most` above that, as far as the tank bears it.",
    ),
    "D174": warning(
        'Of "{vessel}" evaporate {typed} a day, as the file says, and the row gives it {per_day} at most: it '
        "falls day by day.",
        "Set `per day` above the evaporation of the driest week, as far as the tank bears it.",
    ),
    "D175": warning(
        'Water is told with "{message}", whose priority is "{priority}": that makes nobody come.',
        "Tell it with a message of the priority `now`.",
    ),
    "D176": warning(
        'The end of its tube stands {below} below the bottom of "{vessel}": it cannot fill it from there.',
        "Measure the height of the end from the floor of the room that the pump stands in, and correct it.",
    ),
    "D177": warning(
        'It tells of low water at {height} above the bottom of "{vessel}", and {pump} draws air from {inlet} on: the '
        "water never falls to this mark, and nobody is told.",
        "Set the mark above the inlet of the pump, by as many litres as the tank needs until somebody comes.",
    ),
    "D178": warning(
        'With the water at this mark, {height} above the bottom of "{vessel}", the return pump must not stop: what '
        "drains down then raises it by {rises}, and it runs over.",
        "Set the mark to {most} at most, or let less drain down.",
    ),
    "D179": warning(
        'It is quite shut only {left} below the rim of "{vessel}", which has no overflow: a float that seeps a little, '
        "or a wave, brings it over the rim.",
        "Set the float lower, by a few centimetres; or give the vessel an overflow that leads to a drain.",
    ),
    "D180": warning(
        "Its two marks stand {band} apart: ripples carry the water from one to the other, and what it orders starts "
        "and stops again and again.",
        "Set them some millimetres apart: 5 to 10 mm, as far as the tank bears it. Mind the units.",
    ),
}
