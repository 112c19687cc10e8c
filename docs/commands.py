"""Writes docs/commands.md from the help texts of the command itself; tests compare it."""

from pathlib import Path

import click

from dewpond.app.cli import cli

PAGE = Path(__file__).with_suffix(".md")
WIDE = {"terminal_width": 80}
HEAD = """# Commands

Written by `docs/commands.py` from the program's own help texts: change those, then run `python3 dev.py docs`.
"""


def page() -> str:
    """The page as text."""
    parts = [HEAD, "## dewpond\n", block(cli, None)]
    parent = click.Context(cli, info_name="dewpond", **WIDE, **cli.context_settings)
    for name, command in sorted(cli.commands.items()):
        parts += [f"## dewpond {name}\n", block(command, parent)]
    return "\n".join(parts)


def block(command: click.Command, parent: click.Context | None) -> str:
    """The help text of one command, 80 columns wide."""
    name = "dewpond" if parent is None else command.name
    context = click.Context(command, parent=parent, info_name=name, **WIDE, **command.context_settings)
    return f"```\n{command.get_help(context)}\n```\n"


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
    print(f"Wrote {PAGE.name}.")
