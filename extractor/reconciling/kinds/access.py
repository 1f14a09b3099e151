"""Vessel punctured, or access to a duct or organ gained."""

from extractor.model import Item, Kind, Sentence, Status
from extractor.reconciling.story import NOT_DONE, Hearing, Story

#: Said of access, these make it an attempt: the needle is on its way.
_ON_THE_WAY = frozenset(
    """
    needle probe ultrasound wall dimple dimpling groin stick sticking poke poking stabbing puncture antegrade
    retrograde jab tenting
    """.split()
)
_VESSEL = {"artery", "vein", "femoral", "jugular", "radial", "brachial", "graft", "fistula", "duct", "calyx", "portal"}


class Accesses(Hearing):
    """Hears needles and punctures, and blood coming back."""

    def __init__(self) -> None:
        self.trying = -9  # breath in which a needle was last spoken of

    def begin(self, story: Story, sentence: Sentence) -> None:
        first = story.recent(Kind.ACCESS, 10**6, Status.DONE) is None
        if (
            (first and sentence.texts & _ON_THE_WAY)
            or story.says("puncture")
            or any(item.kind == "device" and item.name == "needle" for item in sentence.items)
        ):
            self.trying = sentence.breath

    def hear(self, story: Story, item: Item) -> bool:
        if item.kind != "action":
            return False
        if "blood back" in item.meanings:
            if story.sentence.breath - self.trying > 1 and item.text not in {
                "that is access",
                "access achieved",
                "we have access",
            }:
                return False
            return self._gained(story, item, "access/blood-back")
        if item.meanings & {"particle", "placed"} and "up" not in item.text and story.sentence.texts & _VESSEL:
            before = next((other for other in story.behind() if other.kind not in {"pronoun", "place", "side"}), None)
            if before is not None and before.kind == "device" and before.name == "needle" and item.status is None:
                return self._gained(story, item, "access/needle-in")
        if "puncture" in item.meanings:
            if item.status in NOT_DONE:
                story.add(Kind.ACCESS, item.status, item, f"access/{item.status}")
                return True
            if item.text in {"punctured", "accessed", "access was obtained", "access was gained", "entered"}:
                return self._gained(story, item, "access/punctured")
        return False

    def _gained(self, story: Story, item: Item, rule: str) -> bool:
        if item.status in {Status.NEGATED, Status.CONSIDERED, Status.QUOTED}:
            return False
        last = story.recent(Kind.ACCESS, 0, Status.DONE)
        if last is not None:
            last.reach(item.words)
            return True
        status = Status.PAST if item.status is Status.PAST else Status.DONE
        story.add(Kind.ACCESS, status, item, rule)
        return True
