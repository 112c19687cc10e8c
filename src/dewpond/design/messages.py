"""All texts about a design file, by code. Codes never change; texts may be reworded or translated.

D001-D029 the file as a text, D030-D049 its sections and parts, D050-D069 values and references, D070-D089 matrix and
messages, D100-D199 the checks over the whole. Words in braces are filled in by whoever reports.
"""

from __future__ import annotations

from typing import Final, NamedTuple

from dewpond.errors import Level


class Text(NamedTuple):
    """The two sentences of a finding."""

    level: Level
    what: str
    remedy: str


def _error(what: str, remedy: str) -> Text:
    return Text("error", what, remedy)


def _warning(what: str, remedy: str) -> Text:
    return Text("warning", what, remedy)


def _note(what: str, remedy: str) -> Text:
    return Text("note", what, remedy)


_FILE: Final = {
    "D001": _error("There is no such file.", "Check the name and the folder it is in."),
    "D002": _error("This is a folder, not a file.", "Name the design file inside it."),
    "D003": _error("The file cannot be opened: {reason}.", "See to it that you may read the file, then try again."),
    "D004": _error(
        "The file is larger than {limit}; it is read no further.",
        "A design is a text of a few dozen kilobytes at most. Check that this is the file you meant.",
    ),
    "D005": _error("The file is empty.", "Start with the line `format: 1`, or copy one of the examples."),
    "D006": _error(
        "This is not a text file: line {line} holds a character that no text has (number {number}).",
        "Name the design file itself, and save it as plain text, not as a document of a word processor.",
    ),
    "D007": _error(
        "Line {line} is not in UTF-8, the coding in which the file must be saved{guess}.",
        "Save the file again with the coding UTF-8; editors offer it under `Save as` or in the bottom line.",
    ),
    "D008": _error(
        "The file begins with a byte-order mark, an invisible sign that some editors put there.",
        "Save the file again as UTF-8 without a byte-order mark (without BOM).",
    ),
    "D009": _error(
        "There is a tab at the beginning of {lines}; in this kind of file only spaces may indent.",
        "Put spaces in place of the tabs; most editors do it for the whole file at once.",
    ),
    "D010": _error(
        "The file cannot be read from here on: {problem}.",
        "Look at this line and the one above it: an indentation, a colon, a bracket or a quotation mark is amiss.",
    ),
    "D011": _error(
        "There is a second colon with a space after it where only a value may stand.",
        'Put the value in quotation marks, as in cause: "2 of: A wet, B wet, C wet", or indent the line like the '
        "one above it.",
    ),
    "D012": _error(
        "A quotation mark is opened in or above this line and never closed.",
        "Close it. For inches, write 1/4 in: a value must not begin with a quotation mark that is not closed.",
    ),
    "D013": _error(
        "A comma is missing in this line, or the bracket opened in line {opened} is not closed.",
        "Each {{ needs its }}, each [ its ], and commas part what stands inside. Inside brackets, a value with a comma "
        "or a colon needs quotation marks.",
    ),
    "D014": _error("A value begins with a sign that may not stand there: {sign}.", "Put the value in quotation marks."),
    "D015": _error(
        "{sign} makes a short cut to another place of the file (an anchor or alias); design files have none, so that "
        "each line says what it means.",
        "Write the value out, or put it in quotation marks if it really begins with that sign.",
    ),
    "D016": _error(
        "The key << would merge another part into this one; design files do not merge, so that each part says all "
        "that is different from the defaults.",
        "Write the keys out.",
    ),
    "D017": _error(
        "{tag} tells a program how to read the value; design files hold plain words and quantities only.",
        "Take it out.",
    ),
    "D018": _error(
        "A second document begins here (---); a design is one document.",
        "Take the line out, or put the second design in a file of its own.",
    ),
    "D019": _error(
        "Brackets or indentations are nested more than {limit} deep here, which no design needs. The rest of the file "
        "was not read.",
        "Check for brackets that are opened and not closed.",
    ),
    "D020": _error(
        'The key "{key}" stands twice in the same place: in line {first} and in line {second}.',
        "Keep one of the two.",
    ),
    "D021": _error("A key must be one word or a few, not a list or a group in brackets.", "Write a plain key."),
    "D022": _error(
        "The file does not begin with keys such as `format: 1`.",
        "A design is a list of sections, each a word followed by a colon; copy one of the examples to begin with.",
    ),
    "D023": _error(
        "There are more than {limit} findings; the rest is not shown.", "Mend the first ones, and check the file again."
    ),
    "D024": _error(
        "A colon stands here with no value behind it.",
        "Write a space and the value behind the colon, or take the key out.",
    ),
    "D025": _error(
        "This line does not stand in line with those above it, so that it is not clear to what it belongs.",
        "Indent it by as many spaces as the lines it belongs with.",
    ),
    "D026": _error(
        "This line has no colon.", "Put a colon and a space between the key and its value, or a # before a remark."
    ),
    "D027": _error(
        "The value has ended, and more follows in the same line: {rest}",
        "Count the brackets of this line; put a value that holds quotation marks into the other kind of them.",
    ),
    "D028": _error(
        "This is a pipe or a device, not a file that can be read from beginning to end.",
        "Save the design as a file, and name that.",
    ),
    "D029": _error(
        "A name or value holds a character that is not to be seen and that no text has (number {number}).",
        "Take it out: look for a backslash between quotation marks.",
    ),
}
_SECTIONS: Final = {
    "D030": _error("The file does not say its format.", "Put the line `format: 1` at its head."),
    "D031": _error('There is no format "{got}"; this Dewpond reads format {known}.', "Write `format: {known}`."),
    "D032": _error(
        "The file is in format {got}, newer than format {known}, the newest that this Dewpond reads. Nothing else was "
        "looked at.",
        "Install a newer Dewpond, or save the design in format {known}.",
    ),
    "D033": _error('"{got}" is not a section of a design.', "{near}Known here: {known}."),
    "D034": _error(
        'The section "{got}" must hold parts, one a line: a name, a colon, and its keys in braces.',
        "For instance: {example}",
    ),
    "D035": _error('There is no kind of part called "{got}".', "{near}Kinds in this section: {known}."),
    "D036": _error(
        'The kind "{got}" belongs in the section "{right}", not here.', "Move the line there, or choose: {known}."
    ),
    "D037": _error("The part does not say what kind it is.", "Add `kind: ...`. Kinds in this section: {known}."),
    "D038": _error("After the name of a part its keys are wanted, got {got}.", "For instance: {example}"),
    "D039": _error('The kind "{kind}" has no key "{got}".', "{near}Known here: {known}."),
    "D040": _error('The key "{key}" is missing.', "{help} Add it, for instance `{example}`.{unknown}"),
    "D041": _error(
        'The name "{name}" stands for two parts: in line {first} and in line {second}.',
        "Names must differ over the whole file, places, parts and people alike. Rename one of the two.",
    ),
    "D042": _error(
        'The name "{name}" cannot be used: {why}.',
        "Use a short name of letters, digits and spaces, such as `float` or `big sump`.",
    ),
    "D043": _error(
        'The id "{got}" cannot be used.', "An id is made of small letters, digits and hyphens, for instance {example}."
    ),
    "D044": _error(
        'The id "{got}" belongs to two parts, "{first}" and "{second}".',
        "Give one of them another id; the daybook tells parts apart by it.",
    ),
    "D045": _error(
        "The file describes no parts.", "Add at least the sections supply, places and water; copy one of the examples."
    ),
    "D046": _error(
        'There is no time zone "{got}".', "{near}Zones are named as region and city, for instance Europe/Lisbon."
    ),
}
_VALUES: Final = {
    "D050": _error('"{key}" wants {wanted}, got {got}.', "Write it as in `{example}`."),
    "D051": _error('Nothing stands after "{key}".', "Write it as in `{example}`.{unknown}"),
    # D052 and D066 to D069: quantities that units refuse, in their words.
    "D052": _error('"{key}": {what}', "{remedy}"),
    "D053": _error('"{key}" is {got}; it must be {allowed}.', "{near}{help} Check the number and its unit."),
    "D054": _error('"{key}" cannot be "{got}".', "{near}It can be: {known}."),
    "D055": _error('"{key}" wants a whole number, got "{got}".', "Write it in digits, without a unit, such as 3."),
    "D056": _error('"{key}" wants a date, got "{got}".', "Write year, month and day, such as 2026-03-01."),
    "D057": _error(
        '"{key}" is {count} characters long; nothing that is wanted there is longer than {limit}.',
        "Look for a quotation mark or a bracket that is not closed.",
    ),
    "D058": _error(
        '"{key}" cannot be measured from "{got}".',
        "{near}Heights are measured above or below: {known}. Without such a word, from the bottom.",
    ),
    "D059": _error('"{key}" is not written as it must be: "{got}".', "Write it as {pattern}, for instance: {example}"),
    "D060": _error('"{key}" cannot be answered with "unknown".', "{help} Find it out, and write it as in `{example}`."),
    "D061": _error('"{key}" names "{got}", and no part has that name.', "{near}{known}"),
    "D062": _error('"{key}" names "{got}", of the kind "{kind}"; it must be {wanted}.', "{known}"),
    "D063": _warning(
        '"{key}" is {got}, which would be unusual; most lie {usual}.',
        "{near}{help} If the figure is right, leave it as it is.",
    ),
    "D064": _error('"{key}" names the part itself.', "Name the part that comes before it."),
    "D065": _error('"{key}" names "{got}" twice.', "Keep one of the two."),
    "D066": _error('"{key}": {what}', "{remedy}"),
    "D067": _error('"{key}": {what}', "{remedy}"),
    "D068": _error('"{key}": {what}', "{remedy}"),
    "D069": _error('"{key}": {what}', "{remedy}"),
}
_MATRIX: Final = {
    "D070": _error(
        "The matrix must be a list of rows: a hyphen, then the keys of the row in braces.", "For instance: {example}"
    ),
    "D071": _error('There is no key "{got}" here.', "{near}Known here: {known}."),
    "D072": _error(
        'The cause mixes "and" with "or", which can be read in two ways.',
        'Write two rows with the same effect, each with only "and" or only "or" in its cause.',
    ),
    "D073": _error(
        'The cause "{got}" is not understood: {why}.',
        'Write part and state, as in: tray probe wet or study probe wet; several of a group as "2 of: A wet, B wet, '
        'C wet".',
    ),
    "D074": _error('The cause names "{got}", and no part has that name.', "{near}{known}"),
    "D075": _error("The cause wants {need} of {count}, which can never be.", "Write a number from 1 to {count}."),
    "D076": _error('The effect orders "{got}", and no part has that name.', "{near}{known}"),
    "D077": _error("The row does nothing: it orders no part and tells nobody.", "Add `effect: ...` or `tell: ...`."),
    "D078": _error('"until" cannot be "{got}".', "Write `cause ends`, or `re-armed by hand when` and the condition."),
    "D079": _error('"{key}" names the message "{got}", which the section messages does not have.', "{near}{known}"),
    "D080": _error(
        "The row says what follows when a run is too long, but not how long a run may be.",
        "Add `at most: ...`, for instance `at most: 4 min a run`.",
    ),
    "D081": _error(
        'The id "{got}" belongs to two rows, in line {first} and in line {second}.', "Give one of them another id."
    ),
}
# "Contact sense" and others speak of what follows, because the file may be right and the house wrong, or the reverse.
_CHECKS: Final = {
    "D100": _error(
        "Nothing follows {port} of this part: the water that comes out of it has nowhere to go.",
        "Add the part that comes after it, or check the names that other parts give after `after:`.",
    ),
    "D101": _error(
        "These parts come after each other in a ring: {ring}.",
        "Follow the water from the supply on and correct the `after:` of one of them.",
    ),
    "D102": _warning("Nothing fills this vessel.", "Say which part leads into it, or take the vessel out."),
    "D103": _warning("Nothing draws water from this vessel.", "Say which part draws from it, or take the vessel out."),
    "D104": _error(
        'The file says that the contact {contact} and that the input reads "{state}" when it is {reading}. If so, it '
        'reads "{state}" exactly when it is {opposite}.',
        "Dip the sensor and look at what the controller shows, then correct one of the two lines. If the file is "
        "right, turn the input round.",
    ),
    "D105": _error(
        'Two drivers give orders to "{actuator}": {drivers}. The file does not say which wins.',
        "Add `combination: any stop wins`, or let one driver carry out all rows.",
    ),
    "D106": _error(
        'The cause asks whether "{part}" is {word}; it can only be asked whether it is: {known}.',
        "{near}Correct the word.",
    ),
    "D107": _error(
        'The cause asks whether "{part}" is {word}, and the kind "{kind}" tells nobody in what state it is.',
        "Name a sensor that is wired to a controller.",
    ),
    "D108": _error('"{part}" cannot be ordered to be {word}; it can be: {known}.', "{near}Correct the word."),
    "D109": _error(
        '"{part}" takes no orders: the kind "{kind}" acts by itself or is worked by hand.',
        "Name a valve or a pump that a controller drives.",
    ),
    "D110": _error("This row can never act: {why}.", "Correct the cause, or take the row out."),
    "D111": _warning(
        "No row of the matrix gives this part an order: it stays {resting} for ever.",
        "Add a row with `effect: {{{name}: {acting}}}`, or take the part out.",
    ),
    "D112": _warning(
        "Rows start this pump and no row stops it: if a cause sticks, no sensor ends the run.",
        "Add a row that stops it, for instance at a high level, carried out by something that works when the "
        "controller hangs.",
    ),
    "D113": _warning(
        'The row runs "{part}" without a longest run: if its cause sticks, it runs until the source is empty.',
        "Add `at most: ...` with the time of a normal run and a margin.",
    ),
    "D114": _error(
        'The mark "{key}" is {height} above the bottom of "{vessel}", higher than its rim at {rim}: the water runs '
        "over before it gets there.",
        "Measure both from the bottom of the vessel, and correct the wrong one.",
    ),
    "D115": _error(
        'The mark "{key}" lies {height} below the bottom of "{vessel}".', "Measure it again, from the bottom upwards."
    ),
    "D116": _warning(
        'No line declares the power circuit "{got}", and there is a "{near}". If both are the same circuit, it is not '
        "seen that they fail together.",
        "If they are the same, write the same name; else declare both in the section power.",
    ),
    "D118": _warning(
        'The path names "{got}", which no part is called; "{near}" is nearly the same.',
        "If you mean that part, write its name exactly; then what fails there cuts the path.",
    ),
    "D119": _warning(
        "The row shuts something off until somebody comes, and tells nobody.", "Add `tell: ...` with a message."
    ),
    "D120": _warning(
        "There is no way for water into the design: no supply is described.", "Add the section `supply:`."
    ),
    "D122": _warning(
        "Nobody is at the end of this message: its path names no person of this file.",
        "Add the name of a person to its path; people of this file: {known}.",
    ),
    "D123": _warning("No row sends this message.", "Add `tell: {name}` to a row, or take the message out."),
    "D124": _error(
        "Nothing carries this row out: it does not say by which box, and nothing it names is driven by one or wired to "
        "one.",
        "Add `by: ...` with the name of a controller or relay.",
    ),
    "D125": _error('These places have each other in "{key}", in a ring: {ring}.', "Correct the line of one of them."),
}
TEXTS: Final[dict[str, Text]] = {**_FILE, **_SECTIONS, **_VALUES, **_MATRIX, **_CHECKS}

ROLES: Final = dict(
    line.split(": ")
    for line in (
        "source: a supply",
        "line: a part that water runs through",
        "vessel: a vessel",
        "place: a place",
        "drain: a drain",
        "sensor: a sensor",
        "box: a controller or relay",
        "device: a device that acts by itself",
        "circuit: a power circuit",
        "person: a person",
    )
)
LEVELS: Final = "bottom, rim, floor, tray"  # what a height may be measured from, as Level has it
SHAPES: Final = {"text": "one value", "list": "a list in brackets", "map": "keys in braces", "nothing": "nothing"}
NEAREST: Final = 'Did you mean "{word}"? '
LOOK_ALIKE: Final = (
    'Did you mean "{word}"? Letters of another alphabet stand in it that only look the same: type it anew. '
)
FITTING: Final = "Parts that fit here: {names}."
NONE_FITS: Final = "The file has no part that fits here: add one, or correct the name."
OR_UNKNOWN: Final = " Or answer `{key}: unknown`: all that it may be is then tried."
FIND_OUT: Final = " To find out: {how}."
MEANT: Final = "Did you mean {words}? "
BETWEEN: Final = "from {low} to {high}"
AT_LEAST: Final = "at least {low}"
AT_MOST: Final = "at most {high}"
WITH_KEYS: Final = "a part with the keys: {keys}"
ASKS_BOTH: Final = '"{part}" would have to be {first} and {second} at once'
NOT: Final = "not {word}"
NOBODY: Final = "none yet"
NOT_GIVEN: Final = "not given"
OR: Final = " or "
KNOWN_MESSAGES: Final = "Messages of this file: {names}."
KNOWN: Final = "Parts of this file: {names}."
HAS_NO_MESSAGES: Final = "The file has no messages yet: add a section `messages:`."
NOTHING_BETWEEN: Final = "nothing stands before or after one of its joining words"
NO_STATE: Final = '"{part}" is there without a state such as wet, low or high'
EXAMPLE_ROW: Final = "- {cause: tray probe wet, effect: {feed valve: shut}, until: cause ends}"
EXAMPLE_MESSAGE: Final = "leak message: {priority: now, path: [controller, router, phone of the keeper]}"

# Where a finding stands
HEAD: Final = "head of the file"
PART: Final = "{section}: {name}"
ROW: Final = "matrix: row {number}"
MESSAGE: Final = "messages: {name}"

# Why a name cannot be used
NAME_EMPTY: Final = "it is empty"
NAME_UNKNOWN: Final = 'the word "unknown" is kept for answers'
NAME_LONG: Final = "it is longer than {limit} characters"
NAME_SIGN: Final = "it holds the sign {sign}"
INVISIBLE: Final = "that is not to be seen"

# What editors show
SCHEMA_TITLE: Final = "Dewpond: description of a permanent purified-water fill with its top-off"
SCHEMA_FORMAT: Final = "The version of the file's form; stands at the head."
SCHEMA_SECTION: Final = "The section {section}: a part a line, its name first."
SCHEMA_KIND: Final = "What kind of part it is."
SCHEMA_ID: Final = "A name for the daybook that outlives the part's own: small letters, digits and hyphens."
SCHEMA_MATRIX: Final = "What makes what happen: cause, how long it must last, effect."
SCHEMA_ROW: Final = "One cause with its effect."
SCHEMA_MESSAGES: Final = "What is told to people, and by what path it reaches them."
SCHEMA_MESSAGE: Final = "A message that rows send."
SCHEMA_HEARTBEAT: Final = "A sign of life; when it stays away, somebody is told."
SCHEMA_LIMITS: Final = "Allowed: {limits}."
SCHEMA_EXAMPLE: Final = "For instance `{example}`."
