"""Balloons, stents and embolics: asked for, inflated, deployed, let go. One of them is the active one: what "it" and "up to ten" mean."""

from extractor.model import Item, Kind, Quantity, Sentence, Status
from extractor.reconciling.story import Draft, Story, Thing, carried
from extractor.reconciling.things import equal, find, learn, new, values_of

_ROLES = {"inflation": Kind.INFLATION, "stent": Kind.STENT, "embolise": Kind.EMBOLISE}
_PRESSURE = {"atm", "bar", "kPa", "[psi]"}
_TIME = {"s", "min"}
#: Beyond this a bare number is no pressure in atmospheres but a count of seconds: common practice, no source.
_MOST_ATM = 32


class Balloons:
    """Hears balloons, stents and embolics, pressures, hold times and letting go."""

    def __init__(self) -> None:
        self.open: Draft | None = None  # the inflation going on
        self.rising = False  # numbers that follow are pressures
        self.holding = False  # numbers that follow are seconds
        self.closed: Draft | None = None  # the last inflation that has come down
        self.quoting = False

    def begin(self, story: Story, sentence: Sentence) -> None:
        if sentence.breath != getattr(self, "breath", None):
            self.quoting = False
        self.breath = sentence.breath
        cues = [item for item in sentence.items if item.status is Status.QUOTED]
        if cues or any(item.status is Status.QUOTED for item in sentence.items):
            self.quoting = True

    def hear(self, story: Story, item: Item) -> bool:
        match item.kind:
            case "device":
                return self._named(story, item)
            case "action":
                return self._act(story, item)
            case "pair":
                return self._pair(story, item)
            case "quantity":
                return self._figure(story, item)
        return False

    def end(self, story: Story, sentence: Sentence) -> None:
        return

    # --- named -------------------------------------------------------------------------------------------------------------

    def _named(self, story: Story, item: Item) -> bool:
        role = item.role or self._role(story, item)
        if role not in _ROLES:
            return False
        item.role = role
        if role == "embolise" and "length" in item.figures and "mm" in {None, item.figures["length"].unit}:
            item.figures["length"].unit = "cm"
        for key in ("diameter", "length"):
            if key in item.figures and item.figures[key].unit is None:
                item.figures[key].unit = "cm" if role == "embolise" and key == "length" else "mm"
        if role == "embolise" and "length" in item.figures and item.figures["length"].unit is None:
            item.figures["length"].unit = "cm"
        known = find(story, item, lambda thing: thing.role == role and thing.where != "refused")
        if known is None and not item.figures and not item.qualifiers and item.status is None:
            return True
        status = item.status
        if known is not None and (item.definite or not item.figures or known.where == "asked") and status in {None, Status.PLANNED}:
            again = status is Status.PLANNED and known.where == "used"
            learn(known, item)
            known.seen = story.number
            self._activate(story, known)
            if known.asked is not None and known.where == "asked":
                known.asked.values |= {key: quantity for key, quantity in item.figures.items() if key not in known.asked.values}
            if again:
                known.asked = story.add(_ROLES[role], Status.PLANNED, item, f"{role}/asked-for-again", device=_name(known), values=values_of(known, item))
                known.where = "asked"
            return True
        if status is None and not item.figures and not item.qualifiers:
            return True
        if status is None and story.dictated and (item.figures or role != "inflation"):
            thing = new(story, item)
            self._activate(story, thing)
            return True
        status = status or Status.PLANNED
        if status is Status.NEGATED and known is not None:
            learn(known, item)
            story.add(_ROLES[role], status, item, f"{role}/ruled-out", device=_name(known), values=values_of(known, item))
            known.where = "refused"
            return True
        thing = new(story, item, "asked" if status is Status.PLANNED else "refused")
        draft = story.add(_ROLES[role], status, item, f"{role}/{'asked-for' if status is Status.PLANNED else status}", device=_name(thing), values=dict(item.figures))
        thing.asked = draft if status is Status.PLANNED else None
        thing.left = int(item.figures["count"].value) if "count" in item.figures else 1
        if status is Status.PLANNED:
            self._activate(story, thing)
        return True

    def _role(self, story: Story, item: Item) -> str:
        """A size with no noun: what it is the size of, from what is known and what is spoken of."""
        if "diameter" not in item.figures:
            return ""
        for role in ("inflation", "stent", "embolise"):
            probe = find(story, item, lambda thing, role=role: thing.role == role and thing.where != "refused")  # type: ignore[misc]
            if probe is not None:
                return role
        nouns = [other.role for other in story.sentence.items if other.kind == "device" and other.role in _ROLES]
        if nouns:
            return nouns[0]
        if any("deploy" in other.meanings for other in story.sentence.items):
            return "stent"
        if story.active is not None and story.topic in {"stent", "embolise"} and not story.says("inflate"):
            return story.active.role
        return "inflation"

    def _activate(self, story: Story, thing: Thing) -> None:
        if story.active is not thing:
            self.open, self.rising, self.holding = None, False, False
        story.active = thing
        story.topic = {"inflation": "balloon"}.get(thing.role, thing.role)

    # --- up, down, hold, let go -----------------------------------------------------------------------------------------------

    def _act(self, story: Story, item: Item) -> bool:
        active = story.active
        if "inflate" in item.meanings and (active is not None or self._size_ahead(story)):
            self.rising, self.holding = True, False
            if item.status in {Status.NEGATED, Status.CONSIDERED, Status.QUOTED, Status.PAST}:
                return False
            return True
        if active is None:
            return False
        if "deflate" in item.meanings and self.open is not None and active.role in {"inflation", "stent"}:
            if item.meanings & {"particle"} and self._device_before(story):
                return False
            self.closed, self.open, self.rising, self.holding = self.open, None, False, False
            active.where = "used"
            return True
        if "hold" in item.meanings and self.open is not None:
            self.holding = True
            return True
        if active.role == "stent" and "deploy" in item.meanings:
            return self._deploy(story, active, item)
        if active.role == "embolise" and "detach" in item.meanings and story.topic == "embolise":
            return self._detach(story, active, item)
        if "again" in item.meanings and active.role == "inflation" and active.where == "used" and self.open is None:
            self.rising = True
            return "inflate" in item.meanings
        return False

    def _size_ahead(self, story: Story) -> bool:
        return any(other.kind == "device" and other.role in {"", "inflation", "stent"} for other in story.ahead())

    def _device_before(self, story: Story) -> bool:
        before = next(story.behind(), None)
        return before is not None and before.kind == "device" and before.role == "insert"

    def _deploy(self, story: Story, thing: Thing, item: Item) -> bool:
        status = item.status if item.status in {Status.NEGATED, Status.CONSIDERED, Status.QUOTED, Status.PAST} else Status.DONE
        last = story.recent(Kind.STENT, 3, Status.DONE)
        if last is not None and last is self.open:
            last.reach(item.words)
            return True
        if thing.where == "used" and thing.left <= 0:
            return True
        self._event(story, thing, Kind.STENT, status, item, "stent/deployed")
        return True

    def _detach(self, story: Story, thing: Thing, item: Item) -> bool:
        weak = not item.meanings & {"detach"} or item.text in {"in", "off", "away", "gone in", "went in", "is off", "dropped", "pushed", "released"}
        if weak and any(other.kind in {"drug"} or (other.kind == "device" and other.role == "insert") for other in story.sentence.items[: story.index]):
            return False
        status = item.status if item.status in {Status.NEGATED, Status.CONSIDERED, Status.QUOTED} else Status.DONE
        if thing.left <= 0:
            again = story.says("again") or any(other.text == "another" for other in story.sentence.items)
            if not again:
                return True
        self._event(story, thing, Kind.EMBOLISE, status, item, "embolise/let-go")
        return True

    def _event(self, story: Story, thing: Thing, kind: Kind, status: Status, item: Item, rule: str) -> Draft:
        asked = thing.asked
        if asked is not None and asked.breath == story.sentence.breath and status is Status.DONE:
            asked.status, asked.rule = status, rule
            asked.reach(item.words)
            draft = asked
        else:
            draft = story.add(kind, status, item, rule, device=_name(thing), values=values_of(thing))
        thing.asked = None
        thing.left -= 1
        if status is Status.DONE:
            thing.where = "used" if thing.left <= 0 else "asked"
        self.closed = draft
        return draft

    # --- figures -----------------------------------------------------------------------------------------------------------------

    def _pair(self, story: Story, item: Item) -> bool:
        a, b = item.figures["a"], item.figures["b"]
        quoted = item.status is Status.QUOTED or self.quoting
        chart = b.unit in _PRESSURE or a.unit == "mm" or (quoted and a.unit is None and b.unit is None)
        if item.name != "at" or not chart:
            return False
        role = story.active.role if story.active and story.active.role in {"inflation", "stent"} else "inflation"
        status = item.status if item.status in {Status.CONSIDERED, Status.NEGATED, Status.PAST} and not self.quoting else Status.QUOTED
        story.add(_ROLES[role], status, item, f"{role}/chart", values={"diameter": _unit(a, "mm"), "pressure": _unit(b, "atm")})
        return True

    def _figure(self, story: Story, item: Item) -> bool:
        quantity = item.figures["value"]
        if quantity.unit in _PRESSURE or (quantity.unit is None and self._pressure_like(story, item, quantity)):
            return self._pressure(story, item, _unit(quantity, "atm"))
        if quantity.unit in _TIME:
            return self._time(story, item, quantity)
        return False

    def _pressure_like(self, story: Story, item: Item, quantity: Quantity) -> bool:
        """Whether a bare number is a pressure: the balloon is going up, and it can be one."""
        if quantity.value > _MOST_ATM or quantity.value < 1 or quantity.form in {"leading-zero", "year"}:
            return False
        if item.status is Status.QUOTED and any(other.status is Status.QUOTED for other in story.mentions("quantity")):
            return self.quoting and any("rated" in other.cue or "nominal" in other.cue or "limit" in other.cue or "burst" in other.cue for other in [item])
        active = story.active
        if active is None or active.role == "embolise" or not (self.rising or self.open):
            return False
        before = next(story.behind(), None)
        if self.holding and not (before is not None and before.kind == "action" and before.meanings & {"raise", "inflate", "hold"}):
            return False
        return True

    def _pressure(self, story: Story, item: Item, quantity: Quantity) -> bool:
        thing = story.active
        status = item.status if item.status in {Status.NEGATED, Status.CONSIDERED, Status.QUOTED, Status.PAST} else Status.DONE
        if status is Status.DONE and story.sentence.question and not self.open:
            return False
        if status is not Status.DONE:
            device = next((other for other in story.sentence.items if other.kind == "device" and other.role in {"inflation", "stent"}), None)
            last = self._of_sentence(story, status)
            if last is not None and "pressure" not in last.values:
                last.values["pressure"] = quantity
                last.reach(item.words)
                return True
            role = "stent" if thing is not None and thing.role == "stent" and status is not Status.NEGATED else "inflation"
            values = dict(device.figures) if device is not None else values_of(thing) if thing is not None and status is Status.NEGATED else {}
            story.add(_ROLES[role], status, item, f"{role}/pressure-{status}", values={**values, "pressure": quantity})
            return True
        if thing is None or thing.role not in {"inflation", "stent"}:
            thing = Thing("inflation", "balloon", breath=story.sentence.breath)
            story.things.append(thing)
            self._activate(story, thing)
        if self.open is None:
            kind = _ROLES[thing.role]
            if thing.role == "stent" and thing.where == "used" and thing.left <= 0:
                kind = Kind.INFLATION
            self.open = self._start(story, thing, kind, item)
        known = self.open.values.get("pressure")
        if known is None or "corrected" in quantity.flags or quantity.value >= known.value or known.unit != quantity.unit:
            self.open.values["pressure"] = quantity
        self.open.reach(item.words)
        self.rising = True
        return True

    def _start(self, story: Story, thing: Thing, kind: Kind, item: Item) -> Draft:
        asked = thing.asked
        if asked is not None and asked.breath == story.sentence.breath:
            asked.status, asked.rule = Status.DONE, f"{kind}/asked-and-inflated"
            draft = asked
        else:
            draft = story.add(kind, Status.DONE, item, f"{kind}/raise", device=_name(thing), values=values_of(thing))
        thing.asked, thing.where = None, "used"
        if kind is Kind.STENT:
            thing.left -= 1
        return draft

    def _of_sentence(self, story: Story, status: Status) -> Draft | None:
        last = story.drafts[-1] if story.drafts else None
        if last is None or last.kind not in {Kind.INFLATION, Kind.STENT} or last.status is not status:
            return None
        return last if last.words[0] >= story.sentence.words[0] else None

    def _time(self, story: Story, item: Item, quantity: Quantity) -> bool:
        if item.status in {Status.QUOTED, Status.CONSIDERED, Status.NEGATED, Status.PAST}:
            last = self._of_sentence(story, item.status)
            if last is not None and "duration" not in last.values:
                last.values["duration"] = quantity
                return True
            if item.status is Status.QUOTED and story.active is not None and story.active.role == "inflation":
                story.add(Kind.INFLATION, Status.QUOTED, item, "inflation/time-quoted", values={"duration": quantity})
                return True
            return False
        draft = self.open
        if draft is None and self.closed is not None and self.closed.kind is Kind.INFLATION and story.sentence.breath - self.closed.breath <= 1:
            draft = self.closed
        if draft is None or draft.kind is Kind.EMBOLISE:
            return False
        if "duration" in draft.values and not ("corrected" in quantity.flags):
            known = draft.values["duration"]
            if equal(known, quantity):
                draft.reach(item.words)
                return True
            return self.open is not None
        draft.values["duration"] = quantity
        draft.reach(item.words)
        self.holding = True
        return True


def _unit(quantity: Quantity, unit: str) -> Quantity:
    if quantity.unit:
        return quantity
    return Quantity(quantity.value, unit, quantity.words, quantity.heard, quantity.form, (*quantity.flags, "unit-assumed"), quantity.alternatives)


def _name(thing: Thing) -> str:
    return {"inflation": "balloon", "stent": "stent"}.get(thing.role, thing.name or "coil")


__all__ = ["Balloons", "carried"]
