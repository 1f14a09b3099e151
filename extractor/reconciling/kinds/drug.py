"""Drugs: ordered, given, ruled out, taken before. An order is planned until somebody says it is in."""

from extractor.model import Item, Kind, Quantity, Sentence, Status
from extractor.reconciling.story import Draft, Hearing, Story, carried

#: An order still open after so many breaths is not what "it's in" means: common practice, no source.
_OPEN_BREATHS = 40
#: After a dose: it is to be taken regularly or later.
_REGULAR = frozenset(
    """
    daily tonight twice once tomorrow every weekly a each nightly three milligrams mg
    """.split()
)


class Drugs(Hearing):
    """Hears drugs with doses, and "given", "in", "that's the lot in"."""

    def __init__(self) -> None:
        self.said: list[Draft] = []  # drugs of this breath
        self.breath = -1
        self.named: tuple[str, int, str] | None = None  # the drug last named: name, breath, unit

    def begin(self, story: Story, sentence: Sentence) -> None:
        if sentence.breath != self.breath:
            self.said, self.breath = [], sentence.breath

    def hear(self, story: Story, item: Item) -> bool:
        if item.kind == "drug":
            self._named(story, item)
            return True
        if item.kind == "phrase" and item.name == "refused":
            return self._refused(story, item)
        if item.kind == "action" and "give" in item.meanings:
            return self._given(story, item)
        if item.kind == "quantity":
            return self._amount(story, item)
        return False

    def _refused(self, story: Story, item: Item) -> bool:
        """ "alteplase, five milligrams, I had in mind, no need": what was just named is not given."""
        draft = next((d for d in reversed(story.lately()) if d.kind is Kind.DRUG), None)
        if story.topic != "drug" or draft is None or draft.breath != story.sentence.breath:
            return False
        if draft.status not in {Status.PLANNED, Status.CONSIDERED}:
            return False
        draft.status, draft.rule = Status.NEGATED, "drug/called-off"
        draft.reach(item.words)
        story.orders = [order for order in story.orders if order is not draft]
        return True

    def _named(self, story: Story, item: Item) -> None:
        story.topic = "drug"
        self.named = (item.name, story.sentence.breath, item.unit)
        values = dict(item.figures)
        status = item.status
        order = next((draft for draft in reversed(story.orders) if draft.drug == item.name), None)
        same = next((draft for draft in reversed(self.said) if draft.drug == item.name), None)
        if status is Status.NEGATED:
            if not values and order is not None:
                values = (
                    {key: carried(quantity) for key, quantity in order.values.items()}
                    if item.cue not in {"no", "no more", "no further"}
                    else {}
                )
            story.add(Kind.DRUG, status, item, "drug/ruled-out", drug=item.name, values=values)
            return
        if status in {Status.PAST, Status.QUOTED, Status.CONSIDERED}:
            story.add(Kind.DRUG, status, item, f"drug/{status}", drug=item.name, values=values)
            return
        if same is not None and (not values or not same.values):
            same.values |= values
            same.reach(item.words)
            return
        if status is None and self._reported(story, item):
            if order is not None and not values:
                values = {key: carried(quantity) for key, quantity in order.values.items()}
            if ordered := story.settle(order, Status.DONE, item, "drug/ordered-and-given"):
                ordered.values |= item.figures
                draft = ordered
            elif given := next((d for d in self.said if d.drug == item.name and d.status is Status.DONE), None):
                if not _another(given, item):
                    given.reach(item.words)
                    return
                draft = story.add(Kind.DRUG, Status.DONE, item, "drug/given", drug=item.name, values=values)
            elif (
                order is None
                and not values
                and any(d.drug == item.name and d.status is Status.DONE for d in story.lately())
            ):
                return
            else:
                draft = story.add(Kind.DRUG, Status.DONE, item, "drug/given", drug=item.name, values=values)
            if order in story.orders:
                story.orders.remove(order)
            self.said.append(draft)
            return
        if status is None and not values and not story.says("give"):
            return
        draft = story.add(Kind.DRUG, Status.PLANNED, item, "drug/ordered", drug=item.name, values=values)
        story.orders.append(draft)
        self.said.append(draft)

    def _reported(self, story: Story, item: Item) -> bool:
        """Whether the sentence says the drug is in: "heparin's in", "was given", "I gave"; in a dictation, that it
        is named.
        """
        for other in story.ahead():
            if other.kind == "drug" and not any(o.kind == "mark" and o.text == "and" for o in story.ahead()):
                break
            if (
                other.kind == "action"
                and "give" in other.meanings
                and other.status is None
                and other.text not in {"give", "got", "done", "used"}
            ):
                return True
            if other.kind in {"device"}:
                break
        for other in story.behind():
            if (
                other.kind == "action"
                and other.meanings & {"give"}
                and other.text
                in {
                    "gave",
                    "given",
                    "administered",
                    "injected",
                    "infiltrated",
                    "received",
                    "had",
                    "consisted",
                    "pushed",
                }
            ):
                return True
            if other.kind in {"device", "drug"}:
                break
        return story.dictated and bool(item.figures)

    def _given(self, story: Story, item: Item) -> bool:
        if item.status in {Status.NEGATED, Status.CONSIDERED, Status.PAST} or story.topic != "drug" or not story.orders:
            return False
        done = item.text == "done" and (len(story.sentence.texts) <= 8 or story.clause() == [item])
        if item.text in {"give", "got", "used", "had"} or (item.text == "done" and not done):
            return False
        fresh = [draft for draft in story.orders if draft in self.said]
        if not fresh:
            fresh = [draft for draft in story.orders if story.sentence.breath - draft.breath <= 2]
        every = any(
            other.kind == "pronoun" and other.name in {"both", "lot", "they", "them"} for other in story.sentence.items
        )
        for draft in fresh if every or len({d.breath for d in fresh}) == 1 else fresh[-1:]:
            self._done(story, draft, item)
        return bool(fresh)

    def _amount(self, story: Story, item: Item) -> bool:
        """ "five thousand is in": the dose of an open order, said again when it is in; or a dose put right."""
        quantity = item.figures["value"]
        if quantity.unit not in {None, "[iU]", "mg", "ug", "g", "mL"}:
            return False
        if self._put_right(story, item, quantity) or self._next_dose(story, item, quantity):
            return True
        if not any(
            other.kind == "action" and "give" in other.meanings and other.text not in {"give", "got", "had", "running"}
            for other in story.clause()
        ):
            return False
        if any(other.kind in {"device", "drug"} for other in story.clause()):
            return False
        if (
            self.named is not None
            and not any(
                draft.values.get("dose") is not None and draft.values["dose"].value == quantity.value
                for draft in story.orders
            )
            and self.named[1] == story.sentence.breath
            and quantity.unit in {None, self.named[2]}
        ):
            value = quantity.in_unit(self.named[2])
            if not any(draft.status is Status.DONE for draft in self.said):
                self.said.append(
                    story.add(Kind.DRUG, Status.DONE, item, "drug/dose-in", drug=self.named[0], values={"dose": value})
                )
                return True
        for draft in reversed(story.orders):
            dose = draft.values.get("dose")
            if (
                dose is not None
                and abs(dose.value - quantity.value) < 1e-9
                and story.sentence.breath - draft.breath <= _OPEN_BREATHS
            ):
                self._done(story, draft, item)
                return True
        return False

    def _put_right(self, story: Story, item: Item, quantity: Quantity) -> bool:
        """ "five thousand… actually he's only small, so make it four thousand"."""
        draft = self.said[-1] if self.said else None
        dose = draft.values.get("dose") if draft is not None else None
        if draft is None or dose is None or story.topic != "drug" or draft.status is Status.NEGATED:
            return False
        if (
            quantity.unit not in {None, dose.unit}
            or not dose.value / 20 <= quantity.value <= dose.value * 20
            or item.after in {"kilos", "years", "minutes"}
            or item.after.endswith("s")
        ):
            return False
        if not any(other.kind == "phrase" and other.name == "correction" for other in story.behind()):
            return False
        draft.values["dose"] = quantity.flagged("corrected", unit=dose.unit)
        draft.reach(item.words)
        return True

    def _next_dose(self, story: Story, item: Item, quantity: Quantity) -> bool:
        """ "clopidogrel, three hundred tonight, then seventy-five daily": a second order of the same drug."""
        drug = next((other for other in story.behind() if other.kind == "drug"), None)
        draft = next((draft for draft in reversed(self.said) if drug is not None and draft.drug == drug.name), None)
        dose = draft.values.get("dose") if draft is not None else None
        if (
            draft is None
            or dose is None
            or drug is None
            or quantity.unit not in {None, dose.unit}
            or item.after not in _REGULAR
        ):
            return False
        value = quantity.in_unit(dose.unit)
        story.add(Kind.DRUG, Status.PLANNED, item, "drug/next-dose", drug=draft.drug, values={"dose": value})
        return True

    def _done(self, story: Story, draft: Draft, item: Item) -> None:
        story.orders.remove(draft)
        if story.settle(draft, Status.DONE, item, "drug/ordered-and-given"):
            return
        values = {key: carried(quantity) for key, quantity in draft.values.items()}
        self.said.append(story.add(Kind.DRUG, Status.DONE, item, "drug/given", drug=draft.drug, values=values))


def _another(given: Draft, item: Item) -> bool:
    """Whether a drug named again in one breath is a second dose: "five thousand in, another two thousand given"."""
    dose, known = item.figures.get("dose"), given.values.get("dose")
    return dose is not None and known is not None and dose.value != known.value and "corrected" not in dose.flags
