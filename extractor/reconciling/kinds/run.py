"""Contrast injections: settings, by hand or by pump, and the word that starts them."""

from dataclasses import replace

from extractor.model import Item, Kind, Quantity, Sentence, Status
from extractor.reconciling.story import Draft, Hearing, Story, carried, told_status

_SAME = {"again"}
#: Words that go with an injection and with little else.
_SPOKEN = {"inject", "injecting", "breath", "breathe", "frames", "frame", "pump", "injector", "puff"}


class Runs(Hearing):
    """Hears settings ("eight at four"), pictures asked for, and "go"."""

    def __init__(self) -> None:
        self.pending: Draft | None = None  # told, not yet injected
        self.gone: Draft | None = None  # injected in this breath
        self.spoken = False  # a picture is spoken of in this breath
        self.breath = -1
        self.history: list[Draft] = []

    def begin(self, story: Story, sentence: Sentence) -> None:
        if sentence.breath != self.breath:
            self._settle(story)
            self.gone, self.spoken = None, False
            self.breath = sentence.breath
        self.spoken = self.spoken or bool(sentence.texts & _SPOKEN)

    def hear(self, story: Story, item: Item) -> bool:
        match item.kind:
            case "pair":
                return self._pair(story, item)
            case "quantity":
                return self._figure(story, item)
            case "action" if item.meanings & {"run", "go", "by hand", "by pump"}:
                return self._act(story, item)
        return False

    # --- settings ----------------------------------------------------------------------------------

    def _pair(self, story: Story, item: Item) -> bool:
        a, b = item.figures["a"], item.figures["b"]
        volume, rate = (b, a) if item.name == "for" and b.value > a.value else (a, b)
        if not (0.3 <= rate.value <= 40 and rate.value <= volume.value <= 100):
            return False
        self.spoken = self.spoken or story.says("again")
        draft = self._draft(story, item, {"volume", "rate"})
        draft.values["volume"] = volume.in_unit("mL")
        draft.values["rate"] = replace(rate, unit="mL/s")
        return True

    def _figure(self, story: Story, item: Item) -> bool:
        quantity = item.figures["value"]
        if quantity.unit == "/s":
            return self._per_second(story, item, quantity)
        if quantity.unit == "mL/s":
            self._draft(story, item, {"rate"}).values["rate"] = quantity
            return True
        hand = _by_hand_after(story)
        if quantity.unit == "mm" and hand:  # "ten millimetres by hand" was ten mils
            quantity = quantity.flagged("unit-guessed", unit="mL")
        if quantity.unit == "mL":
            if not (hand or self._speaks_of_pictures(story) or self._before_go(story)):
                return False
        elif quantity.unit is not None or not (hand or self._settings_open(story, item)):
            return False
        if quantity.value > 100:
            return False
        self._draft(story, item, {"volume"}).values["volume"] = quantity.in_unit("mL")
        return True

    def _settings_open(self, story: Story, item: Item) -> bool:
        """A bare number as a volume: right after "run of", or before frames with nothing else to be."""
        if item.figures["value"].form in {"leading-zero", "year"}:
            return False
        before = next(story.behind(), None)
        return bool(
            self.pending is not None
            and "rate" in self.pending.values
            and "volume" not in self.pending.values
            and before is not None
            and before.kind == "action"
            and "hold" in before.meanings
        )

    def _per_second(self, story: Story, item: Item, quantity: Quantity) -> bool:
        draft = self.pending or self.gone
        before = story.sentence.items[story.index - 1] if story.index else None
        frames = "frame" in item.text or "image" in item.text or "fps" in item.text
        flow = (
            not frames
            and draft is not None
            and "rate" not in draft.values
            and "volume" in draft.values
            and (
                (before is not None and before.kind == "mark" and before.text == ",")
                or before is None
                or before.kind == "quantity"
            )
            and quantity.value >= 3
        )
        if draft is None and not (frames or self._speaks_of_pictures(story)):
            return False
        key = "rate" if flow else "frame_rate"
        self._draft(story, item, {key}).values[key] = replace(quantity, unit="mL/s" if flow else "/s")
        return True

    def _draft(self, story: Story, item: Item, keys: set[str]) -> Draft:
        """The run these settings are of: the one being told, or a new one where they cannot be the same."""
        for draft in (self.pending, self.gone):
            if draft is not None and not {
                key for key in keys & set(draft.values) if "carried-over" not in draft.values[key].flags
            }:
                draft.reach(item.words)
                return draft
        if (
            self.pending is not None
            and keys & set(self.pending.values)
            and any("corrected" in q.flags for q in item.figures.values())
        ):
            return self.pending
        if self.pending is not None:
            self._settle(story)
        self.gone = None
        self.pending = story.add(Kind.RUN, told_status(item), item, "run/settings")
        self.history.append(self.pending)
        story.topic = "run"
        return self.pending

    # --- the picture -------------------------------------------------------------------------------

    def _act(self, story: Story, item: Item) -> bool:
        picture = "run" in item.meanings
        if item.status is Status.NEGATED and picture and item.cue.startswith("no"):
            story.add(Kind.RUN, Status.NEGATED, item, "run/ruled-out")
            return True
        if item.status is Status.NEGATED and item.meanings & {"run", "go"}:
            self._call_off(story)
        if picture or item.meanings & {"by hand", "by pump"}:
            self.spoken = True
            if item.status in {Status.CONSIDERED, Status.PAST, Status.QUOTED}:
                return False
            self._same(story, item)
        if "go" in item.meanings and item.status not in {Status.NEGATED, Status.CONSIDERED, Status.PAST}:
            return self._go(story, item)
        return picture

    def _call_off(self, story: Story) -> None:
        """ "no, wait, don't run yet": the run told just before stays planned, in doubt."""
        last = story.recent(Kind.RUN, 2, Status.DONE)
        if last is not None and last.breath < story.sentence.breath:
            last.status = Status.PLANNED
            last.flags.add("conflict")
            self.pending = None if self.pending is last else self.pending

    def _same(self, story: Story, item: Item) -> None:
        """ "same run again", "as the first one": settings of an earlier run."""
        again = any(
            other.kind == "action" and "again" in other.meanings and "same" in other.text
            for other in story.sentence.items
        )
        if not again or self.pending is not None or not self.history:
            return
        self.pending = self._copy(story, item)

    def _copy(self, story: Story, item: Item) -> Draft:
        done = [draft for draft in self.history if draft.values and draft.status is Status.DONE]
        draft = story.add(Kind.RUN, Status.DONE, item, "run/same-again")
        if done:
            model = (
                done[0] if story.sentence.texts & {"first", "originally", "begin", "beginning", "start"} else done[-1]
            )
            if "pump" in story.sentence.texts and "rate" not in model.values:
                model = next((draft for draft in reversed(done) if "rate" in draft.values), model)
            if "hand" in story.sentence.texts and "rate" in model.values:
                model = next((draft for draft in reversed(done) if "rate" not in draft.values), model)
            draft.values = {key: carried(quantity) for key, quantity in model.values.items()}
            settings = {(d.values["volume"].value if "volume" in d.values else None) for d in done}
            if len(settings) > 1 and not story.sentence.texts & {"first", "last", "pump", "hand"}:
                draft.values = {key: value.flagged("which-run") for key, value in draft.values.items()}
        self.history.append(draft)
        return draft

    def _go(self, story: Story, item: Item) -> bool:
        if self.pending is not None:
            self.pending.reach(item.words)
            self.gone, self.pending = self.pending, None
            return True
        if self.gone is not None:
            self.gone.reach(item.words)
            return True
        if (
            not self.spoken
            or (item.text in {"run", "fire"} and not self._commanded(story, item))
            or item.text in {"going", "push", "pushing", "injection"}
            or story.topic in {"drug"}
        ):
            return False
        again = any("same" in other.text for other in story.sentence.items if other.kind == "action")
        if again and self.history:
            self.gone = self._copy(story, item)
        else:
            self.gone = story.add(Kind.RUN, Status.DONE, item, "run/go")
            self.history.append(self.gone)
        return True

    def _commanded(self, story: Story, item: Item) -> bool:
        """ "… run." standing alone is a command; "a run" is a thing."""
        items = story.sentence.items
        before = items[story.index - 1] if story.index else None
        after = items[story.index + 1] if story.index + 1 < len(items) else None
        return (before is None or (before.kind == "mark" and before.span[1] == item.span[0])) and (
            after is None or after.kind == "mark"
        )

    def _settle(self, story: Story) -> None:
        """Settings told and never contradicted count as injected: nobody reads settings out for nothing."""
        if self.pending is not None:
            volume = self.pending.values.get("volume")
            guessed = (
                volume is not None
                and "unit-assumed" in volume.flags
                and "frame_rate" not in self.pending.values
                and not self.spoken
            )
            if (guessed and self.pending in story.drafts) or (
                not set(self.pending.values) & {"volume", "rate"}
                and self.pending in story.drafts
                and "run/same" not in self.pending.rule
            ):
                story.drafts.remove(self.pending)
                self.history.remove(self.pending)
            self.pending = None

    def _speaks_of_pictures(self, story: Story) -> bool:
        return self.spoken or story.says("run", "by hand", "by pump")

    def _before_go(self, story: Story) -> bool:
        return any(
            item.kind == "action" and "go" in item.meanings and item.text not in {"run", "going", "push", "pushing"}
            for item in story.ahead()
        )


def _by_hand_after(story: Story) -> bool:
    """ "ten by hand", "five mils, em, by hand"."""
    for other in story.ahead():
        if other.kind == "action" and "by hand" in other.meanings:
            return True
        if other.kind not in {"mark", "phrase"}:
            return False
    return False
