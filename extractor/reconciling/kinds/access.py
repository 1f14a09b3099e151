"""Vessel punctured, or access to a duct or organ gained."""

from extractor.model import SIDES, Item, Kind, Sentence, Status
from extractor.reconciling.kinds.way_gained import names_site, way_gained
from extractor.reconciling.story import NOT_DONE, STORES, Draft, Hearing, Story
from extractor.reconciling.tense import LATER

#: Said of access, these make it an attempt: the needle is on its way.
_ON_THE_WAY = frozenset(
    """
    needle probe ultrasound wall dimple dimpling groin stick sticking poke poking stabbing puncture antegrade
    retrograde jab tenting prick scar micropuncture
    """.split()
)
#: These do so for a second access too, when a case has one already.
_NEEDLING = frozenset("needle poke stick sticking jab tenting puncture prick fish".split())
#: In a sentence of a few words these tell that the needle goes in, once more, or missed; and that it is there.
_POKES, _POKE_WORDS = frozenset("puncture stick poke stab again nope missed no higher deeper medial lateral".split()), 3
_GOT_IT = {("got", "it"), ("there", "we", "go"), ("there", "we", "are"), ("bingo",), ("that's", "it"), ("got", "him")}
_VESSEL = {"artery", "vein", "femoral", "jugular", "radial", "brachial", "graft", "fistula", "duct", "calyx", "portal"}
#: With one of these another way in is only thought of.
_WONDERS = {"could", "might", "shall", "should", "can", "maybe", "perhaps", "suppose", "possibly"}
#: Where one goes in; so many breaths after one was thought of, "not the radial" rules another out. Set by hand.
_WAYS_IN = frozenset("brachial radial ulnar femoral axillary popliteal pedal jugular subclavian tibial groin".split())
_SITES_FOR = 8
#: After a word for a puncture, these tell that it is made.
_DONE = {
    "is done", "'s done", "it is done", "is made", "'s made", "it's made",
}  # fmt: skip
#: These tell of it by themselves.
_PERFORMED = {"was made", "was performed", "was done", "was carried out", "is performed", "has been performed"}
_ACCESS = {"that's access", "that is access", "access we have", "i have punctured", "we have punctured"}
#: "I'm in the aorta" tells where a catheter is: nobody gains access there.
_DEEP = {"aorta", "inferior vena cava", "superior vena cava", "renal artery", "right atrium"}
#: What says that another way is gone.
_WILL = {"will", "'ll", "shall", "so", "rather"}
_JUST_THOUGHT = 2
#: So many breaths later a puncture nothing went in through may turn out to be of the wrong vessel: set by hand, no
#: source.
_LATER = 2

#: What is entered by a needle.
_WAYS_IN = frozenset("artery vein groin femoral radial brachial jugular wrist vessel blood".split())


class Accesses(Hearing):
    """Hears needles and punctures, and blood coming back."""

    def __init__(self) -> None:
        self.trying = -9  # breath in which a needle was last spoken of
        self.poked = -9  # number of the last sentence that only said that it goes in once more, or missed
        self.site = -9  # … and of the last one that only named where one goes in

    def begin(self, story: Story, sentence: Sentence) -> None:
        last = story.recent(Kind.ACCESS, _LATER, Status.DONE)
        first = last is None and story.recent(Kind.ACCESS, 10**6, Status.DONE) is None
        if last is not None and self.trying <= last.breath and _unused(story) is None:
            self.trying = -9  # something went in: blood is no sign of a puncture any more
        if (
            sentence.texts & (_ON_THE_WAY if first else _NEEDLING)
            or _punctures(story, first)
            or any(item.kind == "device" and item.name == "needle" for item in sentence.items)
        ):
            self.trying = sentence.breath
        elif last is not None and last.side and any(item.name in SIDES - {last.side} for item in sentence.items):
            self.trying = sentence.breath  # "left, that is yours": the other side

        trying = self.trying == sentence.breath and not story.mentions("device", "drug", "quantity")
        words = tuple(token for token in sentence.tokens if token.isalpha())
        if trying and len(words) <= _POKE_WORDS and sentence.texts & _POKES:
            self.poked = story.number
        elif trying and words in _GOT_IT and story.number - self.poked <= 1:
            mark = Item("mark", sentence.words, " ".join(words))
            self._gained(story, mark, "access/got-it")
        elif trying and self.poked == story.number - 1 and len(words) <= _POKE_WORDS:
            self.poked = story.number  # "Bit deeper."

        self._not_there(story, sentence)
        gained = way_gained(story, sentence, named=self.site == story.number - 1)
        if gained is not None:
            self._gained(story, gained, "access/way-gained")
        if names_site(sentence):
            self.site = story.number

    def hear(self, story: Story, item: Item) -> bool:
        if item.kind == "phrase" and item.name == "refused":
            return self._refused(story, item)
        if item.kind != "action":
            return False
        trying = story.sentence.breath - self.trying <= 1
        if (
            item.text.endswith("entered")
            and item.after in {"", ",", ".", "...", "!", "now", "and"}
            and story.topic == "drug"
            and story.orders
            and not _of_vessel(story)
        ):
            return False  # "Five thousand of heparin?" "Five thousand, entered."
        if item.meanings & {"not in", "try again"} and trying:
            return self._missed(story, item)
        if "way in" in item.meanings:
            return self._another_way(story, item)
        status = item.status or (Status.PLANNED if story.sentence.texts & LATER and _decided(story) else None)
        if status in NOT_DONE | {Status.PLANNED} and ("punct" in item.text or _of_the_needle(story, item)):
            if status is Status.NEGATED or not _told(story, status):
                story.add(Kind.ACCESS, status, item, f"access/{status}")
            return True
        first = item.text in _PERFORMED and story.recent(Kind.ACCESS, 10**6, Status.DONE) is None
        right_after = first and "puncture" in story.sentence.tokens[item.span[0] - 1 : item.span[0]]
        if (item.text in _DONE or right_after) and item.status is None and _punctured(story):
            return self._gained(story, item, "access/punctured")
        sure = "flash" in item.meanings or item.text in _ACCESS or ("gained" in item.meanings and _placed(story))
        if sure or (trying and item.meanings & {"gained", "blood back"}):
            stored = STORES & {*story.sentence.tokens[item.span[1] : item.span[1] + 2]}  # "you're in that drawer"
            elsewhere = stored or _deep(story) or _of_a_device(story, item) or not _ends(story, item)
            return not elsewhere and self._gained(story, item, "access/blood-back")
        if item.meanings & {"particle", "placed"} and "up" not in item.text and story.sentence.texts & _VESSEL:
            before = story.before("pronoun", "place", "side")
            if before is not None and before.kind == "device" and before.name == "needle" and item.status is None:
                return self._gained(story, item, "access/needle-in")
        if trying and item.meanings & {"particle", "placed"} and _needle_in(story, item):
            return self._gained(story, item, "access/needle-in")
        return False

    @staticmethod
    def _another_way(story: Story, item: Item) -> bool:
        """ "Could we go in on the left?", "the surgeons could cut down on it", "not from the left groin": thought of,
        refused, or decided on. Who tells only that it comes from there gains no access.
        """
        status = item.status if item.status in NOT_DONE else None
        wondered = story.sentence.question or bool(story.sentence.texts & _WONDERS)
        status = status or (Status.CONSIDERED if wondered else Status.PLANNED if _decided(story) else None)
        if status is None or _told(story):
            return False
        if any(other.kind == "device" and other.name != "needle" for other in story.clause()):
            return False  # "the wire won't go in from the arm"
        story.add(Kind.ACCESS, status, item, f"access/{status}")
        return True

    @staticmethod
    def _not_there(story: Story, sentence: Sentence) -> None:
        """ "So not the brachial.", "No radial, then.": a site is ruled out, where sites are being thought of."""
        thought = story.recent(Kind.ACCESS, _SITES_FOR)
        if thought is None or thought.status is Status.DONE:
            return
        for item in sentence.items:
            before = [token for token in sentence.tokens[max(0, item.span[0] - 2) : item.span[0]] if token != "the"]
            after = sentence.tokens[item.span[1] : item.span[1] + 1]
            if item.kind != "place" or before[-1:] not in (["no"], ["not"]) or (after and after[0].isalpha()):
                continue
            if item.text.split()[-1] in _WAYS_IN:
                story.add(Kind.ACCESS, Status.NEGATED, item, "access/negated")

    def _gained(self, story: Story, item: Item, rule: str) -> bool:
        if item.status in {Status.NEGATED, Status.CONSIDERED, Status.QUOTED}:
            return False
        last = story.recent(Kind.ACCESS, 0, Status.DONE)
        if last is None and item.text.startswith("that"):  # "that is the vein": of the puncture told before
            last = _unused(story)
        if last is not None and not _another(story, item, last):
            last.reach(item.words)
            return True
        for _ in range(2 if _both(story, item) else 1):
            story.add(Kind.ACCESS, Status.PAST if item.status is Status.PAST else Status.DONE, item, rule)
        return True

    @staticmethod
    def _refused(story: Story, item: Item) -> bool:
        """ "The pedal puncture, we don't do it." """
        punctures = [other for other in story.behind() if other.kind == "action" and "puncture" in other.meanings]
        named = any(other.kind in {"device", "drug"} for other in story.behind())
        if not punctures or named or punctures[0].status is not None or "pass" in punctures[0].text:
            return False
        thought = Status.CONSIDERED in story.sentence.cues or story.sentence.texts & {"could", "might", "would"}
        status = Status.CONSIDERED if thought else Status.NEGATED
        story.add(Kind.ACCESS, status, punctures[0], f"access/{status}")
        return True

    @staticmethod
    def _missed(story: Story, item: Item) -> bool:
        """ "No blood. I'm not in." What seemed gained in this breath was not."""
        unused = _unused(story)
        last = story.recent(Kind.ACCESS, 0) or unused
        if "try again" in item.meanings and (last is None or last is not unused):
            return False  # it may be a wire that is tried again
        if last is not None and last.status in {Status.DONE, Status.NEGATED}:
            story.rule_out(last, item, "missed")
        else:
            story.add(Kind.ACCESS, Status.NEGATED, item, "access/missed")
        return True


def _told(story: Story, status: Status | None = None) -> bool:
    """Whether this sentence has told an access already, of this status where one is given."""
    told = (draft for draft in story.drafts[-3:] if draft.kind is Kind.ACCESS and draft.number == story.number)
    return any(status in {None, draft.status} for draft in told)


def _decided(story: Story) -> bool:
    """ "The plan is to puncture the femoral"; "we will go from the right", once another way was refused."""
    last = story.recent(Kind.ACCESS, _JUST_THOUGHT)
    instead = last is not None and last.status in {Status.NEGATED, Status.CONSIDERED}
    plans = bool(story.sentence.texts & LATER) and Status.PLANNED in story.sentence.cues
    return plans or (instead and bool(story.sentence.texts & _WILL))


def _both(story: Story, item: Item) -> bool:
    """ "both common femoral arteries were punctured", "both groins accessed": one on each side."""
    tokens = story.sentence.tokens[: item.span[0]]
    at = max((index for index, token in enumerate(tokens) if token == "both"), default=-1)
    return at >= 0 and any(token.endswith(("s", "ae", "sides")) for token in tokens[at + 1 : at + 6])


def _punctured(story: Story) -> bool:
    """ "Puncture of the fistula, towards the heart: it is done." Of nothing else told between."""
    for other in story.behind():
        if other.kind in {"device", "drug", "finding"}:
            return False
        if "puncture" in other.meanings and "punct" in other.text:
            return other.status is None
    return False


def _of_the_needle(story: Story, item: Item) -> bool:
    """Whether a word for a puncture is one: "the wire won't pass" is none."""
    needle = any(other.name == "needle" for other in story.mentions("device"))
    return "puncture" in item.meanings and (needle or "pass" not in item.text)


def _needle_in(story: Story, item: Item) -> bool:
    """ "Second stick, needle... in.": a lone word after a pause, with no other device in the sentence."""
    items = story.sentence.items
    before = next((other for other in story.behind() if other.text != "and"), None)
    after = items[story.index + 1] if story.index + 1 < len(items) else None
    waited = before is not None and before.text in {"...", ","} and item.span[0] - before.span[1] <= 1
    ends = after is None or (after.kind == "mark" and after.span[0] == item.span[1])
    needled = (
        story.turned or story.sentence.texts & _NEEDLING or any(other.name == "needle" for other in story.behind())
    )
    others = any(other.kind in {"device", "drug"} and other.name != "needle" for other in story.behind())
    lone = item.text.split()[0] in {"in", "through"} and item.status is None
    return bool(lone and waited and ends and needled and not others)


def _punctures(story: Story, first: bool) -> bool:
    """Whether a puncture is spoken of; once there is access, "second pass" is of what went in."""
    return any("puncture" in item.meanings and (first or "pass" not in item.text) for item in story.mentions("action"))


def _unused(story: Story) -> Draft | None:
    """The access gained last, where nothing went in through it yet."""
    last = story.recent(Kind.ACCESS, _LATER, Status.DONE)
    if last is None or any(each.kind is Kind.INSERT and each.number >= last.number for each in story.drafts[-8:]):
        return None
    return last


def _another(story: Story, item: Item, last: Draft) -> bool:
    """Whether this is a second access told in one breath: by another hand, or on the other side."""
    return item.text == "so am i" or bool(story.side and last.side and story.side != last.side)


def _ends(story: Story, item: Item) -> bool:
    """A lone word speaks of the needle only where nothing is said of it: "dark… blood.", not "blood pressure"."""
    if item.text not in {"red", "blood"}:
        return True
    following = story.after()
    return following is None or (following.kind == "mark" and following.span[0] == item.span[1])


def _placed(story: Story) -> bool:
    """Whether this breath is of a procedure: a vessel or a side is named, or something was done in it."""
    named = bool(story.mentions("place", "side")) or bool(story.sentence.texts & _VESSEL)
    return named or any(draft.breath == story.sentence.breath for draft in story.drafts[-3:])


def _of_a_device(story: Story, item: Item) -> bool:
    """ "the sheath, the slender one, she is in": no word of the needle."""
    return item.text.startswith(("she ", "he ")) and any(
        other.kind == "device" and other.role == "insert" and other.name != "needle" for other in story.behind()
    )


def _deep(story: Story) -> bool:
    following = story.after()
    return following is not None and following.kind == "place" and following.name in _DEEP


def _of_vessel(story: Story) -> bool:
    """ "Left groin, entered.", "vein entered, red blood": what is entered is a vessel, and no drug."""
    return bool(story.sentence.texts & _WAYS_IN or story.mentions("place", "side", "part"))
