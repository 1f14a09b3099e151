"""Balloons, stents and embolics by name: asked for, ruled out, thought of; one is the active one, which "it" and "up
to ten" mean.
"""

from dataclasses import replace

from extractor.model import Item, Kind, Quantity, Sentence, Status
from extractor.reconciling.story import Draft, Hearing, Story, Thing
from extractor.reconciling.things import find, learn, new, values_of

ROLES = {"inflation": Kind.INFLATION, "stent": Kind.STENT, "embolise": Kind.EMBOLISE}
#: Embolics measured by volume rather than by size.
POURED = {"particles", "glue", "foam", "gelatin", "liquid embolic"}


class Sized(Hearing):
    """Hears devices of role inflation, stent and embolise."""

    def __init__(self) -> None:
        self.told: list[tuple[Thing, Item]] = []  # named in a dictation: done, unless the sentence tells more
        self.questioned = -9  # number of the last sentence that asked about one

    def begin(self, story: Story, sentence: Sentence) -> None:
        """ "Glue? … No." The answer rules out what the question asked about."""
        if sentence.first in {"no", "nah", "nope"} and self.questioned == story.number - 1:
            refuse_active(story, Item("mark", sentence.words, sentence.first))
        if sentence.question and any(item.kind == "device" and item.role in ROLES for item in sentence.items):
            self.questioned = story.number

    def hear(self, story: Story, item: Item) -> bool:
        if item.kind == "phrase" and item.name == "refused":
            return refuse_active(story, item) is not None
        if item.kind == "quantity":
            return self._sized_after(story, item)
        if item.kind != "device":
            return False
        if item.name == "plug" and story.topic == "closure":
            return False
        role = item.role or _role(story, item)
        if role not in ROLES:
            return False
        item.role = role
        if role == "embolise" and (count := _count(story, item)) is not None:
            item.figures["count"] = count
        _give_units(item)
        if item.where in {"of", "above", "below", "inside", "beyond", "from", "past"} and not item.figures:
            return True
        self._named(story, item)
        return True

    @staticmethod
    def _sized_after(story: Story, item: Item) -> bool:
        """ "the moulding balloon next, the thirty-two millimetre": the size of what was just named without one."""
        thing, quantity = story.active, item.figures["value"]
        if (
            thing is None
            or thing.role not in {"inflation", "stent"}
            or thing.seen != story.number
            or thing.values
            or quantity.unit != "mm"
            or item.before not in {"the", "a", "an", "size", "of"}
            or item.status not in {None, Status.PLANNED}
        ):
            return False
        thing.values["diameter"] = quantity
        if thing.asked is not None:
            thing.asked.values["diameter"] = quantity
            thing.asked.reach(item.words)
        return True

    def end(self, story: Story, sentence: Sentence) -> None:
        for thing, item in self.told:
            if thing.where == "asked" and not sentence.question:
                story.add(
                    ROLES[thing.role],
                    Status.DONE,
                    item,
                    f"{thing.role}/told",
                    device=_name(item),
                    values=values_of(thing, item),
                )
                thing.where, thing.left = "used", 0
        self.told = []

    def _named(self, story: Story, item: Item) -> None:
        if (
            item.definite
            and not item.figures
            and item.status in {None, Status.PLANNED}
            and find(story, item, lambda thing: thing.role == item.role) is None
        ):
            if item.role == "inflation" and not item.where and not any(thing.role in ROLES for thing in story.things):
                self._activate(story, new(story, item))  # "the balloon's across", of one nobody has named
            return
        role, kind, status = item.role, ROLES[item.role], item.status
        known = find(
            story, item, lambda thing: thing.role == role and (thing.where != "refused" or status is Status.NEGATED)
        )
        bare = not item.figures and not item.qualifiers
        if bare and not (known is not None and status is Status.NEGATED and item.definite):
            if status in {None, Status.PLANNED, Status.QUOTED} and not (
                status is Status.PLANNED and known is None and role == "embolise" and item.name in POURED
            ):
                self._noun(story, item, known)
                return
            if status is Status.PAST:
                return
        if status in {Status.PAST, Status.QUOTED, Status.CONSIDERED}:
            values = (
                values_of(known, item)
                if known is not None and (item.definite or bare) and status is Status.CONSIDERED
                else dict(item.figures)
            )
            story.add(kind, status, item, f"{kind}/{status}", device=_name(item), values=values)
            if status is Status.CONSIDERED and item.figures and known is None:
                new(story, item, "thought")
            if status is Status.QUOTED and item.definite and item.figures and role != "embolise":
                self._activate(story, known or new(story, item))  # "the label of the five by twenty balloon"
            return
        if status is Status.NEGATED:
            self._refuse(story, item, known)
            return
        if known is not None and (item.definite or bare or known.where == "asked"):
            self._again(story, item, known)
            return
        if status is None and story.dictated:
            thing = new(story, item)
            self._activate(story, thing)
            if item.figures and role != "inflation":
                self.told.append((thing, item))
            return
        thing = new(story, item)
        thing.left = int(item.figures["count"].value) if "count" in item.figures else 1
        thing.asked = story.add(
            kind, Status.PLANNED, item, f"{kind}/asked-for", device=_name(item), values=dict(item.figures)
        )
        self._activate(story, thing)

    def _noun(self, story: Story, item: Item, known: Thing | None) -> None:
        """ "the stent's across": the one last spoken of becomes the active one."""
        if known is None and item.name in POURED and _flows(story):
            known = new(story, item)
        if item.role != "embolise" or known is not None:
            story.spoken_role, story.spoken_breath = item.role, story.sentence.breath
        if known is not None and not item.where:
            known.seen = story.number
            self._activate(story, known)

    def _again(self, story: Story, item: Item, known: Thing) -> None:
        used = known.where == "used"
        learn(known, item)
        known.seen = story.number
        self._activate(story, known)
        if known.asked is not None:
            known.asked.values |= {key: value for key, value in item.figures.items() if key not in known.asked.values}
        if used and item.status is Status.PLANNED and not story.says("again"):
            known.asked = story.add(
                ROLES[known.role],
                Status.PLANNED,
                item,
                f"{known.role}/asked-for-again",
                device=_name(item),
                values=values_of(known, item),
            )
            known.where, known.left = "asked", 1

    def _refuse(self, story: Story, item: Item, known: Thing | None) -> None:
        kind = ROLES[item.role]
        values = values_of(known, item) if known is not None and (item.figures or item.definite) else dict(item.figures)
        asked = known.asked if known is not None else None
        planned = asked if asked is not None and asked.status is Status.PLANNED else None
        if story.settle(planned, Status.NEGATED, item, f"{kind}/ruled-out") is None:
            story.add(kind, Status.NEGATED, item, f"{kind}/ruled-out", device=_name(item), values=values)
        if known is not None and known.where == "asked":
            known.where, known.asked = "refused", None
        if known is not None and story.active is known:
            story.active = next(
                (thing for thing in reversed(story.things) if thing.role in ROLES and thing.where == "asked"), known
            )

    @staticmethod
    def _activate(story: Story, thing: Thing) -> None:
        story.active = thing
        story.spoken_role, story.spoken_breath = thing.role, story.sentence.breath
        story.topic = thing.role


def refuse_active(story: Story, item: Item) -> Draft | None:
    """ "scrap that one", "no, we're not using it": what was just asked for or thought of is ruled out."""
    kinds = set(ROLES.values())
    for draft in reversed(story.drafts[-6:]):
        if draft.breath != story.sentence.breath or draft.kind not in kinds:
            continue
        if draft.status in {Status.CONSIDERED, Status.PLANNED}:
            draft.status, draft.rule = Status.NEGATED, f"{draft.kind}/called-off"
            draft.reach(item.words)
            for thing in story.things:
                if thing.asked is draft:
                    thing.where, thing.asked = "refused", None
            return draft
        return None
    active = story.active
    if active is None or active.where != "asked" or story.topic not in ROLES:
        return None
    active.where, active.asked = "refused", None
    return story.add(ROLES[active.role], Status.NEGATED, item, f"{active.role}/called-off", values=values_of(active))


def _role(story: Story, item: Item) -> str:
    """A size with no noun: what it is the size of, from what is known, named nearby, and spoken of."""
    if "diameter" not in item.figures:
        return ""
    for role in ("inflation", "stent", "embolise"):
        if find(story, item, lambda thing, role=role: thing.role == role and thing.where == "asked") is not None:  # type: ignore[misc]
            return role
    nouns = [other.role for other in story.sentence.items if other.kind == "device" and other.role in ROLES]
    if nouns:
        return nouns[0]
    words = story.sentence.texts
    if words & {"deploy", "deployed", "stent", "stented", "stenting"}:
        return "stent"
    if words & {"coil", "coils", "detach", "detached"}:
        return "embolise"
    if story.says("inflate") or words & {"atmospheres", "dilating", "dilate", "dilated"}:
        return "inflation"
    known = find(story, item, lambda thing: thing.role in ROLES and thing.where == "used")
    if known is not None and "length" in item.figures:
        return known.role
    if (
        story.spoken_role == "stent"
        and story.active is not None
        and story.active.role == "stent"
        and story.active.where == "used"
    ):
        return "inflation"
    if story.spoken_role in ROLES and story.sentence.breath - story.spoken_breath <= (
        8 if story.spoken_role == "embolise" else 1
    ):
        return story.spoken_role
    return "inflation"


def _flows(story: Story) -> bool:
    """Whether a poured embolic is being given: it is said to go, or a volume is said with it."""
    volumes = any(other.figures["value"].unit in {None, "mL"} for other in story.mentions("quantity"))
    return volumes or bool(story.sentence.texts & {"going", "giving", "pushing", "slowly", "injected", "given"})


def _count(story: Story, item: Item) -> Quantity | None:
    """ "one coil", "two eight by twenties", "detachable, one of": how many, where it is said."""
    before = story.sentence.items[story.index - 1] if story.index else None
    if before is not None and before.kind == "quantity" and not before.used and before.span[1] == item.span[0]:
        said = before.figures["value"]
        if said.unit is None and said.value in {1, 2, 3, 4, 5, 6}:
            before.used = True
            return replace(said, unit="{count}")
    return None


def _give_units(item: Item) -> None:
    """Sizes without a unit: millimetres, but coils are millimetres by centimetres (common practice, no source)."""
    coil = item.role == "embolise"
    for key, unit in (("diameter", "mm"), ("length", "cm" if coil else "mm"), ("volume", "mL")):
        quantity = item.figures.get(key)
        if quantity is not None and quantity.unit is None:
            item.figures[key] = replace(quantity, unit=unit)


def _name(item: Item) -> str:
    return {"inflation": "balloon", "stent": "stent"}.get(item.role, item.name or "coil")
