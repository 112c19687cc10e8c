"""Commands over random houses of every kind: an answer or a refusal in words, and no figure that cannot be."""

from __future__ import annotations

import json
import math
import re
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from dewpond.design.reader import read_text
from dewpond.errors import WRONG_USE
from dewpond.parts import KINDS
from dewpond.plant.lower import lower
from dewpond.proof import proving
from tests.plant.random_designs import random_design

Dewpond = Callable[..., tuple[int, str, str]]
HOUSES = [(seed, 18) for seed in (1, 4, 10, 11)] + [(seed, 10) for seed in range(105, 113)]
NO_FIGURE = re.compile(r"\bnan\b|\binf\b|-0 L|(?<![\w.,])-\d[\d.]* (m?L|L/\w+)\b")
AMOUNT = re.compile(r"litres|_l$|volume")  # keys of figures that are never below nothing


def below_nothing(told: object, at: str = "") -> Iterator[str]:
    """Where amounts of water are below nothing, or no number."""
    if isinstance(told, dict):
        for key, one in told.items():
            yield from below_nothing(one, f"{at}.{key}")
    elif isinstance(told, list):
        for number, one in enumerate(told):
            yield from below_nothing(one, f"{at}[{number}]")
    elif isinstance(told, float) and (math.isnan(told) or (AMOUNT.search(at.rpartition(".")[2]) and told < 0.0)):
        yield f"{at}: {told}"


@pytest.fixture
def house(tmp_path: Path) -> Callable[[int, int], str]:
    """Writes the file of a seed; returns its name."""

    def write(seed: int, parts: int) -> str:
        file = tmp_path / f"{seed}.yaml"
        file.write_text(random_design(seed, parts, newer=True).text(), "utf-8")
        return str(file)

    return write


def test_what_cannot_be_is_found() -> None:
    """The search for it can fail."""
    assert list(below_nothing({"a": [{"litres": -1.0}, {"litres": 2.0}], "bar": -1.0})) == [".a[0].litres: -1.0"]
    assert list(below_nothing([float("nan")])) == ["[0]: nan"]
    assert NO_FIGURE.search("takes -3 L a day")
    assert not NO_FIGURE.search("takes 2-3 L a day, at -3 C")


@pytest.mark.slow
@pytest.mark.parametrize("command", ["check", "flows", "year", "limits", "ways"])
def test_a_command_answers_for_every_house_or_says_why_it_cannot(
    command: str, dewpond: Dewpond, house: Callable[[int, int], str]
) -> None:
    answered = 0
    for seed, parts in HOUSES:
        file = house(seed, parts)
        code, out, err = dewpond(command, file)
        assert "Traceback" not in err, f"seed {seed}"
        assert code in ((0, 1, WRONG_USE) if command == "ways" else (0, 1)), f"seed {seed}: {err}"
        assert NO_FIGURE.search(out) is None, f"seed {seed}"
        if code == WRONG_USE:
            assert err.strip(), f"seed {seed}"
            continue
        answered += 1
        told = json.loads(dewpond(command, file, "--json")[1], parse_constant=pytest.fail)
        assert list(below_nothing(told)) == [], f"seed {seed}"
    assert answered == len(HOUSES) or (command == "ways" and answered >= 4)


@pytest.mark.slow
def test_ways_come_to_an_end_in_a_house_with_a_booster(house: Callable[[int, int], str]) -> None:
    """With its feed shut what comes through the flow meter rushes into a spring, and no mark holds the run up."""
    words = [sys.executable, "-c", "from dewpond.app.cli import main; main()", "ways", house(29, 22)]
    subprocess.run(words, timeout=25, check=True, capture_output=True)


@pytest.mark.slow
@pytest.mark.parametrize("seed", [1, 4])
def test_both_ways_of_searching_prove_the_same_of_a_house(seed: int) -> None:
    """One fault at a time, with a cap of states: plain Python and compiled, to the word."""
    design = read_text(random_design(seed, 12, newer=True).text(), "random.yaml")
    plant = lower(design)
    one, two = (
        proving.prove(design, plant, KINDS, 1, compiled=compiled, most_states=300, tried=False)
        for compiled in (False, True)
    )
    assert one.verdicts
    assert repr(one) == repr(two)
