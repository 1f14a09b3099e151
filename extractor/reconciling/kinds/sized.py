"""Balloons, stents and embolics by name: asked for, ruled out, thought of; one is the active one, which "it" and "up
to ten" mean.
"""

import math
from dataclasses import replace
from itertools import pairwise

from extractor.model import Item, Kind, Quantity, Sentence, Status
from extractor.reconciling.kinds.grains import GRAINS, another_size
from extractor.reconciling.kinds.how_many import count_of, counted, number_said
from extractor.reconciling.kinds.several_stents import several
from extractor.reconciling.kinds.sized_afterwards import tell_unnamed, told_by_its_word, went_up_unnamed
from extractor.reconciling.kinds.sized_refused import (
    IN_ORDER,
    ONE_MORE,
    SAID_AGAIN,
    instead_of,
    is_another,
    is_refused,
    left_closed,
    noun_of,
    refuse_active,
    refuse_size,
    refused_already,
    thought_of,
)
from extractor.reconciling.marks import FIGURE_ENDS
from extractor.reconciling.pairs import another_here, on_both_sides
from extractor.reconciling.size_roles import LABELS, NOUNS, POURED, ROLES, WAITING, is_plural, role_of
from extractor.reconciling.story import NO, NOT_DONE, STORES, Hearing, Story, Thing
from extractor.reconciling.things import doubt_which, find, fit, learn, new, values_of
from extractor.sizes import DRAINING
from extractor.units import TIMES

#: Said of an embolic that is made ready, how much of it untold.
_READYING = frozenset("mix mixed make made prepare soak cut draw drawn shake shaken load ready next then".split())
#: Said of an embolic on its way in.
GOING = frozenset(
    """
    going goes gone went inject pushing giving slowly pulse creeping injecting injected instilled delivering delivered
    given gave give begin push slow enters entering entered flows dribble drip more starting runs begins putting pour
    poured
    """.split()
)
#: Two balloons of one size are two events.
_PAIR = {"two", "balloons"}
#: So many different words at most announce what comes next: "then coils."
_ANNOUNCED = 4
#: Where one is that is more than thought of.
_REAL = {"asked", "used", "up"}
#: No graft is wider, mm: common practice, no source.
_WIDEST_GRAFT = 46
#: The balloon a stent came on.
_OF_STENT = "stent balloon"
#: What a balloon that is never sized is called by.
_KINDS = frozenset(
    "moulding molding moulder molder remodelling remodeling compliant aortic occlusion occluder sizing soft "
    "embolectomy".split()
)
#: Before one of these that has no size of its own, they tell where another thing is.
_WHERE_ANOTHER_IS = {"of", "above", "below", "inside", "beyond", "from", "past"}
_INTO = {(where, "the") for where in ("in", "inside", "into", "within", "through")}
_LIES = {"across", "over", "past", "beyond", "inside", "into", "through"}
#: After a size that ends there.
_SIZE_ENDS = FIGURE_ENDS - {"!", ";", "-"} | {"please", "and"}
#: One of several by its size: which size, and whether the most of it.
_COMPARED = {
    "longer": ("length", True), "longest": ("length", True), "shorter": ("length", False),
    "shortest": ("length", False), "bigger": ("diameter", True), "biggest": ("diameter", True),
    "larger": ("diameter", True), "largest": ("diameter", True), "wider": ("diameter", True),
    "smaller": ("diameter", False), "smallest": ("diameter", False), "narrower": ("diameter", False),
}  # fmt: skip
#: … so too these, right before what stands for it: "small one in place".
_COMPARED_PLAINLY = {
    "small": ("diameter", False),
    "big": ("diameter", True), "large": ("diameter", True), "fat": ("diameter", True),
    "short": ("length", False), "long": ("length", True),
}  # fmt: skip
_STANDS_FOR_IT = {"one", "ones", "balloon", "fellow", "chap", "lad", "size"}
_AFTER_COMPARED = _STANDS_FOR_IT | set(
    "of 's is now by in up first at inside goes for here there then again , .".split()
)
#: Before it, where it is one that was spoken of; and so many sentences ago at most: set by hand, no source.
_BEFORE_COMPARED, _SPOKEN_OF = {"", "the", "now", "then", "that", "so", "and", ",", ".", "first", "my", "for"}, 40
#: Said of a stent that was there before.
_EARLIER = frozenset("old existing previous earlier known prior former indwelling".split())
#: Widths of balloons, mm: common practice, no source.
_WIDTHS = (4, 46)
#: Nothing soft is taken up so far, atm: common practice, no source. How wide it may be made at most, in so many words.
_NO_PRESSURE, _AT_MOST = 20, frozenset("maximum max at tops ceiling most limit".split())
_BESIDE_NAME = frozenset(", of the a one up to maximum max at most in size please : then now".split())
#: No particles are coarser, mm: common practice, no source.
_COARSEST = 2
#: Said of what was thought of, and is now to be used.
_NOW_USED = frozenset("open now then use take bring give pass yes okay right go".split())
#: Said of a stent or coil that lies where it should and is not open or let go yet.
_UNOPENED = frozenset("crimped open opened shut closed attached".split())
_NEAR_ANOTHER = 4
_LET_GO = {"opened", "open", "deployed", "released", "detached", "unopened"}


#: Of a stent in a dictation: it was settled upon, or asked for.
_WAS = frozenset({"was", "were", "been", "being"})
_CHOSEN = frozenset("chosen selected requested ordered called asked prepared".split())
_CHOSEN_HOW = frozenset("then therefore thus finally now accordingly hence duly".split())


class Sized(Hearing):
    """Hears devices of role inflation, stent and embolise."""

    def __init__(self) -> None:
        self.told: list[tuple[Thing, Item]] = []  # named in a dictation: done, unless the sentence tells more
        self.questioned = -9  # number of the last sentence that asked about one

    def begin(self, story: Story, sentence: Sentence) -> None:
        """ "Glue? … No." The answer rules out what the question asked about."""
        names = any(item.role in ROLES and not item.figures and item.status in NOT_DONE for item in sentence.items)
        if sentence.first in NO and self.questioned == story.number - 1 and not names:
            refuse_active(story, Item("mark", sentence.words, sentence.first))
        if (one := _compared(story, sentence)) is not None:
            self._activate(story, one)
            for item in sentence.items:
                if item.kind == "device" and item.text.split()[-1] in _STANDS_FOR_IT:
                    item.kind, item.name = "phrase", "aside"  # "the small one" is no catheter
        if any(_goes_back_in(story, item) for item in sentence.items):
            for item in sentence.items:
                item.status = None if "back" in item.cue.split() else item.status
        for item in sentence.items:
            sized = item.figures or (item.role in NOUNS and item.definite)
            if item.kind == "device" and sized and item.role in {"", *ROLES} and left_closed(sentence, item):
                item.status, item.cue = Status.NEGATED, "left closed"
            if item.role == "stent" and item.figures and _was_there(sentence, item):
                item.status, item.cue = Status.PAST, "there before"
        if any(_dilates_first(other) for other in sentence.items) and not any(
            "diameter" in other.figures for other in sentence.items
        ):
            story.spoken_role, story.spoken_breath = "inflation", sentence.breath
        _read_back(story, sentence)
        if sentence.question and any(item.kind == "device" and item.role in ROLES for item in sentence.items):
            self.questioned = story.number

    def hear(self, story: Story, item: Item) -> bool:
        if item.kind == "phrase" and item.name == "refused":
            return (
                self._unopened(story, item) or refuse_active(story, item) is not None or self._refuse_named(story, item)
            )
        if item.kind == "quantity":
            sized = self._sized_after(story, item, item.figures["value"]) or told_by_its_word(story, item)
            return sized or self._resized(story, item) or refuse_size(story, item) or another_size(story, item)
        if item.kind != "device":
            return False
        if item.figures.keys() == {"bare"} and self._sized_after(story, item, item.figures["bare"]):
            return True
        if item.name == "plug" and story.topic == "closure":
            return False
        _by_gauge(story, item)
        _of_so_many(story, item)
        if _gauge_read_back(story, item):
            return True
        role = item.role or role_of(story, item)
        if role not in ROLES:
            return False
        if (unnamed := went_up_unnamed(story, item)) is not None:
            _give_units(item)
            tell_unnamed(story, unnamed, item)
            return True
        item.role = role
        if item.known_only and item.role == "stent" and not item.where and not is_plural(item):
            story.graft_breath = story.sentence.breath
        if item.known_only and not {"diameter", "length"} <= item.figures.keys() and not _known_by_name(story, item):
            return True
        if not item.name and role == "embolise" and "length" in item.figures:
            item.name = "coil"
        if role == "embolise" and item.name not in POURED and (count := count_of(story, item)) is not None:
            item.figures["count"] = count
        if role == "stent" and (count := several(story, item)) is not None:
            item.figures["count"] = count
        _give_units(item)
        if not item.figures and (item.where in _WHERE_ANOTHER_IS or _where_another_lies(story)):
            return True
        self._named(story, item)
        return True

    def _refuse_named(self, story: Story, item: Item) -> bool:
        """ "that second stent, we don't put it": of what the same sentence names and was asked for or thought of."""
        for other in story.behind():
            if other.kind == "device" and other.role in ROLES and not other.figures:
                known = _known(story, replace(other, status=Status.NEGATED))
                if known is not None and known.where in WAITING:
                    self._refuse(story, replace(other, status=Status.NEGATED, definite=True), known)
                    return True
                return False
        return False

    @staticmethod
    def _sized_after(story: Story, item: Item, quantity: Quantity) -> bool:
        """ "the moulding balloon next, the thirty-two millimetre": the size of what was just named without one."""
        if _thought_of_size(story, item, quantity):
            return True
        thing = story.active
        if thing is not None and _grain_of(story, thing, item):
            thing.values["diameter"] = quantity = item.figures["value"]
            thing.asked = story.add(
                Kind.EMBOLISE, Status.PLANNED, item, "embolise/asked-for", device=thing.name, values=dict(thing.values)
            )
            return True
        if thing is None or thing.role not in {"inflation", "stent"} or thing.seen != story.number or thing.values:
            return False
        by_kind = bool(thing.qualifiers & _KINDS) and "high pressure" not in thing.qualifiers
        most = item.before in _AT_MOST or item.after in _AT_MOST
        beside = by_kind and _right_behind(story, item)  # "a moulding balloon of forty-six was inflated"
        far = item.before == "to" and beside and quantity.value >= _NO_PRESSURE  # "the compliant one up to thirty-two"
        listed = (item.before == "," and item.after in _SIZE_ENDS) or far or (most and by_kind)
        if (
            not (quantity.unit == "mm" or (by_kind and _may_be_wide(quantity)))
            or (quantity.unit is None and story.says("inflate", "deflate") and not beside)
            or not (listed or item.before in {"the", "a", "an", "size", "of"} or item.definite)
            or item.status not in {None, Status.PLANNED, Status.QUOTED if most and by_kind else None}
        ):
            return False
        quantity = quantity.in_unit("mm")
        thing.values["diameter"] = quantity
        if thing.asked is not None:
            thing.asked.values["diameter"] = quantity
            thing.asked.reach(item.words)
        elif thing.where == "asked" and not story.dictated:
            thing.asked = story.add(
                ROLES[thing.role], Status.PLANNED, item, f"{thing.role}/asked-for", device=NOUNS[thing.role]
            )
            thing.asked.values["diameter"] = quantity
        return True

    @staticmethod
    def _resized(story: Story, item: Item) -> bool:
        """ "six by eighty… no, eighty is too short, make it one twenty": a lone figure after a word that puts right is
        the width or the length of what was just asked for, whichever it is more like.
        """
        quantity, draft = item.figures["value"], story.drafts[-1] if story.drafts else None
        if draft is None or not {"diameter", "length"} <= draft.values.keys():
            return False
        instead = instead_of(story, draft)  # "we don't have thirty-eight, we have fifty-eight"
        if story.sentence.breath - draft.breath > (1 if instead else 0):
            return False
        asked = draft.status in {Status.PLANNED, Status.CONSIDERED} or (
            draft.rule.endswith("/called-off") and draft.number == story.number
        )
        if not asked or draft.kind not in ROLES.values() or quantity.unit not in {None, "mm"}:
            return False
        if (
            (
                "corrected" in quantity.flags and draft.number != story.number
            )  # "six by forty. Up. Twelve, sorry, fourteen."
            or item.status in NOT_DONE
            or item.after not in _SIZE_ENDS | {"then", "instead", "long", "so", "but"}
        ):
            return False
        if min(quantity.value, *(draft.values[key].value for key in ("diameter", "length"))) <= 0:
            return False
        put_right = any(other.corrects for other in story.behind()) or NO & {*story.sentence.tokens[: item.span[0]]}
        if not (put_right or instead) or story.says("raise", "inflate", "hold", "deflate"):
            return False
        sizes = {key: draft.values[key].value for key in ("diameter", "length")}
        key = instead or min(sizes, key=lambda key: abs(math.log(quantity.value / sizes[key])))
        old = draft.values[key]
        new = quantity.flagged("corrected", "conflict", unit=old.unit, alternatives=(old.value,))
        draft.values[key] = new
        draft.reach(item.words)
        draft.status = Status.PLANNED if draft.status is Status.NEGATED else draft.status
        for thing in story.things:
            if thing.role == draft.kind.value and thing.values.get(key) is old:
                thing.values[key] = new
                if thing.where == "refused":
                    thing.where, thing.asked = "asked", draft
        return True

    def end(self, story: Story, sentence: Sentence) -> None:
        for thing, item in self.told:
            if thing.where == "asked" and not sentence.question:
                values = values_of(thing, item)
                if thing.role == "embolise" and thing.name not in POURED and not is_plural(item):
                    values["count"] = counted(None, item)
                thing.done = story.add(
                    ROLES[thing.role],
                    Status.DONE,
                    item,
                    f"{thing.role}/told",
                    device=noun_of(item),
                    values=values | {key: said for key, said in item.figures.items() if key == "count"},
                )
                thing.where, thing.left = "used", 0
        self.told = []

    def _named(self, story: Story, item: Item) -> None:
        if _is_verb(story, item):
            return
        if (
            item.definite
            and not item.figures
            and not (item.name in POURED and (item.status is Status.PLANNED or _flows(story)))
            and item.status in {None, Status.PLANNED}
            and find(story, item, lambda thing: thing.role == item.role) is None
        ):
            if item.role == "inflation" and not item.where and not any(thing.role in ROLES for thing in story.things):
                self._activate(story, new(story, item))  # "the balloon's across", of one nobody has named
            elif _announced(story, item):
                story.spoken_role, story.spoken_breath = item.role, story.sentence.breath
            if item.role == "inflation" and not item.where and _of_its_own_kind(item):
                self._unsized(story, item)
            return
        if refused_already(story, item):
            return
        role, kind = item.role, ROLES[item.role]
        status = item.status = Status.NEGATED if is_refused(story, item) else item.status
        known = _known(story, item)
        bare = not item.figures.keys() - {"count"} and not item.qualifiers
        if bare and not (known is not None and status is Status.NEGATED and item.definite):
            if status in {None, Status.PLANNED, Status.QUOTED} and not (
                status is Status.PLANNED and known is None and role == "embolise" and item.name in POURED
            ):
                self._noun(story, item, known)
                return
            if status is Status.PAST and not item.figures:
                return
        if status in {Status.PAST, Status.QUOTED, Status.CONSIDERED}:
            if item.figures and status is Status.PAST and not item.headless:
                story.spoken_role, story.spoken_breath = role, story.sentence.breath
            values = (
                values_of(known, item)
                if known is not None and (item.definite or bare) and status is Status.CONSIDERED
                else dict(item.figures)
            )
            if role == "inflation" and status is Status.CONSIDERED and (time := time_before(story)) is not None:
                values["duration"] = time
            if status is Status.QUOTED and not values:
                if story.sentence.texts & LABELS:  # "label on the covered one: …"; not "twelve bar in a fresh stent"
                    story.spoken_role, story.spoken_breath = role, story.sentence.breath
            elif not _size_of_told(story, item):
                story.add(kind, status, item, f"{kind}/{status}", device=noun_of(item), values=values)
            charted = status is Status.QUOTED and role == "inflation" and "length" in item.figures
            if (status is Status.CONSIDERED or charted) and item.figures and known is None:
                new(story, item, "thought")
            if status is Status.QUOTED and item.definite and item.figures and role != "embolise":
                self._activate(story, known or new(story, item))  # "the label of the five by twenty balloon"
            return
        if status is Status.NEGATED:
            self._refuse(story, item, known)
            return
        if not item.figures and item.definite and _inside_another(story, item):
            return
        if (
            known is not None
            and (item.definite or bare or known.where == "asked" or known is _went_up_unsized(story, item))
            and not _one_more(story, item, known)
        ):
            self._again(story, item, known)
            return
        if status is None and known is not None and self._sums_up(story, item, known):
            return
        if status is None and story.dictated:
            thing = new(story, item)
            thing.left = number_said(item)
            self._activate(story, thing)
            if item.figures and role != "inflation" and not _chosen(story, item):
                self.told.append((thing, item))
            elif item.figures and role == "stent":
                thing.asked = story.add(
                    kind, Status.PLANNED, item, "stent/chosen", device=noun_of(item), values=dict(item.figures)
                )
            return
        alone = sum(other.kind == "device" and "diameter" in other.figures for other in story.sentence.items) == 1
        pair = role == "inflation" and alone and (_PAIR <= set(item.text.split()) or number_said(item) == 2)
        pair = pair or (role != "embolise" and alone and on_both_sides(story, item))
        if role == "inflation":
            item.figures.pop("count", None)  # each balloon is an event of its own
        thing = new(story, item)
        thing.qualifiers |= _kinds(item) | ({"paired"} if _kissing(story) else set())
        thing.left = 1 if pair else number_said(item)
        thing.asked = story.add(
            kind, Status.PLANNED, item, f"{kind}/asked-for", device=noun_of(item), values=dict(item.figures)
        )
        if pair and item.figures:
            twin = new(story, item)
            twin.qualifiers |= thing.qualifiers
            twin.asked = story.add(
                kind, Status.PLANNED, item, f"{kind}/asked-for", device=noun_of(item), values=dict(item.figures)
            )
        self._activate(story, thing)

    def _noun(self, story: Story, item: Item, known: Thing | None) -> None:
        """ "the stent's across": the one last spoken of becomes the active one."""
        announced = len(set(filter(str.isalpha, story.sentence.texts))) <= _ANNOUNCED  # "then coils."
        ready = _flows(story) or story.sentence.texts & _READYING or announced
        if known is None and item.name in POURED and ready:
            known = new(story, item)
        if known is None and item.role == "inflation" and not item.where and _of_its_own_kind(item):
            self._unsized(story, item)
            return
        if item.role != "embolise" or known is not None or announced:
            story.spoken_role, story.spoken_breath = item.role, story.sentence.breath
        if known is not None and not item.where and not _inside_another(story, item):
            if item.role == "stent" and _waits_for_it(story, known):
                return
            known.seen = story.number
            self._activate(story, known)

    def _unsized(self, story: Story, item: Item) -> None:
        """ "moulding balloon, at the neck": a balloon called by its kind alone, its size never told."""
        thing = new(story, item)
        thing.qualifiers |= _kinds(item)
        if item.status is Status.PLANNED:
            thing.asked = story.add(Kind.INFLATION, Status.PLANNED, item, "inflation/asked-for", device="balloon")
        self._activate(story, thing)

    def _again(self, story: Story, item: Item, known: Thing) -> None:
        used = known.where == "used"
        first_sized = not known.values and bool(item.figures)  # "kissing balloons, right eight by forty, …"
        sized_now = known.asked is known.done is None and not known.values and bool(item.figures)
        recalled = known.where == "thought" and bool(story.sentence.texts & _NOW_USED)
        learn(known, item)
        known.qualifiers |= {"paired"} if first_sized and _kissing(story) else set()
        known.spots = (known.spots or story.spots()) if sized_now or first_sized else known.spots
        known.seen = story.number
        known.called = story.number if "diameter" in item.figures else known.called
        self._activate(story, known)
        here = known.done if known.done and known.done.number == story.number else None
        for draft in filter(None, (known.asked, here)):  # "twelve atmospheres with the five by twenty"
            added = {key: value for key, value in item.figures.items() if key not in draft.values}
            draft.values |= added
            if added:
                draft.reach(item.words)
        if known.where in WAITING and known.asked is None and (sized_now or recalled):
            known.asked = story.add(
                ROLES[known.role],
                Status.PLANNED,
                item,
                f"{known.role}/asked-for",
                device=noun_of(item),
                values=values_of(known, item),
            )
            known.where = "asked"
        more = "volume" in item.figures and here is known.asked is None  # "same slurry, six mils"
        if used and (more or (item.status is Status.PLANNED and not story.says("again"))):
            known.asked = story.add(
                ROLES[known.role],
                Status.PLANNED,
                item,
                f"{known.role}/asked-for-again",
                device=noun_of(item),
                values=values_of(known, item),
            )
            known.where, known.left = "asked", 1

    def _refuse(self, story: Story, item: Item, known: Thing | None) -> None:
        story.spoken_role, story.spoken_breath = item.role, story.sentence.breath
        kind = ROLES[item.role]
        if not item.figures and (thought := thought_of(story, item)) is not None:
            story.rule_out(thought, item, "called-off")
            return
        known = None if known is not None and not item.figures and is_another(story, item, known) else known
        if known is not None and self._taken_back(story, item, known):
            return
        meant = known is not None and (bool(item.figures) or item.definite or known.where in WAITING)
        values = values_of(known, item) if known is not None and meant else dict(item.figures)
        if known is not None and not item.figures and _told_since(story, known):
            values = {key: doubt_which(value) for key, value in values.items()}
        asked = known.asked if known is not None and (item.figures or item.definite) else None
        planned = asked if asked is not None and asked.status is Status.PLANNED else None
        if story.settle(planned, Status.NEGATED, item, f"{kind}/ruled-out") is None:
            story.add(kind, Status.NEGATED, item, f"{kind}/ruled-out", device=noun_of(item), values=values)
        if known is not None and known.where in WAITING:
            known.where, known.asked = "refused", None
        if known is not None and story.active is known:
            story.active = next(
                (thing for thing in reversed(story.things) if thing.role in ROLES and thing.where == "asked"), known
            )

    @staticmethod
    def _sums_up(story: Story, item: Item, known: Thing) -> bool:
        """ "one, two, three… four mils of foam are in": how much of what has just been given."""
        done, volume = known.done, item.figures.get("volume")
        if done is None or volume is None or done.breath != story.sentence.breath or done.status is not Status.DONE:
            return False
        done.values["volume"] = volume
        done.reach(item.words)
        return True

    @staticmethod
    def _taken_back(story: Story, item: Item, known: Thing) -> bool:
        """ "strike the third coil", "that stent was never deployed": what was just told as done did not happen."""
        done = known.done
        if known.where != "used" or done is None or not item.definite or story.sentence.breath - done.breath > 2:
            return False
        if "back" in item.cue.split() and known.role == "inflation":
            return True  # it was up, and goes back to where it came from
        story.rule_out(done, item, "taken-back")
        still_there = bool(story.sentence.texts & _UNOPENED)
        known.where, known.done, known.left = "asked" if still_there else "refused", None, int(still_there)
        return True

    @staticmethod
    def _unopened(story: Story, item: Item) -> bool:
        """ "the lock is still on, it has not opened at all": what was told as let go a moment ago is not, and waits."""
        done = next((draft for draft in reversed(story.lately()) if draft.kind in {Kind.STENT, Kind.EMBOLISE}), None)
        if not set(item.text.split()) & _LET_GO or done is None or story.sentence.breath - done.breath > 1:
            return False
        if done.rule.endswith("/taken-back"):
            return True  # told once more: "nothing is released"
        thing = next((thing for thing in story.things if thing.done is done), None)
        if thing is None or done.status is not Status.DONE:
            return False
        story.rule_out(done, item, "taken-back")
        thing.where, thing.done, thing.left = "asked", None, thing.left + 1
        story.active = thing
        return True

    @staticmethod
    def _activate(story: Story, thing: Thing) -> None:
        story.active = thing
        story.spoken_role, story.spoken_breath = thing.role, story.sentence.breath
        story.topic = thing.role


def _known(story: Story, item: Item) -> Thing | None:
    """The thing a mention means. What is ruled out is what was asked for or thought of, before what was used."""
    role, refusing = item.role, item.status is Status.NEGATED
    if role == "inflation" and (one := _went_up_unsized(story, item)) is not None:
        return one
    if refusing:
        if "never" in item.cue.split() and (one := _just_used(story, item)) is not None:
            return one  # "that stent is still crimped, it never opened", though another was thought of before
        waiting = find(story, item, lambda thing: thing.role == role and thing.where in WAITING)
        if waiting is not None:
            return waiting if item.figures or story.spots() else _last_waiting(story, item)
    elif not item.figures and (one := _numbered(story, role)) is not None:
        return one
    if role == "inflation" and not refusing and not item.figures and not _kinds(item):
        up = [thing for thing in story.things if thing.role == role and thing.where == "up"]
        if len(up) == 1:
            return up[0]
    if role == "inflation" and not item.figures and (kinds := _kinds(item)):
        alike = [thing for thing in story.things if thing.role == role and thing.qualifiers & kinds]
        if alike and alike[-1].where != "refused":
            return alike[-1]  # "the moulding balloon once more"
    elif role == "inflation" and not refusing and not item.figures and (one := _went_up_last(story, item)) is not None:
        return one
    if role == "stent" and not refusing and not item.figures and (one := _just_opened(story)) is not None:
        return one
    active = story.active
    spoken_of = active is not None and active.role == role and active.where == "asked" and not item.figures
    if not refusing and spoken_of and active is not None and fit(item, active) is not None:
        return active
    if not item.figures and (found := find(story, item, lambda thing: thing.role == role and thing.where in _REAL)):
        return found
    return find(story, item, lambda thing: thing.role == role and (thing.where != "refused" or refusing))


def _went_up_unsized(story: Story, item: Item) -> Thing | None:
    """ "dilatation to ten atmospheres with a six by forty": the size of what this sentence told as up without one."""
    last = story.inflated
    if last is None or last.values or last.done is None or last.where != "up" or last.role != item.role:
        return None
    return last if last.done.number == story.number and item.figures and item.status is None else None


def _waits_for_it(story: Story, stent: Thing) -> bool:
    """ "Post with a six by eighty. … Distal stent, up to twelve.": one that is open is where the balloon goes that was
    asked for since, or went up in it.
    """
    balloon = story.active
    if balloon is None or balloon.role != "inflation" or balloon.seen <= stent.seen:
        return False
    if stent.where != "used" or story.says("deploy"):
        return False
    return balloon.where == "asked" or (balloon.where in {"used", "up"} and bool(story.mentions("quantity")))


def _grain_of(story: Story, thing: Thing, item: Item) -> bool:
    """ "Particles now. Four hundred micron." The size of what was just announced without one."""
    quantity = item.figures["value"]
    fresh = thing.name == "particles" and not thing.values and story.number - thing.seen <= 1
    if fresh and quantity.unit is None and quantity.value in GRAINS and item.before in {",", "size", "of", "the", ""}:
        quantity = item.figures["value"] = quantity.flagged("unit-assumed", unit="mm", value=quantity.value / 1000)
    return fresh and quantity.unit == "mm" and quantity.value <= _COARSEST and item.status in {None, Status.PLANNED}


def _read_back(story: Story, sentence: Sentence) -> None:
    """ "Two five by fifteen." "Two five, fifteen.": a size that was just asked for, said again as a row of numbers."""
    thing, figures = story.active, [item for item in sentence.items if item.kind == "quantity"]
    if thing is None or story.number - thing.seen > SAID_AGAIN or len(figures) not in {2, 3}:
        return
    known = [value for key in ("count", "diameter", "length") if (value := thing.values.get(key)) is not None]
    if len(known) < 2 or any(item.kind in {"device", "drug", "action", "pair"} for item in sentence.items[:1]):
        return
    pairs = zip((item.figures["value"] for item in figures[-2:]), known[-2:], strict=True)
    if all(figure.unit is None and value.value in _readings(figure) for figure, value in pairs):
        thing.seen = story.number
        for item in figures:
            item.used = True


def _readings(figure: Quantity) -> set[float]:
    """All that a figure may be: "two five" is 25 and 2.5."""
    return {figure.value, *figure.alternatives, *({figure.value / 10} if figure.form == "digits" else ())}


def _is_verb(story: Story, item: Item) -> bool:
    """ "we could coil it with a six by twenty", "stick the graft": no device of its own."""
    following, before = story.after(), story.before()
    bare = not item.figures and not item.qualifiers
    does = following is not None and following.kind == "pronoun" and following.span[0] == item.span[1]
    sized = any(other.kind == "device" and other.figures for other in story.ahead())
    punctured = before is not None and before.kind == "action" and "puncture" in before.meanings
    return bare and ((does and sized and item.role == "embolise") or (punctured and item.definite))


def _thought_of_size(story: Story, item: Item, quantity: Quantity) -> bool:
    """ "I could pop a plug in the trunk, an eight millimetre": the size of what was just thought of without one."""
    last = story.drafts[-1] if story.drafts else None
    named = next((other for other in story.behind() if other.kind == "device"), None)
    if last is None or named is None or last.number != story.number or last.kind is not ROLES.get(named.role):
        return False
    sized = quantity.unit == "mm" and item.before in {"a", "an"} and item.status in {None, Status.CONSIDERED}
    if not sized or last.status is not Status.CONSIDERED or "diameter" in last.values:
        return False
    last.values["diameter"] = quantity
    last.reach(item.words)
    new(story, replace(named, figures={"diameter": quantity}), "thought")
    return True


def _kissing(story: Story) -> bool:
    """Whether what a sentence asks for is to go up side by side."""
    return any(text.startswith(("kiss", "simultaneous")) for text in story.sentence.texts)


def _may_be_wide(quantity: Quantity) -> bool:
    """Whether a bare number can be the width of a balloon called by its kind: "moulding balloon, the thirty-two"."""
    return quantity.unit is None and _WIDTHS[0] <= quantity.value <= _WIDTHS[1] and not quantity.value % 0.5


def _right_behind(story: Story, item: Item) -> bool:
    """Whether a figure stands right behind the name of a balloon, with nothing told between."""
    before = next((other for other in story.behind() if other.kind == "device"), None)
    return before is not None and {*story.sentence.tokens[before.span[1] : item.span[0]]} <= _BESIDE_NAME


def _size_compared(sentence: Sentence) -> tuple[str, bool] | None:
    """Which size, and whether the most of it: "the longer of the two", "the smaller's there", "now the big one"."""
    tokens = ("", *sentence.tokens, "")
    for before, word, after in zip(tokens, tokens[1:], tokens[2:], strict=False):
        if before not in _BEFORE_COMPARED:
            continue
        if word in _COMPARED and after in (_AFTER_COMPARED if before == "the" else _STANDS_FOR_IT | {"of"}):
            return _COMPARED[word]
        if word in _COMPARED_PLAINLY and after in _STANDS_FOR_IT:
            return _COMPARED_PLAINLY[word]
    return None


def _compared(story: Story, sentence: Sentence) -> Thing | None:
    """ "the longer of the two", "the smaller one": of several asked for together, the one of that size."""
    said = _size_compared(sentence)
    if said is None:
        return None
    if any(item.kind == "device" and item.figures.keys() & {"diameter", "length"} for item in sentence.items):
        return None
    key, most = said
    sized = [
        thing for thing in story.things if thing.role in {"inflation", "stent"} and thing.where in {"asked", "used"}
    ]
    alike = [thing for thing in sized if (thing.role, thing.breath) == (sized[-1].role, sized[-1].breath)]
    alike = [thing for thing in alike if key in thing.values]
    if len(alike) < 2:
        late = story.number - _SPOKEN_OF
        alike = [thing for thing in sized if thing.role == sized[-1].role and key in thing.values and thing.seen > late]
    if len({thing.values[key].value for thing in alike}) < 2:
        return None
    return max(alike, key=lambda thing: thing.values[key].value * (1 if most else -1))


def _last_waiting(story: Story, item: Item) -> Thing | None:
    """What "no second stent" or "we leave the balloon" means: of what waits, the last that was spoken of."""
    waiting = (thing for thing in story.things if thing.role == item.role and thing.where in WAITING)
    return max((thing for thing in waiting if fit(item, thing) is not None), key=lambda thing: thing.seen, default=None)


def _just_used(story: Story, item: Item) -> Thing | None:
    """The last thing of a role told as done lately, where that is what "that stent" or "the coil" means."""
    done = story.recent(ROLES[item.role], 2, Status.DONE) if item.definite and not item.figures else None
    return next((thing for thing in story.things if done is not None and thing.done is done), None)


def _one_more(story: Story, item: Item, known: Thing) -> bool:
    """ "second piece also six by one fifty": asked for in the size of one that waits, and not that one."""
    if (
        item.definite
        or known.left > 1
        or known.where != "asked"
        or story.says("placed", "particle", "deploy", "inflate")
    ):
        return False
    if another_here(story, item, known):
        return True
    before = story.sentence.tokens[max(0, item.span[0] - _NEAR_ANOTHER) : item.span[0]]
    return bool({*before, *item.text.split()} & (ONE_MORE | {"second", "third"}) - {"more", "next"})


def _told_since(story: Story, known: Thing) -> bool:
    """Whether another thing of its role was spoken of since, or another balloon or stent that waits too."""
    return any(
        other.seen > known.seen
        and other.values != known.values
        and (other.role == known.role or (other.role in NOUNS and other.where in WAITING))
        for other in story.things
    )


def _known_by_name(story: Story, item: Item) -> bool:
    """Whether a short name ("the limb") was given to something before."""
    return find(story, item, lambda thing: thing.role == item.role and thing.nickname == item.nickname) is not None


def _just_opened(story: Story) -> Thing | None:
    """ "it flowers… the stent is out": the one that was let go in this very breath, though another was asked for."""
    done = story.recent(Kind.STENT, 0, Status.DONE)
    if done is None or story.sentence.texts & {*IN_ORDER, "other", "next", "another"}:
        return None
    return next((thing for thing in story.things if thing.done is done), None)


def _kinds(item: Item) -> set[str]:
    """What a balloon is called by, where it is more than just that."""
    return set(item.text.split()) & _KINDS if item.role == "inflation" else set()


def _went_up_last(story: Story, item: Item) -> Thing | None:
    """ "the same balloon": the one that went up last, also where it is the one a stent came on; so is "the balloon"
    after such a stent, unless another was asked for since.
    """
    last, before = story.inflated, story.before()
    if last is None:
        return None
    if item.nickname == _OF_STENT:
        spots = story.spots()
        mounted = [thing for thing in story.things if thing.role == "stent" and thing.where in {"used", "up"}]
        there = [thing for thing in mounted if thing.spots & spots]
        return (there or [thing for thing in mounted if thing.mount != "self"] or [last])[-1]
    same = before is not None and "again" in before.meanings and "same" in before.text.split()
    waiting = any(thing.role == "inflation" and thing.where == "asked" for thing in story.things)
    return last if same or (last.role == "stent" and not waiting) else None


def _numbered(story: Story, role: str) -> Thing | None:
    """ "the first stent", "second one": of several asked for together, the one of that place in the order."""
    number = next((place for place, word in enumerate(IN_ORDER) if word in story.sentence.texts), None)
    asked = [thing for thing in story.things if thing.role == role and thing.where != "thought"]
    batch = [thing for thing in asked if asked and thing.breath == asked[-1].breath]
    if number is None or not number < len(batch) > 1:
        return None
    return batch[number] if batch[number].where == "asked" else None


def time_before(story: Story) -> Quantity | None:
    """ "one could sit on it for five minutes with that same balloon": for how long, said before what with."""
    for other in story.behind():
        if other.kind in {"device", "drug", "finding"}:
            return None
        if other.kind == "quantity" and other.figures["value"].unit in TIMES and other.before == "for":
            other.used = True
            return other.figures["value"]
    return None


def _was_there(sentence: Sentence, item: Item) -> bool:
    """ "he has an old stent, six by eighty": called so, it was placed before this case."""
    said = sentence.tokens[max(0, item.span[0] - 1) : item.span[0] + 1]
    return item.status in {None, Status.PLANNED} and bool(_EARLIER & {*said})


def _dilates_first(item: Item) -> bool:
    """ "Predilate the circumflex first. Two point five by fifteen.": the size that follows is a balloon's."""
    planned = item.kind == "action" and "inflate" in item.meanings and item.status not in NOT_DONE
    return planned and item.text.startswith("pre") and not item.text.endswith("ed")


def _goes_back_in(story: Story, item: Item) -> bool:
    """ "The same balloon goes back": one that was up before goes in once more, and not to its shelf."""
    if item.role != "inflation" or item.status is not Status.NEGATED or "back" not in item.cue.split():
        return False
    used = find(story, item, lambda thing: thing.role == "inflation" and thing.where == "used")
    waits = any(thing.role == "inflation" and thing.where in WAITING for thing in story.things)
    return used is not None and not waits and not story.sentence.texts & STORES


def _size_of_told(story: Story, item: Item) -> bool:
    """ "they took the vein to fourteen atmospheres with a twelve by forty": the size of what was just told by its
    pressure alone; "we might stent it next month. A six by hundred": or by nothing, in the talk this goes on with.
    """
    last = story.recent(ROLES[item.role], 0 if story.frames.begins is None else 2)
    begins = story.sentence.words[0] if story.frames.begins is None else story.frames.begins
    here = last is not None and last.words[0] >= begins and last.status is item.status
    unsized = last is not None and (
        last.values.keys() == {"pressure"} or (not last.values and last.number < story.number)
    )
    if last is None or not here or not unsized or not item.figures:
        return False
    last.device, last.values = noun_of(item), {**item.figures, **last.values}
    last.reach(item.words)
    return True


def _announced(story: Story, item: Item) -> bool:
    """ "Now the stent." Nothing else is said of it: its size follows."""
    others = {other.kind for other in story.sentence.items if other is not item}
    return not item.where and len(story.sentence.texts) <= 6 and others <= {"mark", "action", "pronoun", "side", "part"}


def _of_its_own_kind(item: Item) -> bool:
    """Whether a balloon is called more than just that: it is none that was asked for by its size, nor a stent's."""
    return bool(set(item.text.split()) & _KINDS) and not is_plural(item)


def _flows(story: Story) -> bool:
    """Whether a poured embolic is being given: it is said to go, or a volume is said with it."""
    volumes = any(other.figures["value"].unit in {None, "mL"} for other in story.mentions("quantity"))
    return volumes or bool(story.sentence.texts & GOING)


def _chosen(story: Story, item: Item) -> bool:
    """ "A stent of eight by forty was selected." In a dictation: whether one was only settled upon or asked for, so
    that what was done with it is told afterwards.
    """
    return any(
        be in _WAS and verb in _CHOSEN
        for be, verb in pairwise(token for token in story.sentence.tokens[item.span[1] :] if token not in _CHOSEN_HOW)
    ) and not story.says("deploy", "placed particle")


def _where_another_lies(story: Story) -> bool:
    """ "balloon is across the old coils": named only as where another is."""
    before, item = story.before(), story.sentence.items[story.index]
    placed = before is not None and before.kind == "action" and before.text.split()[-1] in _LIES
    return placed and before is not None and item.span[0] - before.span[1] <= 2


def _inside_another(story: Story, item: Item) -> bool:
    """ "eight by fifty across, one centimetre in the old graft": what was just named by its size goes into this one."""
    before = story.sentence.tokens[max(0, item.span[0] - 2) : item.span[0]]
    waits = any(thing.role == "inflation" and thing.where == "asked" for thing in story.things)
    if item.role == "stent" and waits and before in _INTO:
        return True  # "three seventy-five by fifteen. / In the stent, eighteen."
    roles = {item.role, "inflation"} if {"in", "the"} == {*before} else {item.role}  # "a balloon in the stent"
    return any(
        other.kind == "device" and other.role in roles and other.figures.keys() & {"diameter", "length"}
        for other in story.behind()
    )


def _gauge_read_back(story: Story, item: Item) -> bool:
    """ "Seven French sheath, forty-five. — Seven by forty-five.": a gauge and a length, said again as one size."""
    wide, long = item.figures.get("diameter"), item.figures.get("length")
    if item.role or item.name or wide is None or long is None or wide.unit or long.unit:
        return False
    thing = next((one for one in reversed(story.things) if story.number - one.seen <= SAID_AGAIN), None)
    known = thing.values if thing is not None and thing.role == "insert" else {}
    same = known.get("gauge"), known.get("length")
    return all(a is not None and a.value == b.value for a, b in zip(same, (wide, long), strict=True))


def _of_so_many(story: Story, item: Item) -> None:
    """ "that graft of forty we do not place": how wide another one would be, behind its name."""
    following = story.after()
    if item.role not in NOUNS or item.figures or following is None or following.kind != "quantity":
        return
    if item.status not in NOT_DONE:
        return  # "the stent of eight swims": of one that is known
    figure, apart = following.figures["value"], following.span[0] - item.span[1]
    if following.before == "of" and apart == 1 and figure.unit in {None, "mm"} and 2 <= figure.value <= _WIDEST_GRAFT:
        item.figures["diameter"], following.used = figure, True


def _by_gauge(story: Story, item: Item) -> None:
    """ "seven by twenty-six", where the case is of stents that drain: seven French, twenty-six centimetres."""
    wide, long = item.figures.get("diameter"), item.figures.get("length")
    if wide is None or long is None or wide.unit or long.unit or item.role not in {"", "stent"}:
        return
    known = item.nickname in DRAINING or any(thing.nickname == "ureteric stent" for thing in story.things)
    if known and wide.value in range(4, 11) and long.value in range(8, 33):
        item.role = "stent"
        item.figures = {key: said for key, said in item.figures.items() if key not in {"diameter", "length"}}
        sure = () if item.nickname in DRAINING else ("unit-guessed",)
        item.figures |= {"gauge": wide.flagged(*sure, unit="[Ch]"), "length": long.flagged(*sure, unit="cm")}


def _give_units(item: Item) -> None:
    """Sizes without a unit: millimetres, but coils are millimetres by centimetres (common practice, no source)."""
    coil = item.role == "embolise"
    mils = item.figures.get("volume")
    if coil and mils is not None and item.name not in POURED and "diameter" not in item.figures:
        item.figures["diameter"] = item.figures.pop("volume").flagged("unit-assumed", unit="mm")  # "a twelve mil plug"
    for key, unit in (("diameter", "mm"), ("length", "cm" if coil else "mm"), ("volume", "mL")):
        quantity = item.figures.get(key)
        if quantity is not None and quantity.unit is None:
            item.figures[key] = replace(quantity, unit=unit)
