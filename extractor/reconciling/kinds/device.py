"""Sheaths, wires, catheters and the like: asked for, in, out, exchanged."""

from dataclasses import replace
from itertools import pairwise

from extractor.model import SIDES, Item, Kind, Quantity, Sentence, Status
from extractor.reconciling.kinds.alike import doubtful_sizes, make_alike, says_alike
from extractor.reconciling.kinds.brought import name_arrivals, name_moves
from extractor.reconciling.kinds.closing_size import is_of_what_closes
from extractor.reconciling.kinds.device_words import (
    IN_ITS_PLACE,
    LAST_TOLD,
    LATER,
    TO_BE,
    WAYS_TO,
    called_for_over,
    follows_it,
    follows_out,
    for_another_way,
    fresh,
    goes_along,
    goes_on_to_tell,
    inserted,
    is_asked,
    is_in,
    is_labelled,
    is_of,
    is_only_named,
    is_wished,
    means_wire,
    named_before,
    next_out,
    status_of,
    subject_of,
    way_to,
)
from extractor.reconciling.kinds.dilators import Dilators, dilated_with
from extractor.reconciling.kinds.embolise import lets_go
from extractor.reconciling.kinds.exchanged import Elsewhere, Exchange, find_exchange
from extractor.reconciling.kinds.first_sheath import FirstSheath, is_way_in
from extractor.reconciling.kinds.in_place import name_states
from extractor.reconciling.kinds.length_beside import length_of_named, length_of_told
from extractor.reconciling.kinds.named_after import Row, leads, named_behind, over_it, tells_of_all, tells_of_it
from extractor.reconciling.kinds.no_move import (
    asks,
    awaited,
    elsewhere,
    is_kept,
    stays,
    to_happen,
)
from extractor.reconciling.kinds.old_one import old_one, tells_of_old
from extractor.reconciling.kinds.out_again import take_sizes_of_gone
from extractor.reconciling.kinds.out_later import leaves_later
from extractor.reconciling.kinds.said_of import (
    ALONG,
    adjoins,
    apart,
    is_pair,
    right_after,
    somewhere,
    subjects,
)
from extractor.reconciling.kinds.several import (
    are_both_in,
    both_of,
    count_of,
    is_for_other_side,
    name_one_of_several,
    number_of,
    on_other_side,
    part_two,
    side_of,
    take_one,
    tell_alike_apart,
)
from extractor.reconciling.kinds.there_with import name_where_with
from extractor.reconciling.kinds.told_after import (
    asks_for_size,
    asks_of_else,
    call_by_size,
    give_sizes,
    is_called_on,
    may_take,
    names_nothing,
    says_again,
    tell_size,
    tells_of_named,
    tells_of_placed,
    tells_sizes_only,
)
from extractor.reconciling.kinds.told_again import (
    JUST_TOLD,
    may_be_again,
    only_said_again,
    other_side,
    overtaken,
    told_again,
)
from extractor.reconciling.kinds.told_late import allows_width, of_unknown_size, tells_what_it_was
from extractor.reconciling.marks import CLAUSE_ENDS
from extractor.reconciling.story import PLACING, POINTERS, Hearing, Story, Thing
from extractor.reconciling.things import call, find, fit, learn, new, own_words, values_of
from extractor.sizes import WIDEST_MICRO, has_sizes, size_of
from extractor.units import TIMES

_IN = {"placed", "particle"}
_OUT = {"removed", "particle out"}
#: So many items away stands what a size is said of; set by hand, no source.
_NEAR = 4
#: What a gauge with no noun is of, mostly; common practice, no source.
_UNNAMED = "sheath"
#: For these another goes in through the same hole.
_TUBES = {"drain", "nephrostomy", "gastrostomy"}
#: What goes in with one of these is told as access gained; asked for or out, it is as any device.
_WAY_IN = {"needle"}
#: Said alone, these speak of the device named last.
_ALONE = {
    "in", "out", "off", "across", "through", "up", "gone in", "parked", "placed", "seated", "removed", "out it comes",
    "is in", "is out", "'s in", "'s out", "comes out", "came out", "coming out", "went in", "goes in",
    "crosses", "passes", "enters", "in place", "in position", "over the top",
}  # fmt: skip
#: So do these, of one just asked for.
_MOVING = {"going up", "going in", "going down", "goes up", "goes down", "going over", "goes over", "advanced"}
#: How a wish begins.
_WISHES = ("i 'd like", "i want", "i would like", "we want", "i 'd want", "we 'd like", "can i have", "can we have")
#: Before "it": one of two that are asked for is in the other.
_INSIDE = {"in", "inside", "through"}
#: After one of these comes where it is: "both are at the occlusion".
_THERE = (" at", " through", " across", " near", " over")
#: Of a balloon they say that it comes down; right after what goes in and comes out, that it is out.
_COMES_OFF = {"come off"}
#: For so many sentences "the wire's out" tells again what was asked or told; set by hand, no source.
_JUST_OUT = 2
#: Beside a size said alone: it is of all that were spoken of.
_EACH = {"both", "each", "all"}
#: What came out may be called so: it was in before this case.
_EARLIER = {"previous", "prior", "existing", "old", "the previous", "the old", "indwelling"}
#: A sentence with so many different words, "please" among them, calls for what it names; set by hand, no source.
_CALLED = 7
#: No sheath, catheter or drain is wider, and no sheath thinner, Fr: common practice, no source.
_WIDEST, _THINNEST = 28, 3
#: For so many sentences "it" may be the device named last; common practice, no source.
_REMEMBERED = 12
#: Named after one of these, a device is where another goes.
_WHERE = PLACING | {"of"}


class Devices(Hearing):
    """Hears devices of role insert, and what becomes of them."""

    def __init__(self) -> None:
        self.named: Thing | None = None  # the device named last with no word of what became of it
        self.named_in = -9  # and the sentence that named it
        self.spoken: Item | None = None  # the device named last with nothing told of it, not even its size
        self.spoken_in = -9
        self.open: list[Item] = []  # named since the last word that said what became of a device
        self.waiting: tuple[str, Item] | None = None  # "took out …", "exchanged for …": the device comes after
        self.row: Row | None = None  # what was just told to be in or out, of which more may follow
        self.swap = False  # after the one that goes out comes the one that goes in
        self.gone = ""  # what was just exchanged for something
        self.entered: list[Thing] = []  # what went in, in this sentence and the one before
        self.focus: list[Thing] = []  # what "it", "both", "in" mean
        self.gone_out: Item | None = None  # the word in this sentence that told what came out
        self.asked = -9  # the sentence that asked for a size: "and the length?"
        self.told_in = -9  # the last one that was no such question, nor said as little as "no, not the short"
        self.told: Item | None = None  # the word in this sentence that told what went in: what it went over is in too
        self.exchange: Exchange | Elsewhere | None = None  # what this sentence exchanges for what
        self.later: set[int] = set()  # the items that tell what is to come out another day
        self.dilators, self.first_sheath = Dilators(), FirstSheath()

    def begin(self, story: Story, sentence: Sentence) -> None:
        self.open = []
        self.told = self.gone_out = None
        self.waiting, self.swap, self.gone = None, False, ""
        self.row = None
        tell_alike_apart(sentence)
        name_one_of_several(story, sentence)
        name_moves(sentence, story.following)
        name_arrivals(sentence)
        name_where_with(sentence)
        self.dilators.name(story, sentence)
        self.first_sheath.name(story, sentence)
        name_states(story, sentence, self.focus)
        self.exchange = find_exchange(story, sentence, self.focus)
        self.later = self._leaves_later(story, sentence)

    def hear(self, story: Story, item: Item) -> bool:
        if id(item) in self.later:
            return True
        if self.exchange is not None and self.exchange.has(item):
            return isinstance(self.exchange, Exchange) and self._exchange(story, item, self.exchange)
        if item.kind == "device":
            if not self.open and tells_of_old(story, item):
                return True
            call_by_size(story, item)
        if item.kind == "device" and inserted(story, item):
            part_two(item, self.spoken is not None and self.spoken.name == "microcatheter" and self._lately(story))
            item.role = "insert"
            led = self.waiting is not None and self.waiting[1] is story.before("side")  # "through goes the catheter"
            item.where = item.where or ("" if led else way_to(story, item))
            if item.known_only and not item.figures and not named_before(story, item):
                return True
            if item.name == "guide catheter" and "gauge" not in item.figures and means_wire(story):
                item.name, item.nickname = "wire", None
            if (
                not item.name
                and not item.figures
                and find(story, item, lambda thing: thing.role == "insert" and thing.where in {"asked", "in"}) is None
            ):
                return True
            self._take_name(story, item)
            self._take_place(story, item)
            if not self.open and self._told_after(story, item):
                return True
            if item.headless and (self._goes_on(story, item) if not self.open else self._sized(story, item)):
                return True
            if _too_thin(item) and find(story, item, lambda thing: thing.role == "insert") is None:
                item.name = "microcatheter"
            if self.gone_out is not None and next_out(story, item):
                self._happen(story, [item], "out", self.gone_out)
                return True
            if self.row is not None and self.row.goes_on(story, item):
                self._happen(story, [item], self.row.way, self.row.action, more=True)
                self.row.last = item
                return True
            if self.waiting and self.swap and item.where in {"for", "to"}:
                for thing in self.focus:
                    self._move(story, thing, None, "out", self.waiting[1])
                self.waiting, self.swap = ("in", self.waiting[1]), False
            if self.waiting and (item.where in {"", "for", "to", "with", "off"} or is_of(self.waiting[1], item)):
                if self.waiting[0] == "in" and self.gone and item.headless and not item.name:
                    item.name = self.gone  # "exchanged the sheath for a seven French"
                self.gone = item.name if self.swap else ""
                self._happen(story, [item], self.waiting[0], self.waiting[1])
                exchanged = self.swap or "exchange" in self.waiting[1].meanings
                if exchanged and self.waiting[0] == "in":
                    _make_room(story, self.focus)
                self.row = None if exchanged else Row(*self.waiting, item)
                self.waiting = ("in", self.waiting[1]) if self.waiting[0] == "out" and self.swap else None
                self.swap = False
            elif item.where in _WHERE:
                self._place(story, item)
            elif not self._goes_too(story, item):
                self.open.append(item)
                if item.figures and (known := find(story, item, is_in)) is not None:
                    known.seen = story.number
            if item.where not in _WHERE and item.name not in _WAY_IN:
                story.topic = "device"
            return True
        if item.kind == "action":
            return self._act(story, item)
        if item.kind == "quantity":
            told = self._resized(story, item) or allows_width(story, item) or self._told_alone(story, item)
            return told or self._told_beside(story, item)
        if item.kind == "side":
            self._changes_sides(story, item)
            return False
        if item.kind == "phrase" and item.name == "refused":
            return self._refuse(story, item)
        return False

    def end(self, story: Story, sentence: Sentence) -> None:
        if asks_for_size(sentence):
            self.asked = story.number
        elif asks_of_else(sentence) or not names_nothing(sentence) or story.number - max(self.told_in, self.asked) > 1:
            self.told_in = story.number
        for item in self.open:
            story.index = sentence.items.index(item)
            if item.status is None and self.told is not None and follows_it(story, item, self.told):
                self._happen(story, [item], "out" if self.gone_out is not None else "in", self.gone_out or self.told)
            elif item.where in {"", "with"} or self.named_in == story.number:
                self._name(story, item)
        self.open, story.index = [], max(0, len(sentence.items) - 1)
        if says_alike(sentence):
            self._like_another(story)

    def _leaves_later(self, story: Story, sentence: Sentence) -> set[int]:
        """Tells what is to come out after this case, which stays until then -> the items that told of it."""
        later = leaves_later(story, sentence)
        if later is None:
            return set()
        word, named, thing = later
        if thing is None and named is not None:
            thing = new(story, named, "in")
        if thing is not None:
            learn(thing, named or word)
            draft = story.add(
                Kind.REMOVE,
                word.status or Status.PLANNED,
                named or word,
                "remove/later",
                device=thing.name or _UNNAMED,
                values=values_of(thing, named),
            )
            draft.reach(word.words)
            thing.seen, self.focus = story.number, [thing]
        told = (one for one in sentence.items if one is named or one.span[0] <= word.span[0] < one.span[1])
        return {id(one) for one in told}

    def _like_another(self, story: Story) -> None:
        """ "Hydrophilic in. Same gauge.": a size like another's, of what was told right before."""
        thing = self.focus[-1] if self.focus and story.topic == "device" else None
        if thing is None or thing.told is None or story.number - thing.seen > 1 or not may_take(thing, _UNNAMED):
            return
        known = {*thing.values}
        make_alike(story, thing, _UNNAMED)
        thing.told.values |= {key: value for key, value in thing.values.items() if key not in known}

    def _place(self, story: Story, item: Item) -> None:
        """A device said only as where another goes: new ones are in, known ones are what "which" and "it" mean."""
        known = find(story, item, is_in)
        if known is not None:
            thing = known
            learn(thing, item)
        elif not fresh(item) and not item.figures:
            return
        elif not fresh(item) and item.where in WAYS_TO and item.name == "sheath":
            thing = new(story, item, "in")  # "through the twelve French sheath"
        elif fresh(item) and (self.told is not None or story.dictated):
            thing = self._thing(story, item, "in", self.told or item)
            self._move(story, thing, item, "in", self.told or item)
        else:
            self.open.append(item)
            return
        if not self.open and not self.waiting:
            self.focus = [thing]

    def _waits_filter(self, story: Story) -> bool:
        thing = self.focus[-1] if self.focus else None
        waits = thing is not None and thing.name == "filter" and thing.where == "asked"
        return waits and story.topic == "device" and not story.mentions("device")

    def _goes_too(self, story: Story, item: Item) -> bool:
        """ "the micro is in the branch with its wire", "is out with the wire": what waits or is in goes too."""
        if item.where != "with" or self.told is None or item.figures:
            return False
        way, told = ("out", self.gone_out) if self.gone_out is not None else ("in", self.told)
        thing = find(story, item, is_in if way == "out" else is_asked)
        if thing is None or thing.name != item.name or told.span[1] > item.span[0]:
            return False
        self._move(story, thing, item, way, told)
        return True

    def _changes_sides(self, story: Story, item: Item) -> None:
        """ "out of the left, into the right": what comes out of one access goes in through the other."""
        left = [thing for thing in self.focus if thing.where == "out" and thing.seen == story.number]
        entered = {draft.side for draft in story.lately() if draft.kind is Kind.ACCESS and draft.status is Status.DONE}
        out_of = any(pair == ("out", "of") for pair in pairwise(story.sentence.tokens[: item.span[0]]))
        if item.where in {"into", "up", "in"} and out_of and entered >= SIDES and item.status is None:
            for thing in left:
                self._move(story, thing, None, "in", item)

    # --- what became of it -------------------------------------------------------------------------

    def _act(self, story: Story, item: Item) -> bool:
        if lets_go(story, item):
            return False
        if "dilat" in item.text and (row := dilated_with(story)):
            for dilator in row:
                self._happen(story, [dilator], "in", item)
                dilator.used = True
            return True
        if "exchange" in item.meanings and is_wished(story, item):
            return False
        if "replace" in item.meanings and self.open:
            self._happen(story, self.open, "in", item)
            self.open, self.waiting = [], ("out", item)
            return True
        if "exchange" in item.meanings and not self.open and item.text.endswith(IN_ITS_PLACE):
            pointed = any(other.kind == "pronoun" and other.name in POINTERS for other in story.clause())
            pointed = pointed or (story.topic == "device" and bool({"it", "that"} & set(item.text.split())))
            pointed = pointed or goes_on_to_tell(story, item, named=story.topic == "device")
            for thing in self.focus if pointed else []:
                self._move(story, thing, None, "out", item)
                self.gone = thing.name
            self.waiting = ("in", item)
            return True
        if "exchange" in item.meanings and not self.open:
            self.waiting, self.swap = ("out", item), True
            return True
        if "exchange" in item.meanings:
            old = self.open[-1:]
            self._happen(story, old, "out", item)
            self.open = []
            self.waiting = ("in", item)
            return True
        following = story.after()
        if (
            item.text == "following"
            and not item.span[0]
            and (following is None or following.span[0] - item.span[1] > 1)
        ):
            return False  # "following thrombectomy the sheath was withdrawn"
        timed = following is not None and following.kind == "quantity" and following.figures["value"].unit in TIMES
        if item.text == "in" and timed:
            return False  # "in ten seconds"
        inside = item.text in _INSIDE and following is not None and following.name == "it"
        if inside and Status.PLANNED in story.sentence.cues and self._holds(item):
            return True
        if (
            inside
            and self.open
            and self.named is not None
            and self.named_in >= story.number - 1
            and is_asked(self.named)
        ):
            return True  # "micro, two point seven, and an oh one eight inside it": how it is handed over
        if (
            "inflate" in item.meanings
            and story.active is not None
            and any(other.kind == "quantity" for other in story.ahead())
        ):
            return False  # "up again, six… ten": the balloon
        if (
            "deflate" in item.meanings
            and item.text in _COMES_OFF
            and "please" not in story.sentence.texts
            and self.open
            and right_after(story, item, self.open[-1])
        ):
            item.meanings = frozenset({"particle out"})  # "the pigtail come off too"
        if self.gone_out is not None and self.open and follows_out(story, item, self.open[-1]):
            item.meanings = frozenset({"removed"})
        way = "in" if item.meanings & _IN else "out" if item.meanings & _OUT or self._is_out(story, item) else ""
        near = story.sentence.items[max(0, story.index - _NEAR) : story.index + _NEAR]
        sizes = (size for other in near for size in other.figures.values() if size.unit == "[Ch]")
        parted = story.sentence.tokens[item.span[1] : item.span[1] + 1] == (",",)
        if item.text == "in" and not parted and any(size.words[0] == item.words[1] for size in sizes):
            return False  # "a sheath in seven French"
        if "deploy" in item.meanings and not way and self.open and self.open[-1].name == "filter":
            way = "in"  # "the filter is opened below the renals"
        if "deploy" in item.meanings and not way and not self.open and self._waits_filter(story):
            self._move(story, self.focus[-1], None, "in", item)  # "Filter, please. … Deployed."
            return True
        if not way or elsewhere(story, item) or asks(story, item) or awaited(story, item):
            return False
        if item.status is None and (to_happen(story, item) or self._meant_to_be(story, item)):
            if way == "in":
                return False
            item.status, item.cue = Status.PLANNED, TO_BE
        if way == "in" and stays(story, item) and all(named.definite for named in self.open):
            return self._stays(story)
        weak = not item.meanings & {"placed", "removed", "deploy"}
        if called_for_over(story, item):
            return False
        if self.open:
            if weak and not right_after(story, item, self.open[-1]) and not self._meant(story, item, weak):
                return False
            named = [one for one in subjects(story, self.open, item) if not is_kept(story, one)]
            for other in self.open:
                if other not in named and not is_kept(story, other):
                    self._name(story, other)
            self._happen(story, named, way, item)
            self.open, self.row = [], Row(way, item, item) if way == "out" else None
            return True
        if tells_of_all(story, item) or tells_of_it(story, item):
            self.waiting = (way, item)
            return True
        following = story.after("side", "place", "part", "pronoun") if weak else named_behind(story)
        if following is not None and over_it(story, item, following):
            following.where = ""
            self.waiting = ("in", item)
            return True
        subject = story.before("mark")
        led = subject is not None and subject.kind == "pronoun" and subject.name in POINTERS
        led = led and subject is not None and item.span[0] - subject.span[1] <= 1  # "it's following the wire"
        if (
            (not weak or leads(story, item, following))
            and not led
            and following is not None
            and following.kind == "device"
            and (inserted(story, following) or (following.definite and "bare" in following.figures))
            and (following.where not in _WHERE or (following.where == "with" and item.text == "in"))
        ):
            following.where = ""
            self.waiting = (way, item)
            return True
        lately = self.spoken_in == story.number - 1 and not (self.focus and self.focus[-1].seen >= self.spoken_in)
        if self.spoken is not None and lately and self._meant(story, item, weak):
            spoken, self.spoken = self.spoken, None  # "The wire I draw back. It is out."
            thing = self._thing(story, spoken, way, item)
            self._move(story, thing, None, way, item)
            self.focus, self.told = [thing], item if way == "in" and item.status is None else None
            return True
        relative = not weak and bool(self.focus) and goes_on_to_tell(story, item, named=story.topic == "device")
        if relative or (story.topic == "device" and self.focus and self._meant(story, item, weak)):
            recent = [thing for thing in both_of(story, self.focus, way) if story.number - thing.seen <= _REMEMBERED]
            back = way == "out" or bool({"back", "again"} & set(item.text.split()))
            focus = [thing for thing in recent if thing.where != way and (back or thing.where != "out")]
            for thing in focus:
                self._move(story, thing, None, way, item)
                self.told = item if way == "in" and item.status is None else None
            return bool(focus)
        return False

    def _exchange(self, story: Story, item: Item, exchange: Exchange) -> bool:
        """What goes out, then what goes in, when that is heard; what is only wished for is asked for."""
        old, new, verb = exchange.old, exchange.new, exchange.verb
        if item is not new:
            return True
        self.open = [named for named in self.open if named is not old]
        new.where = ""
        if exchange.wished:
            new.status = Status.PLANNED
            self._name(story, new)
            return True
        if old is not None:
            self._happen(story, [old], "out", verb)
        elif exchange.gone is not None:
            self._move(story, exchange.gone, None, "out", verb)
        self._happen(story, [new], "in", verb)
        _make_room(story, self.focus)
        story.topic = "device"
        for way in [named for named in self.open if named.where in ALONG and fresh(named)]:
            self._move_new(story, way)  # "exchanged over an oh three five wire for …"
            self.open.remove(way)
        return True

    def _is_out(self, story: Story, action: Item) -> bool:
        """ "It is out" of what goes in and comes out; of a stent it says that it is open."""
        out = "deploy" in action.meanings and "out" in action.text.split() and "open" not in action.text
        first = all(other.kind in {"mark", "pronoun"} for other in story.behind())
        return out and first and not self.open and bool(self.focus) and self.focus[-1].name != "filter"

    def _stays(self, story: Story) -> bool:
        """What is in still, where nobody said that it went in: it is known now, and no event tells of it."""
        named = [item for item in self.open if find(story, item, is_asked) is None]
        for item in named:
            known = find(story, item, is_in) or of_unknown_size(story, item) or new(story, item, "in")
            learn(known, item)
            known.seen, self.focus = story.number, [known]
        self.open = [item for item in self.open if item not in named]
        return True

    def _holds(self, action: Item) -> bool:
        """ "a multipurpose, please, with the wire in it": how they are handed over, no word of where they are."""
        with_it = len(self.open) > 1 and self.open[-1].where == "with"
        return with_it and action.span[0] - self.open[-1].span[1] <= 1

    def _meant_to_be(self, story: Story, action: Item) -> bool:
        """ "I'd like to leave a drain across": what is wished for is where it is to be, and not that it is there."""
        named = self.open[-1] if self.open else None
        if named is None or named.status is not Status.PLANNED or named.definite:
            return False
        wished = named.cue in " ".join(story.sentence.tokens[: named.span[0]])
        return wished and named.cue.startswith(_WISHES) and 0 <= action.span[0] - named.span[1] <= 1

    def _refuse(self, story: Story, item: Item) -> bool:
        """ "we'll not be using that": the device just asked for is ruled out."""
        before = story.before()
        after = next((other for other in story.ahead() if other.kind in {"mark", "pronoun"}), None)
        beyond = item.words[0] + len(item.text.split())
        if "want" in item.text and (after.words[0] if after else story.sentence.words[1]) > beyond:
            return False  # "I don't want to cry later"
        if item.text == "no" and before is not None and before.kind == "action":
            return False  # "first pass, no"
        if "want" in item.text and before is not None and before.name in POINTERS:
            return True  # "it doesn't want": it won't go, yet
        if self.open:
            named = self.open.pop()
            named.status = Status.NEGATED
            self._name(story, named)
            return True
        if story.topic != "device" or not self.focus or self.focus[-1].where != "asked" or self.focus[-1].asked is None:
            return False
        thing = self.focus.pop()
        if story.settle(thing.asked, Status.NEGATED, item, "insert/called-off") is None:
            story.add(
                Kind.INSERT,
                Status.NEGATED,
                item,
                "insert/called-off",
                device=thing.name or _UNNAMED,
                values=values_of(thing),
            )
        thing.where, thing.asked = "refused", None
        return True

    def _meant(self, story: Story, item: Item, weak: bool) -> bool:
        """ "it's in", "both are down", "… in.": whether a word with no device beside it speaks of the last one."""
        clause = [other for other in story.clause() if not (is_pair(story, other) or goes_along(story, item, other))]
        there = item.text.endswith(_THERE) and not any(other.kind == "device" for other in clause)
        named = {"device", "drug", "quantity", "pair"} | ({"finding"} if not there else set())
        if any(other.kind in named for other in clause):
            return False
        if any("press" in other.meanings for other in clause):
            return False  # "my fingers are on it"
        if POINTERS & {*item.text.split()}:
            return True  # "it crosses", "in she goes"
        if any(other.kind == "pronoun" and other.name in POINTERS and subject_of(other, item) for other in clause):
            return True
        if any(other.kind == "action" and other.text.split()[0] in POINTERS for other in clause[: clause.index(item)]):
            return True  # "that's gone through"
        begins = item.span[0] == 0 or story.sentence.tokens[item.span[0] - 1] in CLAUSE_ENDS
        if begins and item is clause[0] and item.text.startswith(("is ", "'s ", "are ")):
            return True
        asked = bool(self.focus) and self.focus[-1].where == "asked"
        waits = asked and (story.active is None or story.active.where != "asked")
        if waits and begins and somewhere(story, item, clause):
            return True
        said = [other for other in clause if other is item or other.meanings != {"again"}]  # "out again"
        alone = said == [item] and item.text in (_ALONE | _MOVING if waits else _ALONE)
        return alone and adjoins(story, item)

    def _happen(self, story: Story, items: list[Item], way: str, action: Item, *, more: bool = False) -> None:
        """Things went in or came out; with ``more`` beside those just told."""
        things: list[Thing] = [*self.focus] if more else []
        for item in items:
            if (item.name in _WAY_IN or is_of_what_closes(story, item)) and way == "in":
                continue
            for number in range(number_of(story, item, way)):
                thing = self._thing(story, item, way, action)
                first = not (number and things)
                if way == "out" and thing.where == "new" and first and self._told_out(story, item, things):
                    continue
                if way == "out" and thing.where == "new":
                    take_sizes_of_gone(story, item, thing)
                if thing in things:
                    waits = is_in if way == "out" else is_asked
                    others = [
                        one for one in story.things if waits(one) and one not in things and fit(item, one) is not None
                    ]
                    thing = others[-1] if others else new(story, item, "new")
                if number and not thing.values:
                    thing.values = dict(things[-1].values)  # of a pair nobody told apart
                self._move(story, thing, item, way, action)
                things.append(thing)
        if things:
            self.focus = things
            self.told = action if status_of(items[-1], action) is Status.DONE else None
            self.gone_out = self.told if way == "out" else None

    @staticmethod
    def _told_out(story: Story, item: Item, besides: list[Thing]) -> bool:
        """Whether a device was told to be out a moment ago, not as another beside it: "I pulled the wire, so the wire's
        out".
        """
        sides = {story.side} & SIDES
        gone = find(
            story,
            item,
            lambda thing: (
                thing.where == "out"
                and story.number - thing.seen <= _JUST_OUT
                and (thing not in besides or item.name in {"", thing.name})
            ),
        )
        return gone is not None and (not sides or not gone.spots or bool(gone.spots & sides))

    def _thing(self, story: Story, item: Item, way: str, action: Item) -> Thing:
        thing = self._leaving(story, item) if way == "out" else self._entering(story, item, action)
        if thing is None:
            thing = new(story, item, "new")
        elif thing not in story.things:
            story.things.append(thing)
            thing.where = "new"
        learn(thing, item)
        if way == "in":
            call(story, thing, item)
        thing.seen = story.number
        side = side_of(story, item) or story.side
        thing.spots |= {side} if side and not thing.spots & SIDES else set()
        return thing

    @staticmethod
    def _leaving(story: Story, item: Item) -> Thing | None:
        """What comes out was in, even where nobody said that it went in."""
        here = old_one(story, item) or find(story, item, is_in) or find(story, item, is_asked)
        return here or find(story, item, lambda thing: thing.where == "replaced") or of_unknown_size(story, item)

    @staticmethod
    def _entering(story: Story, item: Item, action: Item) -> Thing | None:
        """What goes in was asked for, or is out; with nothing but its name said, it may be what is in already."""
        big = item.definite and item.name == "catheter" and item.qualifiers == {"big"}  # none but that of those in
        plain = not item.figures.keys() - {"bare"} and (big or not item.qualifiers)
        here = find(story, item, is_in)
        said = story.sentence.tokens[max(0, item.span[0] - 2) : item.span[1]]
        alike = here is not None and "same" in said and other_side(story, here)
        if here is not None and not alike and not plain and not told_again(story, item, here):
            here = None
        again = bool({"back", "again"} & set(action.text.split()))
        if here is not None and alike:
            return Thing(here.role, here.name, here.nickname, here.mount, set(here.qualifiers), dict(here.values))
        asked = find(story, item, is_asked)
        if asked is not None and here is not None and not again and overtaken(story, item, asked, here):
            return here
        if asked is not None and here is not None and here.moved < story.number:
            here = None
        if here is not None and not again and story.number - here.moved <= (1 if plain else JUST_TOLD):
            return here
        if asked is not None:
            return take_one(asked)
        labelled = find(story, item, lambda thing: is_labelled(story, thing)) if here is None and plain else None
        if labelled is not None:
            return labelled
        out = find(
            story, item, lambda thing: thing.where == "out" and thing.role == "insert" and may_be_again(item, thing)
        )
        if out is not None and here is not None and not again:
            return max(here, out, key=lambda thing: thing.seen)
        return out or here

    def _move(self, story: Story, thing: Thing, item: Item | None, way: str, action: Item) -> None:
        status = status_of(None if item is not None and apart(story, item, action) else item, action)
        if way == "out" and item is not None and item.cue in _EARLIER and action.status is None:
            status = Status.DONE  # "the previous drain was removed"
        if way == "in" and thing.where == "in" and status is Status.DONE:
            return
        source = item or action
        make_alike(story, thing, _UNNAMED)
        doubtful = doubtful_sizes(story, thing, item) if way == "out" else set()
        kind = Kind.INSERT if way == "in" else Kind.REMOVE
        asked = thing.asked if way == "in" and status is Status.DONE else None
        if placed := story.settle(asked, Status.DONE, action, "insert/asked-and-placed"):
            placed.values = values_of(thing, item) if item else placed.values
        else:
            draft = story.add(
                kind,
                status,
                source,
                f"{kind}/{'in' if way == 'in' else 'out'}",
                device=thing.name or _UNNAMED,
                values=values_of(thing, item, own_words(story, item) if item and way == "out" else frozenset()),
            )
            placed = draft
            draft.values |= {key: draft.values[key].flagged("which-device") for key in doubtful}
            draft.reach(action.words)
            if kind is Kind.INSERT and status is Status.DONE:
                thing.values |= {key: value for key, value in draft.values.items() if "which-device" in value.flags}
        thing.tell(placed)
        if status is Status.DONE:
            thing.where = way
            thing.asked = None
            thing.moved = story.number if way == "in" else -9
            lately = [one for one in self.entered if story.number - one.moved <= 1 and one is not thing]
            self.entered = [*lately, thing] if way == "in" else lately

    def _told_after(self, story: Story, item: Item) -> bool:
        """Whether a mention tells the sizes of what was just told to be in."""
        thing = self.focus[-1] if len(self.focus) == 1 else None
        if self.focus and self.focus[-1].name.endswith("wire") and "gauge" in item.figures:
            tubes = [one for one in self.entered if story.number - one.moved <= 1 and _may_be_gauged(one, item)]
            thing = tubes[0] if len(tubes) == 1 else thing  # "Pigtail up over a J. Five French."
        return (thing is not None and tells_of_placed(story, thing, item)) or tells_what_it_was(
            story, item, self.focus, asked=self.asked == story.number - 1 or self._just_out(story, item)
        )

    def _just_out(self, story: Story, item: Item) -> bool:
        """ "Sheath out, seven French.": its size right behind what tells that it is out."""
        before = story.sentence.items[max(0, story.index - 2) : story.index]
        return item.headless and [one for one in before if one.text != ","] == [self.gone_out]

    def _told_alone(self, story: Story, item: Item) -> bool:
        """ "Sheath. … Forty-five.": a size in a sentence of nothing but sizes, of the device spoken of right before."""
        before = max(self.told_in, story.number - LAST_TOLD)
        if story.topic != "device" or not tells_sizes_only(story.sentence):
            return False
        if item.figures["value"].unit is None and is_called_on(story):
            return False
        if self.spoken is not None and self.spoken_in >= before and has_sizes(self.spoken.name):
            found = size_of(self.spoken.name, item.figures["value"], self.spoken.figures)
            if found is None:
                return False
            self.spoken.figures[found[0]] = found[1]
            self._name(story, self.spoken)
            return True
        told = False
        for thing in self.focus if story.sentence.texts & _EACH else self.focus[-1:]:
            if thing.seen < before or not may_take(thing, _UNNAMED) or (says_again(story, item) and not told):
                continue
            if tell_size(story, thing, item, _UNNAMED):
                told, self.named_in = True, story.number if self.named is thing else self.named_in
        return told

    def _told_beside(self, story: Story, item: Item) -> bool:
        """ "Stiff wire beside, one eighty.": how long a device is, apart from its name."""
        if self.open:
            named = self.open[-1]
            length = length_of_named(story, item, named)
            if length:
                named.figures |= length
                named.words = (named.words[0], item.words[1])
            return bool(length)
        length = length_of_told(story, item, self.focus[-1]) if self.focus else {}
        if length:
            give_sizes(story, self.focus[-1], replace(item, figures=length))
        return bool(length)

    def _goes_on(self, story: Story, item: Item) -> bool:
        """Whether a mention tells the sizes of the device named in the sentence before, and nothing else of it."""
        thing = self.named
        if thing is None or self.named_in != story.number - 1 or not tells_of_named(story, thing, item):
            return False
        self.named_in = story.number
        self.focus = [thing]
        following = story.after("pronoun")
        return following is None or not following.meanings & (_IN | _OUT)  # "the oh one eight is down" tells more

    def _take_name(self, story: Story, item: Item) -> None:
        """ "For the night a drain. Eight French, please.": a size without a noun, of what was named just before."""
        spoken, gauge = self.spoken, item.figures.get("gauge")
        if spoken is None or gauge is None or item.name or not item.headless or self.open or item.where:
            return
        if self._lately(story) and _may_be(spoken, gauge):
            item.name, item.nickname = spoken.name, spoken.nickname

    def _lately(self, story: Story) -> bool:
        """Whether the device named last with nothing told of it was named just now."""
        return story.number - self.spoken_in == 1 or self.told_in <= self.spoken_in >= story.number - _JUST_OUT - 1

    @staticmethod
    def _take_place(story: Story, item: Item) -> None:
        """ "Nephrostomy out, ten French in": a gauge with no noun, right after a drain came out, is of another."""
        last = story.drafts[-1] if story.drafts else None
        if item.name or not item.headless or "gauge" not in item.figures or last is None:
            return
        if last.kind is Kind.REMOVE and last.status is Status.DONE and story.number - last.number <= 1:
            item.name = last.device or "" if last.device in _TUBES else ""

    def _resized(self, story: Story, item: Item) -> bool:
        """ "Eight French, please… it is thick. Make it ten." Another size, before what was asked for is placed."""
        thing, figure = self.named, item.figures["value"]
        if thing is None or thing.asked is None or story.number - self.named_in > 1:
            return False
        known = thing.values.get("gauge")
        fixing = any(other.corrects for other in story.behind()) and not story.mentions("device")
        if known is None or not fixing or figure.unit not in {None, known.unit} or not 1.5 <= figure.value <= _WIDEST:
            return False
        thing.values["gauge"] = thing.asked.values["gauge"] = figure.flagged("corrected", unit=known.unit)
        thing.asked.reach(item.words)
        return True

    def _sized(self, story: Story, item: Item) -> bool:
        """ "A safety drain for two days, eight French": a size without a noun, of the device just named without one."""
        named = self.open[-1]
        items = story.sentence.items
        between = items[items.index(named) + 1 : story.index]
        if (
            not named.name
            or named.name == "needle"
            or (
                item.definite
                and (find(story, named, is_in) is not None or not _may_be(named, item.figures.get("gauge")))
            )
            or item.where
            or set(item.figures) & set(named.figures)
            or named.figures.keys() & {"gauge", "wire_diameter"}
            or not any(other.text == "," for other in between)
            or any(other.kind in {"device", "action", "drug", "finding"} for other in between)
            or any(other.kind == "mark" and other.text != "," for other in between)
        ):
            return False
        wire = named.name in {"wire", "microwire", "safety wire", "pressure wire"}
        if ("gauge" in item.figures) == wire or (item.name and item.name != named.name):
            return False
        named.figures |= item.figures
        named.qualifiers |= item.qualifiers
        named.words = (named.words[0], item.words[1])
        named.span = (named.span[0], item.span[1])
        return True

    # --- only named --------------------------------------------------------------------------------

    def _name(self, story: Story, item: Item) -> None:
        """A device named with no word of what became of it: asked for, ruled out, thought of, or only spoken of."""
        if item.name in _WAY_IN and item.status is not Status.CONSIDERED and not item.figures:
            return
        known = find(
            story,
            item,
            lambda thing: (
                thing.where in {"asked", "in"}
                and thing.role == "insert"
                and bool(thing.name or item.name != "catheter")
            ),
        )
        if "new" in item.qualifiers or (known is not None and is_for_other_side(story, item, known)):
            known = None  # "… and another one"
        if item.status is Status.PLANNED and item.cue in LATER and known is not None and is_in(known):
            self._move(story, known, item, "out", item)
            self.focus = [known]
            return
        if item.status is None and self._ordered(story, item):
            item.status = Status.PLANNED
        if item.status is None and is_way_in(story, item):
            self._move_new(story, item)
            return
        if item.status is None and are_both_in(story, item):
            self._happen(story, [item], "in", item)
            return
        if item.status is None and on_other_side(story, item, _UNNAMED):
            self._move_new(story, item)
            return
        if item.status is None and for_another_way(story):
            item.status = Status.CONSIDERED
        only_named = item.status is None and is_only_named(story, item)
        status = item.status or Status.PLANNED
        if item.status is None:
            if story.dictated and item.figures:
                self._move_new(story, item)
                return
            planned = known is not None and known.asked is not None and known.asked.breath == story.planned
            if known is not None and (item.definite or not item.figures or (known.where == "asked" and not planned)):
                learn(known, item)
                if known.where == "asked" and known.asked is not None:
                    known.asked.values = item.figures | known.asked.values  # "Five French pigtail, opening."
                known.seen = story.number
                self.focus = [known]
                return
            if known is not None and is_in(known) and item.headless and only_said_again(story, item, known):
                return
            listed = item.nickname is not None and self.named_in == story.number
            if not item.figures and not item.qualifiers and not listed and not self._alone(story, item):
                self.spoken, self.spoken_in = item, story.number if not story.says("pressure") else -9
                return
        listed = known is not None and known.asked is not None and known.asked.breath == story.planned
        first = listed and story.sentence.breath != story.planned  # asked for, after it was told in the plan
        if (
            status is Status.PLANNED
            and known is not None
            and known.where == "asked"
            and known.asked is not None
            and not first
        ):
            learn(known, item)
            known.asked.values |= item.figures
            known.asked.reach(item.words)
            self.focus = [known]
            return
        thing = (
            find(
                story,
                item,
                lambda thing: (
                    thing.where in {"out", "refused", "asked"}
                    and thing.role == "insert"
                    and may_be_again(item, thing)
                    and not is_for_other_side(story, item, thing)
                ),
            )
            if status is not Status.PAST and "new" not in item.qualifiers
            else None
        )
        if thing is None or status is Status.QUOTED:
            thing = new(story, item, "asked" if status is Status.PLANNED else "refused")
        learn(thing, item)
        make_alike(story, thing, _UNNAMED)
        draft = story.add(
            Kind.INSERT,
            status,
            item,
            "insert/asked-for" if status is Status.PLANNED else f"insert/{status}",
            device=thing.name or _UNNAMED,
            values=values_of(thing, item),
        )
        thing.tell(draft)
        draft.only_named = only_named
        if status is Status.PLANNED:
            self._drop_slip(story, item)
            self.named, self.named_in = thing, story.number
            thing.where, thing.asked, thing.left = "asked", draft, count_of(story, item)
            self.focus = (
                [thing] if not self.focus or story.sentence.breath != self.focus[0].breath else [*self.focus, thing]
            )
            thing.breath = story.sentence.breath

    def _ordered(self, story: Story, item: Item) -> bool:
        """Whether it is joined to one that was asked for: "a catheter, please, and the stiff wire, oh three five"."""
        if self.named_in != story.number or not (item.figures or item.nickname or item.qualifiers):
            return False
        items = story.sentence.items
        if item not in items:
            return False  # named in the sentence before, its size told in this one
        at = items.index(item) - 1
        before = items[at - 1] if at and "again" in items[at].meanings else items[at]  # "and another one"
        return item.where == "with" or (before.kind == "mark" and before.text in {"and", "plus"})

    def _alone(self, story: Story, item: Item) -> bool:
        """ "Micro." A sentence of nothing but the device: it is called for."""
        if story.sentence.question and "please" not in story.sentence.texts:
            return False  # "and the catheter?"
        said = story.sentence.tokens[item.span[1] : item.span[1] + 4]
        if "please" in story.sentence.texts and (len(story.sentence.texts) <= _CALLED or "please" in said):
            return True
        at = story.sentence.items.index(item) if item in story.sentence.items else 0
        given = story.sentence.items[at - 1] if at else item
        if given.text.startswith("give"):
            return item.span[0] - given.span[1] <= 2  # "give one filter"
        return (
            not item.definite
            and all(other is item or other.kind in {"mark", "pronoun"} for other in story.sentence.items)
            and len(story.sentence.texts) <= 4
        )

    def _drop_slip(self, story: Story, item: Item) -> None:
        """ "Five French, no, give us the six": what was called for before it is not."""
        slip = self.named if self.named_in == story.number else None
        between = [other for other in story.sentence.items if other.corrects and other.span[1] <= item.span[0]]
        if slip is None or slip.asked is None or not between or slip.asked.words[1] > between[-1].words[0]:
            return
        if slip.name or item.name or {"gauge"} != slip.values.keys() & item.figures.keys():
            return
        story.forget(slip.asked)
        slip.where, slip.asked = "refused", None
        self.focus = [thing for thing in self.focus if thing is not slip]

    def _move_new(self, story: Story, item: Item) -> None:
        thing = self._thing(story, item, "in", item)
        self._move(story, thing, item, "in", item)


def _make_room(story: Story, entered: list[Thing]) -> None:
    """What was exchanged for another of its name is out, though nobody said so."""
    for thing in entered:
        for old in story.things:
            sides = old.spots & SIDES, thing.spots & SIDES
            there = not all(sides) or bool(sides[0] & sides[1])
            if old not in entered and old.name == (thing.name or _UNNAMED) and is_in(old) and there:
                old.where = "replaced"


def _may_be_gauged(thing: Thing, item: Item) -> bool:
    """Whether something can have this gauge and nobody told one of it yet."""
    thin = (thing.name == "microcatheter") == (item.figures["gauge"].value <= WIDEST_MICRO)
    return thin and "gauge" not in thing.values and has_sizes(thing.name) and not thing.name.endswith("wire")


def _may_be(named: Item, gauge: Quantity | None) -> bool:
    """Whether a device may be so wide: no microcatheter is of five French, and only one is of two."""
    if gauge is None or named.name in {"wire", "needle"}:
        return False
    return (gauge.value <= WIDEST_MICRO) == (named.name == "microcatheter") or gauge.value == round(gauge.value) == 3


def _too_thin(item: Item) -> bool:
    """Whether a size without a noun can be no sheath's."""
    gauge = item.figures.get("gauge")
    return item.headless and not item.name and gauge is not None and gauge.value < _THINNEST
