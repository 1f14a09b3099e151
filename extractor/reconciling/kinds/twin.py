"""One more of what was just asked for, for the other side: "a seven French sheath for the right, and the same for the
left".
"""

from dataclasses import replace

from extractor.model import Item, Kind, Sentence, Status
from extractor.reconciling.story import Hearing, Story, carried

_KINDS = {Kind.INSERT, Kind.INFLATION, Kind.STENT}
#: Between "the same" and the side it is for; words of more than that tell of something else.
_FOR = frozenset("for on to the again size one sheath balloon stent wire catheter please and too".split())


class Twins(Hearing):
    """Hears "the same" for another side, in the sentence that asks for the first one. Claims nothing."""

    def end(self, story: Story, sentence: Sentence) -> None:
        first, side = _same_for(sentence)
        if first is None or side is None:
            return
        asked = [thing for thing in story.things if thing.asked is not None and thing.asked.number == story.number]
        if len(asked) != 1:
            return
        thing, draft = asked[0], asked[0].asked
        assert draft is not None
        if draft.kind not in _KINDS or draft.status is not Status.PLANNED or draft.words[0] > side.words[0]:
            return
        twin = replace(
            draft,
            words=side.words,
            rule=f"{draft.kind}/other-side",
            side=side.name,
            values={key: carried(value) for key, value in draft.values.items()},
            flags=set(draft.flags),
        )
        story.drafts.append(twin)
        thing.spots = thing.spots - {side.name} | {first.name}
        spots = thing.spots - {first.name} | {side.name}
        story.things.append(
            replace(thing, values=dict(thing.values), qualifiers=set(thing.qualifiers), spots=spots, asked=twin)
        )


def _same_for(sentence: Sentence) -> tuple[Item | None, Item | None]:
    """The side named first and the other one that "the same" is for; None where nothing is said so."""
    same = next((item for item in sentence.items if "again" in item.meanings and "same" in item.text.split()), None)
    if same is None or sentence.question:
        return None, None
    sides = [item for item in sentence.items if item.kind == "side"]
    side = next((item for item in sides if item.span[0] >= same.span[1]), None)
    if side is None or not all(word in _FOR for word in sentence.tokens[same.span[1] : side.span[0]]):
        return None, None
    return next((item for item in sides if item.name != side.name and item.span[0] < same.span[0]), None), side
