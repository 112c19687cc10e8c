"""Toy kinds, so that reading is tried without any real kind, and a sound design made of them."""

from collections.abc import Mapping

import pytest

from dewpond.parts.base import Floor, Kind, Level, Lowering, Param, PartView, Port, Source, StoreSpec

PRIOR = Source("a guess for tests", "our prior", 0.1, 1.0)


def lower_spring(p: PartView, b: Lowering) -> None:
    b.bind("out", b.source(p["push"], 0.0, 0.0))


def lower_pipe(p: PartView, b: Lowering) -> None:
    b.tube(b.outlet(p["after"]), b.port("out", 0.0), 1e-3, 1.0, 0.0)


def lower_gate(p: PartView, b: Lowering) -> None:
    lower_pipe(p, b)
    b.actuator("shut", "open", "", lambda _signal: None)


def lower_end(p: PartView, b: Lowering) -> None:
    b.vessel_level(p["into"], p["up to"])
    b.tube(b.outlet(p["after"]), b.spout(p["into"], 1.0), 1e-3, 1.0, 0.0)


def lower_mug(p: PartView, b: Lowering) -> None:
    b.tap(p.name)


def mug_store(p: PartView, _b: Lowering) -> StoreSpec:
    return StoreSpec(0.0, (0.0, p["rim"]), (0.0, 1e-3), p["rim"], 0.0, 0.0, p["on"])


def lower_board(_p: PartView, b: Lowering) -> None:
    b.place(Floor(1.0, 1e-3, 1e-3), None, False, 1.0)


def lower_eye(p: PartView, b: Lowering) -> None:
    b.condition("wet", b.pool_above(p["on"], 1e-3, 5e-4))
    b.condition("dry", b.no(b.pool_above(p["on"], 1e-3, 5e-4)))


def lower_nothing(_p: PartView, _b: Lowering) -> None:
    pass


AFTER = Param("after", "part", "What it follows.", roles=("source", "line"), joins="out")


def toy(word: str, section: str, role: str, lower: object, *params: Param, **more: object) -> Kind:
    ports = {"line": (Port("in"), Port("out")), "source": (Port("out"),)}.get(role, ())
    return Kind(
        word,
        section,
        role,
        f"A {word}.",
        "It breaks.",
        tuple(params),
        ports,
        (),
        lower,
        "",
        f"it: {{kind: {word}}}",
        **more,
    )  # type: ignore[arg-type]


TOYS = (
    toy("spring", "spring water", "source", lower_spring,
        Param("push", "pressure", "How hard it pushes.", low=1e4, high=1e6)),
    toy("pipe", "line", "line", lower_pipe, AFTER, Param("bore", "bore", "Inside.", 4e-3, source=PRIOR)),
    toy("gate", "line", "line", lower_gate, AFTER, Param("led by", "part", "Its box.", None, roles=("box",))),
    toy(
        "open end", "line", "device", lower_end, AFTER,
        Param("into", "part", "The mug.", roles=("vessel",)),
        Param("up to", "level", "Where it stops.", Level(0.03, "rim"), low=0.0, high=1.0, words=("never",)),
    ),
    toy("mug", "line", "vessel", lower_mug, Param("rim", "height", "Its rim.", low=0.0, high=1.0),
        Param("on", "place", "Where it stands."), store=mug_store),
    toy("board", "boards", "place", lower_board, Param("area", "size", "Its sides.", low=0.01, high=10.0)),
    toy("eye", "eyes", "sensor", lower_eye, Param("on", "place", "Where it looks."),
        Param("told to", "part", "Its box.", None, roles=("box",))),
    toy(
        "brain", "brains", "box", lower_nothing,
        Param("when lost", "word", "What it does.", "unknown", words=("stops", "goes on"), unknown=("stops", "goes on"),
              find_out="Pull its plug."),
        Param("fed by", "part", "Its fuse.", None, roles=("circuit",)),
        Param("memory", "map", "What it keeps.", {"trips": "kept", "days": 1.0}, fields=(
            Param("trips", "word", "Its trips.", "unknown", words=("kept", "lost"), unknown=("lost", "kept")),
            Param("days", "duration", "How long.", 86400.0, low=0.0, source=PRIOR),
        )),
        Param("made", "date", "When.", None),
        Param("is old", "flag", "Old or new.", False, words=("old", "new")),
        Param("plugs", "count", "How many.", 1, low=0, high=9),
        Param("sees", "parts", "Its eyes.", (), roles=("sensor",)),
        Param("covers", "places", "Its boards.", ()),
        Param("rated", "compound", "Its rating.", None, pattern="{speed} at {heat}", fields=(
            Param("speed", "flow", "Speed."), Param("heat", "temperature", "Heat.", low=273.15),
        )),
        Param("runs", "list", "Its runs.", (), fields=(
            Param("run", "duration", "One run.", low=0.0, trailing=("each",)),
        )),
    ),
    toy("fuse", "fuses", "circuit", lower_nothing, Param("amps", "current", "Its size.", 10.0, source=PRIOR)),
)  # fmt: skip

SOUND = """\
format: 1
title: Toys (invented)
spring water: {push: 3 bar}
boards:
  desk: {area: 40 cm x 30 cm}
line:
  first pipe: {kind: pipe, after: spring water}
  tap: {kind: gate, after: first pipe, led by: brain one}
  end: {kind: open end, after: tap, into: cup}
  cup: {kind: mug, rim: 10 cm, on: desk}
eyes:
  left eye: {on: desk, told to: brain one}
  left eye wide: {on: desk, told to: brain one}
brains:
  brain one: {fed by: kitchen}
matrix:
  - {cause: left eye wet, effect: {tap: shut}}
"""


@pytest.fixture(scope="session")
def toys() -> Mapping[str, Kind]:
    """Toy kinds by their words."""
    return {kind.word: kind for kind in TOYS}


@pytest.fixture(scope="session")
def sound() -> str:
    """A design of toy kinds that nothing is wrong with."""
    return SOUND
