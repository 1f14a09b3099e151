"""What is up and what came down last: which of it a word is for, and how long each was up."""

from extractor.model import Item, Quantity
from extractor.reconciling.along_vessel import SPOTS, moved_on, spot_after, spots_before
from extractor.reconciling.bare_figures import EVEN, told_by
from extractor.reconciling.hold_times import Rise, as_time, seconds
from extractor.reconciling.kinds.going_up import differ
from extractor.reconciling.kinds.inflation_words import both_times, reached_counting, usual_unit
from extractor.reconciling.peaks import is_at
from extractor.reconciling.story import Hearing, Story
from extractor.reconciling.things import doubt_which

#: In so many breaths after it came down it is still asked how long it was up; set by hand, no source.
LATE = 4
#: … and where nobody asked, one of these tells so.
_TOLD_LATE = frozenset("was that's only about call make total altogether got had managed roughly duration time".split())
#: Two go up at once.
AT_ONCE = {
    "both", "together", "pair", "kissing", "kissed", "kiss", "simultaneous", "simultaneously", "respectively",
    "alongside",
}  # fmt: skip


class WhatIsUp(Hearing):
    """Keeps what is up and what came down last: which of it a word is for, and how long it was up."""

    def __init__(self) -> None:
        self.up: list[Rise] = []  # what is up now
        self.lowered: list[Rise] = []  # what came down last, and the breath and sentence of that
        self.fell = self.fell_at = -9
        self.touched = -9  # the breath that last spoke of what is up
        self.holding = False  # the numbers that follow are seconds
        self.counted: Quantity | None = None  # the last number counted aloud in this breath
        self.counting = False  # and whether it followed from the one before
        self.both = -9  # the breath in which two were said to go up together
        self.timing = -9  # the breath in which it is asked how long
        self.passed: tuple[int, Quantity] | None = None  # the time last said to have gone by, and its breath
        self.timed = -9  # the last sentence that asks for a time in a word or two
        self.pulsing = -9  # the breath in which pulses are given
        self.sided: dict[str, Rise] = {}  # two are up, and each is called by its side

    def _asked_how_long(self, story: Story, item: Item) -> bool:
        """Whether "how long?" was asked in this breath before a figure, so that it answers with a time."""
        return story.sentence.breath - self.timing <= 1 and "long" not in story.sentence.tokens[item.span[1] :]

    def _next_place(self, story: Story) -> bool:
        """Whether a figure is of another place than all that are up, each told of already."""
        known = all("pressure" in rise.draft.values for rise in self.up)
        return bool(self.up) and known and not any(rise.stays for rise in self.up) and moved_on(story, self.up)

    def _by_place(self, story: Story) -> bool:
        """ "Right four, left four", of two that go up together."""
        before = story.before()
        return self.both == story.sentence.breath and before is not None and before.kind in SPOTS

    def _lately_up(self, story: Story) -> list[Rise]:
        """What is up, if it was spoken of lately."""
        return self.up if story.sentence.breath - self.touched < LATE else []

    def _beside_each(self, story: Story) -> list[Rise]:
        """Of two of which the first stays up: the one spoken of, unless a word is for both."""
        if not any(rise.stays for rise in self.up) or story.sentence.texts & AT_ONCE:
            return []
        return [rise for rise in self.up if rise.thing is story.active]

    def _addressed(self, story: Story, quantity: Quantity | None = None) -> list[Rise]:
        """Which of those that are up a word is for: the one of the side named before it, the one that is there
        already, else all of them.
        """
        if len(self.up) < 2:
            return self.up
        spots = spot_after(story) or spots_before(story)
        if not spots:
            there = [rise for rise in self.up if quantity and is_at(rise.draft, quantity)]
            return there or self.up
        known = [rise for rise in self.up if rise.thing.spots & spots]
        if known or any(rise.thing.spots for rise in self.up):
            return known or [rise for rise in self.up if not rise.thing.spots] or self.up
        free = [rise for rise in self.up if rise not in self.sided.values()]
        rise = self.sided.setdefault(min(spots), (free or self.up)[0])
        for up in self.up if differ(self.up[0].thing, self.up[1].thing) else []:
            # nobody said which is for which side: taken in the order they were asked for
            up.draft.values = {key: doubt_which(value) for key, value in up.draft.values.items()}
        return [rise]

    def _timed(self, story: Story) -> list[Rise]:
        """Of which a time is told: those just come down, else the one of the side named before it, else all."""
        if self.fell_at == story.number and any("duration" not in rise.draft.values for rise in self.lowered):
            return self.lowered
        if (
            story.sentence.texts & {"each", "apiece"} or both_times(story.sentence)
        ) and self.fell == story.sentence.breath:
            return [*self.up, *(rise for rise in self.lowered if "duration" not in rise.draft.values)]
        before = story.before("mark", "action")
        sided = before is not None and before.kind in SPOTS
        here = self._addressed(story) if sided else self.up
        late = self.fell == story.sentence.breath or self._told_of_last(story)
        return here or (self.lowered if late else [])

    def _told_of_last(self, story: Story) -> bool:
        """ "How long was it? / About forty seconds.", "That was thirty seconds.": a time and nothing else, just after a
        balloon came down.
        """
        asked = story.sentence.breath - self.timing <= 1 or self.timed == story.number - 1
        kinds = {"mark", "quantity", "pronoun", "phrase"}
        bare = all(other.kind in kinds or other.meanings & {"gave", "totals", "hold"} for other in story.sentence.items)
        told = asked or bool(story.sentence.texts & _TOLD_LATE)
        return bare and told and story.sentence.breath - self.fell <= (LATE if asked else 1)

    def _count(self, story: Story, item: Item, quantity: Quantity) -> bool:
        """ "fifty-eight, fifty-nine, sixty": seconds counted aloud; the last one is the hold."""
        if not self.up or told_by(story) & {"hold", "raise"}:
            return False
        self.touched = story.sentence.breath
        if self.pulsing == story.sentence.breath:
            return True
        if quantity.form in {"article", "leading-zero"}:
            return False
        before, self.counted = self.counted, quantity
        self.counting = before is not None and quantity.value - before.value in EVEN
        if self.counting:
            for rise in self.up:
                reached_counting(rise, quantity)
        return True

    def _counted_out(self, story: Story) -> None:
        """Coming down: the last number counted is how long it was up, also where another time was ordered."""
        if self.passed is not None and self.passed[0] == story.sentence.breath:
            for rise in self.up:
                known, passed = rise.draft.values.get("duration"), self.passed[1]
                if known is not None and seconds(passed) < seconds(known):
                    rise.draft.values["duration"] = passed.flagged("conflict", alternatives=(known.value,))
        if self.counted is None:
            return
        here = self.counted.words[0] >= story.sentence.words[0]
        sure = self.counting or bool(story.sentence.texts & {"that's", "there's", "thats", "gone", "done"})
        for rise in self.up:
            known = rise.draft.values.get("duration")
            counted = as_time(self.counted, known)
            if known is None:
                rise.draft.values["duration"] = counted
            elif self.counting and known.unit == "s" and counted.unit == "min":  # "one, two, three", of fifteen seconds
                rise.draft.values["duration"] = known.flagged("conflict", alternatives=(self.counted.value,))
            elif seconds(known) != seconds(counted) and (
                sure or (counted.unit == "min" and (here or seconds(counted) - seconds(known) == 60))
            ):
                rise.draft.values["duration"] = counted.flagged("conflict", alternatives=(known.value,))

    def _written_down(self, story: Story, item: Item, quantity: Quantity) -> bool:
        """Said after it came down: "down at fifteen"; "where had you reached? Forty. Okay, write forty"."""
        if any(other.figures["value"].unit == "%" for other in story.mentions("quantity")):
            return False
        rises = [*(self.lowered if story.sentence.breath - self.fell <= 1 else []), *self.up]
        for rise in rises:
            known = rise.draft.values.get("duration")
            if (
                known is None
                and rise in self.lowered
                and item.before in {"at", "after"}
                and self.fell_at == story.number
            ):
                rise.draft.values["duration"] = quantity.flagged("unit-guessed", unit=usual_unit(story, rise))
                return True
            if known is None or not story.sentence.texts & {"write", "only", "call"}:
                continue
            if 0.1 * known.value <= quantity.value < known.value:
                rise.draft.values["duration"] = quantity.flagged("conflict", unit=known.unit)
                return True
        return False
