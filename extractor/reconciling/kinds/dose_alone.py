"""A dose that stands without its drug: of which one it is, and whether it is one more, another in its place, or in."""

from itertools import pairwise, takewhile

from extractor.model import Item, Kind, Quantity, Status
from extractor.reconciling.bare_figures import says_up
from extractor.reconciling.kinds.drug_words import (
    TOPPED_UP,
    UNITS,
    dose_went,
    is_clock,
    is_in,
    is_sum,
    is_top_up,
    is_usual,
    no_figure,
    no_more_than,
    one_more_dose,
    put_behind,
    same_dose,
    says_given,
    until_it_stopped,
)
from extractor.reconciling.kinds.told_by_verb import being_given
from extractor.reconciling.questions import is_yes
from extractor.reconciling.story import NO, NOT_DONE, Draft, Hearing, Story, carried
from extractor.reconciling.thousands import in_thousands
from extractor.units import VALUE_UNITS
from extractor.vitals import is_vital

#: An order still open after so many breaths is not what "it's in" means: common practice, no source.
_OPEN_BREATHS = 40
#: After a dose: it is to be taken regularly or later.
_REGULAR = frozenset(
    """
    daily tonight twice once tomorrow every weekly a each nightly three milligrams mg
    """.split()
)
#: One dose more of what was given or ordered.
MORE = frozenset(
    """
    more another further extra additional second again
    """.split()
)
#: These put another figure in the place of the one just ordered: "eight is plenty", "four thousand then, please".
_RATHER = frozenset(
    """
    then plenty enough only just make call please
    """.split()
)
#: "give" is an order, "got" and "used" tell of other things: said behind a drug they do not say that it is in.
NO_REPORT = {"give", "got", "done", "used"}
#: What may stand before a dose in a sentence that puts another in the place of the one just ordered.
_LEADS = frozenset("ah oh ok okay right so then well give her him make it only just let's yes alright".split())
#: A sentence that begins so puts right what was just ordered.
_HESITATES = {"wait", "hang", "hmm", "hm", "oh", "sorry", "only"}
#: Before a dose that is ruled out: one everybody knows, beside the one that is given.
_KNOWN_DOSE = {"the", "full", "usual", "standard", "whole"}
#: With one of these a drug is for after the case: nothing said here means that it is in.
LATER = frozenset(
    """
    tonight tomorrow daily discharge ward week weeks month months life lifelong evening twice nightly day home
    """.split()
)
#: After a figure: it is a part of a dose, or counts.
_SHARE = frozenset("for each per on at times minutes kilos years past to percent".split())
#: So many sentences behind a drug that is only named its dose may stand. Set by hand, no source.
SOON = 3
#: For so many breaths a dose is of the drug last talked of, of which the last so many events tell. Set by hand.
_TALKED, _TALKED_OF = 4, 8


class DosesAlone(Hearing):
    """Keeps the drug last named and what is told in this breath: which of them a dose that stands alone is of."""

    def __init__(self) -> None:
        self.said: list[Draft] = []  # drugs of this breath
        self.named: tuple[Item, int] | None = None  # the drug last named, and its breath
        self.asked = False  # the sentence before was a question
        self.gone_in = False  # and asked whether something was given
        self.alone = -9  # number of the last sentence that only names a drug

    def _amount(self, story: Story, item: Item, quantity: Quantity) -> bool:
        """ "five thousand is in", "four thousand then, please": a dose of the drug last named."""
        if quantity.unit not in {None, *VALUE_UNITS["dose"]} or item.no_dose or item.after == "years" or is_clock(item):
            return False
        if is_vital(story.sentence.tokens, item.span):
            return False
        if self._not_given(story, item, quantity):
            return True
        if self._stopped_at(story, item, quantity) or self._put_right(story, item, quantity):
            return True
        if self._next_dose(story, item, quantity) or self._topped_up(story, item, quantity):
            return True
        if item.status in {Status.PAST, Status.QUOTED, Status.CONSIDERED}:
            taught = item.status is Status.QUOTED and self._taught(story, item, quantity)
            return taught or self._of_the_last(story, item, quantity)
        return (
            self._summed(story, item, quantity)
            or self._fills(story, item, quantity)
            or self._more(story, item, quantity)
            or self._other_side(story, item, quantity)
            or self._dose_in(story, item, quantity)
            or self._said_apart(story, item, quantity)
            or self._of_the_last(story, item, quantity)
        )

    def _topped_up(self, story: Story, item: Item, quantity: Quantity) -> bool:
        """ "ACT? Two oh nine. Two thousand more.": right behind a clotting time thousands are of heparin."""
        last = story.drafts[-1] if story.drafts else None
        timed = last is not None and last.kind is Kind.MEASURE and "act" in last.values and last.status is Status.DONE
        if last is None or not timed or not 0 <= story.sentence.breath - last.breath <= SOON:
            return False
        if not is_top_up(story, item, quantity) or story.sentence.question:
            return False
        went = any(is_in(other) and other.text not in NO_REPORT for other in story.clause()) or put_behind(story, item)
        status = Status.DONE if went else Status.PLANNED
        dose = quantity.in_unit("[iU]")
        if not any(draft.drug == TOPPED_UP for draft in reversed(story.drafts)):
            dose = dose.flagged("drug-assumed")  # nobody named it in this case
        values = {"dose": dose}
        draft = story.add(Kind.DRUG, status, item, "drug/topped-up", drug=TOPPED_UP, values=values)
        story.topic = "drug"
        self.said.append(draft)
        if not went:
            story.orders.append(draft)
        return True

    def _of_the_last(self, story: Story, item: Item, quantity: Quantity) -> bool:
        """ "Last time he had six thousand of heparin and bled. Three thousand, please.": a dose of the drug last named,
        where no more than talk was of it, and this is asked for, given or told as such talk.
        """
        if self.named is None or story.topic != "drug" or story.sentence.breath - self.named[1] > _TALKED:
            return False
        drug = self.named[0]
        if self.named[1] == story.sentence.breath and story.mentions("drug"):
            return False
        told = [draft for draft in story.lately()[-_TALKED_OF:] if draft.drug == drug.name]
        settled = any(draft.status in {Status.DONE, Status.PLANNED} and draft.values for draft in told)
        if settled or story.mentions("device", "finding"):
            return False
        low, high = drug.usual or (0.0, 0.0)
        dosed = quantity.unit == drug.unit or (quantity.unit is None and low <= quantity.value <= high)
        status = item.status if item.status in NOT_DONE else self._settled(story)
        if not dosed or status is None or item.no_dose:
            return False
        values = {"dose": quantity if quantity.unit else quantity.in_unit(drug.unit)}
        draft = story.add(Kind.DRUG, status, item, f"drug/of-the-last-{status}", drug=drug.name, values=values)
        self.said.append(draft)
        self.named = drug, story.sentence.breath
        if status is Status.PLANNED:
            story.orders.append(draft)
        return True

    @staticmethod
    def _settled(story: Story) -> Status | None:
        """Whether a sentence asks for a dose or tells that it is in."""
        given = says_given(story) or being_given(story.sentence)
        given = given or any(is_in(other) and other.status is None for other in story.ahead())
        if given and not story.sentence.question:
            return Status.DONE
        return Status.PLANNED if Status.PLANNED in story.sentence.cues else None

    def _stopped_at(self, story: Story, item: Item, quantity: Quantity) -> bool:
        """ "Five hundred drawn up… injecting… it stopped after three hundred units": less than was made ready."""
        draft = next((draft for draft in reversed(story.lately()) if draft.kind is Kind.DRUG), None)
        dose = draft.values.get("dose") if draft is not None else None
        if draft is None or dose is None or quantity.unit != dose.unit or not until_it_stopped(story, item, dose):
            return False
        if story.sentence.breath - draft.breath > SOON:
            return False
        less = quantity.flagged("corrected", "conflict", alternatives=(dose.value,))
        if draft in story.orders:
            self._done(story, draft, item, less)
        elif draft.status is Status.DONE and "carried-over" in dose.flags:
            draft.values["dose"] = less
            draft.reach(item.words)
        else:
            return False
        return True

    def _put_right(self, story: Story, item: Item, quantity: Quantity) -> bool:
        """ "five thousand… actually he's only small, so make it four thousand"; "ten mils... eight is plenty"."""
        draft = self.said[-1] if self.said else self._waiting(story)
        dose = draft.values.get("dose") if draft is not None else None
        if draft is None or dose is None or story.topic != "drug" or draft.status is Status.NEGATED:
            return False
        if "corrected" in quantity.flags and draft.number != story.number:
            return False  # "Haemoglobin's fifty-eight, no, sixty-eight": it is another figure that was put right
        quantity = in_thousands(quantity, dose)
        fixing = any(other.corrects for other in story.behind()) or story.sentence.first in NO | _HESITATES
        fixing = fixing or (draft.status is Status.DONE and "carried-over" in dose.flags and says_given(story))
        fixing = fixing or any(  # "three thousand, not five"
            (other.kind == "denied" or other.before == "not")
            and any(in_thousands(figure, dose).value == dose.value for figure in other.figures.values())
            for other in story.sentence.items
        )
        far = 20 if fixing else 3
        if (
            quantity.unit not in {None, dose.unit}
            or not dose.value / far <= quantity.value <= dose.value * far
            or quantity.value == dose.value
            or item.after in {"kilos", "years", "minutes"}
            or item.after.endswith("s")
            or is_vital(story.sentence.tokens, item.span)
        ):
            return False
        if not fixing and not self._rather(story, item, draft):
            return False
        late = ["conflict"] if draft.breath != story.sentence.breath or draft.status is Status.DONE else []
        draft.values["dose"] = quantity.flagged("corrected", *late, unit=dose.unit)
        draft.reach(item.words)
        return True

    def _not_given(self, story: Story, item: Item, quantity: Quantity) -> bool:
        """ "two point five milligrams and not the five", "the full five thousand I refused her": another dose of the
        drug just told, as something known, is ruled out; "ten, not twenty" puts one right.
        """
        draft = self.said[-1] if self.said else None
        dose = draft.values.get("dose") if draft is not None else None
        if item.kind == "denied":
            known = ("not", "the") in pairwise(story.sentence.tokens)
        else:
            before = story.sentence.tokens[max(0, item.span[0] - 3) : item.span[0]]
            known = (item.status is Status.NEGATED or "not" in before) and bool(_KNOWN_DOSE & set(before))
        if draft is None or dose is None or not known or draft.number != story.number:
            return False
        other = in_thousands(quantity, dose)
        if other.unit not in {None, dose.unit} or other.value == dose.value or item.after.endswith("s"):
            return False
        if not dose.value / 10 <= other.value <= dose.value * 10:
            return False
        values = {"dose": other.in_unit(dose.unit)}
        story.add(Kind.DRUG, Status.NEGATED, item, "drug/other-dose", drug=draft.drug, values=values)
        return True

    def _waiting(self, story: Story) -> Draft | None:
        """The order last made, where it is not given yet and nothing else was spoken of since."""
        order = story.orders[-1] if story.orders else None
        fresh = order is not None and order is story.drafts[-1] and story.sentence.breath - order.breath <= 2
        return order if fresh else None

    def _rivals(self, story: Story, item: Item, order: Draft) -> bool:
        """Whether a loose figure may be another dose of an open order: of its unit or none, of like size."""
        dose = order.values.get("dose")
        if dose is None or item.status in {Status.PAST, Status.QUOTED} or item.no_dose or item.after in _SHARE:
            return False
        figure = in_thousands(item.figures["value"], dose)
        alike = figure.value != dose.value and dose.value / 3 <= figure.value <= dose.value * 3
        counts = figure.unit is None and item.after.isalpha() and item.after.endswith("s") and item.after != "is"
        return figure.unit in {None, dose.unit} and alike and not counts

    def _rather(self, story: Story, item: Item, draft: Draft) -> bool:
        """Whether a loose figure stands in for the dose just ordered: a clause with nothing else but a word for it."""
        here = draft.breath == story.sentence.breath
        if draft.status is not Status.PLANNED and not (draft.status is Status.DONE and here and item.after == "then"):
            return False
        if any(other.kind in {"device", "drug", "finding", "pair", "place"} for other in story.clause()):
            return False
        first = story.sentence.words[0]
        apart = draft.words[1] <= first or any(other.text == "..." for other in story.behind())
        texts = {item.after, *(other.text for other in story.clause())}
        words = {text for text in story.sentence.texts if text.isalpha()}
        lead = {token for token in story.sentence.tokens[: item.span[0]] if token.isalpha()}
        if len(words) <= 3 or ("then" in lead and lead <= _LEADS):  # "Six, then.", "Ah, then four thousand."
            texts |= words
        if no_more_than(story.sentence.tokens, item.span[0]):
            return True
        return apart and (bool(texts & _RATHER) or (item.after == "is" and bool(story.sentence.texts & _RATHER)))

    def _next_dose(self, story: Story, item: Item, quantity: Quantity) -> bool:
        """ "clopidogrel, three hundred tonight, then seventy-five daily": a second order of the same drug."""
        named = self.named[0] if self.named is not None and self.named[1] == story.sentence.breath else None
        drug = next((other for other in story.behind() if other.kind == "drug"), named)
        draft = next((draft for draft in reversed(self.said) if drug is not None and draft.drug == drug.name), None)
        dose = draft.values.get("dose") if draft is not None else None
        if draft is None or dose is None or quantity.unit not in {None, dose.unit}:
            return False
        then = item.before == "then" and item.after in {"", ".", ","} and bool(LATER & story.sentence.texts)
        if not (then or item.after in _REGULAR):
            return False
        value = quantity.in_unit(dose.unit)
        story.add(Kind.DRUG, Status.PLANNED, item, "drug/next-dose", drug=draft.drug, values={"dose": value})
        return True

    def _summed(self, story: Story, item: Item, quantity: Quantity) -> bool:
        """ "eight… and another two, ten in all": the parts of this breath are one dose, their sum."""
        if self.named is None or not is_sum(story) or item.after not in {"in", "altogether", "total"}:
            return False
        parts = [draft for draft in self.said if draft.drug == self.named[0].name and "dose" in draft.values]
        if len(parts) < 2 or abs(sum(d.values["dose"].value for d in parts) - quantity.value) > 1e-9:
            return False
        parts[0].values["dose"] = quantity.in_unit(parts[0].values["dose"].unit)
        parts[0].reach(item.words)
        for part in parts[1:]:
            story.forget(part)
            self.said.remove(part)
            if part in story.orders:
                story.orders.remove(part)
        return True

    def _fills(self, story: Story, item: Item, quantity: Quantity) -> bool:
        """ "Has the protamine gone in? Yes, twenty-five": the dose asked for, of a drug told without one."""
        draft = self.said[-1] if self.said else None
        if draft is None or "dose" in draft.values or self.named is None or draft.drug != self.named[0].name:
            return False
        if not (self.asked or is_yes(story.sentence)) or story.mentions("device", "drug", "finding", "pair"):
            return False
        if draft.status is Status.NEGATED:
            return False
        draft.values["dose"] = quantity.in_unit(self.named[0].unit)
        draft.reach(item.words)
        return True

    def _more(self, story: Story, item: Item, quantity: Quantity) -> bool:
        """ "and then two thousand more", "another fifty": a further dose of the drug last named."""
        last = story.drafts[-1] if story.drafts else None
        lately = last is not None and last.kind is Kind.DRUG and story.sentence.breath - last.breath <= SOON
        lately = lately and not story.mentions("device") and not story.says("inflate", "deflate", "hold", "run")
        lately = lately and self.named is not None and is_usual(self.named[0], quantity)
        near = self.named is not None and (lately or story.sentence.breath - self.named[1] <= 1)
        if self.named is None or not near or not self._of_named(story, quantity):
            return False
        balloon = story.active is not None and story.active.role == "inflation"
        if balloon and any(map(says_up, story.mentions("action"))):
            return False  # "One more time up, sixteen again."
        on_top = story.sentence.tokens[item.span[1] : item.span[1] + 2] in {("on", "top"), ("in", "addition")}
        further = one_more_dose(story.sentence, item)
        if item.after not in {"more", "extra", "further", "again"} and not (item.before in MORE or on_top or further):
            return False
        name, unit = self.named[0].name, self.named[0].unit
        told = any(d.drug == name and d.status is Status.DONE for d in self.said)
        given = any(is_in(other) and other.text not in NO_REPORT for other in story.sentence.items)
        given = given and not any(other.text == "give" for other in takewhile(no_figure, story.behind()))
        given = given or (further and dose_went(story.sentence))
        value = quantity.in_unit(unit)
        known = next((d.values["dose"] for d in reversed(self.said) if d.drug == name and "dose" in d.values), None)
        value = in_thousands(value, known) if known is not None else value
        order = next((order for order in self.said if order in story.orders), None) or self._waiting(story)
        if given and order is not None and order.drug == name and same_dose(order, {"dose": value}):
            self._done(story, order, item)  # "two thousand on top, in"
            return True
        if given and item.status is not Status.PLANNED and (told or story.sentence.breath != self.named[1]):
            draft = story.add(Kind.DRUG, Status.DONE, item, "drug/more-in", drug=name, values={"dose": value})
        else:
            draft = story.add(Kind.DRUG, Status.PLANNED, item, "drug/more", drug=name, values={"dose": value})
            story.orders.append(draft)
        self.said.append(draft)
        return True

    def _said_apart(self, story: Story, item: Item, quantity: Quantity) -> bool:
        """ "Heparin. She weighs eighty kilos, so seven thousand.": a dose said after its drug, not beside it."""
        waits = self.named is not None and any(
            order.drug == self.named[0].name and "dose" not in order.values for order in story.orders
        )
        injected = being_given(story.sentence) and quantity.unit in UNITS
        soon = waits or injected or story.number - self.alone <= SOON or self._quoted(story) is not None
        if self.named is None or story.topic != "drug" or story.sentence.breath - self.named[1] > 2 * soon:
            return False
        named = self.named[0]
        among = [other for other in story.clause() if other is not item]
        if not is_usual(named, quantity) or any(other.kind in {"device", "pair", "finding"} for other in among):
            return False
        if quantity.unit is None and (item.after in _SHARE or any(other.kind == "quantity" for other in among)):
            return False
        open_orders = [order for order in story.orders if waits]
        told = next((draft for draft in reversed([*open_orders, *self.said]) if draft.drug == named.name), None)
        told = told or self._quoted(story)
        value = quantity.in_unit(named.unit)
        reckoned = item.status is Status.PLANNED or bool({"so", "makes"} & {*story.sentence.tokens[: item.span[0]]})
        # "seventy a kilo. He gets five thousand"
        ordered = told is not None and told.status is Status.QUOTED and (reckoned or "dose" not in told.values)
        if told is not None and not ordered and ("dose" in told.values or told.status is Status.NEGATED):
            return False
        if told is not None and not ordered:
            told.values["dose"] = value
            told.reach(item.words)
            return True
        if named.status in NOT_DONE and not ordered:
            return False
        answers = self.asked and self.gone_in and item.status is None  # "Did you give it?" "Five thousand, just now."
        went = answers or being_given(story.sentence)
        status = Status.DONE if went else Status.PLANNED
        draft = story.add(Kind.DRUG, status, item, "drug/dose-apart", drug=named.name, values={"dose": value})
        if not went:
            story.orders.append(draft)
        self.said.append(draft)
        return True

    def _quoted(self, story: Story) -> Draft | None:
        """What was told last of the drug last named, where that was a rule: "seventy units a kilo"."""
        name = self.named[0].name if self.named is not None else ""
        last = next((draft for draft in reversed(story.lately()) if draft.drug == name), None)
        return last if last is not None and last.status is Status.QUOTED else None

    def _taught(self, story: Story, item: Item, quantity: Quantity) -> bool:
        """ "the book has two of alteplase, and some give five": one more dose that others give."""
        last = self.said[-1] if self.said else None
        if self.named is not None and self._taught_alone(story, quantity):
            values = {"dose": quantity}
            self.said.append(
                story.add(Kind.DRUG, Status.QUOTED, item, "drug/quoted", drug=self.named[0].name, values=values)
            )
            return True
        if last is None or last.status is not Status.QUOTED or self.named is None or last.drug != self.named[0].name:
            return False
        dose = last.values.get("dose")
        if (
            dose is None
            or dose.value == quantity.value
            or not is_usual(self.named[0], quantity)
            or item.after in _SHARE
        ):
            return False
        values = {"dose": quantity.in_unit(dose.unit)}
        self.said.append(story.add(Kind.DRUG, Status.QUOTED, item, "drug/quoted", drug=last.drug, values=values))
        return True

    def _taught_alone(self, story: Story, quantity: Quantity) -> bool:
        """ "thrombin was mixed, and the teaching is never more than one thousand units": of a drug only named here."""
        named = self.named[0] if self.named is not None else None
        here = named in story.sentence.items and not any(draft.number == story.number for draft in self.said)
        return here and named is not None and quantity.unit == named.unit and is_usual(named, quantity)

    def _of_named(self, story: Story, quantity: Quantity) -> bool:
        """Whether a figure may be a dose of the drug last named: by its unit, or while drugs are spoken of."""
        assert self.named is not None
        if any(other.kind in {"device", "drug", "pair"} for other in story.clause()):
            return False
        return quantity.unit in UNITS or (story.topic == "drug" and quantity.unit in {None, self.named[0].unit})

    def _other_side(self, story: Story, item: Item, quantity: Quantity | None) -> bool:
        """ "lidocaine ten right, and ten left", "left the same": the same drug on the other side."""
        draft = self.said[-1] if self.said else None
        if draft is None or "dose" not in draft.values or story.topic != "drug" or item.after in MORE:
            return False
        side = next((other for other in (*story.clause(), *story.behind()) if other.kind == "side"), None)
        if side is None or draft.drug != "lidocaine" or len(story.clause()) > 5:
            return False
        of_draft = (other.name for other in story.mentions("side") if other.words[0] >= draft.words[0])
        first = draft.side if draft.number < story.number else next(of_draft, None)
        if first in {None, side.name} or side.words[1] <= draft.values["dose"].words[0]:
            return False
        value = quantity.in_unit(draft.values["dose"].unit) if quantity else carried(draft.values["dose"])
        asked = draft.number < story.number and Status.PLANNED in story.sentence.cues
        status = Status.PLANNED if asked else draft.status
        twin = story.add(Kind.DRUG, status, item, "drug/other-side", drug=draft.drug, values={"dose": value})
        twin.side = side.name
        self.said.append(twin)
        if draft in story.orders or status is not draft.status:
            story.orders.append(twin)
        return True

    def _dose_in(self, story: Story, item: Item, quantity: Quantity) -> bool:
        """ "five thousand is in": the dose of an open order, said again when it is in, or said first."""
        told = any(is_in(other) and other.text not in {"give", "got", "had", "running"} for other in story.clause())
        if not told and item.after != "away" and not put_behind(story, item):
            return False
        if any(other.kind in {"device", "drug"} for other in story.clause()):
            return False
        if any(d.status is Status.DONE and same_dose(d, {"dose": quantity}) and d.values for d in self.said):
            return True
        for draft in reversed(story.orders):
            if story.sentence.breath - draft.breath <= _OPEN_BREATHS and same_dose(draft, {"dose": quantity}):
                self._done(story, draft, item)
                return True
        if (waiting := self._waiting(story)) is not None and self._rivals(story, item, waiting):
            dose = waiting.values["dose"]
            said = in_thousands(quantity, dose)
            self._done(story, waiting, item, said.flagged("corrected", "conflict", unit=said.unit or dose.unit))
            return True
        if self.named is None or self.named[1] != story.sentence.breath or not self._of_named(story, quantity):
            return False
        value = quantity.in_unit(self.named[0].unit)
        order = next((draft for draft in story.orders if draft in self.said and draft.drug == self.named[0].name), None)
        if order is not None:
            self._done(story, order, item, value.flagged("corrected") if "dose" in order.values else value)
        elif not any(draft.status is Status.DONE for draft in self.said):
            name = self.named[0].name
            self.said.append(story.add(Kind.DRUG, Status.DONE, item, "drug/dose-in", drug=name, values={"dose": value}))
        else:
            return False
        return True

    def _done(self, story: Story, draft: Draft, item: Item, dose: Quantity | None = None) -> None:
        """An order is given: the same event where it is of this breath, else one of its own; with the dose now said."""
        story.orders.remove(draft)
        values = draft.values | ({"dose": dose} if dose is not None else {})
        if story.settle(draft, Status.DONE, item, "drug/ordered-and-given"):
            draft.values = values
            return
        told = {key: value if value is dose else carried(value) for key, value in values.items()}
        self.said.append(story.add(Kind.DRUG, Status.DONE, item, "drug/given", drug=draft.drug, values=told))
