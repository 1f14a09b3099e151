"""Balloons up and down: pressures, counting up, peaks, hold times, the same again, two at once; stents opened by a
balloon.
"""

from collections.abc import Iterable
from itertools import pairwise

from extractor.model import SIDES, Item, Kind, Quantity, Sentence, Status
from extractor.reconciling.along_vessel import (
    SPOTS,
    apart,
    at_a_place,
    at_another_part,
    part_named,
    spots_before,
    spots_since,
)
from extractor.reconciling.bare_figures import (
    DIALS,
    OTHER_ACTS,
    as_pressure,
    called_pressure,
    climbing,
    closes,
    counted_on,
    counts_in,
    counts_seconds,
    may_be_pressure,
    of_dilators,
    other_talk,
    pressure_unit,
    runs_past_atm,
    says_up,
    stands_free,
    then_down,
    then_timed,
    to_count,
    told_by,
)
from extractor.reconciling.hold_times import Rise, hold, let_down, may_be_hold, more_of, tell_time
from extractor.reconciling.kinds.chart import asks_for_limit
from extractor.reconciling.kinds.going_up import begin, differ, just_opened, twin_of
from extractor.reconciling.kinds.inflation_words import (
    BALLOONS,
    LONGEST_HOLD,
    MAY_STEP,
    SAME_ONE,
    SHORTEST_HOLD,
    Order,
    alike_units,
    as_high,
    by_stent_balloon,
    is_hold,
    last_balloon,
    last_but,
    let_down_next,
    meant_here,
    name_emptied,
    named_after,
    names_same,
    of_another_device,
    of_injector,
    same_to,
    self_expanding,
    told_ahead,
    told_how_far,
    usual_unit,
    wanted,
    was_up,
)
from extractor.reconciling.kinds.not_inflated import as_a_rule, refuses_to, rule_out, tell, took_it_to
from extractor.reconciling.kinds.pressing import presses_for
from extractor.reconciling.kinds.sized import time_before
from extractor.reconciling.kinds.sized_afterwards import only_thought_of, unnamed_goes_up
from extractor.reconciling.kinds.up_again import begins_anew, told_before, up_again
from extractor.reconciling.kinds.what_is_up import AT_ONCE, LATE, WhatIsUp
from extractor.reconciling.marks import FIGURE_ENDS
from extractor.reconciling.named_later import balloon_named_later
from extractor.reconciling.other_talk import asks_for_figure, of_the_room
from extractor.reconciling.peaks import puts_right, raise_to
from extractor.reconciling.questions import asks_from
from extractor.reconciling.size_roles import ROLES
from extractor.reconciling.story import NO, NOT_DONE, Story, Thing, carried, told_status
from extractor.reconciling.things import values_of
from extractor.reconciling.unsaid_pressures import (
    after_its_balloon,
    beside_its_balloon,
    comes_down_next,
    deployed_at,
    held_there,
    is_bare_hold,
    lies_there,
    named_at,
    then_at,
)
from extractor.units import BALLOON_PRESSURES, TIMES

#: The furthest a balloon is taken up at once: common practice, no source.
_STEP = {"atm": 10.0, "bar": 10.0, "[psi]": 150.0, "kPa": 1000.0}
#: How many breaths a balloon nobody speaks of stays up, and one that is held; set by hand, no source.
_FORGOTTEN, _HELD = 6, 12
#: A sentence of so many words says "up" and little more, or asks for the time.
_BRIEF = 3
_OF_TIME = frozenset("time long hold held seconds minutes duration".split())
#: For so many sentences after a balloon is said to lie where it should a figure is how far up it goes.
_NEAR_PLACED = 3
#: How many words may stand between "up to" and how far.
_NEAR = 2
#: Said of a balloon that stays up; and what may stand between that and for how long.
_HOLDS = frozenset("hold holding held keep kept stay stays wait waiting sit leave give time timer clock".split())
_AFTER_HOLD = frozenset("for it that there this her him them another us we you , eh uh um about up".split())
_BURST = frozenset("burst ruptured broke broken gone lost rupture".split())
_NOT_YET = {"don't", "not", "never", "no"}
#: What is said next are seconds.
_COUNT = frozenset({"count", "counting", "counts"})
#: Inflating, as a thing that is or is not done.
_NOUNS = {
    "inflation", "inflations", "dilatation", "dilation", "predilatation", "predilation", "postdilatation", "venoplasty",
}  # fmt: skip
_DILATED = {
    "dilated", "predilated", "pre dilated", "postdilated", "post dilated", "ballooned", "inflated", "angioplastied",
}  # fmt: skip
_GONE_BY = {"gone", "passed", "elapsed", "done"}
#: One more inflation than was told of.
_COUNTED = {"second", "third", "fourth", "fifth"}
#: What is told of each of those named in one sentence.
_APIECE = {"each", "apiece", "either"}
#: Counted aloud, and no seconds.
_PULSES = {"pulse", "pulses", "zap", "zaps", "shock", "shocks", "shot", "shots"}
_ASKS_WHAT = {"what", "how", "which", "what's"}
_ALONE_ENDS = {(), (".",), (",",), ("...",), ("please",), ("and",)}
#: Said of the time of the last one.
_TIMES_AS_LONG = {"half": 0.5, "twice": 2.0, "double": 2.0}
#: The last one's pressure and time, where nothing else is said: "Upper part. Same. Down."
_ALL_ALIKE = {"same", "the same", "same again"}
#: Said of a balloon that goes to another place.
_MOVED = frozenset(
    "slide slid move moved moving pull pulled shift shifted advance advanced overlap overlapping".split()
)
#: A sentence of these alone has a balloon go up again.
_ONCE_MORE = frozenset(
    ", . ! ... - and again once more one time another inflation repeat do that it please then okay now so yes".split()
)
#: How an order for a pressure begins, once the balloon lies where it should.
_ORDERS = (
    "give",
    "let me",
    "let's",
    "i want",
    "can i",
    "can you",
    "could",
    "i 'd like",
    "i need",
    "we need",
    "i take",
)
_AT = {"at", "to"}
_THERE = {"to", "in", "at", "into", "on"}
#: A sentence of so many different words says little more than a figure; set by hand, no source.
_FEW = 6
#: Said of taking a balloon to a figure: "so, we give twelve"; and who does, and how.
_GIVES = frozenset("give gives get gets make makes put puts set sets take takes do does apply use".split())
_SETS = _GIVES | frozenset(
    "we i he she it they you now so then and okay right good with just only eh uh um about here there this".split()
)
#: For so many sentences an option may be what is used; set by hand, no source.
_STILL_MEANT = 8
#: … and a balloon may be named that was said to go up; set by hand, no source.
_STILL_NAMED = 3
#: For so many breaths two may be said to be up together; set by hand, no source.
_KISSED = 3
#: Beside a figure: it is as it was for the last one.
_AS_BEFORE = {"also", "same", "too", "another", "likewise"}
#: In a dictation, of the inflation told in the sentence before.
_RAISED_ON = {"raised", "increased"}
#: Before a verb that tells or orders that a balloon goes up; between the verb and the balloon.
_BEFORE_VERB = {
    (), ("i",), ("we",), ("now",), ("okay", ","), ("so",), ("and",), ("now", "i"), ("now", "we"), ("so", "we"),
}  # fmt: skip
_NO_OBJECT = frozenset(", with by using to at for until up on in".split())
#: Said of how a balloon is taken up.
_CAREFUL = frozenset("gently gentle slowly softly lightly only just max tops".split())
#: Before a mere "up": said of the balloon, and no verb's particle. Before a mere "down": further along.
_BEFORE_UP = frozenset(
    """
    , . ... ? ! - ; : one time balloon balloons it she he her him them that this both and now left right 's is are
    again back
    """.split()
) | {""}
_BEFORE_LOWER = {"further", "lower", "bit", "way", "farther", "slightly", "little", "distance", "frames"}

#: No pressure is held "for ten".
_SHORT = 10
#: What is said back follows within so many words. Set by hand, no source.
_SAID_BACK = 2


class Inflations(WhatIsUp):
    """Hears pressures, times, "up", "down" and "hold" of the active balloon or balloon-mounted stent."""

    def __init__(self) -> None:
        super().__init__()
        self.orders: list[Order] = []  # what was said to go up
        self.asked = -9  # the last sentence that asks whether to inflate
        self.placed = -9  # the last sentence that says where it lies, or asks how high it goes
        self.read_off = -9  # the last sentence that asks what the gauge says
        self.questioned = -9  # the last that asks for a figure
        self.told_to_count = -9  # the last that says to count, or whose figures were counted so
        self.set_aside: tuple[int, list[Rise]] = (-9, [])  # what was up when another was spoken of, and when
        self.unnamed: tuple[int, Item] | None = None  # how far up it is to go, told before which one; and its sentence
        self.ahead: tuple[int, Item, Quantity] | None = None  # a time told before what goes up, and its sentence

    def begin(self, story: Story, sentence: Sentence) -> None:
        breath = sentence.breath
        name_emptied(sentence)
        if breath - self.touched > 1:
            self.counted, self.counting = None, False
        if sentence.texts & AT_ONCE or "at the same time" in " ".join(sentence.tokens):
            self.both = breath
            self._stay_up(story, breath)
        if sentence.first in NO and self.asked == story.number - 1:
            rule_out(story, Item("mark", sentence.words, sentence.first))
        if sentence.question and not story.mentions("device") and story.says("inflate"):
            asks = asks_from(sentence)
            up = [item for item in story.mentions("action") if "inflate" in item.meanings]
            self.asked = story.number if any(item.words[0] >= asks for item in up) else self.asked
        if any(item.meanings & {"placed", "particle"} for item in sentence.items) or {"how", "high"} <= sentence.texts:
            self.placed = story.number
        if sentence.question:
            words = {text for text in sentence.texts if text.isalpha()}
            times = words == {"how", "much"} or (len(words) <= _BRIEF and words & _OF_TIME)
            self.timed = story.number if times else self.timed  # "Time?", "How long?"
            self.questioned = story.number if asks_for_figure(sentence) else self.questioned
            self.read_off = story.number if sentence.texts & DIALS else self.read_off
        many = {"how", "many"} <= sentence.texts and sentence.texts & {"seconds", "minutes"}
        if many or {"how", "long"} <= sentence.texts:
            self.timing = breath
        if sentence.texts & _PULSES:
            self.pulsing = breath
        told = not sentence.question and not story.mentions("quantity", "device")
        if self.up and sentence.texts & _COUNT and told:
            self.told_to_count = story.number
        if self.up and presses_for(story):
            self._lower(story, self.up)
            self.lowered = []
        if self.up and breath - self.touched > (_HELD if self.holding else _FORGOTTEN):
            self._lower(story, self.up)
        told = story.dictated and any("pressure" in rise.draft.values for rise in self.up)
        if told and not sentence.texts & _RAISED_ON:
            self._lower(story, self.up)  # a dictation tells an inflation in one sentence

    def end(self, story: Story, sentence: Sentence) -> None:
        """ "Inflate the valve balloon, twenty millimetre. / Down.": the balloon stands behind its verb; or in the next
        sentences: "Take it to six. / Which one is on, the four? / The four by eighty."
        """
        active = story.active
        if active is None:
            up = next((item for item in sentence.items if {"raise", "inflate"} <= item.meanings), None)
            told = up is not None and not sentence.question and bool(story.mentions("quantity"))
            self.unnamed = (story.number, up) if up is not None and told else self.unnamed
        if active is None or active.role != "inflation" or active.seen != story.number or active.where != "asked":
            return
        if self.unnamed is not None and story.number - self.unnamed[0] <= _STILL_NAMED:
            self._order(story, active, self.unnamed[1], up=True, same=False)
            self.unnamed = None
        for verb, named in pairwise(item for item in sentence.items if item.kind != "mark"):
            told = "inflate" in verb.meanings and verb.status not in NOT_DONE and not sentence.question
            between = {*sentence.tokens[verb.span[1] : named.span[0]]}
            alone = sentence.tokens[: verb.span[0]] in _BEFORE_VERB
            if told and alone and named.role == "inflation" and not between & _NO_OBJECT:
                self._order(story, active, verb, up=True, same=False, at_once=True)

    def _stay_up(self, story: Story, breath: int) -> None:
        """ "Four by forty is up, six. / The three by forty beside it, kissing.": the first was not let down for it."""
        since, rises = self.set_aside
        active = story.active
        if breath - since > _KISSED or self.fell > since or active is None or active.where not in {"asked", "up"}:
            return
        for rise in rises:
            rise.stays, rise.thing.where = True, "up"
            self.up.insert(0, rise)
        self.set_aside, self.lowered = (-9, []), []

    def hear(self, story: Story, item: Item) -> bool:
        self._make_way(story)
        match item.kind:
            case "action":
                return self._act(story, item)
            case "pair":
                return self._sized_and_raised(story, item) or self._raised_for(story, item)
            case "quantity":
                return self._figure(story, item)
        return False

    def _make_way(self, story: Story) -> None:
        """Another balloon is spoken of: what is up has come down, unless the two lie in different places."""
        active = story.active
        if not self.up or active is None or active.role not in ROLES or any(rise.thing is active for rise in self.up):
            return
        if active.role == "inflation" and all(apart(rise.thing, active) for rise in self.up):
            return
        self.set_aside = (story.sentence.breath, [rise for rise in self.up if not rise.stays])
        self._lower(story, self.set_aside[1])

    # --- up, down, hold ----------------------------------------------------------------------------

    def _act(self, story: Story, item: Item) -> bool:
        if story.active is None and says_up(item) and item.status not in NOT_DONE:
            story.active = only_thought_of(story) or unnamed_goes_up(story, item)
        active = story.active
        if not self.up and refuses_to(story, item):
            rule_out(story, item)
            return True
        if active is None or active.role not in BALLOONS:
            return False
        earlier = self.up and (self.touched < story.sentence.breath or told_before(story, self.up))
        if earlier and (begins_anew(item) or by_stent_balloon(story, item)):
            self._lower(story, self.up)
        if item.status is Status.CONSIDERED and item.text == "same balloon":
            thought = values_of(active)
            if (time := time_before(story)) is not None:
                thought["duration"] = time
            story.add(Kind.INFLATION, item.status, item, "inflation/considered", device="balloon", values=thought)
            return True
        if names_same(story, item) and story.inflated is not None:
            active = story.active = story.inflated  # also where another was asked for since
            active.seen = story.number
            wanted(story, item, active)
        if "as long" in item.meanings and item.before != "at":
            self._as_long(story, _TIMES_AS_LONG.get(next(iter({*item.text.split()} & _TIMES_AS_LONG.keys()), ""), 1))
        if says_up(item):
            return self._raise(story, item)
        if "deflate" in item.meanings or self._off(story, item):
            return self._come_down(story, item)
        if "hold" in item.meanings and self.up and item.status not in NOT_DONE:
            following = story.after()
            wire = following is not None and following.kind == "device" and following.role == "insert"
            self.holding = self.holding or not wire  # "hold the wire"
            return True
        if item.meanings & {"again", "as high"}:
            self._again(story, item)
        return False

    def _raise(self, story: Story, item: Item) -> bool:
        following = story.after()
        far = following is None or following.kind != "quantity" or following.span[0] - item.span[1] > _NEAR
        if "to" in item.text.split() and far and "nominal" not in item.text:
            return False  # "the catheter is up to the cava. Zero."
        noun = set(item.text.split()) & _NOUNS and not story.mentions("device")
        undone = item.text in _DILATED and item.before in {"not", "never"}
        undone = undone and not any(other.kind == "device" for other in story.clause())
        if item.status is Status.NEGATED and (noun or undone):
            rule_out(story, item)  # "a second inflation was not performed", "the right was not dilated"
            return True
        if item.status in NOT_DONE or self.asked == story.number:
            return False
        verb = "inflate" in item.meanings
        if not verb and (of_another_device(story) or item.before not in _BEFORE_UP):
            return False
        if "balloon" in item.text.split():
            story.active = last_balloon(story) or story.active
        thing = meant_here(story)
        if self.up and ("again" in item.meanings or ("post" in item.text and self.up[-1].thing.role == "stent")):
            self._lower(story, self.up)  # "deployed at eleven and post dilated at fourteen"
        if thing is not None and not any(rise.thing is thing or not apart(rise.thing, thing) for rise in self.up):
            alike = "as high" in item.meanings or (verb and "repeat" in item.text)
            spots = spots_before(story) if following is None or following.kind in {"mark", "quantity"} else set()
            before = story.before("mark", "pronoun")
            named = before is not None and before.kind == "device" and Status.PLANNED not in story.sentence.cues
            self._order(story, thing, item, up=True, same=alike, at_once=named)
            if spots & thing.spots and story.sentence.texts & {"balloon", "balloons"}:
                self._start(story, item)  # "left balloon up": one of several, so it is no talk of the way up
        if verb:
            self.holding = False
        return verb

    def _order(self, story: Story, thing: Thing, item: Item, *, up: bool, same: bool, at_once: bool = False) -> None:
        at_once = at_once and thing.asked is not None and thing.asked.number == story.number
        self.timing = -9  # what was asked of the time is of the one before
        earlier = [order for order in self.orders if not apart(order.thing, thing)]
        self.orders = [order for order in self.orders if order not in earlier]
        same = same or any(order.same and order.breath == story.sentence.breath for order in earlier)
        up = up or any(order.up and order.breath == story.sentence.breath for order in earlier)
        self.orders.append(Order(thing, item, story.sentence.breath, up, same, at_once))

    def _ordered(self, story: Story, breaths: int = 2) -> Order | None:
        """The last balloon said to go up, lately."""
        last = self.orders[-1] if self.orders else None
        lately = last is not None and story.sentence.breath - last.breath <= breaths
        return last if lately else named_after(story)

    def _again(self, story: Story, item: Item) -> None:
        """ "same again", "same balloon, same pressure": what follows are pressures, or the last one counts."""
        active = story.active
        opened = active is not None and active.role == "stent" and active.left <= 0 and item.text in SAME_ONE
        if active is None or not (opened or active.role == "inflation") or item.status in NOT_DONE:
            return
        alike = "as high" in item.meanings
        ordered = self._ordered(story, 0)
        if alike and ordered is not None and ordered.up and not self.up:
            ordered.same = True  # "up she goes, same as the last one finished on"
        if self.up:
            if alike and (told := self.up[-1].draft).breath == story.sentence.breath and "pressure" not in told.values:
                as_high(story, told)
            return
        near = story.sentence.breath - self.fell <= LATE and comes_down_next(story)
        alike = alike or (near and item.text in _ALL_ALIKE and not told_how_far(story))
        ready = active.where == "used" and (
            near or story.topic in {"inflation", "stent", "finding", "run"} or same_to(story, item)
        )
        if other_talk(story):
            return
        if ready or (alike and "pressure" in item.text):
            up = active.where == "used" and story.topic == "inflation" and {*story.sentence.tokens} <= _ONCE_MORE
            up = up or near
            self._order(story, active, item, up=up, same=alike)
        if alike and ((ready and "pressure" in item.text) or (story.dictated and active.where != "refused")):
            self._start(story, item)

    def _off(self, story: Story, item: Item) -> bool:
        """ "thirty seconds... and off": of a balloon that is up, where nothing else is named to come off."""
        clear = item.after in FIGURE_ENDS and item.before in FIGURE_ENDS | {"and", "then"}
        named = any(other.kind in {"device", "drug"} for other in story.clause())
        return bool(self.up) and item.text == "off" and clear and not named

    def _come_down(self, story: Story, item: Item) -> bool:
        if item.status in NOT_DONE or item.before in _NOT_YET or asks_for_limit(story.sentence):
            return False  # "don't come down yet", "what does it burst at?"
        if item.text == "close" and (item.after not in FIGURE_ENDS or not self.up):
            return False
        if item.text == "empty" and not self.up:
            return False  # the balloon was set aside when the next one was asked for
        if "particle" in item.meanings and (of_another_device(story) or item.before in _BEFORE_LOWER):
            return False
        if item.text == "down" and of_the_room(story, item):
            return False
        before = story.before()
        named = bool(spots_before(story)) or (before is not None and before.kind == "device")
        orders = [
            order
            for order in self.orders
            if (order.up or order.same)
            and order.thing.role == "inflation"
            and story.sentence.breath - order.breath <= 2
            and (not named or order.thing is meant_here(story))
        ]
        if not self.up or (named and orders):
            for order in orders:
                story.active = order.thing
                self._start(story, order.item)
                if order.same and order.item.text in _ALL_ALIKE:
                    self._as_long(story, 1)
        if not self.up and not orders and was_up(story, item):
            self._start(story, item)
        if not self.up:
            if not self.lowered or story.sentence.breath - self.fell > 3:
                return False
            self.fell, self.fell_at = story.sentence.breath, story.number  # told once more, with its time
            return True
        self._counted_out(story)
        self._with_the_other(story, item)
        self._lower(story, self._addressed(story))
        self.fell_at = story.number
        return True

    def _with_the_other(self, story: Story, item: Item) -> None:
        """ "… ten. / Me too, ten. / Down together.": one of a pair was told of, and the other went up beside it."""
        rise = self.up[0]
        other = self._together(story, rise.thing) if len(self.up) == 1 else None
        if other is None or other.asked is None or differ(rise.thing, other) or other.role != "inflation":
            return
        draft = begin(story, other, item, "together", at_once=False)
        draft.values |= {
            key: carried(value) for key, value in rise.draft.values.items() if key in {"pressure", "duration"}
        }
        self.up.append(Rise(draft, other, set()))

    def _lower(self, story: Story, rises: Iterable[Rise]) -> None:
        down = list(rises)
        for rise in down:
            rise.thing.where = "used"
            let_down(rise)
        self.up = [rise for rise in self.up if rise not in down]
        if down:
            self.lowered, self.fell = down, story.sentence.breath
        if not self.up:
            self.holding, self.sided = False, {}
            self.counted, self.counting = None, False

    # --- figures -----------------------------------------------------------------------------------

    def _sized_and_raised(self, story: Story, item: Item) -> bool:
        """ "dilated to five millimetres at ten atmospheres"."""
        size, pressure = item.figures["a"], item.figures["b"]
        if size.unit != "mm" or pressure.unit not in {None, *BALLOON_PRESSURES} or not story.says("inflate"):
            return False
        return self._pressure(story, item, as_pressure(story, pressure))

    def _figure(self, story: Story, item: Item) -> bool:
        quantity = item.figures["value"]
        if self._burst_at(story, item, quantity):
            return True
        named = self._turn_to_named(story, item, quantity)
        if item.used or counts_in(story, item):
            return True
        if quantity.unit in BALLOON_PRESSURES:
            return not of_injector(story, quantity) and self._pressure(story, item, quantity)
        if quantity.unit in TIMES:
            return self._time(story, item, quantity)
        if quantity.unit == "mL":
            return self._filled(story, item)
        counted = self.told_to_count >= story.number - 1 and told_by(story).isdisjoint({"raise", "inflate"})
        if quantity.unit is None and self.up and (counted or to_count(story, item)):
            self.told_to_count = story.number if counted else self.told_to_count
            return self._time(story, item, quantity.flagged("unit-assumed", unit="s"))
        if quantity.unit is not None or not (named or stands_free(story, item)):
            return False
        if item.status in NOT_DONE and took_it_to(story, item, quantity):
            return True
        if item.status is Status.QUOTED and as_a_rule(story, quantity):
            return self._pressure(story, item, quantity.in_unit(pressure_unit(story, quantity)))
        if item.status is Status.PAST:
            return False
        if self._as_long_again(story, item, quantity) or self._for_so_long(story, item, quantity):
            return True
        if self._held_for(story, item, quantity) or self._held_before(story, item, quantity):
            return True
        ended = story.sentence.tokens[item.span[1] + 1 :][:1] in _ALONE_ENDS
        if item.after == "more" and not ended:
            return False  # "two more cases after this one"
        longer = more_of(item) and not quantity.value % 5 and ended
        if self.holding and self.up and longer and item.status not in NOT_DONE:
            return self._time(story, item, quantity.flagged(unit="s"))  # "thirty more"
        if self._says_hold_again(item, quantity):
            return True
        unit = pressure_unit(story, quantity)
        if unit and self._is_pressure(story, item, quantity, unit):
            return self._pressure(story, item, quantity.in_unit(unit))
        if item.status in NOT_DONE:
            return False
        if unit and self._stands_by(story, item, quantity, unit):
            if beside_its_balloon(story, item):
                return self._pressure(story, item, quantity.in_unit(unit))
            if after_its_balloon(story, item):
                return self._pressure(story, item, quantity.flagged("unit-guessed", unit=unit))
        counting = self.holding or counts_seconds(story, item, up=True)
        return self._written_down(story, item, quantity) or (counting and self._count(story, item, quantity))

    def _says_hold_again(self, item: Item, quantity: Quantity) -> bool:
        """ "Hold for ten. … Ten.": who counts says the seconds back, at once."""
        times = [rise.draft.values["duration"] for rise in self.up if "duration" in rise.draft.values]
        return quantity.unit is None and any(
            time.value == quantity.value and 0 <= item.words[0] - time.words[1] <= _SAID_BACK for time in times
        )

    def _burst_at(self, story: Story, item: Item, quantity: Quantity) -> bool:
        """ "It burst at sixteen": how far up what has just come down was."""
        burst = any("deflate" in other.meanings and _BURST & {*other.text.split()} for other in story.behind())
        unit = quantity.unit if quantity.unit in BALLOON_PRESSURES else pressure_unit(story, quantity)
        if not burst or self.fell_at != story.number or item.before not in {"at", "on", "with"} or not unit:
            return False
        if quantity.unit not in {None, *BALLOON_PRESSURES}:
            return False
        for rise in self.lowered:
            raise_to(story, rise.draft, quantity.in_unit(unit), item)
            rise.draft.reach(item.words)
        return bool(self.lowered)

    def _turn_to_named(self, story: Story, item: Item, quantity: Quantity) -> bool:
        """ "Up to twelve with the seven by forty": that one goes up, whatever was spoken of before."""
        told = quantity.unit in BALLOON_PRESSURES or (
            quantity.unit is None
            and bool(told_by(story) & {"raise", "inflate"} or (story.index == 0 and item.after in {"on", "with"}))
            and bool(pressure_unit(story, quantity))
        )
        if not told or item.status in NOT_DONE or story.says(*OTHER_ACTS):
            return False
        thing = balloon_named_later(story)
        width = thing.values.get("diameter") if thing is not None else None
        if width is not None and quantity.unit is None and quantity.value == width.value:
            item.used = True  # "dilated to six with a six by forty": how wide
            return True
        if thing is None or any(rise.thing is thing for rise in self.up):
            return False
        story.active = thing
        self._make_way(story)
        self._order(story, thing, item, up=True, same=False)
        return True

    def _held_for(self, story: Story, item: Item, quantity: Quantity) -> bool:
        """ "Sixteen. Hold thirty.": right after the word, a round figure that is no small step up is the seconds, and
        any before it comes down; where it could be a pressure all the same, it is marked.
        """
        untimed = [rise for rise in self.up if "duration" not in rise.draft.values]
        said = [token for token in story.sentence.tokens[: item.span[0]] if token not in _AFTER_HOLD]
        held = bool(said) and said[-1] in _HOLDS and item.before not in {"at", "to", "on"}
        round_figure = not quantity.value % 5 and SHORTEST_HOLD <= quantity.value <= LONGEST_HOLD
        brief = quantity.value < SHORTEST_HOLD and said[-1:] == ["hold"]
        brief = brief and (let_down_next(story) or self._ends_below(story, item, quantity))
        told_for = item.before == "for" and said[-1:] == ["hold"] and quantity.value == _SHORT  # "hold for ten"
        if not held or not untimed or not (round_figure or brief or told_for):
            return False
        known = [rise.draft.values["pressure"] for rise in untimed if "pressure" in rise.draft.values]
        peak = max((pressure.value for pressure in known), default=0.0)
        if not peak or item.status in NOT_DONE:
            return False
        higher = brief and not told_for and quantity.value > peak  # "Eight. Hold nine. Down."
        if higher and any("unit-assumed" in pressure.flags for pressure in known):
            return False  # "Up. Eight, ten. Hold twelve. Down."
        time = quantity.flagged("unit-guessed", unit="s") if higher else quantity.in_unit("s")
        for rise in untimed:
            rise.draft.values["duration"] = (
                time.flagged("two-readings")
                if peak < quantity.value <= peak + MAY_STEP and item.before != "for"
                else time
            )
            rise.draft.reach(item.words)
        return True

    def _ends_below(self, story: Story, item: Item, quantity: Quantity) -> bool:
        """ "Sixteen, eighteen. Hold ten.": a round figure below the pressure it stands at, with nothing behind it."""
        peaks = [rise.draft.values["pressure"].value for rise in self.up if "pressure" in rise.draft.values]
        return bool(peaks) and quantity.value < min(peaks) and not quantity.value % 5 and item.after in {"", "."}

    def _held_before(self, story: Story, item: Item, quantity: Quantity) -> bool:
        """ "Eight, thirty. Down.": the last figure before it comes down, too far for a step up, is the seconds."""
        if not let_down_next(story) or item.status in NOT_DONE or item.before.isalpha():
            return False
        untimed = [rise for rise in self.up if "duration" not in rise.draft.values]
        peaks = [rise.draft.values["pressure"].value for rise in untimed if "pressure" in rise.draft.values]
        if not peaks or self.touched < story.sentence.breath - 1 or not is_bare_hold(quantity, max(peaks)):
            return False
        for rise in untimed:
            rise.draft.values["duration"] = quantity.flagged("unit-assumed", unit="s")
            rise.draft.reach(item.words)
        return True

    def _raised_for(self, story: Story, item: Item) -> bool:
        """ "Ten for thirty. Down.": a pressure and the seconds, of a balloon that is spoken of."""
        active = story.active
        if item.name != "for" or active is None or active.role not in BALLOONS or story.topic != active.role:
            return False
        pressure, time = item.figures["a"], item.figures["b"]
        named = any(other.role in {"", "inflation"} and "length" in other.figures for other in story.behind())
        lets_down = then_down(story) or comes_down_next(story) or named
        fits = pressure_unit(story, pressure) and not time.value % 5 and time.value >= SHORTEST_HOLD
        if not (self.up or lets_down) or not fits or item.status in NOT_DONE or story.says("run", "by hand", "by pump"):
            return False
        if pressure.unit not in {None, *BALLOON_PRESSURES} or time.unit not in {None, *TIMES}:
            return False
        self._pressure(story, item, as_pressure(story, pressure))
        for rise in self.up:
            rise.draft.values.setdefault("duration", time.in_unit("s"))
        return True

    def _as_long_again(self, story: Story, item: Item, quantity: Quantity) -> bool:
        """ "ten bar, also twenty", "thirty again": the seconds the last one was up, and of no pressure told now."""
        values = [(rise, rise.draft.values) for rise in self.up]
        untimed = [rise for rise, told in values if "pressure" in told and "duration" not in told]
        if not untimed or not (item.before in _AS_BEFORE or item.after in _AS_BEFORE | {"again"}):
            return False
        last = last_but(story, untimed[-1].draft)
        known = last.values.get("duration") if last is not None else None
        if known is None or known.value != quantity.value:
            return False
        for rise in untimed:
            rise.draft.values["duration"] = quantity.flagged("unit-assumed", unit=known.unit)
        return True

    def _for_so_long(self, story: Story, item: Item, quantity: Quantity) -> bool:
        """ "to ten atmospheres for fifteen": after a pressure and its unit a time, in the unit times were told in."""
        before = story.before()
        said = before is not None and before.kind == "quantity" and before.figures["value"].unit in BALLOON_PRESSURES
        untimed = [rise for rise in self.up if "duration" not in rise.draft.values]
        last = story.before("mark")
        raised = last is not None and last.kind == "quantity" and is_hold(quantity)  # "Up. Sixteen, for thirty."
        raised = raised and all("pressure" in rise.draft.values for rise in untimed)
        if item.before != "for" or not (said or raised) or not untimed or item.status in NOT_DONE:
            return False
        for rise in untimed:
            rise.draft.values["duration"] = quantity.flagged("unit-guessed", unit=usual_unit(story, rise))
        return True

    def _filled(self, story: Story, item: Item) -> bool:
        """ "balloon up, two millilitres": an occlusion balloon is filled by volume, no value of an inflation."""
        order = self._ordered(story, 0)
        if order is None or not order.up or order.item.words[0] < story.sentence.words[0] or other_talk(story):
            return False
        self._start(story, item)
        return True

    def _is_pressure(self, story: Story, item: Item, quantity: Quantity, unit: str) -> bool:
        """Whether a bare number is a pressure: the balloon is going up or at hand, and it can be one."""
        active = story.active
        if active is None or not may_be_pressure(quantity, item.status) or self_expanding(active):
            return False
        told = told_by(story)
        asked = self._asked_how_long(story, item) and not told & {"raise", "inflate"}
        if asked or story.says("gradient"):  # "Pressure upper side twelve, lower side ten, so gradient two."
            return False
        if (
            of_dilators(story)
            or counts_seconds(story, item, up=bool(self.up))
            or (unit in {"atm", "bar"} and runs_past_atm(story))
        ):
            return False
        if item.status in NOT_DONE and not told & {"raise", "inflate"}:
            return False
        if story.sentence.question and item.before in {"at", "to"} and _ASKS_WHAT & {*story.sentence.tokens[:3]}:
            return False  # "what would we get at twelve?"
        if not told & {"raise", "inflate"} and other_talk(story, up=bool(self.up)):
            return False
        if self.up:
            return puts_right(story, self.up) or self._goes_on(story, item, quantity, told, unit)
        order = self._ordered(story)
        if order is not None and (order.up or order.same or story.topic != "device"):
            return quantity.value > 1 or bool(told)  # a mere "again" orders nothing once another device is spoken of
        return self._unsaid(story, item, told)

    def _stands_by(self, story: Story, item: Item, quantity: Quantity, unit: str) -> bool:
        """Whether a bare figure of a balloon that is not up can be its pressure, and no other thing's."""
        active = story.active
        if self.up or active is None or active.role != "inflation" or active.where not in {"asked", "used"}:
            return False
        if story.number - active.seen > 1 or not may_be_pressure(quantity, item.status) or other_talk(story):
            return False
        if story.says("run", "by hand", "measure", "act", "gradient") or self.fell_at == story.number:
            return False
        counted = counts_seconds(story, item, up=False) or (unit in {"atm", "bar"} and runs_past_atm(story))
        return not counted and not of_dilators(story)

    def _goes_on(self, story: Story, item: Item, quantity: Quantity, told: frozenset[str], unit: str) -> bool:
        """A bare number while a balloon is up: a pressure as long as it rises, a time once it is held."""
        later = story.sentence.breath - self.touched
        known = [rise.draft.values["pressure"] for rise in self.up if "pressure" in rise.draft.values]
        peak = max((value.value for value in known if value.unit == unit), default=0.0)
        higher = peak < quantity.value <= peak + _STEP[unit] if peak else True
        if "inflate" in told or self.read_off == story.number - 1 or at_another_part(story, self.up):
            return True
        if self._next_place(story):
            return True
        if later > 1:
            return higher and (climbing(story, least=2) or self._after_talk(story, item))
        if told == {"hold"} and quantity.value > peak + 2 and counted_on(story, item):
            self.holding = True
            return False
        if self.holding:
            timed = any("duration" in rise.draft.values for rise in self.up)
            step = higher and not timed and not then_down(story) and quantity.value <= peak + _STEP[unit] / 2
            return bool(told & {"raise", "hold"}) or (bool(peak) and step) or self._elsewhere(story, item)
        return bool(told) or higher or (later == 0 and quantity.value <= peak)

    def _after_talk(self, story: Story, item: Item) -> bool:
        """ "Waist is still there. / Twenty-four.", "Now to fourteen.": a figure alone in its sentence, or one to go to,
        with other talk since the one before; no answer to a question.
        """
        others = (other for other in story.sentence.items if other is not item and other.text != "now")
        alone = all(other.kind in {"mark", "phrase"} for other in others) and len(story.sentence.texts) <= _FEW
        alone = alone and self.questioned != story.number - 1
        return not self.holding and (alone or (item.before == "to" and "raise" in told_by(story)))

    def _elsewhere(self, story: Story, item: Item) -> bool:
        """Held, and a number said for another place: "lower part, fourteen only", "sixteen there as well"."""
        spots = spots_before(story) or spots_since(story)
        told = all({"pressure", "duration"} <= rise.draft.values.keys() for rise in self.up)
        return told and (
            bool(spots and not any(rise.spots & spots or rise.thing.spots & spots for rise in self.up))
            or item.after in {"again", "there"}
            or then_at(story, item)
        )

    def _unsaid(self, story: Story, item: Item, told: frozenset[str]) -> bool:
        """A bare number of a balloon nobody said goes up: "twelve up top, down", "four, six, eight", "across. Ten.\""""
        active = story.active
        before = story.before("mark")
        said = before is not None and before.kind == "action" and "pressure" in before.meanings
        if said and active is not None and active.where == "asked" and climbing(story, least=2):
            return True  # "in stent. A small film, three mils. Pressure nine… twelve."
        if active is None or not self._at_hand(story, active):
            return False
        if called_pressure(story) and (active.where == "asked" or just_opened(story, active) is not None):
            return True
        if active.where not in {"asked", "used"} or story.says("run", "by hand", "measure", "act", "gradient"):
            return False
        if self.fell_at == story.number and not (then_down(story) or told & {"inflate"}):
            return False  # a time, told after it came down
        fresh = story.sentence.breath - story.spoken_breath <= 2
        waiting = active.where == "asked"
        opened = active.mount != "self" and just_opened(story, active) is not None
        return (
            climbing(story, least=2 if (waiting and fresh) or opened else 3)
            or (fresh and waiting and bool(told & {"raise", "inflate"}))
            or (active.called == story.number and "raise" in told and item.before in {"to", "at"})
            or (fresh and then_down(story))
            or (waiting and story.number - self.placed <= _NEAR_PLACED and self._alone(story, item))
            or (waiting and story.number - self.placed <= _NEAR_PLACED and held_there(story))
            or (waiting and self.placed == story.number and lies_there(story, item))
            or self._by_place(story)
            or self._further_on(story)
            or ((waiting or self.fell >= story.sentence.breath - 1) and at_a_place(story, active))
            or self._back_to(story, item)
            or deployed_at(story, item)
            or then_timed(story)
            or item.after in {"this", "only", "again"}
            or comes_down_next(story)
            or named_at(story)
        )

    def _at_hand(self, story: Story, active: Thing) -> bool:
        """Whether a balloon is what is spoken of: the topic, or just now, whatever was named since."""
        since = story.number - max(active.seen, self.placed) if active.where == "asked" else _STILL_MEANT
        lately = story.sentence.breath - self.fell <= LATE or since <= _NEAR_PLACED
        return story.topic == active.role or (lately and comes_down_next(story))

    def _back_to(self, story: Story, item: Item) -> bool:
        """ "… and down. Slide up five centimetres, back to four": up once more, in the breath in which it came down."""
        said = story.sentence.tokens[: item.span[0]][-2:] == ("back", "to")
        return said and self.fell == story.sentence.breath and bool(story.sentence.texts & _MOVED)

    def _further_on(self, story: Story) -> bool:
        """ "Bottom edge, gently, six and no more", of a balloon that came down just now at another place."""
        before = story.before("mark")
        here = before is not None and before.kind in SPOTS and story.sentence.breath - self.fell <= 1
        return here and bool(story.sentence.texts & _CAREFUL)

    def _alone(self, story: Story, item: Item) -> bool:
        """ "Fourteen by forty's across. Sixteen.", "We are at sixteen.": a figure alone in its sentence, of the balloon
        just named.
        """
        others = [other for other in story.sentence.items if other is not item and other.kind not in {"mark", *SPOTS}]
        near = story.active is not None and story.number - max(story.active.seen, self.placed) <= _NEAR_PLACED
        if not near or story.sentence.question:
            return False
        said = {text for text in story.sentence.texts if text.isalpha()} - {*item.text.split()}
        if not others:
            return len(story.sentence.texts) <= 3 or said <= _SETS
        stands = item.before in {"at", "on", "'s", "is", "that's"} or said & _GIVES
        bare = all(
            other.kind in {"pronoun", "phrase"} or other.meanings & {"particle", "raise", "hold", "give", "pressure"}
            for other in others
        )
        return bool(stands) and bare and len(story.sentence.texts) <= _FEW

    def _pressure(self, story: Story, item: Item, quantity: Quantity) -> bool:
        asked = story.active.asked if story.active is not None else None
        meant = item.status is Status.PLANNED and item.cue not in {"please", "kindly", "next"}
        meant = meant and not (asked is not None and self.placed > asked.number and item.cue.startswith(_ORDERS))
        if asked is not None and not self.up and (meant or self._only_asked_for(story, item)):
            asked.values["pressure"] = quantity  # "I am planning twenty atmospheres"
            asked.reach(item.words)
            return True
        status = told_status(item)
        if status is not Status.DONE:
            tell(story, item, quantity, status)
            return True
        if self._is_next(story, item) or up_again(story, item, quantity, self._lately_up(story)):
            self._lower(story, self.up)
        thing = meant_here(story)
        if thing is None or all(
            rise.thing is not thing and (rise.stays or apart(rise.thing, thing)) for rise in self.up
        ):
            self._start(story, item)
        for rise in self._in_turn(story, item) or self._beside_each(story) or self._addressed(story, quantity):
            raise_to(story, rise.draft, quantity, item)
            rise.draft.reach(item.words)
        self.touched = story.sentence.breath
        return True

    def _only_asked_for(self, story: Story, item: Item) -> bool:
        """ "six by forty, ten atmospheres, please": asked for with its pressure, not said to be in or up."""
        named = any(other.kind == "device" and other.role == "inflation" and other.figures for other in story.behind())
        done = story.says("inflate", "deflate", "hold", "placed", "particle")
        asking = Status.PLANNED in story.sentence.cues and item.status in {None, Status.PLANNED}
        return asking and named and not done and self._ordered(story, 0) is None and self.placed != story.number

    def _is_next(self, story: Story, item: Item) -> bool:
        """Pressure, then time, then another pressure: in a dictation, or for another place, the next inflation. So is
        one counted: "at twelve atmospheres, and third at fourteen".
        """
        first = max((other.span[1] for other in story.behind() if other.kind in {"quantity", "device"}), default=0)
        said = {*story.sentence.tokens[first : item.span[0]]}
        if self.up and said & _COUNTED and all("pressure" in rise.draft.values for rise in self.up):
            return True
        if at_another_part(story, self.up) or self._next_place(story):
            return True
        if "then" in said and said & _THERE and "the" in said:  # "… two minutes, then to the thigh, up at ten"
            return all({"pressure", "duration"} <= rise.draft.values.keys() for rise in self.up)
        return (
            bool(self.up)
            and all({"pressure", "duration"} <= rise.draft.values.keys() for rise in self.up)
            and (story.dictated or self._elsewhere(story, item))
        )

    # --- which balloon -----------------------------------------------------------------------------

    def _start(self, story: Story, item: Item) -> None:
        order = self._ordered(story)
        thing = meant_here(story)
        if thing is None or thing.role not in BALLOONS:
            thing = only_thought_of(story) or Thing("inflation", "balloon", breath=story.sentence.breath)
            if thing not in story.things:
                story.things.append(thing)
        story.active = thing
        other = self._together(story, thing) or (twin_of(story, thing) if self.both == story.sentence.breath else None)
        self.up = [rise for rise in self.up if rise.stays or apart(rise.thing, thing)]
        for up in filter(None, (other, thing)):
            at_once = order is not None and order.thing is up and order.at_once
            draft = begin(story, up, item, "together" if up is other else "raise", at_once=at_once)
            if other is not None and len(sides := up.spots & SIDES) == 1:
                draft.side = min(sides)
            self.up.append(Rise(draft, up, spots_before(story), part_named(story)))
            up.where, story.inflated = "up", up
        if order is not None and order.same:
            as_high(story, self.up[-1].draft)
        self.orders = [other for other in self.orders if other is not order and other.thing is not thing]
        self.holding, self.touched, self.counted = False, story.sentence.breath, None
        story.topic = thing.role
        if self.ahead is not None and self.ahead[0] == story.number:
            for rise in self.up:  # "for two minutes I hold now the six by eighty at eight bar"
                hold(story, rise, self.ahead[1], self.ahead[2], asked=False)

    def _as_long(self, story: Story, times: float) -> None:
        """ "for the same time", "half the time", "twice as long": by the last one."""
        for rise in self.up or (self.lowered if self.fell == story.sentence.breath else []):
            last = last_but(story, rise.draft)
            if last is not None and "duration" in last.values:
                known = last.values["duration"]
                alike = carried(known) if times == 1 else known.flagged("carried-over", value=known.value * times)
                rise.draft.values.setdefault("duration", alike)

    def _together(self, story: Story, thing: Thing) -> Thing | None:
        """ "both of you up to nine": the other balloon or stent that goes up with this one."""
        each = bool(story.sentence.texts & _APIECE)  # of those named here
        paired = "paired" in thing.qualifiers
        since = story.sentence.breath - self.both
        if since and not each:
            one = story.mentions("side", "pronoun") or any(item.role == thing.role for item in story.mentions("device"))
            if not paired or one:
                return None  # "right eight. Left eight.", "first the main balloon alone"
        lately = 0 if each and since and not paired else 12
        for other in reversed(story.things):
            near = other.role == thing.role and other.where in {"asked", "used"} and story.number - other.seen <= lately
            near = near and (since == 0 or each or "paired" in other.qualifiers)
            if near and other is not thing and other.values and other.left >= thing.left:
                return other
        return None

    def _in_turn(self, story: Story, item: Item) -> list[Rise]:
        """ "seven by forty and six by forty, to ten and eight respectively": each of two figures is for the one named
        in its place.
        """
        if len(self.up) != 2 or not story.sentence.texts & {"respectively", "former", "latter"}:
            return []
        figures = [other for other in story.mentions("quantity") if alike_units(other, item)]
        return [self.up[figures.index(item)]] if len(figures) == 2 else []

    # --- times -------------------------------------------------------------------------------------

    def _time(self, story: Story, item: Item, quantity: Quantity) -> bool:
        if item.status in NOT_DONE:
            return tell_time(story, item, quantity)
        if not may_be_hold(story, item):
            return False
        order = self._ordered(story, 1)
        once_more = order is not None and order.breath == self.fell and begins_anew(order.item)
        going = order is not None and (order.up or order.same or once_more) and not other_talk(story)
        recalled = story.active is not None and story.active.called == story.number and story.says("hold")
        recalled = recalled and story.active is not None and story.active.role == "inflation"
        if not self.up and (going or recalled or (closes(story) and was_up(story, item))):
            self._start(story, item)
        rises = self._timed(story)
        if rises and story.sentence.texts & _GONE_BY:
            self.passed = (story.sentence.breath, quantity)
        for rise in self._in_turn(story, item) or rises:
            asked = story.sentence.breath - self.timing <= 1 or (rise not in self.up and self._told_of_last(story))
            hold(story, rise, item, quantity, asked=asked)
        if not rises and told_ahead(story, item):
            self.ahead = (story.number, item, quantity)
        counted = quantity if quantity.unit == "s" and any(rise.ticking for rise in rises) else None
        self.holding, self.counted = bool(self.up), counted
        self.touched = story.sentence.breath if self.up else self.touched
        return bool(rises)
