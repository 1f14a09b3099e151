"""Balloons up and down: pressures, counting up, peaks, hold times, the same again; stents opened by a balloon;
charts.
"""

from dataclasses import replace
from itertools import pairwise

from extractor.model import Item, Kind, Quantity, Sentence, Status
from extractor.reconciling.kinds.sized import ROLES
from extractor.reconciling.story import NOT_DONE, Draft, Hearing, Story, Thing, carried, told_status
from extractor.reconciling.things import equal, values_of

_PRESSURE = {"atm", "bar", "kPa", "[psi]"}
_TIME = {"s", "min"}
#: Beyond this a bare number is no pressure in atmospheres but a count of seconds: common practice, no source.
_MOST_ATM = 32
#: How far a charted diameter may be from a balloon's label: common practice, no source.
_NEAR = 0.3
_NOT_COUNTED = {"this", "is", "yes", "'s", "as", "us", "was", "gives", "has", "does", "doctors", "atms"}
_FINAL = {"that's", "write", "call", "only", "was", "honest", "settle", "thats", "'s"}
_RATED = {"rated", "burst", "limit", "rbp", "nominal", "maximum", "ceiling"}


class Inflations(Hearing):
    """Hears pressures, times, "up", "down" and "hold" of the active balloon or balloon-mounted stent."""

    def __init__(self) -> None:
        self.open: Draft | None = None  # the inflation going on
        self.thing: Thing | None = None  # what it is of
        self.twin: Draft | None = None  # the other one, where two go up together
        self.rising = False  # numbers that follow are pressures
        self.rose = -9  # the breath in which it was said to go up
        self.holding = False  # numbers that follow are seconds
        self.touched = -9  # the breath of its last pressure
        self.closed: Draft | None = None  # the last inflation that has come down
        self.quoting = -9  # breath in which a chart is read
        self.both = -9  # the breath in which two were said to go up together
        self.counted: Quantity | None = None

    def begin(self, story: Story, sentence: Sentence) -> None:
        if sentence.texts & {"both", "together", "pair"}:
            self.both = sentence.breath
        if Status.QUOTED in sentence.cues:
            self.quoting = sentence.breath
        if self.open is not None and sentence.breath - self.touched > 6:
            self._close(story)
        self.counted = None
        told = self.open is not None and "pressure" in self.open.values
        if story.dictated and told:
            self._close(story)  # a dictation tells an inflation in one sentence

    def hear(self, story: Story, item: Item) -> bool:
        if (
            self.thing is not None
            and story.active is not self.thing
            and story.active is not None
            and story.active.role in ROLES
        ):
            self._close(story)
        match item.kind:
            case "action":
                return self._act(story, item)
            case "pair":
                return self._pair(story, item)
            case "quantity":
                return self._figure(story, item)
        return False

    # --- up, down, hold ----------------------------------------------------------------------------

    def _act(self, story: Story, item: Item) -> bool:
        active = story.active
        if active is None or active.role not in {"inflation", "stent"}:
            return False
        words = set(item.text.split())
        if self.open is not None and self.touched < story.sentence.breath and self._once_more(item):
            self._close(story)
        if item.status is Status.CONSIDERED and item.text == "same balloon":
            story.add(
                Kind.INFLATION, item.status, item, "inflation/considered", device="balloon", values=values_of(active)
            )
            return True
        if "inflate" in item.meanings or words == {"up"} or ("particle" in item.meanings and "up" in words):
            if words & {"to"} and not self._number_next(story):
                return False
            if item.status in NOT_DONE:
                return False
            if self.open is None or "again" in item.meanings:
                if "again" in item.meanings and self.open is not None:
                    self._close(story)
                self.rising, self.holding, self.rose = True, False, story.sentence.breath
            if "repeat" in words or self._same_pressure(story):
                self._same(story, item)
            return "inflate" in item.meanings
        if "deflate" in item.meanings and self.open is not None:
            if "particle" in item.meanings and self._device_right_before(story):
                return False
            self._close(story)
            return True
        if "hold" in item.meanings and self.open is not None:
            self.holding = True
            return True
        if (
            "again" in item.meanings
            and active.role == "inflation"
            and active.where == "used"
            and self.open is None
            and story.topic in {"inflation", "stent", "finding", "run"}
        ):
            if self._same_pressure(story):
                self._same(story, item)
            self.rising, self.rose = True, story.sentence.breath
        return False

    @staticmethod
    def _once_more(item: Item) -> bool:
        """Words that begin a new inflation, said while one is open: "same balloon, once more ten"."""
        return "again" in item.meanings and item.text not in {"same", "the same", "again", "same pressure", "identical"}

    def _close(self, story: Story) -> None:
        if self.open is not None:
            self.closed = self.open
        if self.thing is not None:
            self.thing.where = "used"
        self.open, self.twin, self.thing, self.rising, self.holding = None, None, None, False, False

    def _number_next(self, story: Story) -> bool:
        following = next(story.ahead(), None)
        return following is not None and following.kind == "quantity"

    def _device_right_before(self, story: Story) -> bool:
        before = next(story.behind(), None)
        return before is not None and before.kind == "device"

    def _same_pressure(self, story: Story) -> bool:
        return "pressure" in story.sentence.texts and bool(story.sentence.texts & {"same", "identical"})

    def _same(self, story: Story, item: Item) -> None:
        """ "same balloon, same pressure": a new inflation with the last one's pressure."""
        last = story.recent(Kind.INFLATION, 99, Status.DONE)
        if last is None or self.open is not None or story.active is None or "pressure" not in last.values:
            return
        self._start(story, story.active, item).values["pressure"] = carried(last.values["pressure"])

    # --- figures -----------------------------------------------------------------------------------

    def _pair(self, story: Story, item: Item) -> bool:
        """ "six point two at sixteen": a chart, where it is read from one or one of the figures has its unit."""
        a, b = item.figures["a"], item.figures["b"]
        if item.name != "at" or b.unit in {"mL/s", "/s"} or a.unit == "mL":
            return False
        quoted = item.status is Status.QUOTED or story.sentence.breath == self.quoting
        named = b.unit in _PRESSURE or a.unit == "mm"
        if not named and not (quoted and self._charted(story, a)):
            return False
        role = story.active.role if story.active and story.active.role in {"inflation", "stent"} else "inflation"
        if story.spoken_role == "stent" and story.sentence.breath - story.spoken_breath <= 1:
            role = "stent"
        status = (
            item.status
            if item.status in {Status.CONSIDERED, Status.NEGATED, Status.PAST} and not quoted
            else Status.QUOTED
        )
        story.add(
            ROLES[role],
            status,
            item,
            f"{role}/chart",
            values={"diameter": a.in_unit("mm"), "pressure": b.in_unit("atm")},
        )
        return True

    def _charted(self, story: Story, diameter: Quantity) -> bool:
        labels = [
            thing.values["diameter"].value
            for thing in story.things
            if thing.role in {"inflation", "stent"} and "diameter" in thing.values
        ]
        return any(abs(diameter.value - label) <= _NEAR * label for label in labels) or not labels

    def _figure(self, story: Story, item: Item) -> bool:
        quantity = item.figures["value"]
        if quantity.unit in _PRESSURE:
            return self._pressure(story, item, quantity)
        if quantity.unit in _TIME:
            return self._time(story, item, quantity)
        if quantity.unit is None and self._rated(story, item, quantity):
            story.add(
                Kind.INFLATION, Status.QUOTED, item, "inflation/rated", values={"pressure": quantity.in_unit("atm")}
            )
            return True
        if quantity.unit is None and self._pressure_like(story, item, quantity):
            return self._pressure(story, item, quantity.in_unit("atm"))
        if quantity.unit is None and self._written_down(story, quantity):
            return True
        if quantity.unit is None and self.open is not None and self.holding:
            return self._count(story, item, quantity)
        return False

    def _rated(self, story: Story, item: Item, quantity: Quantity) -> bool:
        spoken = story.sentence.texts & _RATED or (
            story.sentence.breath == self.quoting and "good" in story.sentence.texts
        )
        return (
            bool(spoken)
            and item.status is Status.QUOTED
            and 4 <= quantity.value <= _MOST_ATM
            and story.active is not None
            and story.active.role != "embolise"
        )

    def _pressure_like(self, story: Story, item: Item, quantity: Quantity) -> bool:
        """Whether a bare number is a pressure: the balloon is going up or at hand, and it can be one."""
        if (
            not 1 <= quantity.value <= _MOST_ATM
            or quantity.form in {"leading-zero", "year", "article"}
            or item.status in {Status.QUOTED, Status.PAST}
            or quantity.value % 0.5  # gauges are read to the half at most: common practice, no source
        ):
            return False
        active = story.active
        if (
            active is None
            or active.role == "embolise"
            or (active.role == "stent" and active.mount == "self" and active.where != "used")
        ):
            return False
        before = next((other for other in story.behind() if other.kind not in {"mark", "phrase"}), None)
        told = before is not None and before.kind == "action" and bool(before.meanings & {"raise", "inflate"})
        if item.status in NOT_DONE and not told:
            return False
        if self.open is not None or (self.rising and story.sentence.breath - self.rose <= 2):
            stale = self.open is not None and story.sentence.breath - self.touched > 1
            if (
                stale
                and not (before is not None and before.kind == "action" and "inflate" in before.meanings)
                and not self._run_of_numbers(story, item)
            ):
                return False
            if (
                story.mentions("drug")
                or any(other.kind == "device" and other.role == "insert" for other in story.sentence.items)
                or "give" in story.sentence.texts
            ):
                return False
            if (
                self.holding
                and not told
                and not (before is not None and before.kind == "action" and "hold" in before.meanings)
            ):
                return False
            return not _counts_other(story, item)
        if (
            story.topic != active.role
            or active.where not in {"asked", "used"}
            or story.says("run", "by hand", "measure", "act", "gradient")
        ):
            return False
        fresh = story.sentence.breath - story.spoken_breath <= 2
        return (
            self._run_of_numbers(story, item)
            or (fresh and told and active.where == "asked" and not _counts_other(story, item))
            or self._then_down(story, item)
            or self._alone(story, item)
            or (item.after in {"this", "only", "again"} and "give" not in story.sentence.texts)
        )

    def _run_of_numbers(self, story: Story, item: Item) -> bool:
        """Three numbers and more going up, "two, four, six, eight": a balloon being inflated."""
        run = [
            quantity.value
            for other in story.sentence.items
            if other.kind == "quantity"
            and (quantity := other.figures["value"]).unit is None
            and quantity.value <= _MOST_ATM
        ]
        run = [value for position, value in enumerate(run) if position == 0 or value != run[position - 1]]
        climbing = all(low < high for low, high in pairwise(run))
        waiting = (
            story.active is not None
            and story.active.where == "asked"
            and story.sentence.breath - story.spoken_breath <= 2
        )
        return climbing and ((len(run) >= 3 and run[1] - run[0] >= 1.5) or (waiting and len(run) >= 2))

    def _alone(self, story: Story, item: Item) -> bool:
        """ "Fourteen by forty's across. Sixteen." A figure alone in its sentence, of the balloon just named."""
        active = story.active
        lone = all(other is item or other.kind == "mark" for other in story.sentence.items)
        return (
            lone
            and active is not None
            and active.where == "asked"
            and len(story.sentence.texts) <= 3
            and story.number - active.seen <= 2
            and not story.sentence.question
        )

    def _then_down(self, story: Story, item: Item) -> bool:
        """ "sixteen by forty. Twelve up top, down": a figure said of a balloon just named, and down."""
        if story.active is None or story.sentence.breath - story.spoken_breath > 2 or _counts_other(story, item):
            return False
        said = [other for other in story.ahead() if other.kind in {"action", "quantity", "device", "drug"}][:2]
        return bool(said) and any(other.kind == "action" and "deflate" in other.meanings for other in said)

    def _pressure(self, story: Story, item: Item, quantity: Quantity) -> bool:
        asked = story.active.asked if story.active is not None else None
        if (
            item.status is Status.PLANNED
            and item.cue not in {"please", "kindly", "next"}
            and asked is not None
            and self.open is None
        ):
            asked.values["pressure"] = quantity  # "I am planning twenty atmospheres"
            asked.reach(item.words)
            return True
        status = told_status(item)
        if (
            status is Status.DONE
            and story.sentence.breath == self.quoting
            and self.open is None
            and not self.rising
            and story.sentence.texts & _RATED
        ):
            status = Status.QUOTED
        if status is not Status.DONE:
            self._told(story, item, quantity, status)
            return True
        thing = story.active
        if thing is None or thing.role not in {"inflation", "stent"}:
            thing = Thing("inflation", "balloon", breath=story.sentence.breath)
            story.things.append(thing)
            story.active = thing
        draft = self.open or self._start(story, thing, item)
        known = draft.values.get("pressure")
        if known is None or known.unit != quantity.unit or self._takes_over(known, quantity):
            draft.values["pressure"] = quantity
            if self.twin is not None:
                sided = len({other.name for other in story.mentions("side")}) > 1
                told = quantity.flagged("which-device") if sided else quantity
                self.twin.values["pressure"] = draft.values["pressure"] = told
        draft.reach(item.words)
        self.touched = story.sentence.breath
        return True

    @staticmethod
    def _takes_over(known: Quantity, quantity: Quantity) -> bool:
        """The peak stands; a lower figure replaces it only where it puts it right, or that was only carried over."""
        if quantity.value >= known.value:
            return True
        open_to_change = "corrected" in quantity.flags or "carried-over" in known.flags
        return open_to_change and quantity.value >= 0.5 * known.value

    def _told(self, story: Story, item: Item, quantity: Quantity, status: Status) -> None:
        """A pressure that was not reached now: it joins the device of the same sentence and status, or stands alone."""
        last = self._told_here(story, status)
        if last is not None and "pressure" not in last.values:
            last.values["pressure"] = quantity
            last.reach(item.words)
            return
        thing = story.active
        values = (
            values_of(thing)
            if thing is not None
            and thing.role in {"inflation", "stent"}
            and status in {Status.NEGATED, Status.CONSIDERED}
            else {}
        )
        kind = Kind.STENT if thing is not None and thing.role == "stent" and thing.where == "asked" else Kind.INFLATION
        story.add(kind, status, item, f"{kind}/pressure-{status}", values={**values, "pressure": quantity})

    @staticmethod
    def _told_here(story: Story, status: Status | None) -> Draft | None:
        """The last inflation or stent of this sentence and status."""
        for draft in reversed(story.lately()):
            here = draft.words[0] >= story.sentence.words[0]
            if draft.kind in {Kind.INFLATION, Kind.STENT} and here and draft.status is status:
                return draft
        return None

    def _start(self, story: Story, thing: Thing, item: Item) -> Draft:
        first = thing.role == "stent" and thing.left > 0
        kind = Kind.STENT if first else Kind.INFLATION
        asked = thing.asked if thing.asked is not None and thing.asked.kind is kind else None
        draft = story.settle(asked, Status.DONE, item, f"{kind}/asked-and-inflated")
        if draft is None:
            draft = story.add(
                kind,
                Status.DONE,
                item,
                f"{kind}/raise",
                device="stent" if first else "balloon",
                values=values_of(thing),
            )
            if self._which(story, thing):
                draft.values = {key: value.flagged("which-device") for key, value in draft.values.items()}
        thing.asked, thing.where = None, "used"
        thing.left -= first
        self.open, self.thing, self.holding = draft, thing, False
        other = self._together(story, thing)
        if other is not None:
            self.twin = story.add(
                kind, Status.DONE, item, f"{kind}/together", device=draft.device, values=values_of(other)
            )
            other.asked, other.where = None, "used"
            other.left -= first
        self.rising, self.rose, self.touched = True, story.sentence.breath, story.sentence.breath
        story.topic = thing.role
        return draft

    def _together(self, story: Story, thing: Thing) -> Thing | None:
        """ "both of you up to nine": the other balloon or stent that goes up with this one."""
        if story.sentence.breath != self.both:
            return None
        for other in reversed(story.things):
            near = other.role == thing.role and other.where in {"asked", "used"} and story.number - other.seen <= 10
            if near and other is not thing and other.values and other.left >= thing.left:
                return other
        return None

    def _which(self, story: Story, thing: Thing) -> bool:
        """Whether it is open which balloon goes up: the last one spoken of was spoken of a while ago, and there are
        others.
        """
        sizes = {
            (value.value, key)
            for other in story.things
            if other.role in {"inflation", "stent"} and other.where != "refused"
            for key, value in other.values.items()
            if key == "diameter"
        }
        waiting = [
            other
            for other in story.things
            if other.role == thing.role and other.where == "asked" and other is not thing and other.values
        ]
        return (story.number - thing.seen > 6 and len(sizes) > 1) or (bool(waiting) and story.number - thing.seen > 1)

    def _time(self, story: Story, item: Item, quantity: Quantity) -> bool:
        if item.status in NOT_DONE:
            last = self._told_here(story, item.status)
            if last is not None and "duration" not in last.values:
                last.values["duration"] = quantity
                return True
            if item.status is Status.QUOTED and story.active is not None and story.active.role == "inflation":
                story.add(Kind.INFLATION, Status.QUOTED, item, "inflation/time-quoted", values={"duration": quantity})
                return True
            return False
        draft = self.open
        if (
            draft is None
            and self.closed is not None
            and story.sentence.breath == self.closed.breath
            and "duration" not in self.closed.values
        ):
            draft = self.closed
        if draft is None:
            return False
        known = draft.values.get("duration")
        if known is not None and not equal(known, quantity) and "corrected" not in quantity.flags:
            draft.reach(item.words)
            if _seconds(quantity) > _seconds(known) and quantity.unit == known.unit:
                draft.values["duration"] = known.flagged("conflict", alternatives=(*known.alternatives, quantity.value))
            if not (
                story.sentence.texts & _FINAL
                and (story.sentence.texts & {"write", "call", "only", "settle", "honest"} or story.says("deflate"))
            ):
                return True
            quantity = quantity.flagged("conflict")
        draft.values["duration"] = quantity
        if self.twin is not None and draft is self.open:
            self.twin.values["duration"] = quantity
        draft.reach(item.words)
        self.holding = self.open is not None
        return True

    def _written_down(self, story: Story, quantity: Quantity) -> bool:
        """ "where had you reached? Forty. Okay, write forty": how long it really was, said after it came down."""
        draft = self.closed if self.open is None else None
        known = draft.values.get("duration") if draft is not None else None
        if draft is None or known is None or draft.breath < story.sentence.breath - 1:
            return False
        if (
            not story.sentence.texts & {"write", "only", "call"}
            or not 0.1 * known.value <= quantity.value < known.value
        ):
            return False
        draft.values["duration"] = quantity.flagged("conflict", unit=known.unit)
        return True

    def _count(self, story: Story, item: Item, quantity: Quantity) -> bool:
        """ "fifty-eight, fifty-nine, sixty": seconds counted aloud; the last one is the hold."""
        before, self.counted = self.counted, quantity
        known = self.open.values.get("duration") if self.open is not None else None
        if (
            known is not None
            and story.sentence.texts & {"write", "only", "call"}
            and 2 <= quantity.value
            and quantity.value != known.value
            and self.open is not None
        ):
            self.open.values["duration"] = quantity.flagged("conflict", unit=known.unit)
            return True
        if (
            before is None
            or self.open is None
            or quantity.value - before.value not in {1, 5, 10}
            or _counts_other(story, item)
        ):
            return False
        self.open.values.setdefault("duration", replace(quantity, unit="s"))
        if (
            "s" == self.open.values["duration"].unit
            and self.open.values["duration"].value < quantity.value
            and self.open.values["duration"].form == quantity.form
        ):
            self.open.values["duration"] = replace(quantity, unit="s")
        return True


def _counts_other(story: Story, item: Item) -> bool:
    """A number that counts something else: followed by a thing, or a clock time."""
    after = item.after
    return item.figures["value"].form in {"clock", "year"} or (after.endswith("s") and after not in _NOT_COUNTED)


def _seconds(quantity: Quantity) -> float:
    return quantity.value * (60 if quantity.unit == "min" else 1)
