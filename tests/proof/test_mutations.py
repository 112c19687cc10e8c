"""A house for which every rule holds, and each classical mistake planted in it alone.

The mistakes, and what planting them must bring: the project's own trial of an exhaustive search (its 18 classical
mistakes, and its table of planted ones).
"""

from pathlib import Path

import pytest

from dewpond.design.checks import check
from dewpond.design.reader import read_text
from dewpond.parts import KINDS
from dewpond.plant.lower import lower
from dewpond.proof.proving import prove
from dewpond.proof.verdicts import HOLDS, RULES, Proof

SOUND = (Path(__file__).parent / "sound.yaml").read_text("utf-8")


def proved(text: str, faults: int) -> Proof:
    design = read_text(text, "sound.yaml")
    return prove(design, lower(design), KINDS, faults, compiled=True)


@pytest.mark.slow
def test_every_rule_holds_in_the_sound_house_with_one_fault() -> None:
    proof = proved(SOUND, 1)
    assert {verdict.rule for verdict in proof.verdicts} >= set(RULES) - {
        "IL-04",
        "IL-14",
    }  # those ask about what runs on
    assert [verdict for verdict in proof.verdicts if verdict.verdict != HOLDS] == []


def test_the_checks_object_to_nothing_in_the_sound_house() -> None:
    assert check(read_text(SOUND, "sound.yaml")) == ()
