"""All texts about a design file, by code. Codes never change; texts may be reworded or translated.

D001-D029 the file as a text, D030-D049 its sections and parts, D050-D069 values and references, D070-D089 matrix and
messages, D090-D099 more values, D100 on the checks over the whole and (D240 on) the claims. Words in braces are
filled in by whoever reports.
"""

from __future__ import annotations

from typing import Final

from dewpond.design.messages_checks import CHECKS
from dewpond.design.messages_claims import CLAIMS
from dewpond.design.messages_floors import FLOORS
from dewpond.design.messages_layers import LAYERS
from dewpond.design.messages_lines import LINES
from dewpond.design.messages_pressure import PRESSURE
from dewpond.design.messages_rows import ROWS
from dewpond.design.messages_rulers import RULERS
from dewpond.design.messages_salt import SALT
from dewpond.design.messages_sizes import SIZES
from dewpond.design.messages_undriven import UNDRIVEN
from dewpond.design.texts import Text, error, warning

_FILE: Final = {
    "D001": error("There is no such file.", "Check the name and the folder it is in."),
    "D002": error("This is a folder, not a file.", "Name the design file inside it."),
    "D003": error("The file cannot be opened: {reason}.", "See to it that you may read the file, then try again."),
    "D004": error(
        "The file is larger than {limit}; it is read no further.",
        "A design is a text of a few dozen kilobytes at most. Check that this is the file you meant.",
    ),
    "D005": error("The file is empty.", "Start with the line `format: 1`, or copy one of the examples."),
    "D006": error(
        "This is not a text file: line {line} holds a character that no text has (number {number}).",
        "Name the design file itself, and save it as plain text, not as a document of a word processor.",
    ),
    "D007": error(
        "Line {line} is not in UTF-8, the coding in which the file must be saved{guess}.",
        "Save the file again with the coding UTF-8; editors offer it under `Save as` or in the bottom line.",
    ),
    "D009": error(
        "There is a tab at the beginning of {lines}; in this kind of file only spaces may indent.",
        "Put spaces in place of the tabs; most editors do it for the whole file at once.",
    ),
    "D010": error(
        "The file cannot be read from here on: {problem}.",
        "Look at this line and the one above it: an indentation, a colon, a bracket or a quotation mark is amiss.",
    ),
    "D011": error(
        "There is a second colon with a space after it where only a value may stand.",
        'Put the value in quotation marks, as in cause: "2 of: A wet, B wet, C wet", or indent the line like the '
        "one above it.",
    ),
    "D012": error(
        "A quotation mark is opened in or above this line and never closed.",
        "Close it. For inches, write 1/4 in: a value must not begin with a quotation mark that is not closed.",
    ),
    "D013": error(
        "A comma is missing in this line, or the bracket opened in line {opened} is not closed.",
        "Each {{ needs its }}, each [ its ], and commas part what stands inside. Inside brackets, a value with a comma "
        "or a colon needs quotation marks.",
    ),
    "D014": error("A value begins with a sign that may not stand there: {sign}.", "Put the value in quotation marks."),
    "D015": error(
        "{sign} makes a short cut to another place of the file (an anchor or alias); design files have none, so that "
        "each line says what it means.",
        "Write the value out, or put it in quotation marks if it really begins with that sign.",
    ),
    "D016": error(
        "The key << would merge another part into this one; design files do not merge, so that each part says all "
        "that is different from the defaults.",
        "Write the keys out.",
    ),
    "D017": error(
        "{tag} tells a program how to read the value; design files hold plain words and quantities only.",
        "Take it out.",
    ),
    "D018": error(
        "A second document begins here (---); a design is one document.",
        "Take the line out, or put the second design in a file of its own.",
    ),
    "D019": error(
        "Brackets or indentations are nested more than {limit} deep here, which no design needs. The rest of the file "
        "was not read.",
        "Check for brackets that are opened and not closed.",
    ),
    "D020": error(
        'The key "{key}" may stand only once here, and it stands {lines}.',
        "Keep one of the two.",
    ),
    "D021": error("A key must be one word or a few, not a list or a group in brackets.", "Write a plain key."),
    "D022": error(
        "The file does not begin with keys such as `format: 1`.",
        "A design is a list of sections, each a word followed by a colon; copy one of the examples to begin with.",
    ),
    "D023": error(
        "There are more than {limit} findings; the rest is not shown.", "Mend the first ones, and check the file again."
    ),
    "D024": error(
        "A colon stands here with no value behind it.",
        "Write a space and the value behind the colon, or take the key out.",
    ),
    "D025": error(
        "This line does not stand in line with those above it, so that it is not clear to what it belongs.",
        "Indent it by as many spaces as the lines it belongs with.",
    ),
    "D026": error(
        "The key of this line has no colon with a space behind it.",
        "{near}Put a colon and a space between the key and its value, or a # before a remark.",
    ),
    "D027": error(
        "The value has ended, and more follows in the same line: {rest}",
        "Count the brackets of this line; put a value that holds quotation marks into the other kind of them.",
    ),
    "D028": error(
        "This is a pipe or a device, not a file that can be read from beginning to end.",
        "Save the design as a file, and name that.",
    ),
    "D029": error(
        "A name or value holds a character that is not to be seen and that no text has (number {number}).",
        "Take it out: look for a backslash between quotation marks.",
    ),
}
_SECTIONS: Final = {
    "D030": error("The file does not say its format.", "Put the line `format: 1` at its head."),
    "D031": error('There is no format "{got}"; this Dewpond reads format {known}.', "Write `format: {known}`."),
    "D032": error(
        "The file is in format {got}, newer than format {known}, the newest that this Dewpond reads. Nothing else was "
        "looked at.",
        "Install a newer Dewpond, or save the design in format {known}.",
    ),
    "D033": error('"{got}" is not a section of a design.', "{near}Known here: {known}."),
    "D034": error(
        'The section "{got}" must hold parts, one a line: a name, a colon, and its keys in braces.',
        "For instance: {example}",
    ),
    "D035": error('There is no kind of part called "{got}".', "{near}Kinds in this section: {known}."),
    "D036": error(
        'The kind "{got}" belongs in the section "{right}", not here.', "Move the line there, or choose: {known}."
    ),
    "D037": error("The part does not say what kind it is.", "{near}Add `kind: ...`. Kinds in this section: {known}."),
    "D038": error("After the name of a part its keys are wanted, got {got}.", "For instance: {example}"),
    "D039": error('The kind "{kind}" has no key "{got}".', "{near}Known here: {known}."),
    "D040": error('The key "{key}" is missing.', "{help} Add it, for instance `{example}`.{unknown}"),
    "D041": error(
        'The name "{name}" stands for two parts: {lines}.',
        "Names must differ over the whole file, places, parts and people alike. Rename one of the two.",
    ),
    "D042": error(
        'The name "{name}" cannot be used: {why}.',
        "Use a short name of letters, digits and spaces, such as `float` or `big sump`.",
    ),
    "D043": error(
        'The id "{got}" cannot be used.', "An id is made of small letters, digits and hyphens, for instance {example}."
    ),
    "D044": error(
        'The id "{got}" belongs to two parts, "{first}" and "{second}".',
        "Rename one of them, or give it an `id` of its own; names that differ in capitals or signs only have the same "
        "one, and parts are told apart by it.",
    ),
    "D045": error(
        "The file describes no parts.", "Add at least the sections supply, places and water; copy one of the examples."
    ),
    "D046": error(
        'There is no time zone "{got}".', "{near}Zones are named as region and city, for instance Europe/Lisbon."
    ),
    "D047": error(
        'The section "{key}" is missing. It says what there is of: {holds}. Other lines name from it: {names}.',
        "Add it, for instance: {example}",
    ),
    "D048": error(
        'The names "{first}" and "{second}" look the same and are not: one holds letters of another alphabet.',
        "Type both in the same alphabet. If they are meant to be one part, describe it once.",
    ),
}
_VALUES: Final = {
    "D050": error('"{key}" wants {wanted}, got {got}.', "Write it as in `{example}`."),
    "D051": error('Nothing stands after "{key}".', "Write it as in `{example}`.{unknown}"),
    # D052 and D066 to D069: quantities that units refuse, in their words.
    "D052": error('"{key}": {what}', "{remedy}"),
    "D053": error('"{key}" is {got}; it must be {allowed}.', "{near}{help} Check the number and its unit."),
    "D054": error('"{key}" cannot be "{got}".', "{near}It can be: {known}."),
    "D055": error('"{key}" wants a whole number, got "{got}".', "Write it in digits, without a unit, such as 3."),
    "D056": error(
        '"{key}" wants a date, got "{got}".', "Write year, month and day, such as 2026-03-01, not before 1990."
    ),
    "D057": error(
        '"{key}" is {count} characters long; nothing that is wanted there is longer than {limit}.',
        "Look for a quotation mark or a bracket that is not closed.",
    ),
    "D058": error(
        '"{key}" cannot be measured from "{got}".',
        "{near}Heights are measured above or below: {known}.{bare}",
    ),
    "D059": error('"{key}" is not written as it must be: "{got}".', "Write it as {pattern}, for instance: {example}"),
    "D060": error('"{key}" cannot be answered with "unknown".', "{help} Find it out, and write it as in `{example}`."),
    "D061": error('"{key}" names "{got}", and no part has that name.', "{near}{known}"),
    "D062": error('"{key}" names "{got}", of the kind "{kind}"; it must be {wanted}.', "{known}"),
    "D063": warning(
        '"{key}" is {got}, which would be unusual; most lie {usual}.',
        "{near}{help} If the figure is right, leave it as it is.",
    ),
    "D064": error('"{key}" names the part itself.', "Name another one. {help} {known}"),
    "D065": error('"{key}" names "{got}" twice.', "Keep one of the two."),
    "D066": error('"{key}": {what}', "{remedy}"),
    "D067": error('"{key}": {what}', "{remedy}"),
    "D068": error('"{key}": {what}', "{remedy}"),
    "D069": error('"{key}": {what}', "{remedy}"),
}
_MATRIX: Final = {
    "D070": error(
        "The matrix must be a list of rows: a hyphen, then the keys of the row in braces.", "For instance: {example}"
    ),
    "D071": error('There is no key "{got}" here.', "{near}Known here: {known}."),
    "D072": error(
        'The cause mixes "and" with "or", which can be read in two ways.',
        'Write two rows with the same effect, each with only "and" or only "or" in its cause.',
    ),
    "D073": error(
        'The cause "{got}" is not understood: {why}.',
        'Write part and state, as in: tray probe wet or study probe wet; several of a group as "2 of: A wet, B wet, '
        'C wet".',
    ),
    "D074": error('The cause names "{got}", and no part has that name.', "{near}{known}"),
    "D075": error("The cause wants {need} of {count}, which can never be.", "Write a number from 1 to {count}."),
    "D076": error('The effect orders "{got}", and no part has that name.', "{near}{known}"),
    "D077": error("The row does nothing: it orders no part and tells nobody.", "Add `effect: ...` or `tell: ...`."),
    "D078": error('"until" cannot be "{got}".', "Write `cause ends`, or `re-armed by hand when` and the condition."),
    "D079": error('"{key}" names the message "{got}", which the section messages does not have.', "{near}{known}"),
    "D080": error(
        "The row says what follows when a run is too long, but not how long a run may be.",
        "Add `at most: ...`, for instance `at most: 4 min a run`.",
    ),
    "D081": error('The id "{got}" belongs to two rows, {lines}.', "Give one of them another id."),
    "D082": warning(
        'The cause names "{got}" more than once; it counts once.',
        "Take it out where it stands again, or name the sensor that was meant there.",
    ),
}
_MORE_VALUES: Final = {
    "D090": error(
        '"{key}" is {got}, and the file does not say from where: it is no mark inside a vessel.',
        "Write for instance `{key}: {got} above floor`, if that is what it was measured from. Heights are measured "
        "above or below: {known}.",
    ),
    "D091": error(
        '"{key}" is {got}, which lies in the future.',
        "Write the day on which it was, as year, month and day: 2026-03-01.",
    ),
}
TEXTS: Final[dict[str, Text]] = {
    **_FILE,
    **_SECTIONS,
    **_VALUES,
    **_MATRIX,
    **_MORE_VALUES,
    **CHECKS,
    **LAYERS,
    **LINES,
    **ROWS,
    **CLAIMS,
    **SIZES,
    **PRESSURE,
    **SALT,
    **UNDRIVEN,
    **RULERS,
    **FLOORS,
}

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
        "link: a network or a switched socket",
        "person: a person",
        "work: something that people do",
    )
)
BARE: Final = " Without such a word, from the {bare}."
FROM_THE_BOTTOM: Final = (
    "Heights in this file that count from the bottom of their vessel, as all marks inside one do that no word such as "
    '"above floor" follows: {marks}.'
)
LEVELS: Final = "bottom, rim, floor, tray"  # what a height may be measured from, as Level has it
SHAPES: Final = {"text": "one value", "list": "a list in brackets", "map": "keys in braces", "nothing": "nothing"}
NEAREST: Final = 'Did you mean "{word}"? '
TWICE_IN_LINE: Final = "twice in line {first}"
IN_TWO_LINES: Final = "in line {first} and in line {second}"
LOOK_ALIKE: Final = (
    'Did you mean "{word}"? Letters of another alphabet stand in it that only look the same: type it anew. '
)
FITTING: Final = "Parts that fit here: {names}."
NONE_FITS: Final = "The file has no part that fits here: add one, or correct the name."
OR_UNKNOWN: Final = " Or answer `{key}: unknown`: all that it may be is then tried."
FIND_OUT: Final = " To find out: {how}."
MEANT: Final = "Did you mean {words}? "
GLUED: Final = "A space is missing after its colon: `{line}`. "
BETWEEN: Final = "from {low} to {high}"
LESS_THAN: Final = "less than {high}"
AT_LEAST: Final = "at least {low}"
AT_MOST: Final = "at most {high}"
WITH_KEYS: Final = "a part with the keys: {keys}"
LEADS_ON: Final = "a part out of which a line leads on"
ASKS_BOTH: Final = '"{part}" would have to be {first} and {second} at once'
OVER_THE_RIM: Final = " and over its rim"
OVER_LATER: Final = ", so that it runs over when next the return pump stops"
AT_ONCE: Final = " at once"
LESS_SALT: Final = "; the salinity falls by {percent} %"
ONE_OUTLET: Final = "one outlet"
OUTLETS: Final = "{count} outlets"
MADE_FOR_IT: Final = " ({kinds})"
ONE_BEHIND: Final = " Two floats that shall guard one vessel stand one behind the other: write `after: {other}`."
COUNT_AGAIN: Final = " Or count again what it has, and correct `{key}`."
A_CUT_OPENS: Final = "a power cut opens it, also after a probe has shut it"
A_CUT_LEAVES: Final = "in a power cut no probe can shut it"
AND_WHAT_FILLS_IT: Final = ", and what goes on filling it"
RUNS_INTO: Final = "; and whenever one of these opens, the water runs back into it: {others}"
BEFORE_A_REGULATOR: Final = ", and no regulator stands before {parts}"
TAKEN_AS_USUAL: Final = " Where the file does not say, {bears} is taken: a usual class, from memory."
USUALLY_BRASS: Final = "taken as "
HANGS_ABOVE: Final = 'it has {lead}, and "{box}" hangs in a room whose floor lies {apart} above the spot'
TOO_FAR_APART: Final = (
    'its spot lies {apart} above that of "{low}", both are wired to "{box}", and their leads together have {both}'
)
FROM_TO: Final = "{low} at the soonest and, covered in damp air, {high} at the latest"
BEHIND_IT: Final = "; of a break behind it up to {litres} an hour"
DRIES: Final = '; "{vessel}" loses {litres} until its return pump draws air, after {after}'
AN_HOUR: Final = "{part} ({litres} an hour)"
RUNS_OUT: Final = "At most {litres} an hour from {part}"
IN_ALL: Final = 'The {litres} of "{vessel}"'
ITSELF: Final = "its own power"
BY_GRAVITY: Final = "the head of a vessel is little, and less as it runs empty"
BEHIND_A_MEMBRANE: Final = "while the float is open there is hardly any pressure"
WHEN_IT_RISES: Final = ", when the return pump stops"
NEVER_LIFTS: Final = "even from full, {full} above its water, it gives nothing"
LIFTS_WHILE_FULL: Final = 'it gives less and less as "{vessel}" falls, and then nothing'
BACK: Final = 'from "{vessel}" back into "{source}"'
FORTH: Final = 'from "{source}" on into "{vessel}"'
BOTH_WAYS: Final = (
    'from "{source}" on into "{vessel}" while "{source}" is full, back while the water in "{vessel}" stands higher'
)
MAY_RUN_AGAIN: Final = "it rests until its cause ends, and may run again when the cause comes back"
IS_LOCKED: Final = "it stays {word} until somebody re-arms it by hand"
ADD_TOO_LONG: Final = (
    "`when a run is too long: {effect: stopped, until: cause ends, tell: ...}` (without its `until`, the part then "
    "stays stopped until somebody re-arms it)"
)
ADD_TELL: Final = "`tell: ...` among the keys of `when a run is too long`"
FILLS_FIRST: Final = 'it must fill first, with {litres}, before a probe in "{beyond}" or beyond gets wet.'
DRAINS_FIRST: Final = (
    'its outlet takes up to {flow}, and no probe in "{beyond}" or beyond sees a leak of less than that. What comes '
    "faster must fill it first, with {litres}."
)
ALL_DRAINS: Final = 'its outlet takes all that comes, and a probe in "{beyond}" or beyond sees nothing of it.'
ONLY_HEARD: Final = " A sounder in {places} stops nothing, and tells only whoever is within hearing."
ENDLESS_RUN: Final = "for ever (as much evaporates meanwhile)"
TWICE: Final = "Let a run last no longer than twice what an ordinary one takes{usual}."
HERE_ABOUT: Final = ": about {usual} here"
NO_LONGER: Final = "Let a run last hardly longer than an ordinary one, or leave the vessel more room above its marks."
NOT: Final = "not {word}"
NOBODY: Final = "none yet"
NOT_GIVEN: Final = "not given"
OR: Final = " or "
KNOWN_MESSAGES: Final = "Messages of this file: {names}."
KNOWN: Final = "Parts of this file: {names}."
HOLDS_MESSAGES: Final = "messages to people"
HAS_NO_MESSAGES: Final = "The file has no messages yet: add a section `messages:`."
NOTHING_BETWEEN: Final = "nothing stands before or after one of its joining words"
NOT_FIRST: Final = '"not" stands before the name; it belongs behind, as in: {right}'
NO_STATE: Final = '"{part}" is there without a state such as wet, low or high'
EXAMPLE_ROW: Final = "- {cause: tray probe wet, effect: {feed valve: shut}, until: cause ends}"
EXAMPLE_CLAIM: Final = "- {water from: riser, is stopped by: [cell valve, feed valve]}"
EXAMPLE_MESSAGE: Final = "leak message: {priority: now, path: [controller, router, phone of the keeper]}"

# Where a finding stands
HEAD: Final = "head of the file"
PART: Final = "{section}: {name}"
ROW: Final = "matrix: row {number}"
CLAIM: Final = "claims: claim {number}"
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
SCHEMA_CLAIMS: Final = (
    "Which protections stop, each by itself, the water that gets out somewhere; `dewpond prove` asks it."
)
SCHEMA_CLAIM: Final = "One claim: of the water from a part, or of the water in a place."
SCHEMA_MESSAGES: Final = "What is told to people, and by what path it reaches them."
SCHEMA_MESSAGE: Final = "A message that rows send."
SCHEMA_HEARTBEAT: Final = "A sign of life; when it stays away, somebody is told."
SCHEMA_LIMITS: Final = "Allowed: {limits}."
SCHEMA_EXAMPLE: Final = "For instance `{example}`."
