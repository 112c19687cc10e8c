"""Every quantity and every word once, complete, and usable in keys and sentences."""

import dataclasses
import re
import subprocess
import sys

import pytest

from dewpond import vocabulary
from dewpond.vocabulary import QUANTITIES, Quantity, Word

GROUPS = {name: value for name, value in vars(vocabulary).items() if name[0].isupper() and isinstance(value, tuple)}


@pytest.mark.parametrize("quantity", QUANTITIES.values(), ids=QUANTITIES)
def test_quantity_is_complete(quantity: Quantity) -> None:
    assert QUANTITIES[quantity.name] is quantity
    assert all(getattr(quantity, field.name) for field in dataclasses.fields(quantity))
    assert quantity.phrase.split()[0] == ("an" if quantity.phrase.split()[1][0] in "aeiou" else "a")
    assert re.fullmatch("[a-z0-9]+(_[a-z0-9]+)*", quantity.key_suffix)
    assert quantity.help.endswith(".")
    assert len(quantity.help.splitlines()) == 1


def test_no_quantity_is_declared_twice() -> None:
    assert len(QUANTITIES) == len(vocabulary._ALL) == 24


def test_units_inside_are_si_but_for_salinity() -> None:
    # Base and coherent derived units of the SI brochure (BIPM 2019), salinity as TEOS-10 gives it.
    si = {"m", "m2", "m3", "Pa", "m3/s", "K", "s", "kg/m3", "1", "S/m", "V", "A", "W", "ohm", "1/s", "m/s", "rad", "kg"}
    assert {q.si for q in QUANTITIES.values()} - si == {"g/kg"}
    assert [q.name for q in QUANTITIES.values() if q.si == "g/kg"] == ["salinity"]


def test_words_are_lower_case_plain_and_never_on_off_yes_no() -> None:
    assert all(re.fullmatch("[a-z]+( [a-z]+)*", word) for word in Word)
    assert not {"on", "off", "yes", "no", "true", "false", "safe"} & set(Word)
    assert len(set(Word)) == len(Word.__members__)


def test_word_is_its_text() -> None:
    assert Word.STAYS_AS_IT_IS == "stays as it is"
    assert f"{Word.WET}" == "wet"
    assert Word("keeps last order") is Word.KEEPS_LAST_ORDER


@pytest.mark.parametrize("name", GROUPS)
def test_group_of_words_holds_each_once(name: str) -> None:
    assert len(GROUPS[name]) == len(set(GROUPS[name])) >= 2
    assert all(isinstance(word, Word) for word in GROUPS[name])


def test_vocabulary_and_errors_load_the_standard_library_only() -> None:
    code = (
        "import sys; import dewpond.vocabulary, dewpond.errors;"
        "tops = {m.partition('.')[0] for m in sys.modules} - set(sys.stdlib_module_names) - {'__main__', 'dewpond'};"
        "print(sorted(m for m in tops if not m.startswith(('_', 'sitecustomize', 'usercustomize'))));"
        "print(sorted(m for m in sys.modules if m.startswith('dewpond')))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines() == ["[]", "['dewpond', 'dewpond.errors', 'dewpond.vocabulary']"]
