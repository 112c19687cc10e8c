"""The state of the logic from which runs begin, against what the kernel makes of it at the first moment."""

from pathlib import Path

import pytest

from dewpond.design.reader import read
from dewpond.plant import engine
from dewpond.plant.laying import lay
from dewpond.plant.lower import lower
from dewpond.plant.plant import STARTS, Scenario

EXAMPLES = sorted(Path("examples").glob("*.yaml"))


@pytest.mark.parametrize("who", sorted(STARTS))
@pytest.mark.parametrize("file", EXAMPLES, ids=lambda file: file.stem)
def test_every_example_begins_in_the_state_that_the_kernel_comes_to_rest_in(file: Path, who: str) -> None:
    """The kernel's own logic, latches and marks with it: it finds nothing to change but what begins at that moment."""
    plant = lower(read(file), "winter")
    scenario = Scenario(who, 1.0, (), STARTS[who])
    begun = lay(plant, scenario).sig_start
    trace = engine.run(plant, scenario, compiled=True)
    differ = {plant.parts[plant.arrays.sig_owner[s]] for s, one in enumerate(begun) if one != trace.ordinary[s]}
    assert not differ
