"""Forms of a lexicon -> one look-up, walked token by token.

A line's alternatives are walked as they stand: written out, a few lines alone would be a hundred thousand forms. What
can follow is worked out once: lines that begin alike are walked at once, and where what is left of them is the same,
they go on from one place.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

#: A form as its pieces: the ways each may be said, as tokens; none of them where it may be left out.
Line = Sequence[Sequence[tuple[str, ...]]]
#: Stands for a token behind the last of a form. No token is empty.
_OVER = ""


@dataclass(frozen=True, slots=True)
class Place:
    """Where some tokens lead: by which token on, and whose whole forms they are, in the order those were given."""

    onward: dict[str, "Place"]
    owners: tuple[int, ...]


def paths(lines: Iterable[tuple[Line, int]]) -> list[Place]:
    """Lines, each with the number of whom it is of -> every place their tokens lead to; where all begin comes last."""
    steps: dict[tuple[str, frozenset[int]], int] = {}  # a token and the steps that may follow it -> its number

    def step(token: str, after: frozenset[int]) -> frozenset[int]:
        return frozenset({steps.setdefault((token, after), len(steps))})

    first: set[int] = set()
    for line, owner in lines:
        after = step(_OVER, frozenset({owner}))
        for ways in reversed(line):
            begun: frozenset[int] = frozenset()
            for tokens in ways:
                way = after
                for token in reversed(tokens):
                    way = step(token, way)
                begun |= way
            after = begun
        first |= after
    numbered, places = list(steps), dict[frozenset[int], Place]()

    def place(at: frozenset[int]) -> Place:
        if at not in places:
            onward: dict[str, set[int]] = {}
            for token, after in (numbered[number] for number in at):
                onward.setdefault(token, set()).update(after)
            owners = tuple(sorted(onward.pop(_OVER, ())))
            places[at] = Place({token: place(frozenset(after)) for token, after in onward.items()}, owners)
        return places[at]

    place(frozenset(first))
    return list(places.values())
