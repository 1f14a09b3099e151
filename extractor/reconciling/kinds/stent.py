"""Stents and grafts deployed by other means than a pressure: released, unsheathed, "that's it off"."""

from extractor.model import Item, Kind, Status
from extractor.reconciling.kinds.sized import refuse_active
from extractor.reconciling.story import NOT_DONE, Hearing, Story
from extractor.reconciling.things import values_of

_FULLY = {"deployed", "released", "finished", "deploy"}


class Stents(Hearing):
    """Hears words of release while a stent is the active device."""

    def hear(self, story: Story, item: Item) -> bool:
        active = story.active
        if item.kind != "action" or "deploy" not in item.meanings or active is None or active.role != "stent":
            return False
        if item.status is Status.NEGATED and active.where == "asked":
            return refuse_active(story, item) is not None
        if item.status in NOT_DONE:
            return False
        done = story.recent(Kind.STENT, 0, Status.DONE)
        if active.left <= 0:
            if done is not None:
                done.reach(item.words)
            return True
        active.done = story.settle(active.asked, Status.DONE, item, "stent/asked-and-deployed") or story.add(
            Kind.STENT, Status.DONE, item, "stent/deployed", device="stent", values=values_of(active)
        )
        active.asked, active.where = None, "used"
        active.left -= 1
        return True
