"""What imaging or the field shows, with its measures; ruled out where the talk says so."""

from extractor.model import Item, Kind, Quantity, Sentence, Status
from extractor.reconciling.story import PLACING, Draft, Hearing, Story

_ASKING = frozenset(
    """
    is any are do does did was were has have can could where where's what should which isn't
    """.split()
)
_GONE = {"gone", "away", "yielded", "popped", "disappeared", "resolved"}
_LEFT = {"left", "residual", "remaining", "call", "calling", "still", "yet", "better", "improved", "narrowed"}
_WIDE = {"pseudoaneurysm", "aneurysm"}


class Findings(Hearing):
    """Hears findings and the percentages and lengths said of them."""

    def __init__(self) -> None:
        self.asked: Draft | None = None
        self.here: list[Draft] = []
        self.asks = False
        self.last: Draft | None = None

    def begin(self, story: Story, sentence: Sentence) -> None:
        self.here = []
        first = sentence.first
        self.asks = first in _ASKING or "any" in sentence.texts

    def hear(self, story: Story, item: Item) -> bool:
        if item.kind == "finding":
            self._named(story, item)
            return True
        if item.kind == "quantity":
            return self._measure(story, item)
        return False

    def end(self, story: Story, sentence: Sentence) -> None:
        if sentence.question and (len(sentence.texts) <= 6 or self.asks):
            for draft in self.here:
                if draft.status is Status.DONE:
                    story.drafts.remove(draft)

    def _named(self, story: Story, item: Item) -> None:
        status = item.status if item.status not in {None, Status.PLANNED} else Status.DONE
        if self._referred(story, item):
            return
        if item.name == "waist" and ((item.definite and self._gone(story, item)) or status is not Status.DONE):
            return
        same = next(
            (
                draft
                for draft in reversed(story.lately())
                if draft.kind is Kind.FINDING
                and draft.finding == item.name
                and draft.breath == story.sentence.breath
                and draft.status is status
            ),
            None,
        )
        before = self._before(story)
        if same is not None and (status is not Status.DONE or not before):
            same.reach(item.words)
            return
        draft = story.add(
            Kind.FINDING, status, item, f"finding/{'seen' if status is Status.DONE else status}", finding=item.name
        )
        for quantity_item, key, quantity in before:
            draft.values[key] = quantity
            draft.reach(quantity_item.words)
            quantity_item.used = True
        self.here.append(draft)
        self.last = draft

    def _referred(self, story: Story, item: Item) -> bool:
        """ "through the occlusion", "the flap": spoken of as something known, not reported."""
        if item.where in PLACING and item.status in {None, Status.PLANNED}:
            return not self._before(story)
        if item.definite and item.status in {None, Status.PLANNED} and not story.sentence.texts & {"there", "here"}:
            known = any(
                draft.kind is Kind.FINDING and draft.finding == item.name and draft.status is Status.DONE
                for draft in story.lately()
            )
            return (
                known
                and not any(other.kind == "action" and other.text in {"still", "is"} for other in story.ahead())
                and not story.sentence.texts & {"still", "remains", "persists", "persisted"}
            )
        return False

    def _gone(self, story: Story, item: Item) -> bool:
        return bool(story.sentence.texts & _GONE)

    def _before(self, story: Story) -> list[tuple[Item, str, Quantity]]:
        """Measures said right before it: "a seventy-five percent mid SFA stenosis"."""
        out: list[tuple[Item, str, Quantity]] = []
        for other in story.behind():
            if other.kind in {"place", "side", "part", "pronoun"} or (
                other.kind == "mark" and other.text in {",", "..."}
            ):
                continue
            if other.kind == "quantity" and not other.used and other.figures["value"].unit == "%":
                out.append((other, "stenosis", other.figures["value"]))
            break
        return out

    def _measure(self, story: Story, item: Item) -> bool:
        """Measures said after it, in the same sentence."""
        quantity = item.figures["value"]
        if (
            quantity.unit is None
            and self.here
            and self.here[-1].finding == "stenosis"
            and 10 <= quantity.value <= 100
            and "stenosis" not in self.here[-1].values
            and self._right_after(story)
        ):
            quantity = quantity.flagged("unit-assumed", unit="%")
        recoil_or_narrow = [draft for draft in self.here if draft.finding in {"stenosis", "recoil", "occlusion"}]
        if quantity.unit == "%" and recoil_or_narrow:
            draft = recoil_or_narrow[-1]
            fixed = any(other.kind == "phrase" and other.name == "correction" for other in story.behind()) or any(
                other.text == "-" for other in story.behind()
            )
            if draft.status is Status.NEGATED or (
                "stenosis" in draft.values and "corrected" not in quantity.flags and not fixed
            ):
                return False
            if self._finding_follows(story):
                return False
            draft.values["stenosis"] = quantity
            draft.reach(item.words)
            return True
        placed = bool(story.mentions("place", "part")) and not story.mentions("drug", "device")
        if (
            quantity.unit == "%"
            and not self.here
            and item.status in {None, Status.PLANNED}
            and (story.sentence.texts & _LEFT or placed)
            and not story.summary
            and any(draft.kind is Kind.RUN for draft in story.lately())
        ):
            draft = story.add(
                Kind.FINDING,
                Status.DONE,
                item,
                "finding/percent-left",
                finding="stenosis",
                values={"stenosis": quantity},
            )
            return True
        if quantity.unit in {"cm", "mm"} and self.here and (quantity.unit == "cm" or not story.says("measure")):
            draft = self.here[-1]
            if (
                draft.finding in {"collaterals", "run-off", "calcification", "waist", "spasm"}
                or draft.status is Status.NEGATED
            ):
                candidates = [
                    d
                    for d in self.here
                    if d.finding in {"stenosis", "occlusion", "dissection"} and d.status is not Status.NEGATED
                ]
                if not candidates:
                    return False
                draft = candidates[-1]
            key = "diameter" if draft.finding in _WIDE else "length"
            if key in draft.values and "corrected" not in quantity.flags:
                return False
            draft.values[key] = quantity
            draft.reach(item.words)
            return True
        last = self.last
        if (
            quantity.unit in {None, "mm", "cm"}
            and last is not None
            and last.breath == story.sentence.breath
            and (story.sentence.texts & {"call", "make", "nah"} or len(story.sentence.texts) <= 4)
        ):
            for key in ("diameter", "length"):
                known = last.values.get(key)
                if (
                    known is not None
                    and 0.3 * known.value <= quantity.value <= 3 * known.value
                    and quantity.value != known.value
                ):
                    last.values[key] = quantity.flagged("corrected", unit=known.unit)
                    last.reach(item.words)
                    return True
        return False

    def _right_after(self, story: Story) -> bool:
        """ "there is stenosis, sixty": a bare number said right after."""
        for other in story.behind():
            if other.kind in {"mark", "place", "side", "part"}:
                continue
            return other.kind == "finding"
        return False

    def _finding_follows(self, story: Story) -> bool:
        """ "… stenosis, thirty percent residual stenosis": the figure belongs to the finding right after it."""
        for other in story.ahead():
            if other.kind in {"place", "side", "part"}:
                continue
            return other.kind == "finding" and other.name in {"stenosis", "recoil"}
        return False
