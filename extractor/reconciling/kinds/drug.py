"""Drugs: ordered, given, ruled out, taken before. An order is planned until somebody says it is in."""

from collections.abc import Sequence
from itertools import pairwise, takewhile

from extractor.model import Item, Kind, Quantity, Sentence, Status
from extractor.reconciling.bare_figures import says_up
from extractor.reconciling.kinds.drug_fate import had_before, named_twice, refused_beside
from extractor.reconciling.kinds.drug_words import (
    LOCALS,
    THROUGH,
    TOPPED_UP,
    UNITS,
    all_of_them,
    applied,
    asks_whether_given,
    dose_went,
    foams,
    is_asked_for,
    is_clock,
    is_done,
    is_in,
    is_route,
    is_sum,
    is_top_up,
    is_usual,
    left_out,
    loaded,
    mark_routes,
    no_figure,
    no_more_than,
    of_device,
    of_others,
    of_several,
    of_the_drug,
    on_paper,
    one_more_dose,
    only_if,
    per_kilo,
    put_behind,
    rated,
    same_dose,
    says_given,
    says_same,
    sedated,
    shown,
    skin_cut,
    told_to_give,
    under,
    until_it_stopped,
    values_carried,
)
from extractor.reconciling.kinds.told_by_verb import being_given, gives_it
from extractor.reconciling.questions import asked_what_went, is_vital, is_yes
from extractor.reconciling.story import NO, NOT_DONE, Draft, Hearing, Story, carried
from extractor.reconciling.thousands import in_thousands
from extractor.units import VALUE_UNITS

#: An order still open after so many breaths is not what "it's in" means: common practice, no source.
_OPEN_BREATHS = 40
#: For so many sentences "no fentanyl" refuses the dose that was thought of: set by hand, no source.
_JUST_NOW = 6
#: After a dose: it is to be taken regularly or later.
_REGULAR = frozenset(
    """
    daily tonight twice once tomorrow every weekly a each nightly three milligrams mg
    """.split()
)
#: One dose more of what was given or ordered.
_MORE = frozenset(
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
_NO_REPORT = {"give", "got", "done", "used"}
#: What may stand before a dose in a sentence that puts another in the place of the one just ordered.
_LEADS = frozenset("ah oh ok okay right so then well give her him make it only just let's yes alright".split())
#: So many breaths after an order, with nothing else told since, "given" is still of it. Set by hand, no source.
_UNTIL_GIVEN = 6
#: A sentence that begins so puts right what was just ordered.
_HESITATES = {"wait", "hang", "hmm", "hm", "oh", "sorry", "only"}
#: Before a dose that is ruled out: one everybody knows, beside the one that is given.
_KNOWN_DOSE = {"the", "full", "usual", "standard", "whole"}
#: In a dictation a drug named with its dose was given.
_DICTATED = "drug/dictated"
#: With one of these a drug is for after the case: nothing said here means that it is in.
_LATER = frozenset(
    """
    tonight tomorrow daily discharge ward week weeks month months life lifelong evening twice nightly day home
    """.split()
)
#: After a figure: it is a part of a dose, or counts.
_SHARE = frozenset("for each per on at times minutes kilos years past to percent".split())


#: A question with one of these asks whether it was done.
_WHETHER = {"did", "has", "have", "is", "are", "was", "were"}
#: So many sentences behind a drug that is only named its dose may stand. Set by hand, no source.
_SOON = 3
#: For so many breaths a dose is of the drug last talked of, of which the last so many events tell. Set by hand.
_TALKED, _TALKED_OF = 4, 8
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


class Drugs(Hearing):
    """Hears drugs with doses, and "given", "in", "that's the lot in"."""

    def __init__(self) -> None:
        self.said: list[Draft] = []  # drugs of this breath
        self.breath = -1
        self.named: tuple[Item, int] | None = None  # the drug last named, and its breath
        self.asked = False  # the sentence before was a question
        self.wondered = -9  # number of the last question that names a drug
        self.put_asked = False  # or only asked whether what was ordered is in
        self.gone_in = False  # and asked whether something was given
        self.asked_before = self.alone = -9  # numbers of the last question, and of the last that only names a drug
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
        if 0 < story.sentence.breath - last.breath <= _SOON:
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
                or between & (_MORE | {"not", "later", "tomorrow"})
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
            if status is Status.PLANNED and not _LATER & set(item.cue.split()):
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
        return bool(texts & (_MORE - {"second", "again"})) and "than" not in texts

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
            if other.status is None and other.text not in _NO_REPORT and is_in(other) and not elsewhere:
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

    def _done(self, story: Story, draft: Draft, item: Item, dose: Quantity | None = None) -> None:
        """An order is given: the same event where it is of this breath, else one of its own; with the dose now said."""
        story.orders.remove(draft)
        values = draft.values | ({"dose": dose} if dose is not None else {})
        if story.settle(draft, Status.DONE, item, "drug/ordered-and-given"):
            draft.values = values
            return
        told = {key: value if value is dose else carried(value) for key, value in values.items()}
        self.said.append(story.add(Kind.DRUG, Status.DONE, item, "drug/given", drug=draft.drug, values=told))

    # --- a dose without its drug ---------------------------------------------------------------------

    def _amount(self, story: Story, item: Item, quantity: Quantity) -> bool:
        """ "five thousand is in", "four thousand then, please": a dose of the drug last named."""
        if quantity.unit not in {None, *VALUE_UNITS["dose"]} or item.no_dose or item.after == "years" or is_clock(item):
            return False
        if is_vital(story.sentence, item):
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
        if last is None or not timed or not 0 <= story.sentence.breath - last.breath <= _SOON:
            return False
        if not is_top_up(story, item, quantity) or story.sentence.question:
            return False
        went = any(is_in(other) and other.text not in _NO_REPORT for other in story.clause()) or put_behind(story, item)
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
        if story.sentence.breath - draft.breath > _SOON:
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
        then = item.before == "then" and item.after in {"", ".", ","} and bool(_LATER & story.sentence.texts)
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
        lately = last is not None and last.kind is Kind.DRUG and story.sentence.breath - last.breath <= _SOON
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
        if item.after not in {"more", "extra", "further", "again"} and not (item.before in _MORE or on_top or further):
            return False
        name, unit = self.named[0].name, self.named[0].unit
        told = any(d.drug == name and d.status is Status.DONE for d in self.said)
        given = any(is_in(other) and other.text not in _NO_REPORT for other in story.sentence.items)
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
        soon = waits or injected or story.number - self.alone <= _SOON or self._quoted(story) is not None
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
        ordered = told is not None and told.status is Status.QUOTED and reckoned
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
        if draft is None or "dose" not in draft.values or story.topic != "drug" or item.after in _MORE:
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
