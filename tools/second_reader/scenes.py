"""Scenes: short invented pieces of narrated procedures, each by another speaker, with what a correct record holds.

    # w1-001 | laconic Danish man, fistula
    Up to sixteen. Fine. We leave it for one minute.
      = inflation done; diameter 8 mm; length 40 mm; pressure 16 atm; duration 60 s; span 1

Below a line stand the events that become true in it: kind, status, the name of a device, drug or finding, values, and
over how many further lines it is told.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).parent.parent.parent / "tests" / "speakers" / "scenes"
_NAMED = {"insert": "device", "remove": "device", "drug": "drug", "finding": "finding"}


@dataclass
class Scene:
    """Who speaks, and the lines as a case's script has them: what is said, the events."""

    name: str
    lines: list[dict[str, Any]] = field(default_factory=list)


def scenes(path: Path) -> Iterator[Scene]:
    """A file -> its scenes in order. Raises ValueError with the line that cannot be read."""
    scene: Scene | None = None
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
        sign, _, text = line.strip().partition(" ")
        if sign == "#":
            if scene:
                yield scene
            scene = Scene(text)
        elif sign and scene is None:
            raise ValueError(f"{path}:{number}: no scene has begun")
        elif scene and sign == "=":
            scene.lines[-1]["events"].append(_event(text, f"{path}:{number}"))
        elif scene and sign:
            scene.lines.append({"say": line.strip(), "events": []})
    if scene:
        yield scene


def _event(text: str, at: str) -> dict[str, Any]:
    head, *parts = (part.strip() for part in text.split(";"))
    kind, status, *name = head.split(maxsplit=2)
    event: dict[str, Any] = {"kind": kind, "status": status, "values": {}}
    if name:
        if kind not in _NAMED:
            raise ValueError(f"{at}: {kind} has no name")
        event[_NAMED[kind]] = name[0]
    for part in parts:
        key, _, quantity = part.partition(" ")
        if key == "span":
            event["span"] = int(quantity)
        else:
            event["values"][key] = quantity
    return event
