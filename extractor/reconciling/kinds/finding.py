"""What imaging or the field shows, with its measures; ruled out where the talk says so."""

from collections.abc import Iterable, Iterator, Sequence
from itertools import takewhile

from extractor.model import Item, Kind, Quantity, Sentence, Status
from extractor.reconciling.kinds.measure_words import OF_VESSEL
from extractor.reconciling.kinds.other_shares import of_other_things
from extractor.reconciling.marks import MARKS
from extractor.reconciling.questions import asks_from, is_yes
from extractor.reconciling.story import PLACING, Draft, Hearing, Story

_ASKING = frozenset(
    """
    is any are do does did was were has have can could where where's what should which isn't
    """.split()
)
#: At the end of a question these only ask for a nod: what was said before them is told.
_TAGS = frozenset(
    """
    isn't right correct eh yes no innit okay ok huh agreed isnt aren't hasn't doesn't
    """.split()
)
#: With one of these a share is what is left of a stenosis, whether or not a picture was told of.
_REMAINS = {"residual", "remaining"}
#: Findings whose size is a width, those whose size is a length, and those that narrow a vessel by a share.
SWELLINGS = {"pseudoaneurysm", "aneurysm", "haematoma"}
LESIONS = {"stenosis", "occlusion", "dissection", "thrombus", "embolus"}
#: Of these a size told right beside is how long they are.
_HOLES = {"perforation", "extravasation"}
#: A collateral is no wider, mm; a share of what sprang back no smaller, percent: set by hand, no source.
_WIDEST_COLLATERAL, _LEAST_RECOIL = 10, 20
#: A lesion measured after it was told is at least so long: a vessel is hardly wider; set by hand, no source.
_LEAST_LONG_MM = 40
#: For so many breaths a lesion may get its length; set by hand, no source.
_SOON = 2
#: For so many sentences a question is answered; set by hand, no source.
_DOUBTED = 3
_NARROW = {"stenosis", "recoil", "occlusion"}
#: Said of a vessel as it is, these are told even where they are named in passing: "off the collaterals".
_STATES = {"collaterals", "calcification", "run-off"}
_BESIDE = PLACING | set("at in of off near with after before despite by from against because since".split())
#: "The dissection" after one of these is reported; after any other word it is where something is, or what is treated.
_SEEN = frozenset(
    """
    see saw seen seeing show shows showed shown showing demonstrates demonstrated demonstrating is was are were has
    have had got find found notice noted note now and there here still also again with 's revealed reveals yet but then
    """.split()
)
#: With one of these a known finding is reported anew.
_ANEW = {"there", "here", "still", "remains", "remain", "persists", "persisted", "persistent"}
#: Words that judge how tight a stenosis is, and what may stand with them.
_JUDGES = frozenset(
    "call say make estimate put reckon guess think judge rate is 's looks around about roughly nearly almost".split()
)
_JUDGING = _JUDGES | set(
    """
    i we you one d 'd i'd would could it at to as about around roughly maybe perhaps well a good nearly almost the
    origin of that this in my eye by there here please , ... - and so
    """.split()
)
#: Said of a waist: it opens.
_YIELDS = frozenset(
    """
    pop pops popped popping gave gives giving give went goes gone yielded yields yielding opened opens opening broke
    breaks cracked cracks disappears disappeared disappearing snapped snaps away flat let vanished
    """.split()
)
#: A place in a finding, or what is made of it: "the cap of occlusion", "full of clot".
_PARTS = frozenset(
    """
    cap stump beak end edge top bottom middle mouth start tail neck face site
    centre center meniscus full
    """.split()
)
#: What may be full of clot, where no lexicon has it as a place.
_FILLED = frozenset(
    "femoral iliac popliteal graft fistula loop vein artery vessel cava lumen limb portal stent".split()
)
#: Before "to": something goes there.
_UP_TO = {"up", "down", "back", "on", "over", "across", "forward", "forwards"}
_KNOWN = {"that", "this", "these", "those", "the", "our", "his", "her"}
#: Another part than what is measured across.
_APART = frozenset("neck necks stalk tract entry".split())
#: Right behind a share that sprang back.
_BEHIND_RECOIL = {"on", "there", "again", "now", "at", "in", "left", "and", "so"}
#: Between a finding and how long or wide it is.
_RIGHT_BESIDE = {"of", ",", "is", "'s", "was", "a", "about"}
_TIMES = {"weeks", "days", "months", "years", "times", "kilos", "week", "hours"}
_IS = {"is", "'s", "was", "like", "about", "around", "maybe", "nearly", "almost"}
#: After a finding: what something is for or how it is scored ("a clot retrieval balloon", "calcium arc").
_USES = frozenset(
    "retrieval retriever aspiration extraction removal catcher protection score scoring arc modification".split()
)
#: A share in percent told alone is no smaller, but for what remains: less is how strong a solution is. By hand, no
#: source.
_LEAST_SHARE = 5
#: The rule that reads such a share.
_ALONE = "finding/share-alone"
#: Nor greater, where nothing else is said in this breath: more may be how well the blood is oxygenated.
_MOST_ALONE = 80
#: No occlusion is told to be longer in centimetres; a question of so many words asks for one thing: set by hand.
_MOST_CM, _SHORT_QUESTION = 40, 7
_IN_MM = {"mm": 1, "cm": 10}
_VESSELS = {"vessel", "vessels"}
_MEASURING_IT = {"measuring", "measures"}
_MEASURING = {"measures", "measured", "measuring", "to", "with", "by", "has", "had"}
_SITES = {"place", "side", "part"}
#: After a figure that ends what is told.
_ENDS_TELLING = {"", ".", ",", ";", "and", "wide", "across", "now"}
#: An aneurysm told without its unit is so wide, mm, and so many words stand before its figure: set by hand, no source.
_NARROWEST, _WIDEST, _FEW = 4, 120, 5
#: In mid-sentence a larger figure may be how old somebody is; and with these it is of a person. Set by hand, no source.
_AGE = 35
_OF_A_PERSON = frozenset(
    """
    she he man woman patient lady gentleman girl boy case next smoker diabetic years year room bed grade scale score
    risk type
    """.split()
)
#: A length without its unit that is at least this is in millimetres: set by hand, no source.
_LEAST_BARE_MM = 10


#: How a finding told before has become, and what may stand before that.
_BECOME = frozenset("better less lesser smaller fading unchanged improving improved settling shrinking fainter".split())
_HAS_BECOME = frozenset("'s is are was has have much now already a bit little looks also getting gets the".split())


class Findings(Hearing):
    """Hears findings and the percentages and lengths said of them."""

    def __init__(self) -> None:
        self.here: list[Draft] = []  # findings of this sentence
        self.known: tuple[Item, Draft] | None = None  # one of before, named again in this sentence
        self.last: Draft | None = None
        self.renewed = -9  # the breath in which one told before was named again with its length
        self.long_asked = -9  # number of the last sentence that asked how long the finding told last is
        self.asked: list[Draft] = []  # findings of a question, until it is answered
        self.doubted: list[Draft] = []  # those that the last question told all the same
        self.breath = -9  # the one of the sentence before
        self.question: frozenset[str] = frozenset()  # the words of the sentence before, if it asked

    def begin(self, story: Story, sentence: Sentence) -> None:
        self.here, self.known = [], None
        asked, self.asked = self.asked, []
        shared = any(item.kind == "quantity" and item.figures["value"].unit == "%" for item in sentence.items)
        named = any(draft.finding in _NARROW and draft.rule != _ALONE for draft in asked)
        answered = shared and named  # "Is there any left? Fifteen percent."
        if asked and (is_yes(sentence) or answered):
            story.drafts += asked
            self.last = asked[-1]

    def hear(self, story: Story, item: Item) -> bool:
        if item.kind == "finding":
            self._named(story, item)
            return True
        if item.kind == "quantity":
            return self._measure(story, item)
        return False

    def end(self, story: Story, sentence: Sentence) -> None:
        """A finding that is only asked about is told by the answer, if at all."""
        self.breath = sentence.breath
        self.question = sentence.texts if sentence.question else frozenset()
        if not sentence.question:
            return
        self.doubted = self.here
        if {"how", "long"} <= sentence.texts and sentence.texts & {"it", "that", "this", "occlusion", "clot", "?"}:
            lesion = self.last is not None and sentence.breath - self.last.breath <= _SOON
            self.long_asked = story.number if lesion and len(sentence.texts) <= _SHORT_QUESTION else -9
        asks = sentence.first in _ASKING or "any" in sentence.texts or len(sentence.texts) <= 6
        if (not asks and not _hesitates(sentence)) or self._pointed_at(sentence):
            return
        first = sentence.words[0] if sentence.first in _ASKING or "any" in sentence.texts else asks_from(sentence)
        told = [draft for draft in dict.fromkeys(self.here) if draft.words[1] > first]  # one may be named twice
        self.asked = [draft for draft in told if draft.status is Status.DONE and draft in story.lately()]
        for draft in self.asked:
            story.forget(draft)
        self.doubted = [draft for draft in self.here if draft not in self.asked]

    def _pointed_at(self, sentence: Sentence) -> bool:
        """ "You see these collaterals?", "see that waist?": it is there, the question asks for eyes."""
        seen = set(sentence.tokens[:2]) & {"see", "seeing", "notice"} and sentence.first not in _ASKING
        return bool(seen) and any(item.kind == "finding" and item.definite for item in sentence.items)

    # --- naming -------------------------------------------------------------------------------------

    def _named(self, story: Story, item: Item) -> None:
        status = item.status if item.status not in {None, Status.PLANNED} else Status.DONE
        if status is Status.PAST and "echo" in item.cue and story.sentence.texts >= {"i", "see"}:
            status = Status.DONE  # the probe is on now
        if status is Status.DONE and (none := _none_of_it(story)) is not None:
            status, none.used = Status.NEGATED, True
        measures = list(self._before(story, item.name))
        if status is Status.DONE and self._told_before(story, item, measures):
            return
        if status is Status.DONE and self._referred(story, item, measures):
            return
        if item.name == "waist" and (self._gone(story, status) or _yields(story, item)):
            return
        place, side = _site(story)
        same = self._same(story, item, status, place, side)
        if status is Status.NEGATED and (doubted := self._taken_back(story, item)):
            story.rule_out(doubted, item, "taken-back")
            same = doubted
        if same is None or (measures and status is Status.DONE):
            rule = f"finding/{'seen' if status is Status.DONE else status}"
            same = story.add(Kind.FINDING, status, item, rule, finding=item.name)
            same.place, same.side = place or same.place, side or same.side
        same.reach(item.words)
        for figure, key in measures:
            self._take(story, same, figure, key)
        self.here.append(same)
        self.last = same

    @staticmethod
    def _told_before(story: Story, item: Item, measures: Sequence[tuple[Item, str]]) -> bool:
        """ "the thirty percent stenosis I left alone": one told before, by its measure."""
        first = min((figure.span[0] for figure, _ in measures), default=0)
        if not first or story.sentence.tokens[first - 1] not in {"the", "that"}:
            return False
        known = [d for d in story.lately() if d.finding == item.name and d.status in {Status.DONE, Status.PAST}]
        told = any(_tells(draft, figure.figures["value"]) for draft in known for figure, _ in measures)
        for figure, _ in measures if told else ():
            figure.used = True
        return told

    def _gone(self, story: Story, status: Status) -> bool:
        """Whether a waist that is not there was told before: it has opened, and nothing is ruled out."""
        told = (draft.finding == "waist" and draft.status is Status.DONE for draft in story.lately())
        return status is not Status.DONE and (status is not Status.NEGATED or any(told))

    def _same(self, story: Story, item: Item, status: Status, place: str | None, side: str | None) -> Draft | None:
        """The finding of this breath that is named again: of one name and status, at no other place."""
        for draft in reversed(story.lately()):
            if draft.breath != story.sentence.breath:
                return None
            if draft.kind in {Kind.INFLATION, Kind.STENT} and draft.status is Status.DONE and item.name == "stenosis":
                return None  # what is left of it once it was treated
            if (
                draft.kind is Kind.FINDING
                and draft.finding == item.name
                and draft.status is status
                and not _differ(place, draft.place)
                and not _differ(side, draft.side)
            ):
                return draft
        return None

    def _taken_back(self, story: Story, item: Item) -> Draft | None:
        """ "pseudoaneurysm... no, gone, no pseudoaneurysm", "A clot in the trunk, you say? … I see no clot.": what was
        named first is what is ruled out.
        """
        place, side = _site(story)
        asked = [
            draft
            for draft in self.doubted
            if story.number - draft.number <= _DOUBTED
            and not _differ(place, draft.place)
            and not _differ(side, draft.side)
        ]
        return next(
            (
                draft
                for draft in (*self.here, *asked)
                if draft.finding == item.name and draft.status is Status.DONE and not draft.values
            ),
            None,
        )

    def _referred(self, story: Story, item: Item, measures: Iterable[tuple[Item, str]]) -> bool:
        """ "through the occlusion", "the flap": spoken of as something known, not reported."""
        if story.sentence.tokens[item.span[1] : item.span[1] + 1] and story.sentence.tokens[item.span[1]] in _USES:
            return True
        before = story.before()
        within = (
            before is not None and before.kind == "pronoun" and before.span[1] == item.span[0]
        )  # "inside it thrombus"
        passing = (item.where in PLACING or _aimed_at(story.sentence.tokens, item)) and not _fills(story, item)
        if passing and not within and not (item.name == "run-off" and story.sentence.texts & _VESSELS):
            return not any(measures)
        if not any(measures) and "still" not in story.sentence.texts and _changed(story.sentence.tokens, item):
            return any(draft.finding == item.name and draft.status is Status.DONE for draft in story.lately())
        if not item.definite or story.sentence.texts & _ANEW:
            return False
        known = [draft for draft in story.lately() if draft.finding == item.name and draft.status is Status.DONE]
        self.known = (item, known[-1]) if known else None
        figures = [figure.figures["value"] for figure, _ in (*measures, *self._ahead(story, item.name))]
        if figures:
            if known and self._lengthened(story, known[-1], figures):
                return True
            told = any(_tells(draft, figure) for draft in known for figure in figures)
            return told or (item.name == "stenosis" and story.says("measure"))
        reported = _SEEN | _BESIDE if item.name in _STATES else _SEEN
        return bool(known) or (item.where != "" and item.where not in reported)

    def _lengthened(self, story: Story, known: Draft, figures: Sequence[Quantity]) -> bool:
        """ "And the length of the occlusion is thirty-five millimetres": of the one told just before without it."""
        lengths = all(figure.unit in {"mm", "cm"} for figure in figures) and known.finding in LESIONS
        if not lengths or "length" in known.values or story.sentence.breath - known.breath > _SOON:
            return False
        self.here.append(known)
        self.last, self.renewed = known, story.sentence.breath
        return True

    # --- measures -----------------------------------------------------------------------------------

    def _before(self, story: Story, name: str) -> Iterator[tuple[Item, str]]:
        """Measures said right before it: "a seventy-five percent, four centimetre mid SFA stenosis". A share told
        before the place of an occlusion is of another: "the right is seventy percent, the left is occluded".
        """
        sited = False
        for other in story.behind():
            sited = sited or other.kind in _SITES
            if sited and name == "occlusion" and other.kind == "quantity" and other.figures["value"].unit == "%":
                return
            if _between(other) and (other.kind != "mark" or other.text in {",", "..."}):
                continue
            share = other.kind == "quantity" and name in _NARROW and _says_share(other)
            if share and not other.used and other.after == ",":  # "it is twenty-five, the stenosis"
                other.figures["value"] = other.figures["value"].flagged("unit-assumed", unit="%")
            if other.kind != "quantity" or other.used or (key := _key(name, other)) is None:
                return
            yield other, key

    def _ahead(self, story: Story, name: str) -> Iterator[tuple[Item, str]]:
        """Measures said after it, before anything else is named."""
        for other in story.ahead():
            if other.kind in {"device", "drug", "finding", "pair"}:
                return
            if other.kind != "quantity":
                continue
            if key := _key(name, other):
                yield other, key
            elif name in _NARROW and _says_share(other):
                yield other, "stenosis"
                return

    def _measure(self, story: Story, item: Item) -> bool:
        """Measures said of a finding, in its sentence or right after it."""
        if self._finding_follows(story, item):
            return False
        quantity = item.figures["value"]
        if quantity.unit == "mL" and item.role in {"wide", "long"} and "mil" in quantity.heard.split():
            item.figures["value"] = quantity = quantity.flagged("unit-guessed", unit="mm")  # "thirty-one mil across"
        if quantity.unit is None and self._right_after(story, item) and 10 <= quantity.value <= 100:
            item.figures["value"] = quantity = quantity.flagged("unit-assumed", unit="%")
        last = self.here[-1] if self.here else None
        swollen = last is not None and last.finding in SWELLINGS and "diameter" not in last.values
        swollen = swollen and item.role == "wide"
        if quantity.unit is None and swollen:  # "a pseudoaneurysm, I make it sixteen across"
            item.figures["value"] = quantity = quantity.flagged("unit-assumed", unit="mm")
        if last is not None and quantity.unit in {None, "mL"} and _so_wide(story, item, last):
            flag = "unit-guessed" if quantity.unit else "unit-assumed"
            item.figures["value"] = quantity = quantity.flagged(flag, unit="mm")
        if last is not None and quantity.unit is None and _so_long(story, item, last):
            item.figures["value"] = quantity = quantity.in_unit("mm")  # "seventy percent, fifteen long"
        if quantity.unit is None and self._of_aneurysm(story, item):
            item.figures["value"] = quantity = quantity.flagged("unit-guessed", unit="cm")
        for draft in reversed(self.here):
            key = _key(draft.finding or "", item)
            if draft.finding == "occlusion" and quantity.unit == "%" and _of_other_vessel(story, item):
                continue  # "the right is occluded, and the left is tight, seventy"
            if key and draft.status is not Status.NEGATED and not self._sized_apart(story, item):
                if key in draft.values and not self._mends(story, quantity):
                    return self._elsewhere(story, item)
                self._take(story, draft, item, key)
                return True
        if self._elsewhere(story, item) or self._of_known(story, item) or self._grown(story, item):
            return True
        if self._answers_how_long(story, item):
            return True
        return self._put_right(story, item) or self._told_of_last(story, item) or self._share_alone(story, item)

    def _of_known(self, story: Story, item: Item) -> bool:
        """ "That aneurysm's nine, cross out the seven.": another size of one that was told before."""
        if self.known is None or self.here or item.before not in _IS or story.before("pronoun") is not self.known[0]:
            return False
        quantity, draft = item.figures["value"], self.known[1]
        for key, value in draft.values.items():
            fits = key != "stenosis" and quantity.unit in {None, value.unit} and quantity.value != value.value
            if fits and value.value / 3 <= quantity.value <= value.value * 3:
                draft.values[key] = quantity.flagged("corrected", "conflict", unit=value.unit)
                draft.reach(item.words)
                return True
        return False

    def _grown(self, story: Story, item: Item) -> bool:
        """ "On the scan last week it was five point one. … I've got five point four centimetres now.", "today,
        forty-four": a swelling told as it was before, as it is now.
        """
        last, quantity = self.last, item.figures["value"]
        then = last.values.get("diameter") if last is not None and last.status is Status.PAST else None
        now = story.sentence.texts & {"now", "today"} and item.status in {None, Status.DONE}
        if last is None or then is None or not now or self.here or story.sentence.breath - last.breath > _SOON + 1:
            return False
        others = story.mentions("device", "drug", "finding", "pair") or len(story.mentions("quantity")) != 1
        if others or quantity.unit not in {None, "mm", "cm"}:
            return False
        size = quantity if quantity.unit else quantity.flagged("unit-assumed", unit=then.unit)
        if not then.value / 3 <= size.value * _IN_MM[size.unit or "mm"] / _IN_MM[then.unit or "mm"] <= then.value * 3:
            return False
        self.last = story.add(
            Kind.FINDING, Status.DONE, item, "finding/grown", finding=last.finding, values={"diameter": size}
        )
        return True

    def _answers_how_long(self, story: Story, item: Item) -> bool:
        """ "An occlusion… How long is it? … With the ruler, fourteen.": of an occlusion or clot centimetres; the unit
        is guessed.
        """
        last, quantity = self.last, item.figures["value"]
        if last is None or self.long_asked != story.number - 1 or "length" in last.values:
            return False
        if last.finding not in {"occlusion", "thrombus"} or quantity.unit not in {None, "cm", "mm"}:
            return False
        if story.mentions("device", "drug", "finding", "pair") or (quantity.value > _MOST_CM and not quantity.unit):
            return False
        self._take(story, last, item, "length")
        if quantity.unit is None:
            last.values["length"] = quantity.flagged("unit-guessed", unit="cm")
        return True

    def _elsewhere(self, story: Story, item: Item) -> bool:
        """ "stenosis of the left, ninety percent, and of the right, sixty", "left it is seventy", "seventy on the CT,
        now it is ninety": one more of them, at another place or now.
        """
        quantity = item.figures["value"]
        last = self.here[-1] if self.here else self._just_told(story)
        if last is None or last.finding != "stenosis" or "stenosis" not in last.values:
            return False
        if quantity.unit not in {None, "%"} or not 10 <= quantity.value <= 100 or item.after in _TIMES:
            return False
        named = list(takewhile(lambda other: other.kind not in {"quantity", "finding"}, story.behind()))
        second = bool(_since(story, item, last) & {"second", "another", "other", "further"}) and item.before == "of"
        now = last.status is Status.PAST and bool({"now", "today"} & _since(story, item, last))
        if not now and not second and not self._at_another_place(story, item, named):
            return False
        passing = all(_between(other) or (now and other.kind == "action") for other in named)
        if last.status not in {Status.DONE, Status.PAST} or not passing:
            return False
        values = {"stenosis": quantity.in_unit("%")}
        status = Status.DONE if now else last.status
        more = story.add(Kind.FINDING, status, item, "finding/elsewhere", finding="stenosis", values=values)
        sites = [other for other in (*story.clause(), *named) if other.kind in _SITES]
        more.place = next((site.name for site in sites if site.kind == "place"), more.place)
        more.side = next((site.name for site in sites if site.kind == "side"), more.side)
        self.here.append(more)
        self.last = more
        return True

    def _just_told(self, story: Story) -> Draft | None:
        """The finding told right before in this breath, where this sentence names only places: "Left seventy."."""
        last = self.last
        fresh = last is not None and last in story.drafts[-1:] and last.breath == story.sentence.breath
        acts = [other for other in story.mentions("action") if other.text != "now"]
        other = acts or story.mentions("device", "drug", "finding", "pair")
        return last if fresh and not other and len(story.mentions("quantity")) == 1 else None

    def _at_another_place(self, story: Story, item: Item, named: Sequence[Item]) -> bool:
        """Whether a place stands between a mark and the figure ("and of the right, sixty"), or right after the figure
        ("fifty percent left").
        """
        bare = item.figures["value"].unit is None
        before = [other.kind for other in named]
        site = next((kind for kind in before if kind in _SITES), "")
        parted = site != "" and "mark" in before[before.index(site) + 1 :]
        ahead = next((other for other in story.ahead() if other.kind != "action" or not _between(other)), None)
        after = ahead is not None and ahead.kind in _SITES and "mark" in before
        alone = item.before in {"is", "'s", "was", "at", ",", "on"} or ahead is None or ahead.kind == "mark"
        opens = not self.here and site != ""
        return (parted or after or opens) and (alone or not bare or any(other.text == "and" for other in named))

    def _take(self, story: Story, draft: Draft, item: Item, key: str) -> None:
        if key == "stenosis":
            self._named_now(story, draft, item.figures["value"])
        draft.values[key] = item.figures["value"]
        draft.reach(item.words)
        item.used = True

    @staticmethod
    def _named_now(story: Story, draft: Draft, share: Quantity) -> None:
        """ "Left external, forty percent. … Stenosis of forty.": told by its share alone before, it is named now."""
        for other in story.drafts[-2:]:
            again = other.rule == _ALONE and other is not draft and other.status is draft.status
            if again and story.sentence.breath - other.breath <= _SOON and _tells(other, share):
                draft.place, draft.side = draft.place or other.place, draft.side or other.side
                story.forget(other)

    def _sized_apart(self, story: Story, item: Item) -> bool:
        """Whether a millimetre is a vessel's, measured in the same sentence; "twenty long" is the lesion, and so is
        what "a stenosis, eccentric, measuring thirty-five millimetres" tells.
        """
        quantity = item.figures["value"]
        own = quantity.unit == "mm" and quantity.value >= _LEAST_BARE_MM and item.before in _MEASURING_IT
        own = own and not story.sentence.texts & OF_VESSEL
        apart = quantity.unit == "mm" and item.role != "long" and not own
        return apart and story.says("measure") and not any(d.finding in SWELLINGS for d in self.here)

    def _mends(self, story: Story, quantity: Quantity) -> bool:
        """Whether a second figure takes the place of the first: put right, or read again after a dash."""
        return "corrected" in quantity.flags or any(other.text == "-" or other.corrects for other in story.behind())

    def _put_right(self, story: Story, item: Item) -> bool:
        """ "four centimetres... five across", "call it forty": another figure for the finding last told."""
        quantity, last = item.figures["value"], self.last
        told_now = last is not None and story.sentence.breath in {last.breath, self.renewed}
        if last is None or not told_now or last.status is Status.NEGATED or last.finding == "collaterals":
            return False
        if last.status is Status.PAST and story.sentence.texts & {"now", "today"}:
            return False  # what was then is not put right
        before = next((other for other in story.behind() if other.text != ","), None)
        again_here = bool(self.here) and before is not None and (before.text == "..." or before.corrects)
        after = story.after("mark")
        sorry = after is not None and after.corrects and not item.span[0]  # "Twenty-five, sorry, I began at the clip."
        called = sorry or story.sentence.texts & {"call", "make", "nah"} or len(story.sentence.texts) <= 4
        if (not again_here and (self.here or not called)) or item.after in _TIMES:
            return False
        if item.role == "long" and quantity.unit is None:  # "stenosis, eighty. Twenty-four long."
            fits = "length" not in last.values and quantity.value >= _LEAST_BARE_MM
            if fits:
                self._take(story, last, item, "length")
                last.values["length"] = quantity.in_unit("mm")
            return fits
        for key in ("stenosis", "diameter", "length"):
            known = last.values.get(key)
            if (
                known is not None
                and quantity.unit in {None, known.unit}
                and 0.3 * known.value <= quantity.value <= 3 * known.value
                and quantity.value != known.value
            ):
                last.values[key] = quantity.flagged("corrected", unit=known.unit)
                last.reach(item.words)
                return True
        return False

    def _told_of_last(self, story: Story, item: Item) -> bool:
        """ "Stenosis at the anastomosis. Ninety percent, two centimetres long.": a sentence of measures alone."""
        last = self.last
        if last is None or self.here or last.status is not Status.DONE or last not in story.drafts[-3:]:
            return False
        key = _key(last.finding or "", item)
        apart = story.sentence.texts & {"from", "distance", "between"}
        rest = asks_from(story.sentence) if story.sentence.question else story.sentence.words[0]
        told = [other for other in story.sentence.items if other.words[0] < rest or rest == story.sentence.words[0]]
        done = [other for other in told if other.kind == "action" and (apart or not self._measures(other, item, last))]
        named = any(other.kind in {"device", "drug", "finding", "pair"} for other in told)
        if story.sentence.breath - last.breath > 1 or done or named:
            return False
        if (
            key is None
            or (key == "stenosis" and last.finding == "occlusion" and story.mentions(*_SITES))
            or (key != "stenosis" and (story.mentions("place") or story.sentence.texts & _APART))
            or key in last.values
            or item.status not in {None, Status.PLANNED}
        ):
            return False
        self._take(story, last, item, key)
        return True

    def _measures(self, action: Item, item: Item, last: Draft) -> bool:
        """ "There's an occlusion. With the ruler it's nine centimetres.": no vessel is that wide."""
        quantity = item.figures["value"]
        if quantity.unit == "%":
            return action.meanings <= {"measure", "raise"}
        wide = quantity.value * (10 if quantity.unit == "cm" else 1) < _LEAST_LONG_MM or item.role == "wide"
        return action.meanings <= {"measure", "raise"} and last.finding in LESIONS and not wide

    def _share_alone(self, story: Story, item: Item) -> bool:
        """ "Circumflex is seventy percent.", "Twenty percent now.": in an artery or vein a share that is not said to be
        of other things tells how narrow it is.
        """
        quantity, sentence = item.figures["value"], story.sentence
        narrow = _NARROW - {"occlusion"} if _of_other_vessel(story, item) else _NARROW
        told = any(draft.finding in narrow and draft.status is not Status.NEGATED for draft in self.here)
        if quantity.unit != "%" or told or story.summary or item.status not in {None, Status.PLANNED, Status.PAST}:
            return False
        none_left = not quantity.value and item.after in {"", ".", ",", "left", "stenosis", "residual"}
        least = 0 if sentence.texts & _REMAINS or none_left else _LEAST_SHARE
        if not least <= quantity.value < 100 or of_other_things(story, item, self.question):
            return False
        alone = len(set(sentence.texts) - MARKS) <= 1 + len(item.text.split())
        if alone and quantity.value > _MOST_ALONE and (self.breath != sentence.breath or quantity.value % 5):
            return False
        last = self.last
        if last is not None and last.breath == sentence.breath and _tells(last, quantity) and not _named_anew(story):
            last.reach(item.words)
            return True  # said again: "Thirty. Thirty percent, yes."
        status = Status.PAST if item.status is Status.PAST else Status.DONE
        values = {"stenosis": quantity}
        self.last = story.add(Kind.FINDING, status, item, _ALONE, finding="stenosis", values=values)
        self.here.append(self.last)
        return True

    def _of_aneurysm(self, story: Story, item: Item) -> bool:
        """ "aneurysm at five point eight": centimetres, as a bare decimal of an aneurysm is."""
        quantity, last = item.figures["value"], self.here[-1] if self.here else None
        decimal = quantity.form in {"decimal", "fraction"} and 2 <= quantity.value <= 15
        nearest = next((other for other in story.behind() if other.kind != "pronoun"), None)
        beside = nearest is not None and nearest.kind == "finding" and nearest.span[1] == item.span[0]
        told = last is not None and last.finding == "aneurysm" and item.before in _IS | _MEASURING | {"at", "of", ","}
        since = takewhile(lambda other: other.kind != "finding", story.behind())
        told = told or (beside and last is not None and last.finding == "aneurysm")
        return decimal and told and all(other.text != "and" for other in since)

    def _right_after(self, story: Story, item: Item) -> bool:
        """ "there is stenosis, sixty": a bare number said right after."""
        last = self.here[-1].finding if self.here else ""
        if not last or last not in {"stenosis", "recoil"} or "stenosis" in self.here[-1].values:
            return False
        if last == "recoil":
            return self._sprung_back(story, item)
        nearest = story.before("mark", *_SITES)
        joined = story.before()
        if nearest is not None and nearest.kind == "finding":
            return not (joined is not None and joined.text == "and")
        return self._judged(story, item)

    @staticmethod
    def _sprung_back(story: Story, item: Item) -> bool:
        """ "Recoil, sixty.", "it's recoiled to fifty on us": the share that is narrow again; not how far it is blown up
        again ("recoil, so up to twenty").
        """
        value = item.figures["value"].value
        since = list(takewhile(lambda other: other.kind != "finding", story.behind()))
        beside = all(_between(other) or other.text in {"at", "to"} for other in since)
        ends = not item.after.isalpha() or item.after in _BEHIND_RECOIL
        return beside and ends and value >= _LEAST_RECOIL and not value % 5

    @staticmethod
    def _judged(story: Story, item: Item) -> bool:
        """ "a stenosis at the origin, I'd call it eighty-five": a bare share behind words that only judge."""
        if item.figures["value"].value % 5 or (item.after.isalpha() and item.after not in _JUDGING):
            return False
        finding = next((other for other in story.behind() if other.kind == "finding"), None)
        if finding is None or any(other.kind in {"quantity", "device", "drug", "pair"} for other in story.behind()):
            return False
        between = {*range(finding.span[1], item.span[0])}
        for other in story.behind():
            if other.kind in _SITES:
                between -= {*range(*other.span)}
        words = {story.sentence.tokens[at] for at in between}
        return words <= _JUDGING and bool(words & _JUDGES)

    def _finding_follows(self, story: Story, item: Item) -> bool:
        """ "… stenosis, thirty percent residual stenosis": the figure belongs to the finding right after it."""
        passed = _SITES if self.here else _SITES | {"mark", "pronoun"}
        sited = False
        for other in story.ahead():
            if other.kind in passed or other.kind == "quantity":
                sited = sited or other.kind in _SITES
                continue
            if sited and other.name == "occlusion" and item.figures["value"].unit == "%":
                return False
            return other.kind == "finding" and _key(other.name, item) is not None
        return False


def _none_of_it(story: Story) -> Item | None:
    """ "Zero stenosis", said with no unit: there is none. The figure that says so."""
    items = story.sentence.items
    item, before = items[story.index], items[story.index - 1] if story.index else None
    if before is None or before.kind != "quantity" or before.span[1] != item.span[0]:
        return None
    figure = before.figures["value"]
    return before if figure.value == 0 and figure.unit is None else None


def _changed(tokens: Sequence[str], item: Item) -> bool:
    """ "The spasm's better", "collaterals fading", "an unchanged dissection": how one known has become."""
    after = [token for token in tokens[item.span[1] : item.span[1] + 4] if token not in _HAS_BECOME]
    return (bool(after) and after[0] in _BECOME) or tokens[max(0, item.span[0] - 1)] in {"unchanged", "said"}


def _key(name: str, item: Item) -> str | None:
    """Which value of a finding a figure is, or None where it can be none."""
    unit = item.figures["value"].unit
    if unit == "%":
        return "stenosis" if name in _NARROW else None
    if unit not in {"mm", "cm"}:
        return None
    if item.after in {"across", "wide", "diameter"}:
        return "diameter" if name in SWELLINGS | LESIONS else None
    if name in SWELLINGS:
        return "length" if item.after == "long" else "diameter"
    if name in _HOLES:
        return "length" if item.before in _RIGHT_BESIDE else None
    if name == "collaterals":
        fits = unit == "mm" and item.figures["value"].value <= _WIDEST_COLLATERAL and item.before in _RIGHT_BESIDE
        return "diameter" if fits else None
    return "length" if name in LESIONS else None


def _so_wide(story: Story, item: Item, swelling: Draft) -> bool:
    """ "Aneurysm behind it, twenty-five.", "a false aneurysm of fourteen", "…, eight mil": a figure that ends what is
    told of a swelling, in millimetres.
    """
    quantity = item.figures["value"]
    before = next((other for other in story.behind() if not _between(other)), None)
    if swelling.finding not in {"aneurysm", "pseudoaneurysm"} or swelling.values or swelling.status is not Status.DONE:
        return False
    if before is None or before.kind != "finding" or item.after not in _ENDS_TELLING:
        return False
    plain = quantity.form == "cardinal" and not quantity.value % 1 and _NARROWEST <= quantity.value <= _WIDEST
    mil = quantity.unit is None or "mil" in quantity.heard.lower().strip(".,;").split()
    between = story.sentence.tokens[before.span[1] : item.span[0]]
    if story.sentence.texts & _OF_A_PERSON or (quantity.unit is None and item.after == "," and quantity.value > _AGE):
        return False  # "she has an aneurysm, seventy-two, diabetic"
    told = item.before in {",", "of", "is", "'s"} and len(between) <= _FEW and not {"and", "with", "for"} & {*between}
    return plain and mil and told and not story.says("run", "by hand", "give", "inject")


def _so_long(story: Story, item: Item, lesion: Draft) -> bool:
    """ "ninety percent, fifteen long": a bare length of a stenosis whose share is told, in millimetres."""
    known = lesion.finding == "stenosis" and "stenosis" in lesion.values and "length" not in lesion.values
    device = any(other.kind == "device" for other in takewhile(lambda other: other.kind != "finding", story.behind()))
    return (
        known and not device and item.role == "long" and _LEAST_BARE_MM <= item.figures["value"].value <= _MOST_CM * 10
    )


def _of_other_vessel(story: Story, item: Item) -> bool:
    """Whether a share is of another vessel than the one that is occluded: its unit is not said, or its place stands
    behind the occlusion.
    """
    since = [*takewhile(lambda other: other.kind != "finding", story.behind())]
    if item.figures["value"].value >= 100:  # nothing else is that narrow: "occlusion, SFA, a hundred percent"
        return "unit-assumed" in item.figures["value"].flags
    at = next((index for index, other in enumerate(since) if other.kind in _SITES), len(since))
    parted = any(other.kind == "mark" for other in since[at + 1 :])  # not "occlusion of the popliteal, one hundred"
    return "unit-assumed" in item.figures["value"].flags or parted


def _named_anew(story: Story) -> bool:
    """Whether the sentence names where it is: the same share may be told of another place."""
    return bool(story.mentions(*_SITES))


def _says_share(item: Item) -> bool:
    """ "that stenosis is more like seventy": a bare figure that tells how narrow it is."""
    quantity = item.figures["value"]
    return quantity.unit is None and item.before in _IS and 10 <= quantity.value <= 100 and item.after not in _TIMES


def _tells(draft: Draft, figure: Quantity) -> bool:
    return any(figure.unit in {None, value.unit} and value.value == figure.value for value in draft.values.values())


def _since(story: Story, item: Item, draft: Draft) -> set[str]:
    """The words between what was told of a finding and the figure heard now."""
    last = next((other for other in story.behind() if other.words[0] < draft.values["stenosis"].words[1]), None)
    return set(story.sentence.tokens[last.span[1] if last else 0 : item.span[0]])


def _differ(one: str | None, other: str | None) -> bool:
    return one is not None and other is not None and one != other


def _site(story: Story) -> tuple[str | None, str | None]:
    """The place and side a finding is at: said in its clause, else before it in the sentence."""
    near = [*story.clause(), *story.behind()]
    place = next((other.name for other in near if other.kind == "place"), None)
    return place, next(filter(None, map(_side, near)), None)


def _side(item: Item) -> str | None:
    """The side an item tells, also in the name of a place: "right renal"."""
    first = item.text.split()[0] if item.kind == "place" else ""
    return item.name if item.kind == "side" else first if first in {"left", "right"} else None


def _between(item: Item) -> bool:
    """Whether a word may stand between a share and the place it is of: "in the right", "and on the left"."""
    return item.kind in {*_SITES, "mark", "pronoun"} or (item.kind == "action" and item.text in PLACING | {"in", "at"})


def _yields(story: Story, item: Item) -> bool:
    """ "waist gone at twelve", "the waist pops": it is told that it is no more, in the clause it is named in."""
    for token in story.sentence.tokens[item.span[1] : item.span[1] + 5]:
        if token == "and" or not any(map(str.isalpha, token)):
            return False
        if token in _YIELDS:
            return True
    return False


def _fills(story: Story, item: Item) -> bool:
    """ "the femoral vein full of thrombus": a vessel that is, not a bag."""
    tokens = story.sentence.tokens
    full = tokens[max(0, item.span[0] - 2) : item.span[0]] == ("full", "of")
    if full and _FILLED & {*tokens[max(0, item.span[0] - 6) : item.span[0] - 2]}:
        return True
    before = story.before("pronoun")
    return full and before is not None and before.kind in _SITES and item.span[0] - before.span[1] <= 4


def _aimed_at(tokens: Sequence[str], item: Item) -> bool:
    """ "across that nasty narrowing", "the cap of the old occlusion", "so full of clot": where something is or goes."""
    index, known = item.span[0] - 1, False
    while index >= 0 and item.span[0] - index <= 4:
        token = tokens[index]
        if token == "of" and index:
            return tokens[index - 1] in _PARTS
        if token in PLACING - {"on", "to", "for"} or (token == "to" and tokens[index - 1] in _UP_TO):
            return known
        if token in _SEEN | {"a", "an", "some", "no"} or not token.isalpha():
            return False
        known = known or token in _KNOWN
        index -= 1
    return False


def _hesitates(sentence: Sentence) -> bool:
    """Whether a question without an asking word asks all the same: no tag at its end, only a voice that rises."""
    words = [item for item in sentence.items if item.kind != "mark"]
    last = words[-1] if words else None
    return last is not None and last.kind == "finding" and last.text not in _TAGS
