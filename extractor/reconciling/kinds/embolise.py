"""Coils and plugs let go; particles, glue, foam and slurry delivered, their volume counted aloud."""

from dataclasses import replace

from extractor.model import Item, Kind, Quantity, Sentence, Status
from extractor.reconciling.kinds.sized import POURED
from extractor.reconciling.story import NOT_DONE, Draft, Hearing, Story, Thing
from extractor.reconciling.things import values_of

_GOING = frozenset(
    """
    going pushing giving slowly pulse creeping injecting in stop finished dribble delivered given reflux start
    """.split()
)
_MORE = {"another", "again", "second", "third"}


def _ends(story: Story, item: Item) -> bool:
    """Whether a small word ends its clause: "it's off." and not "off the collaterals"."""
    following = next(story.ahead(), None)
    return following is None or (following.kind == "mark" and following.span[0] == item.span[1])


class Embolics(Hearing):
    """Hears letting go and volumes while an embolic is the active device."""

    def __init__(self) -> None:
        self.pouring: Draft | None = None
        self.going = -9  # breath in which it was said to go in

    def begin(self, story: Story, sentence: Sentence) -> None:
        if sentence.texts & _GOING:
            self.going = sentence.breath
        if self.pouring is not None and sentence.breath - self.pouring.breath > 1:
            self.pouring = None

    def hear(self, story: Story, item: Item) -> bool:
        active = story.active
        if active is None or active.role != "embolise":
            return False
        if item.kind == "quantity" and active.name in POURED:
            return self._volume(story, active, item)
        if item.kind == "action" and "detach" in item.meanings and active.name not in POURED:
            return self._let_go(story, active, item)
        return False

    def _let_go(self, story: Story, thing: Thing, item: Item) -> bool:
        if item.status in NOT_DONE or story.topic not in {"embolise", "finding", "measure"}:
            return False
        strong = item.text in {"detach", "detached", "detaching", "deployed", "released", "off", "is off"}
        if item.text in {"in", "off", "away", "gone in", "went in"} and not _ends(story, item):
            return False
        if any(other.kind == "drug" or (other.kind == "device" and other.role == "insert") for other in story.clause()):
            return False
        if not strong and (story.sentence.question or thing.where != "asked"):
            return False
        last = story.recent(Kind.EMBOLISE, 0, Status.DONE)
        if thing.left <= 0:
            more = story.sentence.texts & _MORE
            if last is not None and not more:
                last.reach(item.words)
                return True
            if not more and not strong:
                return False
            thing.left = 1
        draft = story.settle(thing.asked, Status.DONE, item, "embolise/asked-and-let-go") or story.add(
            Kind.EMBOLISE,
            Status.DONE,
            item,
            "embolise/let-go",
            device=thing.name or "coil",
            values=values_of(thing),
        )
        if "count" in thing.values:
            draft.values["count"] = replace(thing.values["count"], value=1.0)
        thing.asked, thing.left = None, thing.left - 1
        thing.where = "asked" if thing.left > 0 else "used"
        story.topic = "embolise"
        return True

    def _volume(self, story: Story, thing: Thing, item: Item) -> bool:
        quantity = item.figures["value"]
        if item.after in {"syringe", "syringes"} or (quantity.unit is None and item.after.endswith("s")):
            return False
        if (
            quantity.unit not in {None, "mL"}
            or not 0 < quantity.value <= (60 if quantity.unit else 12)
            or story.topic not in {"embolise", "finding", "run", "measure"}
            or item.status in NOT_DONE
        ):
            return False
        if story.says("by hand", "run") or "inject" in story.sentence.texts:
            return False
        rising = [
            o.figures["value"].value for o in story.mentions("quantity") if o.figures["value"].unit in {None, "mL"}
        ]
        climbs = len(rising) >= 3 and rising == sorted(rising) and story.sentence.breath - story.spoken_breath <= 3
        if (
            self.pouring is None
            and not climbs
            and not (self.going == story.sentence.breath and story.sentence.breath - story.spoken_breath <= 6)
        ):
            return False
        draft = self.pouring or self._start(story, thing, item)
        known = draft.values.get("volume")
        if (
            known is None
            or quantity.value >= known.value
            or "corrected" in quantity.flags
            or "carried-over" in known.flags
            or (known.words[0] >= story.sentence.words[0] and "unit-assumed" in known.flags)  # "glue for eight: .3, .6"
        ):
            draft.values["volume"] = quantity.in_unit("mL")
        draft.reach(item.words)
        return True

    def _start(self, story: Story, thing: Thing, item: Item) -> Draft:
        draft = story.settle(thing.asked, Status.DONE, item, "embolise/asked-and-given")
        if draft is None:
            values: dict[str, Quantity] = {key: value for key, value in values_of(thing).items() if key != "volume"}
            draft = story.add(Kind.EMBOLISE, Status.DONE, item, "embolise/given", device=thing.name, values=values)
        thing.asked, thing.where = None, "used"
        self.pouring = draft
        return draft
