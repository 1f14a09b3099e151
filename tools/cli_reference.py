"""The commands' own help -> docs/cli.md. ``python tools/cli_reference.py FILE`` writes it (- : standard output)."""

import io
import os
import sys
from collections.abc import Iterator
from contextlib import redirect_stdout
from pathlib import Path

import typer.main

from extractor.cli import app, main

HEAD = """\
# The commands

<!-- Written by `make docs` from the commands' own help; tests/test_cli.py compares the two. Do not edit. -->

Exit status: 0 done; 1 some cases of a batch failed and are named, or it was stopped; 2 the input or the arguments
cannot be used, with one line on standard error that names the file, the cause and the cure, and nothing half-written
left behind; 130 stopped with Ctrl-C, and nothing was written.
"""


def command_paths() -> Iterator[tuple[str, ...]]:
    """The words of every command: (), ("draft",), ("model", "list"), ..."""

    def walk(command: object, path: tuple[str, ...]) -> Iterator[tuple[str, ...]]:
        yield path
        for name, child in getattr(command, "commands", {}).items():
            yield from walk(child, (*path, name))

    return walk(typer.main.get_command(app), ())


def help_text(path: tuple[str, ...]) -> str:
    """A command's words -> its help, 80 columns wide."""
    os.environ["COLUMNS"] = "80"
    with redirect_stdout(io.StringIO()) as said:
        main([*path, "--help"])
    return said.getvalue().rstrip()


def reference() -> str:
    """Every command with its help, as Markdown."""
    parts = [
        f"## extractor {' '.join(path)}".rstrip() + f"\n\n```text\n{help_text(path)}\n```" for path in command_paths()
    ]
    return "\n\n".join([HEAD.rstrip(), *parts]) + "\n"


if __name__ == "__main__":
    if sys.argv[1] == "-":
        print(reference(), end="")
    else:
        Path(sys.argv[1]).write_text(reference(), encoding="utf-8")
