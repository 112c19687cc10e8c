"""Which word was meant: a table of what people type. Trade words are common practice, no source."""

import pytest

from dewpond.design.likeness import OTHER_NUMBER, likeness, nearest
from dewpond.parts import KINDS
from dewpond.parts.base import Param

ALSO = {other: kind.word for kind in KINDS.values() for other in kind.also}
FAULTS = [
    "stuck open", "stuck shut", "seeps", "does not shut tight", "joint weeps", "joint blows off", "runs on",
    "does not run", "vent hole clogged",
]  # fmt: skip
KIND_TYPED = {
    "solonoid valve": "solenoid valve",
    "valve float": "float valve",
    "leak probes": "leak probe",
    "deionizing resins": "deionising resin",
    "Deionizing Resin": "deionising resin",
    "topoff pump": "top-off pump",
    "pump top off": "top-off pump",
    "top_off_pump": "top-off pump",
    "check-valve": "check valve",
    "prefilter": "pre-filters",
    "optical level switch": "level switch",
    "automatic shutoff": "automatic shut-off",
    "controler": "controller",
    "tank": "display tank",
    "h\u0430nd v\u0430lve": "hand valve",
    "displaytank": "display tank",
    "non-return valve": "check valve",
    "stop valve": "hand valve",
    "hose": "tubing",
    "aquarium": "display tank",
    "sediment filters": "pre-filters",
    "drip tray": "tray",
    "relays": "relay",
    "reverse osmosis": "membrane",
    "water level sensor": "level switch",
    "storage tank": "reservoir",
    "container": "reservoir",
    "leak sensor": "leak probe",
    "water sensor": "leak probe",
    "pump": "top-off pump",
    "refill pump": "top-off pump",
    "roller": "",
    "xyz": "",
    "bicycle pedal": "",
}
FAULT_TYPED = {
    "stuk open": "stuck open",
    "open stuck": "stuck open",
    "stuck closed": "stuck shut",
    "sticks open": "stuck open",
    "seep": "seeps",
    "weeping joint": "joint weeps",
    "joints weep": "joint weeps",
    "blow off": "joint blows off",
    "not tight": "does not shut tight",
    "run on": "runs on",
    "doesn't run": "does not run",
    "clogged vent": "vent hole clogged",
    "earthquake": "",
}
KEYS = {
    ("sump", "size"): "footprint",
    ("reservoir", "dimensions"): "footprint",
    ("reservoir", "height"): "rim",
    ("top-off pump", "fills"): "to",
    ("top-off pump", "outlet height"): "outlet",
    ("leak probe", "room"): "in",
    ("leak probe", "connected to"): "wired to",
    ("sump", "height"): "rim",
    ("sump", "return chambers"): "return chamber",
    ("sump", "pump needs"): "return pump needs",
    ("sump", "level running"): "running level",
    ("display tank", "footprint"): "surface",
    ("display tank", "capacity"): "volume",
    ("display tank", "overflows to"): "drains to",
    ("tubing", "diameter"): "size",
    ("float valve", "starts to close at"): "starts to shut at",
    ("float valve", "closed at"): "quite shut at",
    ("hand valve", "room"): "in",
    ("hand valve", "from"): "after",
    ("house supply", "tds"): "dissolved solids",
    ("house supply", "presure"): "pressure",
    ("house supply", "colour"): "",
}


LABELS = [
    "float: stuck open", "float: stuck shut", "float: seeps", "riser: burst, in study", "riser: joint weeps, in study",
    "top-off pump: runs on", "small pump: runs on", "pump cut-out: dies", "tray probe: electrically dead",
    "tray probe: moved away", "supply: pressure lost",
]  # fmt: skip
LABEL_TYPED = {
    "float stuck closed": "float: stuck shut",
    "float: open stuck": "float: stuck open",
    "top off pump runs on": "top-off pump: runs on",
    "pump runs on": ("small pump: runs on", "top-off pump: runs on"),
    "tray probe dead": "tray probe: electrically dead",
    "riser burst in the study": "riser: burst, in study",
    "joint weeps": "riser: joint weeps, in study",
    "lost pressure": "supply: pressure lost",
}


@pytest.mark.parametrize("typed", LABEL_TYPED)
def test_fault_of_a_part_that_was_meant_is_found(typed: str) -> None:
    wanted = LABEL_TYPED[typed]
    assert nearest(typed, LABELS, 0.4) in ((wanted,) if isinstance(wanted, str) else wanted)


@pytest.mark.parametrize("typed", KIND_TYPED)
def test_kind_that_was_meant_is_found(typed: str) -> None:
    assert nearest(typed, KINDS, also=ALSO) == KIND_TYPED[typed]


@pytest.mark.parametrize("typed", FAULT_TYPED)
def test_fault_that_was_meant_is_found(typed: str) -> None:
    assert nearest(typed, FAULTS) == FAULT_TYPED[typed]


@pytest.mark.parametrize("typed", KEYS, ids="-".join)
def test_key_that_was_meant_is_found(typed: tuple[str, str]) -> None:
    params: tuple[Param, ...] = KINDS[typed[0]].params
    also = {other: param.key for param in params for other in param.also}
    assert nearest(typed[1], [param.key for param in params], also=also) == KEYS[typed]


def test_names_that_differ_in_a_number_are_two_names() -> None:
    assert likeness("leak probe 1", "leak probe 2") <= OTHER_NUMBER
    assert nearest("leak probe 1", ["leak probe 2"], 0.85) == ""
    assert nearest("leak prob 2", ["leak probe 1", "leak probe 2"]) == "leak probe 2"


def test_word_that_fits_several_as_well_is_no_guess() -> None:
    assert nearest("mark", ["reservoir low mark", "lagoon high mark"]) == ""
    assert nearest("lagoon", ["reservoir low mark", "lagoon high mark"]) == "lagoon high mark"


def test_other_words_belong_to_one_kind_each_and_are_no_kind() -> None:
    every = [other for kind in KINDS.values() for other in kind.also]
    assert len(every) == len(set(every)) > 50
    assert not set(every) & set(KINDS)
    for kind in KINDS.values():
        keys = {param.key for param in kind.params}
        words = [other for param in kind.params for other in param.also]
        assert len(words) == len(set(words)), kind.word
        assert not keys & set(words), kind.word
