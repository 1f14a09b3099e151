"""The sums at the end: contrast, x-ray time, air kerma, dose-area product."""

from extractor.model import Item, Kind, Quantity, Sentence, Status
from extractor.reconciling.story import Draft, Hearing, Story

_LABELS = {
    "contrast": ("contrast_volume", "mL"),
    "screening": ("fluoro_time", "min"),
    "kerma": ("air_kerma", "mGy"),
    "dap": ("dap", "Gy.cm2"),
}
_BY_UNIT = {"mGy": "air_kerma", "Gy.cm2": "dap"}
_SURE = {"screening", "kerma", "dap"}


class Totals(Hearing):
    """Hears sentences that sum up; takes their figures before any other kind does."""

    def __init__(self) -> None:
        self.draft: Draft | None = None
        self.open = -9
        self.label: tuple[str, int] | None = None  # a sum asked for, and the number of the sentence

    def begin(self, story: Story, sentence: Sentence) -> None:
        labels = {meaning for item in sentence.items if item.kind == "action" for meaning in item.meanings}
        figures = [item for item in sentence.items if item.kind == "quantity"]
        units = {item.figures["value"].unit for item in figures}
        if "totals" in labels and not figures:
            self.open = sentence.breath
        if self.label and self.label[1] == story.number - 1 and figures and not labels & _LABELS.keys():
            self._take(story, figures[0], *_LABELS[self.label[0]])  # "Contrast? Ninety-five."
            self.open = sentence.breath
            return
        asked = next((name for name in _LABELS if name in labels), None)
        if asked and not figures and len(sentence.texts) <= 5:
            self.label = (asked, story.number)
        if "contrast" in labels and len(figures) == 1 and len(sentence.texts) <= 6 and not story.says("by hand"):
            labels = labels | {"totals"}
        summing = (
            bool(labels & _SURE and figures)
            or bool(units & {"mGy", "Gy.cm2"})
            or ("contrast" in labels and bool(figures) and (self.open == sentence.breath or "totals" in labels))
        )
        if not summing or not figures:
            return
        assigned = _assigned(sentence.items)
        if [key for _, key, _ in assigned] == ["contrast_volume"] and "contrast" not in labels:
            return
        self.open = sentence.breath
        for figure, key, unit in assigned:
            self._take(story, figure, key, unit)
        if len(assigned) >= 2:
            for item in figures:
                item.used = True  # what is left in such a sentence is a slip or an echo, no pressure

    def hear(self, story: Story, item: Item) -> bool:
        return False

    def _take(self, story: Story, item: Item, key: str, unit: str) -> None:
        quantity = item.figures["value"].in_unit(unit)
        if self.draft is None or (
            key in self.draft.values and self.draft.breath != story.sentence.breath and not story.summary
        ):
            status = item.status if item.status in {Status.PAST, Status.QUOTED} else Status.DONE
            if self.draft is not None and self.draft.values[key].value == quantity.value:
                item.used = True
                return
            self.draft = story.add(Kind.TOTAL, status, item, "total/summed-up")
        known = self.draft.values.get(key)
        if known is not None and known.value != quantity.value:
            quantity = quantity.flagged("conflict")
        self.draft.values[key] = quantity
        self.draft.reach(item.words)
        item.used = True


def _assigned(items: list[Item]) -> list[tuple[Item, str, str]]:
    """Each figure with the sum it is: by its unit, else by the label before it, else by the one after it."""
    out: list[tuple[Item, str, str]] = []
    taken: set[str] = set()
    label = ""
    items = [item for item in items if item.kind != "phrase"]
    for position, item in enumerate(items):
        if item.kind == "action" and (found := next((name for name in _LABELS if name in item.meanings), "")):
            label = found
            continue
        if item.kind != "quantity" or item.used:
            continue
        quantity: Quantity = item.figures["value"]
        if position and items[position - 1].text == "total" and quantity.unit in {"min", "mL"}:
            key = "fluoro_time" if quantity.unit == "min" else "contrast_volume"
            out = [entry for entry in out if entry[1] != key]
            taken.discard(key)
        key = _BY_UNIT.get(quantity.unit or "") or _key(quantity, label, taken, items[position + 1 :])
        if not key or key in taken:
            continue
        if _chained(items, position):
            continue
        taken.add(key)
        unit = next(unit for name, unit in _LABELS.values() if name == key)
        out.append((item, key, unit))
        label = ""
    return out


def _key(quantity: Quantity, label: str, taken: set[str], following: list[Item]) -> str:
    if label and (quantity.unit is None or _fits(quantity.unit, label)):
        return _LABELS[label][0]
    said = [item for item in following if item.kind != "mark"][:2]
    own = (
        len(said) > 1 and said[1].kind == "quantity" and not said[0].text.startswith("of ")
    )  # the label after it has a figure of its own
    if said and said[0].kind == "action" and not own:
        after = said[0]
        name = next((name for name in _LABELS if name in after.meanings and _fits(quantity.unit, name)), "")
        if name and _LABELS[name][0] not in taken:
            return _LABELS[name][0]
    if quantity.unit == "min":
        return "fluoro_time"
    if quantity.unit == "mL":
        return "contrast_volume"
    return ""


def _fits(unit: str | None, label: str) -> bool:
    return unit is None or unit == _LABELS[label][1] or (label == "screening" and unit == "s")


def _chained(items: list[Item], position: int) -> bool:
    """ "five fourteen… forty, five hundred and forty": a figure trailing off is followed by the one that is meant."""
    here = items[position].figures["value"].unit
    trailing = False
    for mark, figure in zip(items[position + 1 :: 2], items[position + 2 :: 2], strict=False):
        if (
            mark.kind != "mark"
            or mark.text not in {"...", ","}
            or figure.kind != "quantity"
            or figure.figures["value"].unit not in {None, here}
        ):
            break
        trailing = trailing or mark.text == "..." or bool(position and items[position - 1].text == "...")
    return trailing
