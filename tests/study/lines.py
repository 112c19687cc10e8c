"""Two tanks whose feed valve a clock opens: with a pressure tank on the line, or a second reservoir. Invented."""

from pathlib import Path

RESIN = "  resin:        {kind: deionising resin,   after: check,"
TANK = "  pressure tank: {kind: bladder tank, after: check, in: laundry, volume: 12 L, precharge: 0.5 bar}\n"
DOSER = "{kind: dosing pump,        from: reservoir,"


def timed(repository: Path) -> str:
    """Two tanks on one reservoir, whose feed valve a clock opens every morning."""
    text = (repository / "examples" / "two_tanks.yaml").read_text("utf-8")
    clock = "sensors:\n  morning fill: {kind: time window, by the clock of: cellar box, on from: 06:30, for: 3 h}\n"
    text = text.replace("sensors:\n", clock, 1)
    return text.replace(
        "matrix:\n", "matrix:\n  - {id: fill, cause: morning fill due, effect: {feed valve: open}}\n", 1
    )


def with_tank(text: str) -> str:
    """The same with a pressure tank behind the unit."""
    assert text.count(RESIN) == 1
    return text.replace(RESIN, TANK + RESIN.replace("after: check", "after: pressure tank"))


def still(text: str) -> str:
    """The same with next to no evaporation, so that what is drawn meanwhile takes nothing away."""
    for salt in ("35 ppt", "33 ppt"):
        assert text.count(f"salinity: {salt}") == 1
        text = text.replace(f"salinity: {salt}", f"salinity: {salt}, evaporation: 0.05 L/day")
    return text


def with_small_store(text: str) -> str:
    """The same with a reservoir for the small doser alone, on the same line."""
    riser = next(line for line in text.splitlines(keepends=True) if line.startswith("  riser:"))
    more = (
        "  block:        {kind: manifold, after: resin, in: laundry, outlets: 2}\n"
        f"{riser.replace('after: resin', 'after: block')}"
        "  branch:       {kind: tubing, after: block, size: 1/4 in, length: 10 m, through: [laundry, study]}\n"
        "  small float:  {kind: float valve, after: branch, fills: small store, starts to shut at: 180 mm, "
        "quite shut at: 190 mm}\n"
        "  small store:  {kind: reservoir, in: study, footprint: 20 cm x 20 cm, rim: 230 mm, bottom: 60 cm above floor,"
        " overflow: none}\n"
    )
    text = text.replace(riser, more)
    assert text.count(DOSER) == 1
    return text.replace(DOSER, DOSER.replace("reservoir", "small store"))
