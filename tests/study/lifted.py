"""The worked tank with its reservoir filled by a pump out of a bin, from mark to mark."""

BIN = (
    "fills: bin, starts to shut at: 480 mm, quite shut at: 500 mm}\n"
    "  bin: {kind: storage bin, in: room, footprint: 50 cm x 40 cm, rim: 600 mm, bottom: 10 cm above floor}\n"
    "  lift: {kind: transfer pump, from: bin, to: reservoir, flow: 120 L/h, outlet: 40 cm above floor, driven by: box}"
)
SWITCH = (
    "sensors:\n"
    "  stock: {kind: level switch, in: reservoir, calls at: 100 mm, is satisfied at: 250 mm, wired to: box,\n"
    "          contact: closes when low, read as low when: closed}"
)
ROW = (
    "matrix:\n"
    "  - {id: refill, cause: stock low, effect: {lift: running}, at most: 25 min a run, gap: 1 h, per day: 55 L}"
)
LIFTED = {
    "fills: reservoir, starts to shut at: 250 mm, quite shut at: 270 mm}": BIN,
    "sensors:": SWITCH,
    "matrix:": ROW,
}


def lifted_from_a_bin(text: str) -> str:
    """The design's text, with a bin behind the float and a transfer pump from it into the reservoir."""
    for old, new in LIFTED.items():
        assert old in text
        text = text.replace(old, new)
    return text
