"""How the puncture was closed: device, stitch, band or pressure, and for how long."""

from collections.abc import Sequence
from itertools import pairwise

from extractor.model import SIDES, Item, Kind, Quantity, Sentence, Status
from extractor.reconciling.kinds.pressing import pressed_in_all
from extractor.reconciling.marks import FIGURE_ENDS
from extractor.reconciling.story import Draft, Hearing, Story, carried, told_status
from extractor.reconciling.tense import LATER
from extractor.units import TIMES

#: Rest afterwards, and the ward's hours, are no time of pressing.
_RESTING = frozenset({"bed", "flat", "rest", "lie", "lies", "lying", "ward", "recovery", "straight", "home", "leg"})
#: For so many breaths, questions and answers too, what came out left the hole that is closed; set by hand, no source.
_LEFT = 4
#: Nobody presses longer, minutes; common practice, no source. Bands stay on for longer.
_LONGEST = 60
#: These close a puncture only where one is left or closing is spoken of.
_TWO_WAYS = {"plug", "clip"}
#: What a plug is let go in.
_TARGETS = frozenset(
    """
    trunk branch branches feeder feeders sac aneurysm pseudoaneurysm varix varices collateral collaterals nidus
    malformation hypogastric splenic gastroduodenal gonadal ovarian spermatic
    """.split()
)
#: A sentence of so many different words tells nothing but how long the hole is pressed; set by hand, no source.
_SHORTLY = 5
#: Where the puncture is: a plug or clip for it closes it.
_ENTRY = {"groin", "groins", "puncture", "arteriotomy"}
#: With a time of pressing: it was the hole that was pressed, and the bleeding stopped.
_STOPS = {"dry", "bleeding", "oozing", "ooze", "manual", "manually", "groin", "puncture", "compression", "compressed"}
#: A time before or behind one of these is of something else, where no word of pressing is said: "three minutes for the
#: coffee", "back in ten minutes", "ten minutes late".
_FOR_ELSE = frozenset("for to till until before past late early away off ago from".split())
_FROM_NOW = frozenset("in within every".split())
#: These tell of pressing too.
_LEANS = frozenset("lean leaning leaned pressure fingers".split())
_ARTICLES = frozenset("the my your his her".split())
#: After "sewn" or "sutured": something else is.
_ELSEWHERE = {"in", "into", "to", "the", "on", "onto"}
#: Of the words for closing, these tell of none that was made.
_SPEAKS_OF = {"closure", "the closure", "close with", "we close", "i close", "closing", "to close", "closes"}
#: What leaves a hole to close, where it comes out.
_LEAVES_A_HOLE = {"sheath", "drain", "needle", "dilator"}


#: Gauges of what closes a puncture, Fr: common practice, no source. What may stand behind one that is merely listed.
_GAUGES = range(4, 26)
_ENDS_SIZE = FIGURE_ENDS - {";", "-"} | {"please"}
#: Said beside a time of pressing.
_OF_PRESSING = {"press", "haemostasis", "hold", "give", "go", "gave"}
#: Right before a time: it is to take the place of the one told.
_INSTEAD = {"give it", "give that", "make it", "make that", "call it", "better"}
#: After a figure: it is of something else than a time.
_COUNTED = {"percent", "milligrams", "mils", "units", "days", "hours", "weeks", "months", "people", "stitches"}


#: Devices told by their gauge, Fr, and which there are: common practice, no source.
_BY_GAUGE, _GAUGES = {"plug", "closure device"}, range(4, 25)
#: "Behind the suture", "at the stitch": a place, where vessels were joined; "put aside the plug".
_PLACES_OR_ASIDE = frozenset("at behind past near beside below above across along around beyond aside away".split())
_ARTICLES = frozenset("the that this its his her a".split())
#: "Suture the hub to the skin": what is held fast, and no hole.
_HELD_FAST = frozenset("hub drain line catheter sheath port wings".split())
#: Words for a hand on the hole, right before bare minutes; what may stand between; how many there can be, by hand.
_HOLDS = (["hold"], ["holding"], ["held"], ["press"], ["pressing"], ["pressed"], ["compress"], ["pressure"])
_ON_HOLE, _MINUTES = {"it", "that", "for", "there", "him", "her"}, range(2, 31)
_OF_BLOOD = {"blood", "arterial", "aortic", "venous", "mean", "systolic", "the", "cuff", "his", "her"}
_NOT_HELD_NOW = frozenset("when if once until will would should must could ward later tomorrow they".split())
_AS_A_RULE = frozenset("when if once usually normally always before".split())
_PRESSING = frozenset("press presses pressed pressing compress compresses compressed compressing".split())
_PRESSED = _ENTRY | frozenset(
    "hole site neck wrist arm elbow artery vein exit skin spot leg popliteal brachial".split()
)
#: Before "band": rubber, pictures and music; and what somebody does with one for a wrist.
_OTHER_BANDS = frozenset("rubber black dark white bright fibrous tight tissue frequency wedding hair elastic".split())
_PUT_ON = frozenset("put puts putting place placed placing apply applied get have need want with give".split())
#: How it is pressed; in front of its name; and with these it is something else, or for another end.
_HOW_PRESSED = frozenset("on over for about another manually hard firmly gently lightly down well now then , -".split())
_THIS = {(article,) for article in ("the", "a", "this", "that", "his", "her")}
_PRESSED_FOR = frozenset(
    """
    button pedal pause enter alarm picture pictures venogram probe views view run abdomen belly stomach answer key
    conference no before left screen lift remaining
    """.split()
)
#: So many different words has a sentence of one number: it, and its stop.
_NUMBER_ALONE = 2


class Closures(Hearing):
    """Hears closure devices, pressing, and the minutes of it. Each belongs to the hole left open last."""

    def __init__(self) -> None:
        self.open: Draft | None = None
        self.hole: Draft | None = None  # what came out of the puncture that the open closure closes
        self.side: str | None = None  # on which side it is
        self.asked: Draft | None = None
        self.spoken = -9  # the breath in which closing was last spoken of
        self.pressed: Item | None = None  # a hand on the last hole: for how long comes later

    def begin(self, story: Story, sentence: Sentence) -> None:
        if self.open is not None and sentence.breath - self.open.breath > 2:
            self.open = None

    def hear(self, story: Story, item: Item) -> bool:
        self._turn(story)
        if (
            item.kind == "device"
            and (item.role == "closure" or item.name in _TWO_WAYS)
            and _closes_nothing(story, item)
        ):
            return item.role == "closure" and item.name not in _TWO_WAYS
        if item.kind == "device" and item.name in _TWO_WAYS:
            return self._closes(story, item) and self._device(story, item)
        if item.kind == "device" and (item.role == "closure" or _closes_by_gauge(story, item)):
            return self._device(story, item)
        if item.kind == "phrase" and item.name == "refused":
            return self._refuse(story, item)
        if item.kind == "action" and "close" in item.meanings:
            return self._sewn(story, item)
        if item.kind == "action" and item.meanings & {"press", "haemostasis"}:
            return self._press(story, item)
        if item.kind == "action" and ("hold" in item.meanings or _on_it(story, item)) and self._by_hand_on(story):
            self.pressed = item
        if item.kind == "quantity" and item.figures["value"].unit in TIMES:
            return self._time(story, item)
        return item.kind == "quantity" and (
            self._width(story, item) or self._bare_time(story, item) or self._bare_held(story, item)
        )

    def _closes(self, story: Story, item: Item) -> bool:
        """Whether a plug or a clip is to close the puncture: closing is spoken of, or one was asked for or is on."""
        groin = bool(story.sentence.texts & _ENTRY)
        if story.sentence.texts & _TARGETS and not groin:
            return False  # "the trunk is closed with a plug"
        spoken = story.says("close") or story.sentence.breath - self.spoken <= 1 or groin
        if "gauge" in item.figures:
            return True
        if "diameter" in item.figures and (item.figures["diameter"].unit or not spoken):
            return False  # a plug of so many millimetres is an embolic
        if "diameter" in item.figures:
            item.figures = {"gauge": item.figures["diameter"].in_unit("[Ch]")}  # "closure, a five plug"
        return spoken or self.asked is not None or self.open is not None or _hole(story) is not None

    def _sewn(self, story: Story, item: Item) -> bool:
        """ "Sewing… the artery's closed": done, where a hole was left; "we close with" only speaks of it."""
        self.spoken = story.sentence.breath
        if (
            item.text in _SPEAKS_OF
            or item.after in _ELSEWHERE
            or item.status is not None
            or any(other.kind == "device" and other.role in {"closure", "embolise"} for other in story.sentence.items)
        ):
            return False
        if self.open is not None and (story.side == self.side or self._no_side_yet(story)):
            self.open.reach(item.words)
            self.side = story.side
            return True
        if _hole(story) is None:
            return False
        self._new(story, Status.DONE, item, "closure/stitched")
        return True

    def _no_side_yet(self, story: Story) -> bool:
        """ "Stitching... the left artery's closed": one, told of its side when it is done."""
        assert self.open is not None
        sides = (item for item in story.sentence.items if item.kind == "side")
        return self.open.number == story.number and not any(side.words[0] < self.open.words[0] for side in sides)

    def _by_hand_on(self, story: Story) -> bool:
        """ "Sheath's out, I'm holding": the hand is on the hole."""
        hole = _hole(story)
        return (
            hole is not None and hole.breath == story.sentence.breath and story.topic == "device" and self.open is None
        )

    # --- which hole --------------------------------------------------------------------------------

    def _turn(self, story: Story) -> None:
        """Something more came out: the hole of a closure told before it, or another hole."""
        hole = _hole(story)
        if hole is None or hole is self.hole:
            return
        if self.open is None or self.hole is not None or _differ(self.open, hole):
            self.open = None
        elif "gauge" in hole.values:
            self.open.values["gauge"] = carried(hole.values["gauge"])
        self.hole, self.pressed = hole, None
        if self.open is not None:
            self.open.of = hole.of

    def _new(self, story: Story, status: Status, item: Item, rule: str, device: str | None = None) -> Draft:
        gauge = item.figures.get("gauge") or self._own(story, item) or self._gauge(story)
        draft = story.add(
            Kind.CLOSURE, status, item, rule, device=device, values={"gauge": gauge} if gauge is not None else {}
        )
        story.topic = "closure"
        if status is Status.DONE:
            hole = _hole(story, _LEFT)
            draft.of = hole.of if hole is not None else None
            self.open, self.hole, self.pressed, self.side = draft, hole, None, story.side
        return draft

    @staticmethod
    def _listed(story: Story, item: Item) -> bool:
        """ "closure plug, five.": its size as a bare number behind it, nothing else told."""
        following = story.after("mark")
        if item.figures or following is None or following.kind != "quantity" or len(story.mentions("quantity")) != 1:
            return False
        figure = following.figures["value"]
        if figure.unit is not None or figure.value not in _GAUGES or following.span[0] - item.span[1] > 1:
            return False
        if following.after not in _ENDS_SIZE:
            return False
        item.figures["gauge"], following.used = figure.in_unit("[Ch]"), True
        return True

    @staticmethod
    def _own(story: Story, item: Item) -> Quantity | None:
        """ "a clip, five French": a size without a noun, right after what closes."""
        following = next((other for other in story.ahead() if other.kind not in {"mark", "side", "place"}), None)
        if item.kind != "device" or following is None or following.kind != "device" or not following.headless:
            return None
        following.used = "gauge" in following.figures
        return following.figures.get("gauge")

    def _gauge(self, story: Story) -> Quantity | None:
        """The size of the hole: said in the sentence, else that of what came out, else of the sheath still in."""
        for other in story.sentence.items:
            if other.kind != "device" or other.role not in {"", "insert"} or other.name not in {"", "sheath"}:
                continue
            if "gauge" in other.figures:
                return other.figures["gauge"]
            if "bare" in other.figures and (known := _sheath_of(story, other.figures["bare"].value)) is not None:
                return carried(known)
        if self.asked is not None and "gauge" in self.asked.values and _hole(story) is None:
            return carried(self.asked.values["gauge"])
        if (there := _of_side(story)) is not None:
            return carried(there)
        if self.hole is not None and _hole(story) is self.hole:
            return _size_of_hole(story, self.hole) if "gauge" in self.hole.values else None
        for where in ("in", "asked"):
            for thing in reversed(story.things):
                if thing.name in {"", "sheath"} and thing.where == where and "gauge" in thing.values:
                    return carried(thing.values["gauge"])
        for draft in reversed(story.lately()):
            if draft.kind is Kind.REMOVE and draft.device == "sheath" and "gauge" in draft.values:
                return carried(draft.values["gauge"])
        return None

    # --- by what -----------------------------------------------------------------------------------

    def _device(self, story: Story, item: Item) -> bool:
        status = item.status or (Status.PLANNED if "please" in story.sentence.texts else Status.DONE)
        if status is Status.PLANNED and _is_on(story) and not story.sentence.texts & {"have", "next", "give", "want"}:
            status = Status.DONE
        listed = self._listed(story, item) and _hole(story) is None  # "closure plug, five.", the sheath still in
        if status is Status.DONE and (
            listed or _to_come(story) or _for_closing(story) or self._before_the_hole(story, item)
        ):
            status = Status.PLANNED
        following = story.after("mark")
        if status is Status.DONE and following is not None and following.corrects and following.text.startswith("no"):
            status = Status.NEGATED  # "a closure device… no, I'd rather press"
        if status is Status.DONE and story.sentence.question:
            status = Status.CONSIDERED
        asked = self.asked
        if status is Status.DONE and asked is not None:
            self.asked = None
            if story.settle(asked, Status.DONE, item, "closure/asked-and-done"):
                self.open, self.side = asked, story.side
                return True
            if "gauge" in asked.values and self.open is None and "gauge" not in item.figures:
                self._new(story, status, item, "closure/asked-and-done", item.name)
                self.open.values["gauge"] = carried(asked.values["gauge"])  # type: ignore[attr-defined]
                return True
        if status is Status.DONE and self.open is not None and not self._next_hole(story, item):
            self.open.reach(item.words)
            if "gauge" in item.figures and self.open.number == story.number:
                self.open.values["gauge"] = item.figures["gauge"]  # "haemostasis with a six French closure device"
            return True
        if status is Status.PLANNED and asked is not None and asked.breath == story.sentence.breath:
            return _other_gauge(asked, item)
        draft = self._new(story, status, item, f"closure/device-{status}", item.name)
        if status in {Status.PLANNED, Status.CONSIDERED}:
            self.asked = draft
        return True

    def _before_the_hole(self, story: Story, item: Item) -> bool:
        """ "Plug for the groin, six French.": called for by its name and what it is for while the sheath is in."""
        called = not item.definite and {"for", "the"} <= story.sentence.texts and bool(story.sentence.texts & _ENTRY)
        told = story.says("particle", "particle out", "placed", "press", "haemostasis", "close", "deploy", "removed")
        return called and not told and not story.dictated and _hole(story) is None

    def _next_hole(self, story: Story, item: Item) -> bool:
        """ "A stitch on the upper site, dry. A stitch on the lower site": another, where two sheaths came out."""
        if self.open is None or item.name != self.open.device or story.number == self.open.number:
            return False
        left = [
            draft
            for draft in story.drafts[-12:]
            if draft.kind is Kind.REMOVE and draft.device == "sheath" and story.sentence.breath - draft.breath <= 1
        ]
        closed = [draft for draft in story.drafts[-12:] if draft.kind is Kind.CLOSURE and draft.status is Status.DONE]
        return len(left) > 1 and len(left) > len([draft for draft in closed if draft.words >= left[0].words])

    def _on_other_side(self, story: Story) -> bool:
        """ "The other side, just pressure": the sentence is of the other side than the open closure."""
        sides = {item.name for item in story.mentions("side")} & SIDES
        return self.open is not None and self.open.side in SIDES and len(sides) == 1 and self.open.side not in sides

    def _refuse(self, story: Story, item: Item) -> bool:
        """ "Closure device? No, we're not using one." """
        if story.topic != "closure" or self.asked is None:
            return False
        refused = story.settle(self.asked, Status.NEGATED, item, "closure/refused") is not None
        self.asked = None
        return refused

    def _press(self, story: Story, item: Item) -> bool:
        if self.open is not None and not (self._on_other_side(story) and _timed(story)):
            self.open.reach(item.words)
            return True
        status = Status.PLANNED if _only_planned(story) else told_status(item)
        timed = _timed(story)
        if status is not Status.DONE and timed:
            return self._pressed_not_now(story, item, status)
        if status is Status.PAST:
            return False
        closed = "haemostasis" in item.meanings and item.text != "dry"
        if not self._may_close(story) or (status is Status.NEGATED and not closed):
            return False
        if timed or closed or (self.pressed is not None and "haemostasis" in item.meanings):
            draft = self._new(story, status, item, "closure/pressure")
            time = next((other for other in story.behind() if _minutes(other) and not other.used), None)
            if time is not None and status is Status.DONE:  # "ten minutes, dry"
                draft.values["duration"], time.used = time.figures["value"], True
        elif status is Status.DONE:
            self.pressed = item
        return True

    @staticmethod
    def _pressed_not_now(story: Story, item: Item, status: Status) -> bool:
        """ "days ago they went in with a six French sheath and pressed for fifteen minutes", "if it oozes we press for
        ten": no hole of this case, or none yet.
        """
        time = next(other for other in story.sentence.items if _minutes(other))
        gauges = [other.figures["gauge"] for other in story.behind() if "gauge" in other.figures]
        values = {"gauge": gauges[0]} if gauges else {}
        values["duration"], time.used = time.figures["value"], True
        story.add(Kind.CLOSURE, status, item, f"closure/{status}", values=values)
        return True

    def _may_close(self, story: Story) -> bool:
        return (
            _hole(story) is not None
            or self.asked is not None
            or any(item.kind == "device" and item.role == "closure" for item in story.sentence.items)
            or any("haemostasis" in item.meanings and "dry" not in item.text for item in story.sentence.items)
            or (_timed(story) and _stops_bleeding(story) and story.topic not in {"inflation", "balloon"})
        )

    # --- for how long ------------------------------------------------------------------------------

    def _time(self, story: Story, item: Item) -> bool:
        quantity = item.figures["value"]
        if _of_something_else(story, item):
            return False
        if self.open is None and self._held(story, item):
            self._new(story, Status.DONE, self.pressed or item, "closure/held")
        if self.open is None or not (_minutes(item) or self.open.device == "compression band"):
            return False
        if story.sentence.texts & _RESTING:
            return False
        if self._on_other_side(story) and not any(
            other.kind == "device" and other.role == "closure" for other in story.clause()
        ):
            self._new(story, Status.DONE, item, "closure/other-side")
        known = self.open.values.get("duration")
        if known is None:
            self.open.values["duration"] = quantity
            self.open.reach(item.words)
            return True
        if (in_all := pressed_in_all(story, item, known)) is not None:
            self.open.values["duration"] = in_all
            self.open.reach(item.words)
            return True
        if (
            quantity.value != known.value
            and story.sentence.texts & {"been", "was", "'s"}
            and quantity.unit == known.unit
        ):
            self.open.values["duration"] = quantity.flagged("conflict")
            return True
        if quantity.value != known.value and quantity.unit == known.unit and story.topic == "closure":
            self._doubted(story, known, item)
            return True
        return False

    def _width(self, story: Story, item: Item) -> bool:
        """ "Plug in the groin. Six.": its own gauge right behind it stands over that of the sheath, and is marked."""
        closed, figure = self.open, item.figures["value"]
        if closed is None or closed.device not in _BY_GAUGE or story.number - closed.number != 1:
            return False
        known = closed.values.get("gauge")
        alone = len(story.sentence.texts) <= _NUMBER_ALONE and not story.sentence.question
        if not alone or figure.unit is not None or figure.value not in _GAUGES or known is None:
            return False
        if known.value != figure.value and "carried-over" in known.flags:
            gauge = figure.in_unit("[Ch]").flagged("conflict", alternatives=(known.value,))
            closed.values["gauge"] = gauge
            closed.reach(item.words)
        return True

    def _bare_time(self, story: Story, item: Item) -> bool:
        """ "Still oozing, five more", "make it twenty": a figure while the hole is pressed and nothing else is told."""
        known = self.open.values.get("duration") if self.open is not None else None
        figure = item.figures["value"]
        others = {"device", "drug", "finding", "pair"}
        if known is None or figure.unit is not None or story.topic != "closure" or item.after in _COUNTED:
            return False
        if story.says("press", "pressure") and self._on_other_side(story) and item.before in {"same", ","}:
            self._new(story, Status.DONE, item, "closure/other-side").values["duration"] = figure.flagged(
                "unit-assumed", unit=known.unit
            )
            return True
        if any(other.kind in others or other.meanings - _OF_PRESSING for other in story.clause()):
            return False
        if self.open is not None and (in_all := pressed_in_all(story, item, known)) is not None:
            self.open.values["duration"] = in_all
            self.open.reach(item.words)
            return True
        if figure.value == known.value or not known.value / 3 <= figure.value <= 3 * known.value:
            return figure.value == known.value
        self._doubted(story, known, item)
        return True

    def _bare_held(self, story: Story, item: Item) -> bool:
        """ "Ten French out, hold ten.", "sheath's out, press it twelve": minutes, where a hole was just left."""
        quantity, tokens = item.figures["value"], story.sentence.tokens
        before = [token for token in tokens[max(0, item.span[0] - 3) : item.span[0]] if token not in _ON_HOLE]
        plain = quantity.unit is None and quantity.form == "cardinal" and quantity.value in _MINUTES
        hole = _hole(story)
        if before[-1:] == ["pressure"] and before[-2:-1] and before[-2] in _OF_BLOOD:
            return False  # "sheath's out, blood pressure twelve"
        if not plain or before[-1:] not in _HOLDS or item.after not in _ENDS_SIZE or hole is None:
            return False
        if self.open is not None or hole.breath != story.sentence.breath or item.status is not None:
            return False
        if story.sentence.question or story.sentence.texts & _NOT_HELD_NOW:
            return False
        draft = self._new(story, Status.DONE, item, "closure/held")
        flag = "unit-guessed" if before[-1] == "pressure" else "unit-assumed"  # the patient has one too
        draft.values["duration"] = quantity.flagged(flag, unit="min")
        return True

    def _doubted(self, story: Story, known: Quantity, item: Item) -> None:
        """Another time of the same pressing: what was told stands, the other beside it; "oh, give it five" is ordered
        instead.
        """
        if self.open is None:
            return
        other, before = item.figures["value"], story.before("mark")
        instead = before is not None and before.text in _INSTEAD
        stands, beside = (other.flagged(unit=known.unit), known) if instead else (known, other)
        self.open.values["duration"] = stands.flagged("conflict", alternatives=(*stands.alternatives, beside.value))
        self.open.reach(item.words)

    def _held(self, story: Story, item: Item) -> bool:
        """Whether minutes tell of a hand on the hole just left: "I held eight minutes", "ten minutes on it"."""
        lately = _LEFT if self.pressed else 2
        if not _minutes(item) or _hole(story, lately) is None:
            return False
        texts = story.sentence.texts
        if story.topic in {"inflation", "balloon"} or story.sentence.breath - _breath(_hole(story)) > (
            _LEFT if self.pressed else 1
        ):
            return False
        if story.says("run", "by hand") and story.mentions("quantity", "pair")[-1] is not item:
            return False  # "I waited five minutes and looked again with four mils by hand"
        by_hand = story.says("hold", "press") or bool(
            texts & {"manual", "manually", "hand", "lean", "leaning", "leaned"}
        )
        shortly = "pressure" in texts and len(texts) <= _SHORTLY  # "Ten minutes pressure."
        beside = item.before == "pressure" or item.after in {"on", "pressure"}
        return self.pressed is not None or by_hand or shortly or beside


def _is_other_band(tokens: Sequence[str], first: int) -> bool:
    """ "She plays in a band on Fridays", "a black band on the screen", "there's a fibrous band on the vein"."""
    head = {*tokens[max(0, first - 4) : first]}
    return tokens[first] == "band" and bool(_OTHER_BANDS & head or ({"a", "an"} & head and not _PUT_ON & head))


def _closes_nothing(story: Story, item: Item) -> bool:
    """ "Behind the suture", "to plug the hole in it", "a plug like a raisin", "put aside the plug", "suture the hub":
    no word of a puncture that is closed.
    """
    tokens, behind = story.sentence.tokens, story.sentence.tokens[item.span[1] :]
    before = tokens[item.span[0] - 1] if item.span[0] else ""
    led = tokens[item.span[0] - 2] if before in _ARTICLES and item.span[0] > 1 else ""
    acts_on = bool(behind) and behind[0] in _ARTICLES
    fast = acts_on and bool(_HELD_FAST & {*behind[1:2]})
    if _is_other_band(tokens, item.span[0]) or (item.text.startswith("band ") and story.sentence.texts & _AS_A_RULE):
        return True  # "usually band on for two hours", "band on when the sheath is out"
    return led in _PLACES_OR_ASIDE or (acts_on and before == "to") or fast or behind[:2] == ("like", "a")


def _stops_bleeding(story: Story) -> bool:
    """Whether it is the hole that is pressed, where no hole is known of: "nine minutes of pressure"."""
    by_name = any(
        item.text in {"of pressure", "manual pressure"} or _presses(story.sentence, item)
        for item in story.mentions("action")
    )
    return by_name or bool(story.sentence.texts & _STOPS)


def _presses(sentence: Sentence, item: Item) -> bool:
    """ "The right one is out, press six minutes.", "compress the groin": not "press the button"."""
    tokens, (first, past) = sentence.tokens, item.span
    if "press" not in item.meanings or item.text.split()[0] not in _PRESSING or sentence.texts & _PRESSED_FOR:
        return False
    if tokens[max(0, first - 1) : first] in {("the",), ("'s",), ("let's",)} or item.text.endswith("on"):
        return False  # "the press", "let's press on"
    if {*tokens[past : past + 1]} <= {",", ".", "...", "!"}:
        return True  # "pressing, doctor"
    figures = [other.span[0] for other in sentence.items if other.kind == "quantity"]
    while past < len(tokens) and tokens[past] in _HOW_PRESSED:
        past += 1
    named = tokens[past + 1 : past + 2] if tokens[past : past + 1] in _THIS else tokens[past : past + 1]
    return past in figures or {*named} <= _PRESSED | {"it", "that", "there", "here"}


def _closes_by_gauge(story: Story, item: Item) -> bool:
    """ "closed with a seven French device": called by its gauge and what it does."""
    past = item.span[1]
    by_gauge = item.headless and item.figures.keys() == {"gauge"}
    said = story.sentence.tokens
    called = by_gauge and (said[past : past + 1] == ("device",) or ("device", "closure") in pairwise(said))
    if called and (story.says("close") or story.sentence.texts & _ENTRY):
        item.name = item.name or "closure device"
        return True
    return False


def _on_it(story: Story, item: Item) -> bool:
    """ "Sheath's out, and Maria is on the groin": a hand is."""
    following = story.after()
    at = item.text in {"is on", "'s on", "are on", "'m on"}
    return at and following is not None and (following.text in _ENTRY or following.name == "it")


def _for_closing(story: Story) -> bool:
    """ "For the closure a clip": asked for, where nothing tells that it is on."""
    said = any("close" in item.meanings and item.before == "for" for item in story.mentions("action"))
    return said and not story.says("particle", "placed", "press", "haemostasis", "deploy")


def _is_on(story: Story) -> bool:
    """Whether what closes is told to be on: not "it's a five in there", said of what comes out."""
    told = {"particle", "press", "haemostasis"}
    said = (pair for pair in pairwise([Item("mark", (0, 0), ""), *story.sentence.items]) if pair[1].meanings & told)
    return any(before.kind != "quantity" and "bare" not in before.figures for before, _ in said)


def _other_gauge(asked: Draft, item: Item) -> bool:
    """Asked for once more in one breath: where another gauge is told, it takes the place of the first."""
    gauge, known = item.figures.get("gauge"), asked.values.get("gauge")
    if gauge is not None and (known is None or known.value != gauge.value):
        beside = (known.value,) if known is not None else ()
        asked.values["gauge"] = gauge.flagged("corrected", "conflict", alternatives=(*gauge.alternatives, *beside))
    asked.reach(item.words)
    return True


def _breath(draft: Draft | None) -> int:
    return draft.breath if draft is not None else -9


def _differ(closure: Draft, hole: Draft) -> bool:
    """Whether a closure was told of a hole of another size."""
    closed, left = closure.values.get("gauge"), hole.values.get("gauge")
    return closed is not None and left is not None and closed.value != left.value


def _hole(story: Story, lately: int = 2) -> Draft | None:
    """What came out last and left a hole, unless another went in through it: told at most so many breaths ago."""
    for draft in reversed(story.drafts[-8:]):
        if story.sentence.breath - draft.breath > lately:
            return None
        if draft.status is not Status.DONE or draft.kind not in {Kind.INSERT, Kind.REMOVE}:
            continue
        if draft.device in _LEAVES_A_HOLE or (draft.device == "catheter" and _bare(story, draft)):
            return draft if draft.kind is Kind.REMOVE else None
    return None


def _bare(story: Story, catheter: Draft) -> bool:
    """Whether a catheter was in a vessel with no sheath: told in this sentence, or no sheath is in."""
    if catheter.words[0] >= story.sentence.words[0]:
        return True
    return not any(thing.name in {"", "sheath"} and thing.where == "in" for thing in story.things)


def _sheath_of(story: Story, gauge: float) -> Quantity | None:
    """The gauge of a sheath this case knows by its number: "for the six"."""
    for thing in story.things:
        known = thing.values.get("gauge")
        if known is not None and known.value == gauge and thing.name in {"", "sheath"}:
            return known
    return None


def _size_of_hole(story: Story, hole: Draft) -> Quantity:
    """The size of the hole; where two of other sizes were left at once and none is named, either may be meant."""
    gauge, others = hole.values["gauge"], [draft for draft in story.drafts[-8:] if draft.number == hole.number]
    left = [draft.values["gauge"] for draft in others if draft.kind is Kind.REMOVE and "gauge" in draft.values]
    beside = tuple({other.value for other in left if other.value != gauge.value})
    return carried(gauge).flagged("which-device", alternatives=beside) if beside else carried(gauge)


def _of_side(story: Story) -> Quantity | None:
    """The size of what came out on the side this sentence names, of all that came out lately."""
    sides = {item.name for item in story.mentions("side")}
    removed = [draft for draft in story.drafts[-8:] if draft.kind is Kind.REMOVE and draft.device in _LEAVES_A_HOLE]
    there = [draft.values["gauge"] for draft in removed if draft.beside in sides and "gauge" in draft.values]
    return there[-1] if len(sides) == 1 and there and len(removed) > 1 else None


def _to_come(story: Story) -> bool:
    """ "At the end we'll close with a six French plug"."""
    before = {*story.sentence.tokens[: story.sentence.items[story.index].span[0]]}
    coming = before & {"will", "'ll", "shall"} or {"going", "to"} <= before
    return bool(coming) and not story.sentence.texts & {"now", "there"}


def _only_planned(story: Story) -> bool:
    """ "The plan is manual compression", "tomorrow they press twenty minutes"."""
    return Status.PLANNED in story.sentence.cues and bool(story.sentence.texts & LATER)


def _timed(story: Story) -> bool:
    return any(_minutes(other) for other in story.sentence.items)


def _of_something_else(story: Story, item: Item) -> bool:
    """ "Three minutes for the coffee", "next case in ten minutes": no word of pressing, and what the time is for."""
    if story.says("press", "haemostasis", "close") or story.sentence.texts & (_STOPS | _ENTRY | _LEANS):
        return False
    if any(other.kind == "device" for other in story.sentence.items):
        return False
    holds = [other for other in story.mentions("action") if "hold" in other.meanings]
    held = any(_ARTICLES & {other.after, other.text.split()[-1]} for other in holds)
    return held or item.after in _FOR_ELSE or item.before in _FROM_NOW  # "hold the lift, two minutes"


def _minutes(item: Item) -> bool:
    """Whether a figure can be a time of pressing: minutes or seconds, not hours or days."""
    if item.kind != "quantity" or item.figures["value"].unit not in TIMES:
        return False
    figure = item.figures["value"]
    return figure.value <= (_LONGEST if figure.unit == "min" else 60 * _LONGEST)
