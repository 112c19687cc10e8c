"""What the rules of the proof ask, in plain words, and what mends a house that breaks one."""

from __future__ import annotations

from typing import Final, NamedTuple


class Rule(NamedTuple):
    """title: the mistake; asks: what must be so; cure: what to do where it is not."""

    title: str
    asks: str
    cure: str


RULES: Final = {
    "IL-01": Rule(
        "wrong contact sense",
        "nothing trips while all is dry and in order, and each trip comes once tap water lies at its probes",
        "Compare `contact` and `read as ... when` of the sensor: wet it, dry it, unplug it, and see what the screen "
        "says each time.",
    ),
    "IL-02": Rule(
        "opens without power",
        "what has tripped stays shut, or at rest, whatever the power does",
        "Take a part that shuts without power (`without power: shut`), or put one before it that shuts by its own.",
    ),
    "IL-03": Rule(
        "opens when the probe has dried",
        "what has tripped because of water stays shut until a hand re-arms it",
        "Write `until: re-armed by hand when dry`; of a valve with its own probe, `when its probe dries: stays shut`, "
        "where it can be set so.",
    ),
    "IL-04": Rule(
        "no valve before the leak",
        "before each spot where the supply's water can get out stands a valve that shuts by itself",
        "Put the valve that shuts by itself right behind the stop tap, before all that it is to guard.",
    ),
    "IL-05": Rule(
        "no probe where the water goes",
        "water that gets out comes to a probe that sees it, and is stopped",
        "Lay a probe that sees this water where it goes, and let it shut a valve before the leak. Purified water is "
        "seen by few probes: pour a cup of it over each.",
    ),
    "IL-06": Rule(
        "one more thing that fails is enough",
        "where two layers stop a spill, no one thing that fails lets it run on",
        "Give one of the two a probe, a box and a power of its own.",
    ),
    "IL-07": Rule(
        "a message that nobody has heard",
        "each message has been heard to arrive; those that call somebody to water, after a probe was really wetted",
        "Wet a probe, or lift the switch, wait for the message, and write `heard after a wetted probe:` or `heard:` "
        "with the day.",
    ),
    "IL-08": Rule(
        "a run longer than the tank stands",
        "no pump brings more than its vessel bears, whatever one thing sticks",
        "Shorten `at most`, or set a high mark lower that stops the pump by a relay of its own: below the height at "
        "which the tank freshens too much, or runs over once the return pump stops.",
    ),
    "IL-08b": Rule(
        "runs that repeat",
        "nor does it in several runs, over power cuts and midnights",
        "Let a run that is too long be locked until a hand re-arms it, let the box keep its counts, and set `per day` "
        "so that two days of it harm nothing.",
    ),
    "IL-09": Rule(
        "a vessel that runs dry with nobody told",
        "while nothing has failed, a message comes before a vessel is dry, whatever empties it; where one thing shuts "
        "its feed, it comes before, and a tank's while who is called can still be there",
        "Add a level switch above the height at which it is dry, and a row that tells somebody; so far above that "
        "there is time to come, or tell somebody who comes sooner.",
    ),
    "IL-10": Rule(
        "a message that dies with what failed",
        "no one fault starves a vessel and silences what should tell of it",
        "Of a box or its power: add a sign of life that somebody outside the house misses. Of a switch that calls for "
        "the pump: add a second one, a little lower, with a row that only tells.",
    ),
    "IL-11": Rule(
        "a power cut that makes the box forget",
        "what has tripped is still tripped when the power is back",
        "Let the box keep its trips (`after a restart: {trips: kept, ...}`); else add a valve that stays shut by "
        "itself.",
    ),
    "IL-12": Rule(
        "re-armed with the cause still there",
        "a hand can re-arm only what has nothing left to trip it",
        "Write `until: re-armed by hand when dry`, or `... when the level is normal`, and see to it that the box "
        "refuses it otherwise.",
    ),
    "IL-13": Rule(
        "a pause that is forgotten",
        "each pause ends by itself",
        "Write `ends by itself after:` with a time, and set the device so.",
    ),
    "IL-14": Rule(
        "a valve that does not close, and nobody knows",
        "where the valve that should stop a spill sticks, somebody is told of the water",
        "Let the row tell somebody, by a message that does not go through what failed.",
    ),
    "IL-15": Rule(
        "a broken wire that nobody is told of",
        "a sensor whose wire breaks shows it by itself",
        "Take a contact that opens when wet (or low, or high), so that a broken wire reads as trouble; or an input "
        "that watches its wire. Until then only a test finds it: pull the plug of each sensor once a year.",
    ),
    "IL-16": Rule(
        "chatter",
        "what a rippling level starts and stops does not start again within a minute",
        "Write `gap: 10 min` into the row, and set the marks further apart.",
    ),
    "IL-17": Rule(
        "two boxes that fight over one part",
        "where two boxes order a part, the file says which wins",
        "Write `combination: any stop wins`, and wire it so.",
    ),
    "IL-18": Rule(
        "a box that hangs",
        "no box that hangs or dies at any moment brings about by itself what must not be",
        "Let a relay of its own, with its own switch, cut the lead of what the box drives (`by: ...`), before the "
        "harm.",
    ),
}

SETTINGS: Final = {"each layer alone": "alone", "the whole": "whole", "read in the file": "file"}

LEFT_OUT: Final = (
    "Nobody shuts a valve or pulls a plug; hands only re-arm, at any moment that the rule is about.",
    (
        "Floats that open as their vessel falls, and shut-offs that hang on pressure, are taken as open: they stop "
        "nothing for good. What a vessel holds when its feed is shut is left aside; `dewpond study` tells those litres."
    ),
    (
        "A probe in a place is taken to lie where its puddle comes, unless a fault says otherwise; which way water "
        "runs within a place is not looked at."
    ),
    (
        "Where no time is told, a delay may end at any later moment, and water, levels and counts may pass their next "
        "mark at any moment. Where time counts (what a pump brings), pumps give 1.2 times what they are rated at, "
        "levels fall at most twice as fast as water evaporates, midnights are a day apart."
    ),
    (
        "A fault comes once; two never come in the very same moment, but in either order. Valves and relays that stick "
        "do so as they stand. Kinks, clogging and other faults that only make a flow smaller, and what falls "
        "between two marks, are left to the runs."
    ),
    "A probe that nobody has seen to work with purified water (`seen to work with purified water`) is taken as blind.",
    (
        "A message counts as told when it arrives where somebody reads it; one that stands from the first moment on, "
        "or that is written to a log only, tells nobody. How long ago it was tried does not count, nor whether a sign "
        "of life was ever missed on purpose."
    ),
    (
        "Litres until a stop do not count where water gets out: a row that waits for hours holds as well. Nor does "
        "salt that is lost otherwise, by a leak or a skimmer, where a tank is said to freshen."
    ),
    (
        "What goes by the clock may come at any hour, stay, or stay away, where it is asked whether a vessel runs dry; "
        "of what a pump brings, it lasts no longer than the file says, and comes hardly more often."
    ),
    (
        "What ends by itself, such as a power cut or a pause, may last longer in the search than it does; where no "
        "times fit, the story says so. It comes at most twice. A sensor is heard without the box that its wire ends in."
    ),
    (
        "Who is called is there after the time in `reaches the stop tap in`; who lives there, after the longest time "
        "out or asleep as well. Nobody travels then."
    ),
    (
        "A message that arrives is taken as heard. How strong a leak is does not count: weeping and burst alike. One "
        "so weak that its water dries before it stands at each probe on its way may run on with nothing else failed, "
        "and is not listed for that; `dewpond study` runs each leak by itself."
    ),
    (
        "The list of what gets out begins with a fault that lets it. What a pump brings over the rim of its vessel is "
        "asked under IL-08; what a siphon brings there without a fault is left to the runs. What does not shut tight "
        "is taken as open; what opens again by itself (IL-03) is told beside what stops the water, and not as a set."
    ),
    (
        "Where water goes through a pump, its limits do not count, and it may be siphoned through one that stands "
        "still. Whether a limit ends a leak depends on how wide it is, on what evaporates and on what dries, and no "
        "width is assumed."
    ),
    (
        "Of what the file leaves open, each other answer was tried by itself; two of them together were not. The list "
        "of what gets out stands for the answers taken."
    ),
)
