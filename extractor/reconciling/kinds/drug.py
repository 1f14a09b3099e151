"""Drugs: ordered, given, ruled out, taken before. An order is planned until somebody says it is in."""

from collections.abc import Sequence
from itertools import pairwise

from extractor.model import Item, Kind, Sentence, Status
from extractor.reconciling.kinds.dose_alone import LATER, MORE, NO_REPORT, SOON, DosesAlone
from extractor.reconciling.kinds.drug_fate import had_before, named_twice, refused_beside
from extractor.reconciling.kinds.drug_words import (
    LOCALS,
    THROUGH,
    all_of_them,
    applied,
    asks_whether_given,
    foams,
    is_asked_for,
    is_done,
    is_in,
    is_route,
    is_sum,
    left_out,
    loaded,
    mark_routes,
    of_device,
    of_others,
    of_several,
    of_the_drug,
    on_paper,
    only_if,
    per_kilo,
    rated,
    same_dose,
    says_same,
    sedated,
    shown,
    skin_cut,
    told_to_give,
    under,
    values_carried,
)
from extractor.reconciling.kinds.told_by_verb import being_given, gives_it
from extractor.reconciling.questions import asked_what_went, is_yes
from extractor.reconciling.story import NO, Draft, Story
from extractor.reconciling.thousands import in_thousands

#: For so many sentences "no fentanyl" refuses the dose that was thought of: set by hand, no source.
_JUST_NOW = 6
#: So many breaths after an order, with nothing else told since, "given" is still of it. Set by hand, no source.
_UNTIL_GIVEN = 6
#: In a dictation a drug named with its dose was given.
_DICTATED = "drug/dictated"
#: A question with one of these asks whether it was done.
_WHETHER = {"did", "has", "have", "is", "are", "was", "were"}
#: An answer of no more different words, its mark among them, only says that it was done. Set by hand, no source.
_FEW = 4
#: In so many breaths a puncture follows its local anaesthetic. Set by hand, no source.
_NUMB_SOON = 2
#: Begins an answer that it was done.
_DID = {(who, did) for who in ("he", "she", "they", "you", "we", "i") for did in ("did", "had", "has", "have")}
_DID |= {("just", "now"), ("already", ",")}
#: Before what goes in: it is no drug told of here.
_ANYTHING = {"anything", "something", "nothing", "before"}
#: What was performed, where a drug was given.
_GIVEN_BY = {"administration", "infusion", "injection", "instillation", "bolus"}
#: A word alone that says that it is in, and what goes with it.
_IS_GIVEN = frozenset("put added applied made infiltrated".split())
_POLITE = frozenset("yes yeah yep okay ok it is has been doctor sir boss all that now both already".split())
#: Begins an answer that refuses what was asked about.
_REFUSALS = frozenset("no none nah nope never nowt neither".split())
_SIGHS = frozenset("jesus god well oh ah ooh hmm".split())
#: Behind it, where it is of the drug and of nothing that follows.
_REASONS = frozenset("in for with because today here we i she he it not thanks thank never since at on".split())


class Drugs(DosesAlone):
    """Hears drugs with doses, and "given", "in", "that's the lot in"."""

    def __init__(self) -> None:
        super().__init__()
        self.breath = -1
        self.wondered = -9  # number of the last question that names a drug
        self.put_asked = False  # or only asked whether what was ordered is in
        self.asked_before = -9  # number of the last question
        self.whether = -9  # number of the last question whether what it names was given
        self.listing = -9  # number of the last sentence after which what was given is listed

    def begin(self, story: Story, sentence: Sentence) -> None:
        if sentence.breath != self.breath:
            self.said, self.breath = [], sentence.breath
        for item in sentence.items:
            if "give" in item.meanings and (
                of_others(sentence, item)
                or not of_the_drug(sentence, item)
                or on_paper(sentence, item)
                or of_several(story, item)
            ):
                item.meanings = item.meanings - {"give"}
        mark_routes(sentence)
        named_twice(sentence)
        self._settle_on(sentence)
        self._agreed(story, sentence)
        self._confirmed(story, sentence)
        self._answered(story, sentence)
        self._declined(story, sentence)

    @staticmethod
    def _taken_up(story: Story) -> None:
        """ "Shall I give heparin, five thousand?" … "It's in.": what was only thought of, and nothing told since."""
        last = story.drafts[-1] if story.drafts else None
        offered = last is not None and last.kind is Kind.DRUG and last.status is Status.CONSIDERED
        if last is None or not offered or story.orders or story.mentions("drug") or "dose" not in last.values:
            return
        if 0 < story.sentence.breath - last.breath <= SOON:
            story.orders.append(last)

    def _agreed(self, story: Story, sentence: Sentence) -> None:
        """ "Shall I give fifty of fentanyl?" "Yes.": what was offered is ordered."""
        last = next((draft for draft in reversed(story.lately()[-3:]) if draft.kind is Kind.DRUG), None)
        offered = last is not None and last.status is Status.CONSIDERED and last.number == self.wondered
        if last is not None and offered and self.wondered == story.number - 1 and is_yes(sentence):
            last.status, last.rule = Status.PLANNED, "drug/agreed"
            story.orders.append(last)

    def _confirmed(self, story: Story, sentence: Sentence) -> None:
        """ "Cefazolin, two grams, did he get it?" "He did.": what was asked for is given; "When did that go?" "Just
        now.".
        """
        last = story.orders[-1] if story.orders else None
        asked = self.whether == story.number - 1 and last is not None and last.number == self.whether
        if last is None or not asked or sentence.question or not sentence.items:
            return
        if is_yes(sentence) or sentence.tokens[:2] in _DID:
            self._done(story, last, sentence.items[0])

    def _answered(self, story: Story, sentence: Sentence) -> None:
        """ "Heparin five thousand. Put?" "Put.": a word alone that says that what was ordered last is in."""
        order = self._waiting(story)
        words = {token for token in sentence.tokens if token.isalpha()} - _POLITE
        if self.asked and order is not None and order.number < story.number - 1 and not self.put_asked:
            return  # "Is the sheath put?" "Put."
        if order is not None and not sentence.question and words and words <= _IS_GIVEN and order.number < story.number:
            self._done(story, order, next(iter(sentence.items), Item("mark", sentence.words, "")))

    def _declined(self, story: Story, sentence: Sentence) -> None:
        """ "Heparin?" "Jesus, no.": a drug that was only asked about is refused."""
        if self.wondered != story.number - 1 or self.named is None or sentence.question:
            return
        drug, breath = self.named
        told = any(draft.drug == drug.name and draft.number >= self.wondered for draft in story.lately())
        if told or breath != sentence.breath or story.mentions("drug", "quantity", "pair"):
            return
        words = [token for token in sentence.tokens if token != ","]
        words = words[1:] if words[:1] and words[0] in _SIGHS else words
        reasoned = len(words) > 1 and (not words[1].isalpha() or words[1] in _REASONS)
        if (reasoned and words[0] in _REFUSALS) or sentence.tokens[-3:-1] == ("so", "no"):
            item = next(iter(sentence.items), Item("mark", sentence.words, ""))
            values = dict(drug.figures)
            self.said.append(story.add(Kind.DRUG, Status.NEGATED, item, "drug/declined", drug=drug.name, values=values))

    def _numbed(self, story: Story) -> None:
        """ "Local, ten mils. Needle… and I'm in the artery.", "Lidocaine, twelve. Cutting.": nobody punctures or cuts
        before the skin is numb.
        """
        last = story.drafts[-1] if story.drafts else None
        if last is None or not story.orders:
            return
        punctured = last.kind is Kind.ACCESS and last.status is Status.DONE
        if not punctured and not skin_cut(story.sentence):
            return
        number, breath = (last.number, last.breath) if punctured else (story.number - 1, story.sentence.breath)
        for order in [each for each in story.orders if each.drug in LOCALS and "dose" in each.values]:
            if order.number <= number and breath - order.breath <= _NUMB_SOON:
                story.orders.remove(order)
                order.status, order.rule = Status.DONE, "drug/then-punctured"

    def end(self, story: Story, sentence: Sentence) -> None:
        self.whether = story.number if asks_whether_given(sentence) else self.whether
        self._numbed(story)
        self.asked_before = story.number if sentence.question else self.asked_before
        self.asked = sentence.question
        self.wondered = story.number if sentence.question and story.mentions("drug") else self.wondered
        whether = bool(sentence.texts & _WHETHER) or len(sentence.texts) <= _FEW
        words = {token for token in sentence.tokens if token.isalpha()}
        self.put_asked = sentence.question and (words <= _IS_GIVEN | _POLITE or bool(story.mentions("drug")))
        self.gone_in = sentence.question and story.says("give", "gave", "go") and whether
        named = [item for item in sentence.items if item.kind not in {"mark", "pronoun", "phrase"}]
        if not sentence.question and len(named) == 1 and named[0].kind == "drug" and len(sentence.texts) <= _FEW:
            self.alone = story.number  # "GTN." "Two hundred."
        self.listing = story.number if self._asks_for_list(story, sentence) else self.listing
        self._doubt_order(story, sentence)
        if any(item.kind == "drug" for item in sentence.items) and self._by_route(sentence.items):
            story.topic = "drug"

    @staticmethod
    def _settle_on(sentence: Sentence) -> None:
        """ "ceftriaxone, one gram, no, she's a big lady, so two grams of ceftriaxone": the dose told last."""
        drugs = [item for item in sentence.items if item.kind == "drug"]
        for one, other in pairwise(drugs):
            between = {*sentence.tokens[one.span[1] : other.span[0]]}
            dosed = "dose" in one.figures and "dose" in other.figures
            if (
                not dosed
                or one.name != other.name
                or not between & NO
                or between & (MORE | {"not", "later", "tomorrow"})
            ):
                continue
            dose = one.figures["dose"]
            other.figures["dose"] = other.figures["dose"].flagged("corrected", alternatives=(dose.value,))
            sentence.items.remove(one)

    def _asks_for_list(self, story: Story, sentence: Sentence) -> bool:
        """ "What has she had so far?", "Antibiotics?" "Had them.": what follows was given."""
        if any(item.kind in {"drug", "device", "quantity", "pair", "finding"} for item in sentence.items):
            return False
        had = any(item.kind == "action" and item.meanings & {"give", "gave"} for item in sentence.items)
        listed = "what" in sentence.texts and bool(sentence.texts & _WHETHER | sentence.texts & {"'s", "been"})
        answers = (
            self.asked_before == story.number - 1
            and len(sentence.texts) <= _FEW
            and Status.NEGATED not in sentence.cues
        )
        return had and (listed or answers)

    def hear(self, story: Story, item: Item) -> bool:
        if item.kind == "drug":
            self._named(story, item)
            return True
        if item.kind == "phrase" and item.name == "refused":
            return self._refused(story, item)
        if item.kind == "action" and ("give" in item.meanings or gives_it(story.sentence.tokens)):
            return self._given(story, item)
        if item.kind == "action" and item.text == "same again" and self._same_again(story, item):
            return True
        if item.kind == "action" and "again" in item.meanings:
            return all(other.kind != "quantity" for other in story.clause()) and self._other_side(story, item, None)
        if item.kind == "quantity":
            return self._amount(story, item, item.figures["value"])
        return item.kind == "denied" and self._not_given(story, item, item.figures["value"])

    def _same_again(self, story: Story, item: Item) -> bool:
        """ "Still pain?" "Still." "Same again.": the dose given last, once more."""
        last = story.drafts[-1] if story.drafts else None
        given = last is not None and last.kind is Kind.DRUG and last.status is Status.DONE and "dose" in last.values
        if last is None or not given or story.topic != "drug" or len(story.sentence.texts) > _FEW:
            return False
        draft = story.add(Kind.DRUG, Status.PLANNED, item, "drug/again", drug=last.drug, values=values_carried(last))
        story.orders.append(draft)
        self.said.append(draft)
        return True

    def _doubt_order(self, story: Story, sentence: Sentence) -> None:
        """A figure that found no place between an order and its "it's in" may be the dose that is really given."""
        order = self._waiting(story)
        if order is None or order.number == story.number or story.mentions("device", "pair", "finding"):
            return
        for item in sentence.items:
            if item.kind == "quantity" and not item.used and self._rivals(story, item, order):
                dose = order.values["dose"]
                figure = in_thousands(item.figures["value"], dose).value
                order.values["dose"] = dose.flagged("conflict", alternatives=(*dose.alternatives, figure))

    # --- a drug is named ----------------------------------------------------------------------------

    def _named(self, story: Story, item: Item) -> None:
        if foams(story.sentence, item):
            return  # "polidocanol, three percent, as foam"
        story.topic = "drug"
        self.named = item, story.sentence.breath
        values = dict(item.figures)
        if item.status in {None, Status.PLANNED} and only_if(story, item):
            item.status = Status.CONSIDERED
        if item.status in {None, Status.PLANNED} and had_before(story):
            item.status = Status.PAST
        if item.status in {None, Status.PLANNED} and refused_beside(story, item):
            item.status = Status.NEGATED
        if item.status in {None, Status.PLANNED} and (fate := left_out(story, item)) is not None:
            item.status = fate
        order = self._order(story, item)
        if item.status is Status.NEGATED:
            self._ruled_out(story, item, order)
        elif item.status in {Status.PAST, Status.QUOTED, Status.CONSIDERED}:
            self.said.append(
                story.add(Kind.DRUG, item.status, item, f"drug/{item.status}", drug=item.name, values=values)
            )
        elif item.status is None and (self._reported(story) or (order is not None and is_done(story))):
            self._told(story, item, order, "drug/given")
        elif item.status is None and story.dictated and item.figures:
            self._told(story, item, order, _DICTATED)
        elif self._read_back(story, item, order):
            return
        elif (
            item.status
            or values
            or told_to_give(story)
            or self._once_more(story, item)
            or rated(story)
            or says_same(story)
        ):
            if "dose" not in values and says_same(story) and (last := self._last(story, item.name)):
                values = values_carried(last)
            kilo = not values and item.status is None and per_kilo(story)
            status, rule = (Status.QUOTED, "drug/quoted") if kilo else (Status.PLANNED, "drug/ordered")
            draft = story.add(Kind.DRUG, status, item, rule, drug=item.name, values=values)
            self.said.append(draft)
            if status is Status.PLANNED and not LATER & set(item.cue.split()):
                story.orders.append(draft)

    def _is_meant(self, story: Story, item: Item) -> bool:
        """Whether a drug with nothing told of it is to be given: said so, one dose more, the same, or a rate."""
        return told_to_give(story) or self._once_more(story, item) or rated(story) or says_same(story)

    def _order(self, story: Story, item: Item) -> Draft | None:
        """The open order a drug named again is of: the one with its dose, else the last."""
        orders = [draft for draft in reversed(story.orders) if draft.drug == item.name]
        return next((draft for draft in orders if same_dose(draft, item.figures)), next(iter(orders), None))

    def _last(self, story: Story, name: str) -> Draft | None:
        return next((d for d in reversed(story.lately()) if d.drug == name and "dose" in d.values), None)

    def _ruled_out(self, story: Story, item: Item, order: Draft | None) -> None:
        """ "Protamine, thirty? No, no protamine": what was thought of in this breath is what is ruled out."""
        open_here = {Status.PLANNED, Status.CONSIDERED}
        same = next((d for d in reversed(self.said) if d.drug == item.name and d.status in open_here), None)
        if same is not None and not item.figures:
            story.rule_out(same, item, "called-off")
            return
        if item.cue.split()[:1] in (["strike"], ["delete"], ["scratch"]) and order is None:
            done = next((d for d in reversed(story.lately()) if d.drug == item.name and d.status is Status.DONE), None)
            if done is not None:  # "strike the heparin, she never had it"
                done.flags.add("conflict")
                story.rule_out(done, item, "taken-back")
                return
        more = item.cue in {"no more", "no further"}
        meant = order or self._thought_of(story, item)
        values = dict(item.figures) or (values_carried(meant) if meant is not None and not more else {})
        said = next((draft for draft in reversed(story.lately()[-3:]) if draft.drug == item.name), None)
        if not values and said is not None and said.status is Status.NEGATED and not said.values:
            said.reach(item.words)  # "she doesn't need heparin … okay, no heparin"
            return
        self.said.append(story.add(Kind.DRUG, Status.NEGATED, item, "drug/ruled-out", drug=item.name, values=values))

    def _thought_of(self, story: Story, item: Item) -> Draft | None:
        """The dose of a drug last spoken of, where it was only thought of: "that heparin", or a moment ago."""
        last = self._last(story, item.name)
        near = last is not None and (item.definite or story.number - last.number <= _JUST_NOW)
        return last if near and last is not None and last.status is Status.CONSIDERED else None

    def _told(self, story: Story, item: Item, order: Draft | None, rule: str) -> None:
        """ "heparin's in": what was ordered is given; told again in its breath it adds nothing."""
        values = dict(item.figures)
        given = next((d for d in self.said if d.drug == item.name and d.status is Status.DONE), None)
        if values and is_sum(story) and self._given_before(story, item.name) and not self._in_parts(story, item):
            return
        if order is not None and given is not None and "dose" not in given.values:
            story.orders.remove(order)  # "the fentanyl may go in now. Fifty of fentanyl given.": told twice
            given.values = values or values_carried(order)
            given.reach(item.words)
            return
        if order is not None:
            story.orders.remove(order)
            draft = story.settle(order, Status.DONE, item, "drug/ordered-and-given")
            if draft is None:
                values = values or values_carried(order)
                draft = story.add(Kind.DRUG, Status.DONE, item, rule, drug=item.name, values=values)
            draft.values |= item.figures
        elif given is not None and not self._another(story, given, item):
            given.values = values | given.values
            given.reach(item.words)
            return
        elif not values and not rated(story) and self._given_before(story, item.name):
            return
        else:
            draft = story.add(Kind.DRUG, Status.DONE, item, rule, drug=item.name, values=values)
        self.said.append(draft)

    def _in_parts(self, story: Story, item: Item) -> bool:
        """Whether the doses told so far do not add up to the sum now told: it is kept, and marked."""
        told = [
            d.values["dose"] for d in story.lately() if d.drug == item.name and d.status is Status.DONE and d.values
        ]
        dose = item.figures["dose"]
        return abs(sum(value.value for value in told) - dose.value) > 1e-9

    def _given_before(self, story: Story, name: str) -> bool:
        return any(draft.drug == name and draft.status is Status.DONE for draft in story.lately())

    def _read_back(self, story: Story, item: Item, order: Draft | None) -> bool:
        """The same drug and dose again, by the same voice or another's: one order."""
        same = next((d for d in reversed(self.said) if d.drug == item.name and d.status is not Status.NEGATED), None)
        if same is None and order is not None and story.sentence.breath - order.breath <= 1 and "dose" in item.figures:
            same = order
        if same is None or same.status in {Status.PAST, Status.QUOTED} or self._another(story, same, item):
            return False
        if item.figures and same.values and not same_dose(same, item.figures):
            return False
        same.values = item.figures | same.values
        same.reach(item.words)
        return True

    def _another(self, story: Story, told: Draft, item: Item) -> bool:
        """Whether a drug named again is a second dose: "five thousand in, another two thousand given"."""
        dose, known = item.figures.get("dose"), told.values.get("dose")
        if dose is None:
            return self._once_more(story, item) and told.words[1] <= story.sentence.words[0]
        if known is None:
            return False
        earlier = told.words[1] <= story.sentence.words[0]
        return (dose.value != known.value and "corrected" not in dose.flags) or (
            earlier and self._once_more(story, item)
        )

    def _once_more(self, story: Story, item: Item) -> bool:
        texts = story.sentence.texts
        return bool(texts & (MORE - {"second", "again"})) and "than" not in texts

    def _reported(self, story: Story) -> bool:
        """Whether the sentence says the drug is in: "heparin's in", "was given", "I gave", "that's ten of it into the
        skin"."""
        if is_asked_for(story.sentence):
            return False
        before: Item | None = None
        for other in story.ahead():
            joined = any(o.kind == "mark" and o.text == "and" for o in story.ahead()) or all_of_them(story.sentence)
            if other.kind == "drug" and not joined:
                break
            elsewhere = loaded(story, other) or (other.text in THROUGH and bool(story.mentions("device")))
            if other.status is None and other.text not in NO_REPORT and is_in(other) and not elsewhere:
                return True
            if other.kind == "device" and not is_route(before, other):
                break
            before = other
        if story.number - self.listing == 1 and not story.sentence.question:
            return True
        if shown(story) or applied(story, story.sentence.items[story.index]) or asked_what_went(story.sentence):
            return True
        if being_given(story.sentence) or (self.gone_in and (is_yes(story.sentence) or "yes" in story.sentence.texts)):
            return True
        tokens = story.sentence.tokens
        answered = tokens[0] in _WHETHER and story.says("give") and not story.sentence.question
        if answered and story.sentence.items[story.index].figures:
            return True  # "Did you give the heparin? Five thousand, just now."
        if story.sentence.items[story.index].text.startswith(("heparinised", "heparinized")):
            return True
        if under(story, story.sentence.items[story.index]) or sedated(story.sentence):
            return True
        used = any(who in {"i", "we"} and does == "used" for who, does in pairwise(story.sentence.tokens))
        if used and story.sentence.items[story.index].figures and not story.sentence.question:
            return True
        if story.says("performed") and story.sentence.texts & _GIVEN_BY:
            return True
        for other in story.behind():
            if other.kind == "action" and "gave" in other.meanings:
                led = {*story.sentence.tokens[max(0, other.span[0] - 2) : other.span[0]]}
                return other.text != "got" or bool(led & {"she", "he", "they", "patient"})
            if other.kind == "device" or (other.kind == "drug" and not self._listed(story, other)):
                break
        return False

    @staticmethod
    def _listed(story: Story, before: Item) -> bool:
        """ "she's had two of midazolam, fifty of fentanyl": one more of the same list."""
        item = story.sentence.items[story.index]
        between = (other for other in story.sentence.items if before.span[0] < other.span[0] < item.span[0])
        return all(other.kind in {"mark", "quantity"} and other.text not in {"...", "but", "-"} for other in between)

    # --- given, refused -----------------------------------------------------------------------------

    def _refused(self, story: Story, item: Item) -> bool:
        """ "alteplase, five milligrams, I had in mind, no need": what was just named is not given."""
        draft = next((d for d in reversed(story.lately()) if d.kind is Kind.DRUG), None)
        if self._only_named(story):
            return self._refused_named(story, item)
        if self._only_asked(story):
            assert self.named is not None
            values = dict(self.named[0].figures)
            self.said.append(
                story.add(Kind.DRUG, Status.NEGATED, item, "drug/ruled-out", drug=self.named[0].name, values=values)
            )
            return True
        if story.topic != "drug" or draft is None or draft.breath != story.sentence.breath:
            return False
        if draft.status not in {Status.PLANNED, Status.CONSIDERED} and draft.rule != _DICTATED:
            return False
        if "again" in story.sentence.texts and draft.status is Status.PLANNED and draft.number < story.number:
            draft.status, draft.rule = Status.PAST, "drug/past"  # "a gram on the ward… we're not giving that again"
            if draft in story.orders:
                story.orders.remove(draft)
            more = story.add(
                Kind.DRUG, Status.NEGATED, item, "drug/not-again", drug=draft.drug, values=values_carried(draft)
            )
            self.said.append(more)
            return True
        story.rule_out(draft, item, "called-off")
        return True

    def _only_named(self, story: Story) -> bool:
        """Whether a drug was named in this sentence and nothing told of it yet."""
        named = next((other for other in story.behind() if other.kind in {"drug", "device"}), None)
        told = named is not None and any(draft.drug == named.name for draft in self.said)
        return named is not None and named.kind == "drug" and not told and not story.sentence.question

    def _only_asked(self, story: Story) -> bool:
        """ "Heparin? He bled on Friday, we're not giving any.": a drug named just before, of which nothing is told."""
        here = self.named is not None and (self.named[1] == story.sentence.breath or self.wondered == story.number - 1)
        if story.topic != "drug" or self.named is None or not here:
            return False
        told = any(draft.drug == self.named[0].name for draft in self.said)
        return not told and not any(other.kind in {"device", "drug", "finding"} for other in story.clause())

    def _refused_named(self, story: Story, item: Item) -> bool:
        """ "protamine I considered, and we are not giving it": what was only named is not given."""
        named = next(other for other in story.behind() if other.kind == "drug")
        values = dict(named.figures)
        self.said.append(story.add(Kind.DRUG, Status.NEGATED, item, "drug/ruled-out", drug=named.name, values=values))
        return True

    def _given(self, story: Story, item: Item) -> bool:
        """ "that's in", "given, sir": the orders still open in this breath, or the one before."""
        self._taken_up(story)
        if item.status in {Status.NEGATED, Status.CONSIDERED, Status.PAST} or not story.orders:
            return False
        if story.topic != "drug" and not self._by_route(story.sentence.items[: story.index]):
            return False
        if is_asked_for(story.sentence) or of_device(story) or loaded(story, item):
            return False
        if not {*story.sentence.tokens[max(0, item.span[0] - 3) : item.span[0]]}.isdisjoint(_ANYTHING):
            return False  # "before anything pricey goes in"
        alone = all(other is item or other.kind == "pronoun" for other in story.clause())
        done = item.text.endswith("done") and (len(story.sentence.texts) <= 8 or alone)
        own = item.text.startswith("give ") and being_given(story.sentence)  # "I give it myself"
        told = is_in(item) and item.text not in {"give", "got", "used", "had"}
        if not (told or own) or (item.text.endswith("done") and not done):
            return False
        every = any(
            other.kind == "pronoun" and other.name in {"both", "lot", "they", "them"} for other in story.sentence.items
        )
        fresh = [draft for draft in story.orders if draft in self.said]
        if self._speaks_of_given(story) and not (every and fresh):
            return True
        if not fresh:
            fresh = [draft for draft in story.orders if story.sentence.breath - draft.breath <= 2]
        if not fresh and story.orders and story.orders[-1] is story.drafts[-1]:
            last = story.orders[-1]
            fresh = [last] if story.sentence.breath - last.breath <= _UNTIL_GIVEN else []
        for draft in fresh if every or len({d.breath for d in fresh}) == 1 else fresh[-1:]:
            self._done(story, draft, item)
        return bool(fresh)

    def _by_route(self, items: Sequence[Item]) -> bool:
        """ "nimodipine, slowly in the sheath... all in": the devices named since the drug are its way in."""
        drug = next((place for place in range(len(items) - 1, -1, -1) if items[place].kind == "drug"), None)
        return drug is not None and all(
            other.kind != "device" or is_route(before, other)
            for before, other in zip(items[drug:], items[drug + 1 :], strict=False)
        )

    def _speaks_of_given(self, story: Story) -> bool:
        """ "nine mils of lidocaine, that's in": said of a drug of this sentence that is told already."""
        named = next((other for other in story.behind() if other.kind in {"drug", "device"}), None)
        return (
            named is not None
            and named.kind == "drug"
            and not any(draft.drug == named.name for draft in story.orders if draft in self.said)
            and any(draft.drug == named.name and draft.status is Status.DONE for draft in self.said)
        )
