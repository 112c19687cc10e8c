"""What is told about a log of readings: code -> level, what is wrong, what to do. Words in braces are filled in.

R001-R019 the file as a text and its columns: nothing of it can be used. R020-R039 single lines: those are left out, or
asked about, and the rest is used.
"""

from __future__ import annotations

from typing import Final, NamedTuple

from dewpond.errors import Level


class Told(NamedTuple):
    """One text."""

    level: Level
    what: str
    remedy: str


EXAMPLE: Final = "date, top-off (L), air (C), humidity (%)"

TEXTS: Final[dict[str, Told]] = {
    "R001": Told("error", "There is no such file.", "Check the name and the folder it is in."),
    "R002": Told("error", "It cannot be opened: {reason}.", "Name the file with the readings, and see to it that you "
                 "may read it."),
    "R003": Told("error", "The file is larger than {limit}; it is read no further.", "A line a day for ten years is a "
                 "few hundred kilobytes. Check that this is the file you meant."),
    "R004": Told("error", "The file is empty.", f"Its first line names the columns, such as `{EXAMPLE}`; then a line a "
                 "day."),
    "R005": Told("error", "This is no text: line {line} holds a character that no text has (number {number}).",
                 "A spreadsheet writes such a text with `save as`, kind CSV."),
    "R006": Told("error", "Line {line} is not in UTF-8{guess}.", "Save the file again as CSV with the coding UTF-8."),
    "R007": Told("error", "The first line names no columns: {got}.", f"Put a line before it such as `{EXAMPLE}`."),
    "R008": Told("error", "No column holds the date.", f"Name it `date` in the first line, such as `{EXAMPLE}`."),
    "R009": Told("error", "No column holds anything that a year is made of. Named are: {got}.",
                 "Columns that are known: {known}."),
    "R010": Told("error", 'The column "{got}" does not say its unit.', "Write it behind the name, such as `{example}`, "
                 "or behind each figure."),
    "R011": Told("error", 'Two columns hold the same: "{one}" and "{other}".', "Take one of them out."),
    "R012": Told("error", "Day and month cannot be told apart in dates such as {got}.",
                 "Write dates as 2026-11-02: year, month, day."),
    "R013": Told("error", "Some dates have the month first and some the day: {got}, and {other} in line {there}.",
                 "Write dates as 2026-11-02: year, month, day."),
    "R014": Told("error", "The file has a column line and nothing below it.", "Write a line a day."),
    "R015": Told("error", "No line of it can be used.", "See to the lines named here."),
    "R016": Told("error", "It cannot be taken apart into cells: {reason}.", "Look for a quotation mark that is not "
                 "closed."),
    "R020": Told("note", 'The column "{got}" is not known, and is left aside.', "{near}Columns that are known: {known}."
                 ),
    "R021": Told("warning", "It has {got} cells, and the first line names {wanted} columns; the line is left out.",
                 "{hint}"),
    "R022": Told("warning", "There is no day in it: {got}; the line is left out.", "Write its date as 2026-11-02."),
    "R023": Told("warning", "Its day, {got}, is yet to come; the line is left out.", "Check the year, and the clock of "
                 "this computer."),
    "R024": Told("warning", "{column}: {what} This figure is left out.", "{remedy}"),
    "R025": Told("warning", "{column}: {got} cannot be; {limits} may be. This figure is left out.", "{hint}"),
    "R026": Told("warning", "The day {got} stands here and in line {other}, with different figures; both are left "
                 "out.", "Write one line a day: add the litres up yourself, if both are right."),
    "R027": Told("note", "The day {got} stands here and in line {other}, with the same figures; it is counted once.",
                 "Take one of them out."),
    "R028": Told("note", "The lines are not in the order of their days, from line {got} on; they are put in order.",
                 "Nothing need be done, if the dates are right."),
    "R029": Told("note", "{column}: {got} is far from the usual {usual}; it is used, but the mean leaves out the "
                 "extremes.", "Look for a slipped decimal sign, or note beside it what was special."),
    "R030": Told("warning", "Days between the first and the last without a line that can be read: {got}. Litres after "
                 "such a gap are taken to have been put in on all days since the figure before.",
                 "Where they were not, say in a column `days` how many days they stand for."),
    "R034": Told("warning", "For how many days its litres stand is not known: {why}. They are left out.",
                 "Put that right, or say in a column `days` how many they are."),
    "R031": Told("warning", "The line holds no figure; it is left out.", "Write what was read, or take the line out. "
                 "The next litres are taken to hold this day's too; where they do not, say so in a column `days`."),
    "R033": Told("warning", "There are {got} more findings, of lines {lines}; what is said above goes for them too.",
                 "Put the first ones right, and look again."),
    "R032": Told("note", "{got} of its lines are of the years before {year}; a tank changes in so long.",
                 "Leave out what was logged before the tank was as it is now."),
    "R038": Told("warning", "Lines that stand for days of an earlier line as well: {lines}. "
                 "Their litres are left out, so that each day counts once.", "In `days` stands for how many days the "
                 "litres of a line were put in, since the line before: no running sum. Take the column out if a line "
                 "is one day's."),
    "R035": Told("warning", "{column}: {got} is drier than the air of any room (below {limit}); it is left out in "
                 "these lines: {lines}.", "{hint}"),
    "R036": Told("warning", "{column}: no line of it counts, for each is set aside by its note, such as {got}.",
                 "Note work such as a water change only beside the day of which it tells."),
    "R037": Told("warning", "{column}: no line of it counts, for nothing was put in on any day.",
                 "Leave the cell empty where nothing was read; write 0 only where nothing was put in."),
}  # fmt: skip

COMMA_HINT: Final = (
    "A decimal comma parts cells here: put such a figure in quotation marks, write a point, or part the cells by "
    "semicolons."
)
CELLS_HINT: Final = "Put in, or take out, what parts its cells: {parts}."
SHARE_HINT: Final = "Is {got} meant? Then write so, or take the % out of the column's name and write it to each figure."
SLIP_HINT: Final = "Look for a slipped decimal sign, and at the unit."
NEGATIVE_HINT: Final = "Nothing is taken out by a top-off: write what was put in, and note what was taken out."
DAYS_HINT: Final = "Write a number of days; the litres of this line are left out with it."
NOT_SAID: Final = '"{got}" does not say how much was put in.'
NOT_SAID_HINT: Final = (
    "Leave the cell empty where the next line's litres hold this day's too, and write 0 where nothing was put in."
)
WAYS: Final = "{got} can be read in two ways, and the file does not show what sign its decimals have."
WAYS_HINT: Final = "Do you mean {one} or {other}? Write so."
