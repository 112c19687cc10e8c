"""Writes a page for each kind of part, their index docs/kinds.md and the sheet of symbols docs/kinds.svg.

All of it is made from what each kind declares; tests compare it.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from dewpond.design.showing import allowed, shown_value
from dewpond.parts import KINDS
from dewpond.parts.base import REQUIRED, Fault, Kind, Param
from dewpond.vocabulary import QUANTITIES

PAGE = Path(__file__).with_suffix(".md")
FOLDER = Path(__file__).with_suffix("")
SHEET = Path(__file__).with_suffix(".svg")
COLUMNS, WIDE, HIGH = 4, 180, 64  # the sheet of symbols [px]
YEAR, MONTH, DAY = 365 * 86400.0, 30 * 86400.0, 86400.0
HEAD = """# Kinds of part

Written by `docs/kinds.py` from what each file in `src/dewpond/parts` declares: change that, then run
`python3 dev.py docs`. Each kind has a page: its keys with every figure that is taken when one is left out and where
that comes from, how it fails, how to try it, its cautions, what was assumed or left out. Values are shown in metric
units; a design file may give any unit.

![The symbol of each kind](kinds.svg)
"""
SECTIONS = {
    "supply": "From the house", "places": "Where water can lie", "water": "What water runs through or stands in",
    "sensors": "What tells of water", "controllers": "What carries out orders", "power": "Where the power comes from",
    "people": "Who is there", "work": "What people do on purpose",
}  # fmt: skip
PLAIN = {
    "count": "a whole number", "size": "two lengths", "part": "name of a part",
    "parts": "names of parts", "place": "name of a place", "places": "names of places", "text": "a few words",
    "date": "a date", "time of day": "a time of day", "list": "a list",
}  # fmt: skip
LEVEL = "a height with the word from where: `above floor`, `above tray`"
LEVEL_FROM = "a height, from the {bare} of the vessel unless `below rim`, `above floor` or `above tray` follows"
TIMINGS = {
    "latent": "may stand unseen",
    "initiator": "begins",
    "event": "comes and goes",
    "triggered": "comes in that moment",
}


def index() -> str:
    """The page that leads to all others, as text."""
    lines = [HEAD]
    for section, title in SECTIONS.items():
        mine = [kind for kind in KINDS.values() if kind.section == section]
        rows = [(f"[{kind.word}](kinds/{file_name(kind)})", kind.summary) for kind in mine]
        lines += [f"## {title}\n", table(("kind", "what it is"), rows)]
    return "\n".join(lines)


def file_name(kind: Kind) -> str:
    """The file of its page."""
    return kind.word.replace(" ", "_") + ".md"


def pages() -> dict[str, str]:
    """File name -> text of the page of each kind."""
    return {file_name(kind): "\n".join(about(kind)) for kind in KINDS.values()}


def about(kind: Kind) -> Iterator[str]:
    """All about one kind, a paragraph or a table at a time."""
    yield f"# {kind.word}\n"
    yield f"{kind.summary} {kind.fails}\n"
    ports = ", ".join(f"{port.name} ({port.carries})" for port in kind.ports) or "none"
    yield f"Section `{kind.section}`. Joints: {ports}.\n"
    yield f"```yaml\n{kind.example}\n```\n"
    if kind.params:
        rows = [row for param in kind.params for row in keys(param)]
        yield table(("key", "what", "takes", "if left out", "source of the figure"), rows)
    if kind.faults:
        yield table(("fault", "what is wrong", "shown by", "when", "how often"), [fault_row(f) for f in kind.faults])
    for test in kind.tests:
        yield f'Test "{test.name}", every {span(test.every)}: {test.steps} Accept: {test.accept}\n'
    for work in kind.upkeep:
        yield f"Upkeep, every {span(work.every)}: {work.what}\n"
    for title, texts in (("Cautions", kind.cautions), ("Assumed or left out", kind.notes)):
        if texts:
            yield "\n".join([f"{title}:\n", *(f"- {text}" for text in texts), ""])


def keys(param: Param, above: str = "") -> Iterator[tuple[str, ...]]:
    """The row of a key, then those of the keys inside it."""
    what = f"{param.help} To find out: {param.find_out}" if param.find_out else param.help
    yield (f"`{above}{param.key}`", what, takes(param), left_out(param), source(param))
    for field in param.fields:
        yield from keys(field, f"{above}{param.key}: ")


def takes(param: Param) -> str:
    """What a key takes, and its limits."""
    words = ", ".join(f"`{word}`" for word in param.words)
    if param.takes in ("word", "flag"):
        text = words
    elif param.takes == "compound":
        text = f"`{param.pattern}`"
    elif param.takes == "map":
        text = "keys of its own"
    elif param.takes in QUANTITIES:
        text = QUANTITIES[param.takes].phrase
    elif param.takes == "level":
        text = LEVEL_FROM.format(bare=param.bare) if param.bare else LEVEL
    else:
        text = PLAIN[param.takes]
    if param.takes in QUANTITIES and (param.low, param.high) != (None, None):
        text += f", {allowed(param.low, param.high, '', param.takes, 'metric')}"
    elif param.takes == "count" and None not in (param.low, param.high):
        text += f", from {param.low:g} to {param.high:g}"
    if param.usual is not None:
        text += f", usually {usual(param)}"
    if words and param.takes not in ("word", "flag"):
        text += f", or {words}"
    return f"{text}, or `unknown`" if param.unknown else text


def usual(param: Param) -> str:
    """Between which figures it mostly lies; others are asked about."""
    low, high = param.usual or (0.0, 0.0)
    if param.takes == "count":
        return f"{low:g} to {high:g}"
    quantity = {"size": "length", "level": "height"}.get(param.takes, param.takes)
    return allowed(low, high, "", quantity, "metric").removeprefix("from ")


def left_out(param: Param) -> str:
    """What is taken when a key is left out."""
    if param.default is REQUIRED:
        return "must be given"
    if param.default is None or param.default == ():
        return ""
    if param.default == "unknown":
        return "`unknown`: tried with " + ", ".join(shown_value(value, param) for value in param.unknown)
    return shown_value(param.default, param)


def source(param: Param) -> str:
    """Where the default comes from."""
    return f"{param.source.text} ({param.source.grade})" if param.source else ""


def fault_row(fault: Fault) -> tuple[str, ...]:
    """One way to fail."""
    often = "not known yet"
    if fault.rate is not None:
        often = f"{fault.rate.median:g} {fault.rate.unit}: {fault.rate.source.text} ({fault.rate.source.grade})"
    return (fault.name, fault.what, fault.reveals, TIMINGS[fault.timing], often)


def span(seconds: float) -> str:
    """A length of time in the largest unit that goes into it."""
    for unit, length in (("year", YEAR), ("month", MONTH), ("day", DAY)):
        count = seconds / length
        if count >= 1.0 and abs(count - round(count)) < 1e-9:
            return unit if round(count) == 1 else f"{round(count)} {unit}s"
    return f"{seconds / DAY:.3g} days"


def table(head: tuple[str, ...], rows: list[tuple[str, ...]]) -> str:
    """A table, without the columns in which nothing stands."""
    keep = [i for i in range(len(head)) if any(row[i] for row in rows)]
    lines = [tuple(head[i] for i in keep), ("---",) * len(keep), *(tuple(row[i] for i in keep) for row in rows)]
    return "\n".join([*("| " + " | ".join(cell.replace("|", "\\|") for cell in line) + " |" for line in lines), ""])


def symbols() -> str:
    """The symbols of all kinds on one sheet, each over its word."""
    rows = -(-len(KINDS) // COLUMNS)
    marks = []
    for number, kind in enumerate(KINDS.values()):
        x, y = WIDE * (number % COLUMNS), HIGH * (number // COLUMNS)
        marks.append(f'<g transform="translate({x + WIDE // 2 - 30} {y + 6}) scale(1.5)">{kind.symbol}</g>')
        marks.append(f'<text x="{x + WIDE // 2}" y="{y + 54}" text-anchor="middle">{kind.word}</text>')
    size = f'width="{COLUMNS * WIDE}" height="{rows * HIGH}"'
    style = 'font-family="sans-serif" font-size="13" color="black"'
    ground = '<rect width="100%" height="100%" fill="white"/>'
    inside = "\n".join([ground, *marks])
    return f'<svg xmlns="http://www.w3.org/2000/svg" {size} {style}>\n<title>Kinds of part</title>\n{inside}\n</svg>\n'


if __name__ == "__main__":
    written = pages()
    FOLDER.mkdir(exist_ok=True)
    for stale in set(FOLDER.glob("*.md")) - {FOLDER / name for name in written}:
        stale.unlink()
    for name, text in written.items():
        (FOLDER / name).write_text(text, encoding="utf-8")
    PAGE.write_text(index(), encoding="utf-8")
    SHEET.write_text(symbols(), encoding="utf-8")
    print(f"Wrote {PAGE.name}, {SHEET.name} and the pages of {len(written)} kinds.")
