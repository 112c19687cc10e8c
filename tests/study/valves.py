"""The worked tank with a reservoir that a valve fills by a mark, in place of a float. Invented."""


def valve_instead_of_float(text: str) -> str:
    """A membrane and a valve that the box opens at a low mark and shuts at a higher one."""
    (line,) = (one for one in text.splitlines() if one.startswith("  float:"))
    text = text.replace(
        line,
        "  feed valve: {kind: solenoid valve, after: tube, in: room, without power: shut, driven by: box}\n"
        "  membrane:  {kind: membrane, after: feed valve, in: room, rated: 75 gal/day at 50 psi and 25 C, "
        "waste to: drain}\n"
        "  gap:       {kind: air gap, after: membrane, in: room, into: reservoir, gap: 5 cm}",
    )
    sensor = (
        "sensors:\n  stock mark: {kind: level switch, type: float, in: reservoir, calls at: 100 mm, "
        "is satisfied at: 200 mm, wired to: box, contact: closes when low, read as low when: closed}\n"
    )
    row = (
        "  - {id: refill, cause: stock mark low, effect: {feed valve: open}, at most: 6 h a run, "
        "when a run is too long: {effect: shut, until: re-armed by hand, tell: level message}}\ncombination:"
    )
    text = text.replace("sensors:\n", sensor).replace("combination:", row)
    return text.replace("places:\n", "places:\n  drain: {kind: waste drain, in: room}\n")
