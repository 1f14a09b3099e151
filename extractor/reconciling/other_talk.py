"""Talk in the middle of an inflation that is not of it: lights that go down, questions that another figure answers."""

from itertools import pairwise

from extractor.model import Item, Sentence
from extractor.reconciling.story import Story

#: What else comes down, or is turned, put, sat, lain, written down.
_ROOM = frozenset(
    """
    light lights music table volume temperature screen head bed arm leg arms legs radio camera detector noise heating
    turn sit lie lying calm write slow wind blinds fan air shutter monitor phone
    """.split()
)
#: Pairs of words that ask for a figure.
_NUMBERED = {
    "how": frozenset("many much old long far big wide tall late heavy".split()),
    "what": frozenset("time number size is 's was age weight".split()),
}


def asks_for_figure(sentence: Sentence) -> bool:
    """ "How many cases today?", "What time is it?": what a figure alone may answer."""
    return any(what in _NUMBERED.get(ask, ()) for ask, what in pairwise(sentence.tokens))


def of_the_room(story: Story, item: Item) -> bool:
    """ "Lights down.", "Turn the music down.": no balloon."""
    tokens, first, last = story.sentence.tokens, *item.span
    around = {*tokens[max(0, first - 3) : first], *tokens[last : last + 2]}
    return bool(around & _ROOM)
