"""How the puncture was closed: device, stitch, band or pressure, and for how long."""

from extractor.model import Item, Kind, Quantity, Sentence, Status
from extractor.reconciling.story import Draft, Hearing, Story, carried, told_status


class Closures(Hearing):
    """Hears closure devices, pressing, and the minutes of it."""

    def __init__(self) -> None:
        self.open: Draft | None = None
        self.asked: Draft | None = None

    def begin(self, story: Story, sentence: Sentence) -> None:
        if self.open is not None and (sentence.breath - self.open.breath > 2 or self._another_hole(story, self.open)):
            self.open = None

    @staticmethod
    def _another_hole(story: Story, closure: Draft) -> bool:
        """A sheath taken out after a closure was told leaves a hole of its own."""
        for draft in reversed(story.drafts[-8:]):
            if draft is closure:
                return False
            if draft.kind is Kind.REMOVE and draft.device == "sheath" and draft.status is Status.DONE:
                return draft.breath > closure.breath
        return False

    def hear(self, story: Story, item: Item) -> bool:
        if item.kind == "device" and (
            item.role == "closure" or (item.name == "plug" and (self.asked is not None or self.open is not None))
        ):
            return self._device(story, item)
        if item.kind == "action" and item.meanings & {"press", "haemostasis"}:
            return self._press(story, item)
        if item.kind == "quantity" and item.figures["value"].unit in {"min", "s"}:
            return self._time(story, item)
        return False

    def _device(self, story: Story, item: Item) -> bool:
        status = item.status or (Status.PLANNED if "please" in story.sentence.texts else Status.DONE)
        if (
            status is Status.PLANNED
            and story.says("particle", "press", "haemostasis")
            and not story.sentence.texts & {"have", "next", "give", "want"}
        ):
            status = Status.DONE
        asked = self.asked
        if status is Status.DONE and asked is not None:
            self.asked = None
            if story.settle(asked, Status.DONE, item, "closure/asked-and-done"):
                self.open = asked
                return True
        gauge = item.figures.get("gauge") or self._gauge(story, item)
        values = {"gauge": gauge} if gauge else {}
        if status is Status.DONE and self.open is not None:
            self.open.reach(item.words)
            return True
        draft = story.add(Kind.CLOSURE, status, item, f"closure/device-{status}", device=item.name, values=values)
        if status is Status.DONE:
            self.open = draft
        elif status is Status.PLANNED:
            self.asked = draft
        story.topic = "closure"
        return True

    def _gauge(self, story: Story, item: Item) -> Quantity | None:
        """The hole to close: a gauge said in the sentence, else that of the sheath last out, else the one still in."""
        for other in story.sentence.items:
            if (
                other.kind == "device"
                and other.role in {"", "insert"}
                and "gauge" in other.figures
                and other.name in {"", "sheath"}
            ):
                return other.figures["gauge"]
        for other in story.sentence.items:
            said = other.figures.get("bare") if other.kind == "device" else None
            for thing in story.things if said is not None else []:
                known = thing.values.get("gauge")
                if (
                    said is not None
                    and known is not None
                    and thing.name in {"", "sheath"}
                    and known.value == said.value
                ):
                    return carried(known)
        for draft in reversed(story.lately()):
            if (
                draft.kind is Kind.REMOVE
                and draft.device == "sheath"
                and draft.status is Status.DONE
                and "gauge" in draft.values
            ):
                return carried(draft.values["gauge"])
        for thing in reversed(story.things):
            if thing.name == "sheath" and thing.where == "in" and "gauge" in thing.values:
                return carried(thing.values["gauge"])
        return None

    def _press(self, story: Story, item: Item) -> bool:
        timed = any(
            other.kind == "quantity" and other.figures["value"].unit in {"min", "s"} for other in story.sentence.items
        )
        if (
            self.open is None
            and self._after_removal(story)
            and (timed or ("haemostasis" in item.meanings and item.text not in {"dry"}))
        ):
            gauge = self._gauge(story, item)
            status = told_status(item)
            draft = story.add(Kind.CLOSURE, status, item, "closure/pressure", values={"gauge": gauge} if gauge else {})
            if status is Status.DONE:
                self.open = draft
            story.topic = "closure"
            return True
        if self.open is not None:
            self.open.reach(item.words)
            return True
        return False

    def _after_removal(self, story: Story) -> bool:
        last = story.recent(Kind.REMOVE, 2, Status.DONE)
        return (
            last is not None
            or self.asked is not None
            or any(item.kind == "device" and item.role == "closure" for item in story.sentence.items)
            or story.says("haemostasis")
        )

    def _time(self, story: Story, item: Item) -> bool:
        if self.open is None:
            return False
        known = self.open.values.get("duration")
        if known is not None:
            quantity = item.figures["value"]
            if (
                quantity.value != known.value
                and story.sentence.texts & {"been", "was", "'s"}
                and quantity.unit == known.unit
            ):
                self.open.values["duration"] = quantity.flagged("conflict")
                return True
            return False
        self.open.values["duration"] = item.figures["value"]
        self.open.reach(item.words)
        return True
