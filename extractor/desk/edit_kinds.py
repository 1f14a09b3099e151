"""What a person can ask for at the desk, as types: each edit is one small object, told apart by ``do``."""

from typing import Annotated, Literal

from pydantic import Field, TypeAdapter

from extractor.model import Frozen, Kind, Milliseconds, Site, Status, WordRange

#: No name, term or reason is longer.
LONGEST_TEXT = 500

#: Figures are taken as they are: True is none, nor is "14".
Figure = Annotated[float, Field(strict=True, ge=0, allow_inf_nan=False)]
Text = Annotated[str, Field(max_length=LONGEST_TEXT)]


class Amount(Frozen):
    """A figure in a UCUM unit."""

    value: Figure
    unit: str


class NewEvent(Frozen):
    """An event somebody adds. ``words``: those it is heard in; else all that lie in its time."""

    kind: Kind
    status: Status
    start_ms: Milliseconds
    end_ms: Milliseconds
    device: Text | None = None
    drug: Text | None = None
    finding: Text | None = None
    site: Site | None = None
    words: WordRange | None = None
    values: dict[str, Amount] = Field(default_factory=dict)


class Set(Frozen):
    """A field of an event becomes another: see FIELDS; ``values.pressure.value``, ``….unit``, ``values.pressure``."""

    do: Literal["set"] = "set"
    event: str
    field: str
    value: Amount | Figure | Text | None


class Take(Frozen):
    """One of a value's alternatives becomes the value, and the value an alternative."""

    do: Literal["take"] = "take"
    event: str
    key: str
    alternative: Annotated[int, Field(ge=0)] = 0


class Look(Frozen):
    """Points that somebody looked at: right as they stand."""

    do: Literal["look"] = "look"
    points: Annotated[tuple[str, ...], Field(min_length=1)]


class Add(Frozen):
    """A new event behind another; ``after`` None: before all others."""

    do: Literal["add"] = "add"
    after: str | None
    event: NewEvent


class Delete(Frozen):
    """An event that did not happen. It stays in the trail."""

    do: Literal["delete"] = "delete"
    event: str


class Merge(Frozen):
    """Two events that are one: the first is kept, and what the second says otherwise asks for a look."""

    do: Literal["merge"] = "merge"
    events: tuple[str, str]


class Split(Frozen):
    """An event that is two: the values named go into a new one behind it."""

    do: Literal["split"] = "split"
    event: str
    keys: Annotated[tuple[str, ...], Field(min_length=1)]


class Move(Frozen):
    """An event that belongs elsewhere in the order; ``after`` None: before all others."""

    do: Literal["move"] = "move"
    event: str
    after: str | None


class ReadAs(Frozen):
    """What is read for some words. The heard form stays; reading what was heard takes a repair away."""

    do: Literal["word"] = "word"
    words: WordRange
    read: Text


class Undo(Frozen):
    """A revision is taken back. To do it again is to undo the undoing."""

    do: Literal["undo"] = "undo"
    revision: int


#: What a person can do, told apart by ``do``.
Edit = Annotated[Set | Take | Look | Add | Delete | Merge | Split | Move | ReadAs | Undo, Field(discriminator="do")]
EDIT: TypeAdapter[Edit] = TypeAdapter(Edit)
