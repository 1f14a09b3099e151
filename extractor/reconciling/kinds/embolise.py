"""Coils and plugs let go; particles, glue, foam and slurry delivered, their volume counted aloud."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

from extractor.model import Item, Kind, Quantity, Sentence, Status
from extractor.reconciling.kinds.drug_words import of_others
from extractor.reconciling.kinds.how_many import counted
from extractor.reconciling.kinds.size_apart import size_apart
from extractor.reconciling.kinds.sized import GOING
from extractor.reconciling.kinds.sized_refused import refuse_active
from extractor.reconciling.kinds.told_by_verb import told_before
from extractor.reconciling.marks import FIGURE_ENDS
from extractor.reconciling.questions import asked_what_went
from extractor.reconciling.size_roles import POURED
from extractor.reconciling.story import NO, NOT_DONE, Draft, Hearing, Story, Thing, carried
from extractor.reconciling.things import equal, find, new, values_of

#: Said when it has stopped: the last figure stands.
_STOPPED = frozenset(
    """
    stop stopped stops enough finished stasis static frozen stagnates standing stands still done empty full whole
    """.split()
)
#: With its name: one more delivery of what has gone in.
_ANEW = {"another", "again", "same", "more", "second", "third"}
_MORE = {"another", "again", "second", "third", "fourth", "new", "next"}
#: Commands, where nothing makes them something to come.
_TO_DO = {"deploy", "release", "detach", "unhook", "uncouple", "unscrew", "disconnect"}
#: With these a volume is that of all that went in.
_SUMS = {"total", "altogether", "makes", "make", "all", "that's"}
#: It hangs on nothing any more, and what may be said with it.
_FREE = {"free", "loose"}
_IT_TOO = frozenset("this one also too as well has it's now then just right here behind after".split())
_SMALL_TALK = frozenset(
    "and off comes it 's is now he she so good perfect nice okay that there all the coil plug yes completely".split()
)
#: As the one before.
_ALIKE = {"same", "identical", "equal", "alike", "ditto", "likewise"}
_OF_THE_KIND = {("like", "that"), ("like", "it"), ("of", "those"), ("like", "those")} | {
    (that, kind) for that in ("that", "the", "this") for kind in ("kind", "sort", "type")
}
#: These are done to nothing but a coil or plug.
_TO_COILS = frozenset(
    "detach detached detaching unscrew unscrewed uncouple uncoupled disconnect disconnected disengaged".split()
)
#: What else is given by the mil; a figure in its sentence is not the embolic's.
_OTHER_LIQUIDS = frozenset("puff check test hand inject control flush".split())
#: What embolics are mixed with too: in a dictation it says nothing of whose the figure is.
_MIXERS = frozenset("saline contrast dye dextrose".split())
#: So many as were spoken of are let go in one.
_TOGETHER = {"were", "are", "been", "both", "together", "total"}
_CERTAIN = frozenset(
    """
    detach detaches detached detaching detachment deployed release released off unscrew unscrews unscrewed uncouple
    uncouples uncoupled disconnect disconnects disconnected disengaged separated free freed unhook unhooked loose
    deploy deploying releasing
    """.split()
)
#: Behind a small word that ends its clause for all that: "off too".
_AFTER_ALL = {"too", "also", "now", "nicely", "then", "an", "and", "as"}
_SMALL = {"in", "off", "away", "gone in", "went in", "is off", "'s off"}
#: What else may be said with "in" of what is poured.
_PUSHING = frozenset(
    "i we push pushing slowly gently everything lot yes sir doctor please thank you then just now".split()
)
#: With "how much" these ask for what went in.
_ASKS_WHAT_WENT = frozenset("was went in did have has gone given".split())
#: Said of what is poured before it goes in.
_READY = {"syringe", "mixed", "drawn", "prepared", "loaded"}
#: Said of much else: only where the clause names nothing but the coil.
_WEAK = {"gone", "down", "is down", "'s down", "stays", "cut", "parked", "landed"}
#: Where things lie that are not in the patient.
_LIES = frozenset(
    """
    table trolley floor box shelf packet packaging package packed pack wrapper tray bin store room list drape drapes
    cupboard drawer cart ward
    """.split()
)
#: Behind "packed": it is in the vessel.
_TIGHT = {"at", "in", "into", "against", "tight", "tightly", "well", "nicely"}
#: There is none to be let go, or it is another that is wanted.
_NONE_THERE = {("none", "left"), ("new", "one"), ("no", "more"), ("last", "one"), ("out", "of")}
#: Phrases that tell of one that is not left, or not used.
_NOT_LEFT = {"comes back", "thrown away", "refused"}
_IS_IN = {"in", "is in", "'s in", "went in", "all in"}
#: A question of no more different words, its mark among them, wonders about what it names. Set by hand, no source.
_ASKED = 4
#: Coils called by how wide they are, mm.
_WIDTHS = {
    "twos": 2.0, "threes": 3.0, "fours": 4.0, "fives": 5.0, "sixes": 6.0, "sevens": 7.0, "eights": 8.0, "nines": 9.0,
    "tens": 10.0, "twelves": 12.0, "fourteens": 14.0,
}  # fmt: skip
#: After a number counted aloud.
_ENDS_COUNT = FIGURE_ENDS - {"-"}
#: So many sentences behind an order its syringe may be empty. Set by hand, no source.
_SOON = 4
#: So many words at most stand between two words for one letting-go: "detach, that's it off".
_SAME_BREATH = 3
#: Particles are no wider, mm; and what is no less is told in microns: common practice, no source.
_COARSEST, _MICRONS = 1.3, 20
#: The most a figure without a unit can be as a volume in mL: common practice, no source.
_MOST_UNSAID, _MOST = 12, 60


@dataclass(slots=True, eq=False)
class _Pour:
    """One delivery: its event, what is given, and the volumes counted so far."""

    draft: Draft
    thing: Thing
    breath: int
    counted: list[Quantity] = field(default_factory=list)
    stopped: bool = False


class Embolics(Hearing):
    """Hears letting go and volumes while an embolic is the active device."""

    def __init__(self) -> None:
        self.pour: _Pour | None = None
        self.going = -9  # breath in which it was said to go in
        self.goes = -9  # and the number of that sentence
        self.further = -9  # number of the last sentence that spoke of one more
        self.heard: list[Quantity] = []  # volumes counted in this breath or the last, before any word of going
        self.heard_in = -9
        self.how_much = -9  # number of the last question for how much went in
        self.loose: list[Draft] = []  # let go by a small word alone: "in" may be told of one that is not left there
        self.wondered: tuple[Thing, int] | None = None  # what a question named, and its breath: "Glue?"

    def begin(self, story: Story, sentence: Sentence) -> None:
        goes = bool({("they", "go"), ("it", "goes"), ("they", "run")} & {*pairwise(sentence.tokens)})
        if goes or sentence.texts & GOING or _down_a_tract(sentence):
            self.going = sentence.breath
            self.goes = story.number
        if sentence.texts & _MORE:
            self.further = story.number
        _share_volumes(sentence)
        _mark_ranges(sentence)
        self._one_more(story, sentence)
        self._free(story, sentence)
        self._wonder(story, sentence)
        pour = self.pour
        if pour is not None and (
            sentence.breath - pour.breath > 1
            or story.active is not pour.thing
            or (pour.stopped and (Status.PLANNED in sentence.cues or _names_one(sentence)))
            or ("volume" in pour.draft.values and _once_more(sentence, pour.thing))
        ):
            self.pour = None
        if sentence.breath - self.heard_in > 1:
            self.heard = []

    def hear(self, story: Story, item: Item) -> bool:
        if item.kind == "quantity" and item.after == "of":
            self._of_another_size(story)
        active = story.active
        if item.kind == "phrase" and item.name in _NOT_LEFT and self._not_left(story, item):
            return True
        if item.kind == "quantity" and self._not_now(story, item, item.figures["value"]):
            return True
        if item.kind == "quantity" and (sized := size_apart(story, item)) is not None:
            self._told_already(story, sized)
            return True
        if active is None or active.role != "embolise":
            return False
        if active.name in POURED:
            if item.kind == "quantity":
                return self._volume(story, active, item)
            return (
                item.kind == "action" and bool(item.meanings & {"give", "detach"}) and self._given(story, active, item)
            )
        if item.kind == "quantity":
            return self._counted_on(story, active, item) or self._more_of(story, active, item)
        gone = item.text.endswith(" gone") and active.where == "asked"  # "that's gone", of the coil that waits
        lets = item.kind == "action" and ("detach" in item.meanings or gone)
        return lets and self._let_go(story, active, item)

    def end(self, story: Story, sentence: Sentence) -> None:
        if sentence.question and {"how", "much"} <= sentence.texts and sentence.texts & _ASKS_WHAT_WENT:
            self.how_much = story.number
        self._stopped(story, sentence)
        _doubt_ranges(story)
        if self.pour is not None and self.pour.counted and sentence.texts & _STOPPED:
            self.pour.stopped = True

    def _stopped(self, story: Story, sentence: Sentence) -> None:
        """ "Two cc's. One. Two. Stasis.": what was counted until it stopped went in."""
        active = story.active
        self._emptied(story, sentence)
        counted_up = len(self.heard) >= 2 and self.heard_in == sentence.breath and not story.mentions("quantity")
        if self.pour or not counted_up or not sentence.texts & _STOPPED or Status.NEGATED in sentence.cues:
            return
        if active is None or active.name not in POURED or not sentence.items:
            return
        heard = self.heard
        pour = self._start(story, active, sentence.items[0])
        pour.draft.words = (min(pour.draft.words[0], heard[0].words[0]), pour.draft.words[1])
        pour.draft.values["volume"] = heard[-1].in_unit("mL")
        pour.counted, pour.stopped = heard, True

    def _emptied(self, story: Story, sentence: Sentence) -> None:
        """ "Two mils of foam, please. … The syringe is empty.": all that was made ready went in."""
        thing = story.active
        asked = thing.asked if thing is not None and thing.name in POURED else None
        gone = {"whole", "all"} & sentence.texts and {"gone", "in", "went"} & sentence.texts
        emptied = "syringe" in sentence.texts and ("empty" in sentence.texts or gone)
        emptied = emptied or (asked is not None and asked.number == story.number and "stasis" in sentence.texts)
        if thing is None or asked is None or self.pour is not None or not emptied:
            return
        if (
            "volume" in asked.values
            and story.number - asked.number <= _SOON
            and not sentence.question
            and sentence.items
        ):
            self._start(story, thing, sentence.items[0], keep=True)

    # --- coils and plugs ---------------------------------------------------------------------------

    def _told_already(self, story: Story, thing: Thing) -> None:
        """ "three coils were deployed, each four millimetres wide": let go before their size was told."""
        told = (item for item in story.behind() if "detach" in item.meanings and item.text not in _SMALL)
        goes = next(told, None)
        if thing.done is None and goes is not None and goes.status not in NOT_DONE and not story.sentence.question:
            self._done(story, thing, goes)

    def _free(self, story: Story, sentence: Sentence) -> None:
        """ "And it's free.": a few words that say of the coil or plug that waits that it hangs on nothing any more."""
        thing = story.active
        waits = thing is not None and thing.role == "embolise" and thing.name not in POURED and thing.where == "asked"
        clauses = _clauses(sentence.tokens) if thing is not None and waits and not sentence.question else ()
        for said in clauses:
            free = bool(said & _FREE) or {"off", "comes"} <= said
            if thing is not None and free and said <= _FREE | _SMALL_TALK:
                self._done(story, thing, Item("action", sentence.words, "free"))
                return

    @staticmethod
    def _one_more(story: Story, sentence: Sentence) -> None:
        """ "and another the same", "the second is the same again": one more like the coil just let go is asked for."""
        thing = story.active
        if thing is None or thing.role != "embolise" or thing.name in POURED or thing.where != "used":
            return
        pairs = {*pairwise(sentence.tokens)}
        further = bool({("one", "more"), ("another", "one")} & pairs)
        alike = sentence.texts & _ALIKE or _OF_THE_KIND & pairs
        if sentence.breath - story.spoken_breath > 1 or not alike:
            return
        if not (further or sentence.texts & _MORE):
            return
        said = {"size", "length"} if further or "another" in sentence.texts else {"size", "length", "one"}
        figures = [item for item in sentence.items if item.figures and not (further and item.after == "more")]
        same_size = bool({("same", "size"), ("same", "length")} & pairs) and not sentence.cues & NOT_DONE
        named = bool(figures or (sentence.texts & said and not same_size))
        if not named and not sentence.question:
            thing.where, thing.left, thing.done, story.topic = "asked", 1, None, "embolise"
            if further and sentence.items:
                thing.asked = story.add(
                    Kind.EMBOLISE,
                    Status.PLANNED,
                    sentence.items[0],
                    "embolise/one-more",
                    device=thing.name,
                    values={key: carried(value) for key, value in values_of(thing).items()},
                )

    @staticmethod
    def _counted_on(story: Story, thing: Thing, item: Item) -> bool:
        """ "One is in... two... three": of several asked for, counted as they are let go; how many is looked at."""
        done, figure = thing.done, item.figures["value"]
        if done is None or done.breath != story.sentence.breath or figure.unit is not None or item.status in NOT_DONE:
            return False
        count = done.values.get("count")
        if count is None or figure.value != count.value + 1 or item.after not in _ENDS_COUNT:
            return False
        done.values["count"] = figure.flagged("conflict", unit="{count}")
        done.reach(item.words)
        return True

    @staticmethod
    def _by_size(story: Story, thing: Thing) -> Thing:
        """ "five's off": of several asked for, the one of the size right before."""
        before = story.before()
        bare = before.figures.get("value", before.figures.get("bare")) if before is not None else None
        if bare is None or bare.unit not in {None, "mm"}:
            return thing
        asked = [one for one in story.things if one.role == "embolise" and one.where == "asked"]
        alike = [one for one in asked if "diameter" in one.values and one.values["diameter"].value == bare.value]
        return alike[-1] if alike else thing

    def _let_go(self, story: Story, thing: Thing, item: Item) -> bool:
        thing = self._by_size(story, thing)
        if item.status is Status.NEGATED and thing.where == "asked":
            return refuse_active(story, item) is not None  # "that one I do not detach"
        of_coils = story.topic in {"embolise", "finding", "measure"} or not _TO_COILS.isdisjoint(item.text.split())
        if item.status in NOT_DONE or not (of_coils or lets_go(story, item)):
            return False
        if (item.text in _SMALL and not _ends(story, item)) or _of_something_else(story, item):
            return False
        if any(other.kind == "drug" or (other.kind == "device" and other.role == "insert") for other in story.clause()):
            return False
        strong = not _CERTAIN.isdisjoint(item.text.split())
        if item.text in _TO_DO and (item.before == "to" or story.sentence.question):
            return False  # "ready to release?"
        if strong and item.text.endswith("off") and not _adjoins(story, item):
            return False
        if not strong and (story.sentence.question or thing.where != "asked"):
            return False
        if item.text == "packed" and item.after not in _TIGHT:
            return False  # "it stays packed"
        if _lies_about(story.sentence, item) or of_others(story.sentence, item):
            return False
        if (item.text in _WEAK or item.text.endswith(" gone")) and (
            not _of_it_alone(story.sentence, item) or _none_there(story)
        ):
            return False
        last = story.recent(Kind.EMBOLISE, 0, Status.DONE)
        counts = any(other.kind == "quantity" for other in story.clause()) and thing.left > 0  # "one off, two off"
        near = last is not None and 0 <= item.words[0] - last.words[1] <= _SAME_BREATH
        if item.before in {"both", "all"} and self._told_of_one(story, thing):
            return True
        if last is not None and last is thing.done and near and not counts:
            last.reach(item.words)  # "it's in, detached"
            self.loose = [] if strong else self.loose
            return True
        if thing.left <= 0:
            more = story.sentence.texts & _MORE
            if last is None and thing.done is story.drafts[-1] and self._said_again(story, thing.done):
                return True  # "and release" "Released."
            if last is not None and not more:
                last.reach(item.words)
                return True
            if not more and not strong:
                return False
            thing.left = 1
        self._done(story, thing, item)
        self.loose = [] if strong or thing.done is None else [thing.done]
        return True

    @staticmethod
    def _told_of_one(story: Story, thing: Thing) -> bool:
        """ "Two of them. Release." "Both released.": what has just been told of the first was of all."""
        done, count = thing.done, thing.values.get("count")
        if done is None or done is not story.drafts[-1] or count is None or count.value != thing.left + 1:
            return False
        done.values["count"], thing.left, thing.where = count, 0, "used"
        return True

    def _said_again(self, story: Story, done: Draft) -> bool:
        """Whether nothing but the letting-go told in the breath before is said, and one more is not spoken of since."""
        only = all(item.kind in {"action", "mark", "pronoun", "phrase"} for item in story.sentence.items)
        return only and story.sentence.breath - done.breath == 1 and self.further < done.number

    def _not_left(self, story: Story, item: Item) -> bool:
        """ "In… no, it's backing out": one told to be in by a small word alone is not left there. "The second one… it's
        kinked, bin it": of several asked for, the one that waits is not used.
        """
        active, breath = story.active, story.sentence.breath
        slips = item.name != "refused" or "prolaps" in item.text
        done = next((draft for draft in self.loose if draft.breath == breath and slips), None)
        if done is not None and done is story.recent(Kind.EMBOLISE, 0, Status.DONE):
            story.rule_out(done, item, "not-left")
            self.loose = []
            for thing in story.things:
                if thing.done is done:
                    thing.where, thing.done, thing.left = "refused", None, 0
            return True
        if item.name == "refused" and self.wondered is not None and self.wondered[1] == breath:
            return self._not_poured(story, item)
        waits = active is not None and active.role == "embolise" and active.done is not None and active.where == "asked"
        if item.name == "thrown away" and active is not None and active.role == "embolise" and active.done is None:
            return refuse_active(story, item) is not None
        if item.name != "thrown away" or not waits or active is None or active.done is None:
            return False
        if active.done.breath != breath:
            return False
        values = values_of(active)
        story.add(Kind.EMBOLISE, Status.NEGATED, item, "embolise/not-used", device=active.name or "coil", values=values)
        active.left -= 1
        active.where = "asked" if active.left > 0 else "used"
        return True

    def _wonder(self, story: Story, sentence: Sentence) -> None:
        """ "Glue? Half a mil would do it. No.": what a question alone names, to be refused in its breath."""
        named = any(item.kind == "device" and item.name in POURED for item in sentence.items)  # "No glue."
        if self.wondered is not None and self.wondered[1] == sentence.breath and sentence.first in NO and not named:
            self._not_poured(story, Item("mark", sentence.words, sentence.first))
        poured = [item for item in sentence.items if item.kind == "device" and item.name in POURED and not item.figures]
        if sentence.question and poured and len(sentence.texts) <= _ASKED:
            self.wondered = Thing("embolise", poured[0].name), sentence.breath

    def _not_poured(self, story: Story, item: Item) -> bool:
        assert self.wondered is not None
        thing, self.wondered = self.wondered[0], None
        last = story.recent(Kind.EMBOLISE, 0)
        if last is not None and last.device == thing.name:
            return False
        story.add(
            Kind.EMBOLISE, Status.NEGATED, item, "embolise/ruled-out", device=thing.name, values=dict(thing.values)
        )
        return True

    @staticmethod
    def _more_of(story: Story, active: Thing, item: Item) -> bool:
        """ "Two more fives, short ones, the ten centimetre.": further coils, by their width in the plural or as wide as
        the last, and by their length.
        """
        length, texts = item.figures["value"], story.sentence.texts
        if length.unit != "cm" or active.name in POURED or item.before not in {"the", "a", ","}:
            return False
        width = next((word for word in story.sentence.tokens if word in _WIDTHS), None)
        if item.status in NOT_DONE or not texts & (_MORE | {"more"}) or not (width or "ones" in texts):
            return False
        known = active.values.get("diameter")
        if width is not None:
            values = {"diameter": Quantity(_WIDTHS[width], "mm", item.words, width, flags=("unit-assumed",))}
        else:
            values = {"diameter": carried(known)} if known is not None else {}
        values["length"] = length
        counts = [one.figures["value"] for one in story.mentions("quantity") if one.after == "more"]
        if counts and counts[0].unit is None and counts[0].value in range(1, 10):
            values["count"] = replace(counts[0], unit="{count}")
        thing = Thing("embolise", active.name or "coil", values=values, breath=story.sentence.breath, seen=story.number)
        thing.among, thing.left = story.things, int(values["count"].value) if "count" in values else 1
        story.things.append(thing)
        thing.asked = story.add(
            Kind.EMBOLISE, Status.PLANNED, item, "embolise/asked-for", device=thing.name, values=dict(values)
        )
        story.active, story.topic = thing, "embolise"
        story.spoken_role, story.spoken_breath = "embolise", story.sentence.breath
        return True

    def _done(self, story: Story, thing: Thing, item: Item) -> None:
        draft = story.settle(thing.asked, Status.DONE, item, "embolise/asked-and-let-go") or story.add(
            Kind.EMBOLISE,
            Status.DONE,
            item,
            "embolise/let-go",
            device=thing.name or "coil",
            values=values_of(thing),
        )
        said = thing.values.get("count")
        texts = story.sentence.texts
        whole = "all" in texts and not texts & {"it", "first", "second"}
        together = said is not None and thing.left > 1 and (whole or bool(texts & _TOGETHER))
        draft.values["count"] = said if said is not None and together else counted(said, item)
        if said is None and "both" in texts:
            draft.values["count"] = draft.values["count"].flagged("conflict", alternatives=(2.0,))
        thing.asked, thing.done, thing.left = None, draft, 0 if together else thing.left - 1
        thing.where = "asked" if thing.left > 0 else "used"
        story.topic = "embolise"
        if texts & {"all", "both", "were", "been"} and not texts & {"it", "first", "second"}:
            self._others(story, thing, item)

    @staticmethod
    def _others(story: Story, thing: Thing, item: Item) -> None:
        """ "Coils six by twenty and five by fifteen. Both in.": all that were asked for together."""
        for other in [one for one in story.things if one.role == "embolise" and one.where == "asked"]:
            asked = other.asked
            if other is thing or asked is None or abs(asked.number - thing.seen) > 1:
                continue
            said = asked.values.get("count")
            draft = story.settle(asked, Status.DONE, item, "embolise/asked-and-let-go") or story.add(
                Kind.EMBOLISE, Status.DONE, item, "embolise/let-go", device=other.name, values=values_of(other)
            )
            draft.values["count"] = said if said is not None else counted(None, item)
            other.asked, other.done, other.left, other.where = None, draft, 0, "used"

    # --- what is poured ----------------------------------------------------------------------------

    def _given(self, story: Story, thing: Thing, item: Item) -> bool:
        """ "glue, one mil, injected": what was asked for with its volume here is in. "Glue in": it begins."""
        asked = thing.asked
        if item.status in NOT_DONE or story.sentence.question or (item.text in _SMALL and not _ends(story, item)):
            return False
        before = story.before()
        if before is not None and before.kind == "device" and before.role == "embolise":
            self.going = story.sentence.breath
        if (
            self.pour is None
            and self.heard
            and self.heard_in == story.sentence.breath
            and not story.mentions("quantity")
        ):
            heard = self.heard[-1]
            pour = self._start(story, thing, item)  # "glue. Point four. In."
            pour.counted, pour.draft.values["volume"] = [heard], heard.in_unit("mL")
            return True
        if (
            asked is None
            or self.pour is not None
            or "volume" not in asked.values
            or story.number - asked.number > 2
            or (item.text in _SMALL and asked.number < story.number and not self._of_embolic(story, item))
        ):
            return False
        self._start(story, thing, item, keep=True)
        return True

    @staticmethod
    def _of_embolic(story: Story, item: Item) -> bool:
        """Whether a small "in" is said of what was asked for before: it is named here, or nothing else is."""
        return _names_one(story.sentence) or _all_that_is_said(story.sentence, item)

    def _volume(self, story: Story, thing: Thing, item: Item) -> bool:
        quantity = item.figures["value"]
        asked = self.wondered[0] if self.wondered is not None and self.wondered[1] == story.sentence.breath else None
        if asked is not None and quantity.unit == "mL" and not story.sentence.texts & GOING:
            asked.values["volume"] = quantity  # "Glue? Half a mil would do it."
            return True
        if not _is_volume(story, item, self.pour) or item.status in NOT_DONE:
            return False
        if self.pour is not None and self.pour.thing is not thing and thing.asked is not None:
            self.pour, self.heard = None, []  # "four together, in. Five hundreds: one, two": named since
        following = story.after()
        behind = following is not None and following.text in _IS_IN and following.span[0] == item.span[1]
        if following is not None and behind and following.after not in {"the", "a", "my", "this"}:
            self.going = story.sentence.breath  # "two mils in"
        if self.pour is None and self._ordered(story, thing, item):
            self.heard, self.heard_in = [quantity], story.sentence.breath  # it may be counted on from here
            return True
        others = _OTHER_LIQUIDS if story.dictated else _OTHER_LIQUIDS | _MIXERS
        if {("i", "inject"), ("we", "inject")} & {*pairwise(story.sentence.tokens)} and story.topic == "embolise":
            others = others - {"inject"}
        known = self.pour.draft.values.get("volume") if self.pour is not None else None
        told = known is not None and known.value == quantity.value
        if (
            not told
            and not _names_one(story.sentence)
            and (story.sentence.texts & others or story.says("by hand") or _pictures(story))
        ):
            return False
        if known is not None and quantity.value <= known.value and _so_much_more(story, item):
            self.pour = self._start(story, thing, item)
        pour = self.pour or self._begun(story, thing, item)
        if pour is None:
            return False
        later = quantity.unit is None and story.sentence.breath > pour.breath
        if not self._count(pour, quantity, later=later):
            return False
        pour.draft.reach(item.words)
        pour.breath = story.sentence.breath
        return True

    def _of_another_size(self, story: Story) -> None:
        """ "three mils of the seven hundred micron": what is named after its volume goes in."""
        named, active = story.after(), story.active
        size = named.figures.get("diameter") if named is not None and named.role == "embolise" else None
        if named is None or size is None or active is None or active.name not in POURED or named.status in NOT_DONE:
            return
        known = active.values.get("diameter")
        if known is not None and not equal(known, size):
            story.active = find(story, named, lambda thing: thing.role == "embolise") or new(story, named)
            self.pour = None

    @staticmethod
    def _not_now(story: Story, item: Item, quantity: Quantity) -> bool:
        """ "Maybe glue if it goes on, half a mil or so": how much of what is only thought of."""
        last = story.recent(Kind.EMBOLISE)
        if last is None or last is not story.drafts[-1] or last.device not in POURED or "volume" in last.values:
            return False
        if last.status not in {Status.CONSIDERED, Status.QUOTED, Status.NEGATED, Status.PAST} or quantity.unit != "mL":
            return False
        last.values["volume"] = quantity
        last.reach(item.words)
        return True

    def _ordered(self, story: Story, thing: Thing, item: Item) -> bool:
        """ "five hundred micron, two mils, please", "make me up six mils of that": how much is made ready."""
        quantity, asked = item.figures["value"], thing.asked
        ready = bool(story.sentence.texts & _READY) and Status.NEGATED not in story.sentence.cues
        if asked is None and ready and self.going < story.sentence.breath and thing.where == "asked":
            return self._order(story, thing, item)
        if story.sentence.tokens[max(0, item.span[0] - 2) : item.span[0]] == ("syringe", "of") and asked is not None:
            asked.values.setdefault("volume", quantity.in_unit("mL"))
            return True
        small = quantity.unit is None and quantity.value < 1 and thing.name != "particles"
        if small and asked is None and Status.PLANNED in story.sentence.cues:
            return self._order(story, thing, item)  # "zero comma five, draw it up"
        if quantity.unit != "mL" or item.after == "of":
            return item.after == "of" and item.status is Status.PLANNED and self._order(story, thing, item)
        counting = self.heard_in == story.sentence.breath and self.heard and self.heard[-1].value < quantity.value
        if counting or _rises(story, quantity):
            return False
        if asked_what_went(story.sentence) or told_before(story.sentence, item.span[0]):
            return False
        fresh = asked is not None and asked.breath == story.sentence.breath and self.going != story.sentence.breath
        if asked is not None and fresh and not story.dictated:
            asked.values.setdefault("volume", quantity)
            asked.reach(item.words)
            return True
        anew = thing.where == "used" and _once_more(story.sentence, thing)
        if asked is None and anew and self.pour is None and self.going < story.sentence.breath:
            return self._order(story, thing, item)  # "slurry again, six mils"
        named = thing.where == "asked" and asked is None and self.going < story.sentence.breath
        follows = named and story.number - thing.seen <= 1 and _all_that_is_said(story.sentence, item)
        follows = follows and not _counted_on(story.following, quantity)
        return (follows or Status.PLANNED in story.sentence.cues) and self._order(story, thing, item)

    def _order(self, story: Story, thing: Thing, item: Item) -> bool:
        values = {key: value for key, value in values_of(thing).items() if key != "volume"}
        values["volume"] = item.figures["value"].in_unit("mL")
        thing.asked = story.add(
            Kind.EMBOLISE, Status.PLANNED, item, "embolise/made-ready", device=thing.name, values=values
        )
        thing.where = "asked"
        return True

    def _begun(self, story: Story, thing: Thing, item: Item) -> _Pour | None:
        """The delivery a volume begins: it was said to go in, it is counted up, or a dictation tells it."""
        if (
            story.topic not in {"embolise", "finding", "run", "measure"}
            or story.sentence.breath - story.spoken_breath > 6
        ):
            return None
        quantity, breath = item.figures["value"], story.sentence.breath
        if self.heard and quantity.value <= self.heard[-1].value:
            self.heard = []
        self.heard.append(quantity)
        self.heard_in = breath
        stopping = bool(story.sentence.texts & _STOPPED)
        if (
            self.going >= max(breath - 1, story.spoken_breath)
            or len(self.heard) >= 3
            or (len(self.heard) == 2 and stopping)
            or (stopping and quantity.unit is not None and "stop" not in story.sentence.texts)
            or (story.dictated and breath == story.spoken_breath and quantity.unit is not None)
            or asked_what_went(story.sentence)
            or story.number - self.how_much == 1
            or told_before(story.sentence, item.span[0])
        ):
            pour = self._start(story, thing, item)
            pour.counted = self.heard[:-1]
            return pour
        return None

    def _start(self, story: Story, thing: Thing, item: Item, keep: bool = False) -> _Pour:
        values = values_of(thing)
        if thing.where == "refused":  # what goes in is another one, most likely what went in before
            others = [one for one in story.things if one.name == thing.name and one.where in {"asked", "used"}]
            thing = story.active = others[-1] if others else thing
            values = {key: value.flagged("which-device") for key, value in values_of(thing).items()}
        ready = thing.asked.values.get("volume") if thing.asked is not None else None
        if keep and ready is not None:
            values["volume"] = carried(ready)
        if thing.asked is not None and self._went(story, thing.asked):
            thing.asked.breath = story.sentence.breath  # "five hundreds going in": told, not asked for
        draft = story.settle(thing.asked, Status.DONE, item, "embolise/asked-and-given") or story.add(
            Kind.EMBOLISE, Status.DONE, item, "embolise/given", device=thing.name, values=values
        )
        if not keep:
            draft.values.pop("volume", None)  # how much was made ready is not how much went in
        thing.asked, thing.done, thing.where = None, draft, "used"
        self.pour, self.heard = _Pour(draft, thing, story.sentence.breath), []
        return self.pour

    def _went(self, story: Story, asked: Draft) -> bool:
        """Whether what was asked for, as it seemed, was said to be on its way in."""
        volume, told = asked.values.get("volume"), story.mentions("quantity")
        same = volume is None or any(item.figures["value"].value == volume.value for item in told)
        return asked.number == self.goes and same

    @staticmethod
    def _count(pour: _Pour, quantity: Quantity, *, later: bool = False) -> bool:
        """The last of the figures counted up is the volume; a lone bare figure before them was something else. False
        where this one does not go on, or not by as little as a bare one told later.
        """
        before = pour.counted[-1] if pour.counted else None
        if before is not None and "corrected" not in quantity.flags:
            most = 3 * before.value + (3 if quantity.unit else 1)
            most = 1.5 * before.value + 0.5 if pour.stopped else 2 * before.value + 1 if later else most
            lone = len(pour.counted) == 1 and before.unit is None
            if quantity.value > most or (quantity.value < before.value and not lone):
                return False
        known = pour.draft.values.get("volume") if not pour.counted else None
        pour.counted.append(quantity)
        volume = quantity.in_unit("mL")
        if known is not None and known.value != volume.value and "corrected" not in quantity.flags:
            volume = volume.flagged("conflict", alternatives=(known.value,))  # "ten mils, in … six mils"
        pour.draft.values["volume"] = volume
        return True


def lets_go(story: Story, item: Item) -> bool:
    """ "it's in the catheter... and that's off": said of the coil that waits, whatever it came through."""
    before, active = story.before(), story.active
    waits = active is not None and active.role == "embolise" and active.where == "asked"
    return waits and item.text.endswith(("off", "detached")) and before is not None and before.kind == "pronoun"


def no_contrast(story: Story, item: Item) -> bool:
    """ "inject two hundred of GTN", "we have injected the glue", "Glue. Injecting.": what goes in is something else."""
    named = next(
        (o for o in story.ahead() if o.kind not in {"mark", "phrase", "pronoun", "quantity"} and o.text != "now"), None
    )
    if named is not None and (named.kind == "drug" or named.role == "embolise"):
        return True
    poured = story.active is not None and story.active.name in POURED and story.active.where != "refused"
    return poured and story.topic == "embolise" and item.text.startswith("inject") and not story.says("contrast")


def _pictures(story: Story) -> bool:
    """Whether a picture is spoken of: "we have injected two mils" and "the glue runs" speak of none."""
    said = (item for item in story.mentions("action") if "run" in item.meanings)
    return any(not item.text.startswith("inject") and item.text != "runs" for item in said)


def _rises(story: Story, quantity: Quantity) -> bool:
    """ "one mil, two mils, three mils": counted up, and not asked for."""
    following = story.after("mark")
    return (
        following is not None
        and following.kind == "quantity"
        and following.figures["value"].unit in {None, "mL"}
        and following.figures["value"].value > quantity.value
    )


def _names_one(sentence: Sentence) -> bool:
    return any(item.kind == "device" and item.role == "embolise" for item in sentence.items)


def _once_more(sentence: Sentence, thing: Thing) -> bool:
    """ "same slurry", "more foam": what was poured already is named again."""
    return bool(sentence.texts & _ANEW) and any(item.role and item.name == thing.name for item in sentence.items)


def _is_volume(story: Story, item: Item, pour: _Pour | None) -> bool:
    """Whether a figure may be a volume: no rate, no part of a mixture, no number of things."""
    quantity = item.figures["value"]
    if quantity.unit not in {None, "mL"} or not 0 < quantity.value <= (_MOST if quantity.unit else _MOST_UNSAID):
        return False
    if item.after in {"a", "per", "every", "syringe", "vial", "last", "final"}:
        return False
    if quantity.unit is not None:
        return True
    if story.dictated and (pour is None or pour.draft.words[0] < story.sentence.words[0]):
        return False  # "Four, no residual …": items of a list
    if item.after.endswith("s") and item.after not in {"'s", "is", "yes"}:
        return False
    if pour is not None and pour.stopped and item.after not in _ENDS_COUNT:
        return False  # "stop. … No embolus, one small tear-drop in the trunk"
    nearest = story.before()
    alone = item.span[0] == 0 if nearest is None else nearest.span[1] == item.span[0]
    known = pour.counted[-1].value if pour is not None and pour.counted else 0
    if not alone and not known < quantity.value <= 2 * known + 0.5:
        return False  # "glue for segment eight"
    figures = [other for other in story.sentence.items if other.kind == "quantity"]
    at = figures.index(item)
    return not any(_mixed(one, other) for one, other in pairwise(figures[max(0, at - 1) : at + 2]))


def _mixed(one: Item, other: Item) -> bool:
    """ "one to three", "one part to six": two figures of a mixture."""
    return (
        one.after in {"to", "part", "parts", "in"}
        and other.span[0] - one.span[1] <= 3
        and "mL" not in {one.figures["value"].unit, other.figures["value"].unit}
    )


def _down_a_tract(sentence: Sentence) -> bool:
    """ "gelatine down the tract": it goes in there."""
    poured = any(item.kind == "device" and item.name in POURED for item in sentence.items)
    return poured and bool({"tract", "track"} & sentence.texts) and Status.PLANNED not in sentence.cues


def _so_much_more(story: Story, item: Item) -> bool:
    """ "two mils, in, and one more mil", "while I pull back, more, zero point five": one more delivery, where it is no
    more than the one before; "a little more, two and a half" counts on.
    """
    first = next((other.span[1] for other in story.behind() if other.kind == "quantity"), 0)
    said = {*story.sentence.tokens[first : item.span[0]], *item.text.split()}
    said |= {item.after} if item.figures["value"].unit == "mL" else set()  # "two more coils" are none
    return bool(said & {"more", "another", "further", "additional"}) and not story.sentence.texts & _SUMS


def _share_volumes(sentence: Sentence) -> None:
    """ "two mils of five hundred micron particles": a volume of what is named behind it."""
    for before, item in pairwise(sentence.items):
        poured = item.kind == "device" and item.name in POURED and before.kind == "quantity"
        if poured and before.after == "of" and before.figures["value"].unit == "mL" and "volume" not in item.figures:
            item.figures["volume"], before.used = before.figures["value"], True


def _mark_ranges(sentence: Sentence) -> None:
    """ "particles, five hundred to seven hundred": the size is a range, of which the lower end was taken."""
    for item in sentence.items:
        size = item.figures.get("diameter") if item.kind == "device" and item.name in POURED else None
        if size is None or "approximate" in size.flags:
            continue
        for other in sentence.items:
            upper = other.figures["value"] if other.kind == "quantity" and other.before in {"to", "-"} else None
            if upper is None or upper.words[0] - size.words[1] not in {0, 1} or upper.unit not in {None, "mm"}:
                continue
            most = upper.value if upper.unit else upper.value / 1000
            if size.value < most <= 2 * _COARSEST:
                item.figures["diameter"] = size.flagged("approximate", alternatives=(*size.alternatives, most))
                other.used = True


def _doubt_ranges(story: Story) -> None:
    """A size told as a range is looked at: one number stands for two."""
    for draft in story.told_here():
        if draft.kind is not Kind.EMBOLISE:
            continue
        size = draft.values.get("diameter")
        if (
            size is None
            or draft.device not in POURED
            or "approximate" not in size.flags
            or "two-readings" in size.flags
        ):
            continue
        if size.alternatives:
            others = tuple(other / 1000 if other >= _MICRONS else other for other in size.alternatives)
            draft.values["diameter"] = size.flagged("two-readings", alternatives=others)


def _counted_on(following: Sentence | None, quantity: Quantity) -> bool:
    """ "One mil." "Two.": whether the next sentence begins with more."""
    figure = next((item for item in following.items if item.kind == "quantity"), None) if following else None
    more = figure.figures["value"] if figure is not None else None
    return more is not None and more.unit in {None, "mL"} and more.value > quantity.value


def _all_that_is_said(sentence: Sentence, item: Item) -> bool:
    """ "Two mils.", "I push... and in.": whether a sentence says nothing else."""
    said = (token for at, token in enumerate(sentence.tokens) if at not in range(*item.span))
    return all(not token.isalpha() or token in _SMALL_TALK | _PUSHING for token in said)


def _clauses(tokens: Sequence[str]) -> list[set[str]]:
    """The words of each clause, between marks."""
    clauses: list[set[str]] = [set()]
    for token in tokens:
        if token.isalpha() or token == "'s":
            clauses[-1].add(token)
        else:
            clauses.append(set())
    return clauses


def _beside(sentence: Sentence, item: Item) -> set[str]:
    """The other words of the clause of an item."""
    first, last = item.span
    tokens = sentence.tokens
    while first and (tokens[first - 1].isalpha() or tokens[first - 1] == "'s"):
        first -= 1
    while last < len(tokens) and tokens[last].isalpha():
        last += 1
    return {*tokens[first : item.span[0]], *tokens[item.span[1] : last]}


def _lies_about(sentence: Sentence, item: Item) -> bool:
    """ "parked on the table", "delivered to the store": where no embolic is let go."""
    return bool(_beside(sentence, item) & _LIES)


def _none_there(story: Story) -> bool:
    """ "Gone. None left.", "Gone, get a new one": a shelf is empty, here or in the next sentence of the breath."""
    here, following = story.sentence, story.following
    tokens = [*here.tokens, *(following.tokens if following and following.breath == here.breath else ())]
    return bool(_NONE_THERE & {*pairwise(tokens)})


def _of_it_alone(sentence: Sentence, item: Item) -> bool:
    """ "gone.", "and that one stays, …": a clause that names nothing but the coil, said of one."""
    said = _beside(sentence, item)
    return said <= _SMALL_TALK | _IT_TOO


def _of_something_else(story: Story, item: Item) -> bool:
    """ "disconnect the pump": what is let go is named, and is no coil or plug."""
    following = story.after()
    coil = following is not None and (following.role == "embolise" or following.kind == "pronoun")
    if "it" in item.text.split():
        return False  # "I turn it off the cable"
    return item.after in {"the", "my", "your"} and not coil


def _ends(story: Story, item: Item) -> bool:
    """Whether a small word ends its clause: "it's off." and not "off the collaterals"."""
    following = story.after()
    if item.after in _AFTER_ALL:
        return True
    return following is None or (following.kind == "mark" and following.span[0] == item.span[1])


def _adjoins(story: Story, item: Item) -> bool:
    """Whether it is the embolic that is off: "that's it off", "plug's off", and not "switched the pump off"."""
    before = story.before()
    if before is None:
        return item.span[0] <= 1
    most = {"mark": 2, "device": 2, "pronoun": 2, "quantity": 2, "phrase": 0}.get(before.kind, -1)
    return item.span[0] - before.span[1] <= most
