"""What the tests of the laws share: the published cases in SI units, and a psychrolib that leaves numba alone."""

import json
from collections.abc import Callable
from dataclasses import dataclass
from types import SimpleNamespace

import pytest

from dewpond.physics import water

FOOT, INCH, GALLON, POUND = 0.3048, 0.0254, 3.785411784e-3, 0.45359237
GRAIN, PSI, BTU, INCH_OF_MERCURY = 64.79891e-6, 6894.757293168, 1055.05585262, 3386.389
HOUR, DAY, YEAR = 3600.0, 86400.0, 365.0 * 86400.0
CARRIER = BTU / HOUR / FOOT**2 / INCH_OF_MERCURY

# NIST SP 811; each unit of the case files as so many SI units.
FACTORS = {
    "%": 0.01, "-": 1.0, "1": 1.0, "1/K": 1.0, "1/day": 1.0 / DAY, "1/min": 1.0 / 60.0, "A": 1.0, "AWG": 1.0,
    "Btu/h/ft2/inHg": CARRIER, "Btu/h/ft2/inHg per ft/min": CARRIER * 60.0 / FOOT, "GPa": 1e9, "K": 1.0, "L": 1e-3,
    "L/day": 1e-3 / DAY, "L/h": 1e-3 / HOUR, "L/min": 1e-3 / 60.0, "N": 1.0, "Pa": 1.0, "US gal": GALLON,
    "US gal/min": GALLON / 60.0, "V": 1.0, "bar": 1e5, "cP": 1e-3, "day": DAY, "dbar": 1e4, "eq/L": 1e3, "ft": FOOT,
    "ft/s": FOOT, "ft3": FOOT**3, "g/L": 1.0, "g/kg": 1.0, "grain/US gal": GRAIN / GALLON,
    "grain/ft3": GRAIN / FOOT**3, "h": HOUR, "in": INCH, "in2": INCH**2, "kJ/kg": 1e3, "kPa": 1e3, "kW/m2/kPa": 1.0,
    "kW/m2/kPa per m/s": 1.0, "kg/kg": 1.0, "kg/kg dry air": 1.0, "kg/m2/h": 1.0 / HOUR, "kg/m3": 1.0,
    "kgr/ft3": 1e3 * GRAIN / FOOT**3, "lb/ft3": POUND / FOOT**3, "m": 1.0, "m/s": 1.0, "m2": 1.0, "m3/kg": 1.0,
    "m3/s": 1.0, "m3/year": 1.0 / YEAR, "mL": 1e-6, "mN/m": 1e-3, "mPa.s": 1e-3, "mS/cm": 0.1, "mm": 1e-3,
    "mm/day": 1e-3 / DAY, "mm2/s": 1e-6, "observations": 1.0, "ohm": 1.0, "ohm/1000 ft": 1e-3 / FOOT, "psi": PSI,
    "psi/ft": PSI / FOOT, "s": 1.0, "sigma": 1.0, "uPa.s": 1e-6,
}  # fmt: skip
AS_IT_IS = {"list", "bool list"}

Law = Callable[[SimpleNamespace], dict[str, object]]


@dataclass(frozen=True)
class Case:
    """One published case: inputs and expected values in SI units."""

    id: str
    inputs: SimpleNamespace
    expected: dict[str, object]
    allowed: dict[str, object]

    def judge(self, found: dict[str, object]) -> None:
        """Compare what a law gave with every expected value, none left out."""
        assert found.keys() == self.expected.keys()
        for name, wanted in self.expected.items():
            assert found[name] == self.allowed[name], f"{name}: {found[name]!r} for {wanted!r}"


def si(value: object, unit: str) -> object:
    """A value of the case files in SI units; lists and truth values too."""
    if isinstance(value, list) and unit not in AS_IT_IS:
        return [si(item, unit) for item in value]
    if unit == "degC":
        return value + water.ZERO_CELSIUS
    if unit in AS_IT_IS or isinstance(value, bool):
        return value
    return value * FACTORS[unit]


def allowed(name: str, value: object, unit: str, tolerance: dict[str, float]) -> object:
    """Something that equals whatever the case's tolerance allows for one expected value."""
    if tolerance.get("exact"):
        return value
    if set(tolerance) <= {"rel", "abs"}:
        kinds = tolerance
    else:  # for instance {"flux_rel": .., "density_abs": ..}: the front word says which value is meant
        fitting = [key for key in tolerance if key.rpartition("_")[0] in name.lower()]
        assert len(fitting) == 1, f"{name}: {sorted(tolerance)}"
        kinds = {fitting[0].rpartition("_")[2]: tolerance[fitting[0]]}
    size = 1.0 if unit == "degC" else FACTORS[unit]
    return pytest.approx(value, rel=kinds.get("rel", 0.0), abs=kinds.get("abs", 0.0) * size)


def as_case(raw: dict) -> Case:
    """One entry of a case file."""
    expected = {name: si(item["value"], item["unit"]) for name, item in raw["expected"].items()}
    return Case(
        raw["id"],
        SimpleNamespace(**{name: si(item["value"], item["unit"]) for name, item in raw["inputs"].items()}),
        expected,
        {name: allowed(name, expected[name], item["unit"], raw["tolerance"]) for name, item in raw["expected"].items()},
    )


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """Give a test that asks for `published` every case that its module's RUN table names, with the law to run."""
    if "published" not in metafunc.fixturenames:
        return
    file = metafunc.config.rootpath / "tests" / "published" / metafunc.module.PUBLISHED
    raw = {entry["id"]: entry for entry in json.loads(file.read_text(encoding="utf-8"))["cases"]}
    run: dict[str, Law] = metafunc.module.RUN
    metafunc.parametrize("published", [(as_case(raw[id_]), law) for id_, law in run.items()], ids=list(run))


@pytest.fixture
def published_ids(request: pytest.FixtureRequest) -> list[str]:
    """Ids of every case in the module's file, in the file's order."""
    file = request.config.rootpath / "tests" / "published" / request.module.PUBLISHED
    return [entry["id"] for entry in json.loads(file.read_text(encoding="utf-8"))["cases"]]
