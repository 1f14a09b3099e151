"""What the words around a drug tell of it: that it is in, asked for, or given with what else."""

from collections.abc import Sequence
from itertools import pairwise

from extractor.model import Item, Kind, Quantity, Sentence, Status
from extractor.reconciling.marks import FIGURE_ENDS
from extractor.reconciling.story import Draft, Story, carried
from extractor.reconciling.thousands import in_thousands

_THROUGH = {"in", "down", "through", "into", "up"}
_INTO = {"in", "into", "under"}
#: Said of what went in; so many different words at most say that and by which way.
_GIVEN, _ROUTE_ALONE = {"given", "injected", "pushed", "in and given", "all given"}, 7
#: Asks whether somebody got something.
_DID_WHO, _WHO_DID = {"did", "has", "have", "had", "was"}, {"he", "she", "they", "it", "that", "you", "we", "him"}
_GOT = frozenset("get got have had give given go gone in receive received take taken push pushed run".split())
#: With one of these it is still drawn up, or what is about to be given.
_NOT_YET = frozenset("syringe syringes pot gallipot bowl vial ampoule trolley table drawn to ready next please".split())
_THE = {"the", "a", "his", "her", "my", "our"}
#: What follows "in" where it says that a drug is in, not what something else is in.
_IS_IN = frozenset(
    """
    now at already and then slowly too as also there sir doctor doc by with from over through via thanks please before
    after so but
    """.split()
)
UNITS = {"[iU]", "mg", "ug", "g"}
#: Beside a local anaesthetic: it is given.
_NUMBS = frozenset(
    """
    numb numbs numbing numbed infiltrate infiltrates infiltrating infiltration anaesthetise anaesthetising anaesthetised
    anesthetize anesthetizing anesthetized anaesthetizing anaesthesia anesthesia freeze freezing sting scratch deaden
    """.split()
)
LOCALS = {"lidocaine", "bupivacaine", "levobupivacaine", "ropivacaine", "prilocaine", "mepivacaine", "procaine"}
#: A drug that goes there is given there.
_ROUTES = frozenset(
    """
    skin groin tract wrist neck arm tissue tissues subcutaneous capsule sheath sac clot thrombus aneurysm
    pseudoaneurysm fistula graft
    """.split()
)
#: Said when it has done what it should.
_STOPPED = frozenset("stop stopped stops enough thrombosed clotted silent".split())
#: A question with one of these asks for it, or whether it should be.
_MAY = {"can", "could", "may", "shall", "should", "would"}
#: What foam is made of.
_SCLEROSANTS = {"polidocanol", "sodium tetradecyl sulfate"}
#: Said of a drug or of a device.
THROUGH = {"through", "'s through", "is through"}
#: Said of a drug only where it, its dose or a word for them stands right before: "the line is flushed through".
_OF_MUCH = (
    "through", "board", "flushed in", "flushed down", "made", "applied", "passes", "runs", "went", "ran", "flows",
    "drips", "was put", "were put", "was set", "was run", "was done", "were done",
)  # fmt: skip
_IT = {"it", "that", "this", "both", "lot", "they", "them", "those", "everything"}
#: Behind a drug, and nothing but these behind it: it was not given.
_LEFT_OUT = {
    ("not", "given"), ("never", "given"), ("left", "out"), ("decided", "not"), ("decided", "against"),
    ("not", "used"), ("not", "injected"), ("not", "administered"),
}  # fmt: skip
_ALTOGETHER = {"altogether", "entirely", "completely", "today", "because"}
_WOULD_HAVE = {("would", "have", "been"), ("would", "have", "had"), ("would", "have", "gone")}
#: Given where blood clots too fast; so much of it at once, U: common practice, no source.
TOPPED_UP, _TOP_UP = "heparin", (500, 10_000)
#: The least of it where only the figure is said. Set by hand, no source.
_LEAST_ALONE = 1000
_ON_TOP = frozenset("more another extra additional further again plus".split())
_DOSE_ENDS = FIGURE_ENDS | {"then", "please", "now"}
#: Right behind such a dose.
_BEHIND_DOSE = _DOSE_ENDS | _IS_IN | _ON_TOP | set("in of units given put pushed gone done is 's".split())
_COURTESIES = frozenset("doctor doctora doc sir madam professor prof boss chief now thanks already please".split())
#: Before such a dose, where no drug is named.
_AROUND_DOSE = frozenset(
    """
    , . ... - : ; ! okay ok right so then and well good low bit a another give gives giving her him let's let us we i
    he she need needs make it fine yes please now just only plus that top up i'll we'll 'll have her's alright
    """.split()
)
#: Words that end what is said of people and of the case as well: "we're done", "the patient's away".
_STATES = frozenset(
    "through board in inside gone away done finished complete completed passed started running off down".split()
)
_OTHERS = frozenset(
    """
    we i you he she patient patients everyone everybody anaesthetist anesthetist anaesthetics nurse lady gentleman man
    woman team family case procedure run time clock pump list line lunch break shift pain
    """.split()
)
#: What may stand between a subject and what is said of it.
_BETWEEN = frozenset("is 's are 're am 'm was were has have 've had been be all now just also already nearly".split())


def is_usual(drug: Item, quantity: Quantity) -> bool:
    """Whether a figure can be a dose of a drug: by its unit, or plausible in the one nobody says."""
    if quantity.unit in UNITS:
        return True
    other = quantity.unit not in {None, drug.unit} or quantity.form in {"leading-zero", "year", "clock"}
    if other or drug.usual is None:
        return False
    return drug.usual[0] <= quantity.value <= drug.usual[1]


def left_out(story: Story, item: Item) -> Status | None:
    """ "tirofiban was proposed, but not given", "heparin … left out altogether", "… would have been given": what
    became of a drug, told behind it, where it was not given; None where nothing says so.
    """
    if story.sentence.question:
        return None
    tokens = story.sentence.tokens
    others = (other.span[0] for other in story.ahead() if other.kind in {"drug", "device"})
    behind = tokens[item.span[1] : next(others, len(tokens))]
    if any(row in _WOULD_HAVE for row in zip(behind, behind[1:], behind[2:], strict=False)):
        return Status.CONSIDERED
    for at, pair in enumerate(pairwise(behind)):
        ends = not (behind[at + 2 : at + 3] or (".",))[0].isalpha() or behind[at + 2] in _ALTOGETHER
        if pair in _LEFT_OUT and ends:
            return Status.NEGATED
    return None


def is_top_up(story: Story, item: Item, quantity: Quantity) -> bool:
    """ "two thousand more", "give another thousand", "okay, two thousand.": hundreds of units asked for or told, and of
    nothing else; "five thousand patients" counts.
    """
    low, high = _TOP_UP
    if quantity.unit not in {None, "[iU]"} or not low <= quantity.value <= high or quantity.value % 100:
        return False
    if any(other.kind in {"device", "drug", "finding", "pair"} for other in story.clause()):
        return False
    words = {*story.sentence.tokens[: item.span[0]]}
    if {*story.sentence.tokens[item.span[1] :]} & {"no", "not", "wait", "sorry", "rather"}:
        return False  # "so fifteen hundred, no, one thousand more"
    asked = item.after in _ON_TOP or item.before in _ON_TOP | {"give", "add", "plus", "give her", "give him"}
    alone = quantity.value >= _LEAST_ALONE and words <= _AROUND_DOSE
    return item.after in _BEHIND_DOSE and (asked or alone) and not words & {"not", "no", "than", "under", "over", "if"}


#: The skin is cut: "cut", "cutting", "small nick" at the head of a sentence, …
_CUTS = frozenset("cut cutting nick nicking incision incising tunnel tunnelling tunneling".split())
_BEFORE_CUT = frozenset("a and i we i'm we're now then small little tiny short the skin okay right so".split())
#: … and no string or wire.
_BEHIND_CUT = frozenset(", . ... ! - : here there down made done along skin now um".split())


def skin_cut(sentence: Sentence) -> bool:
    """ "Cut. Tunnel.", "Cutting, two centimetres.", "A small nick here.": told, not asked or thought of."""
    if sentence.question or sentence.cues:
        return False
    at = next((at for at, token in enumerate(sentence.tokens) if token not in _BEFORE_CUT), len(sentence.tokens))
    return (
        sentence.tokens[at : at + 1] != ()
        and sentence.tokens[at] in _CUTS
        and (sentence.tokens[at + 1 : at + 2] == () or sentence.tokens[at + 1] in _BEHIND_CUT)
    )


#: "a second dose of two thousand followed", "another bolus of one thousand".
_BOLUSES = frozenset("dose bolus boluses".split())
_FURTHER = frozenset("second third further another extra additional repeat repeated".split())
_WENT = frozenset("followed follows came administered added injected".split())


def one_more_dose(sentence: Sentence, item: Item) -> bool:
    """Whether a figure is told as a further dose; "a second dose of two thousand"."""
    said = sentence.tokens[max(0, item.span[0] - 4) : item.span[0]]
    return said[-1:] == ("of",) and said[-2:-1] != () and said[-2] in _BOLUSES and bool(_FURTHER & {*said})


def dose_went(sentence: Sentence) -> bool:
    """ "… followed at one hour", "… came later": told of a dose, with nothing that doubts it."""
    return bool(_WENT & sentence.texts) and not sentence.cues


def put_behind(story: Story, item: Item) -> bool:
    """ "One thousand, put.", "two thousand, pushed": told right behind the dose, and nothing else."""
    behind = [token for token in story.sentence.tokens[item.span[1] :] if token.isalpha()]
    return behind[:1] in (["put"], ["pushed"], ["done"]) and not {*behind[1:]} - _COURTESIES


def is_in(item: Item) -> bool:
    """Whether an action says that a drug is in; a bare "in" only where it says nothing of what else is in what."""
    if item.kind != "action" or "give" not in item.meanings:
        return False
    bare = item.text.removeprefix("already ") in {"in", "inside", "through", "goes in", "going in"}
    if bare and item.before == "go":
        return False  # "ten mils to go in"
    return not bare or not item.after.isalpha() or item.after in _IS_IN


def no_more_than(tokens: Sequence[str], first: int) -> bool:
    """ "…, just the one milligram": a clause that begins so and goes on with the figure."""
    while first and tokens[first - 1] in _THE:
        first -= 1
    return first > 0 and tokens[first - 1] in {"just", "only"} and (first == 1 or not tokens[first - 2].isalpha())


def says_given(story: Story) -> bool:
    """ "she gave a hundred and fifty": the clause tells what was really given."""
    return any(other.kind == "action" and "gave" in other.meanings for other in story.clause()[:-1])


def under(story: Story, item: Item) -> bool:
    """ "Under heparin, five thousand, the lesion was crossed", "after nitro the spasm has gone"."""
    said = story.sentence.tokens[: item.span[0]]
    return (
        bool(said) and said[0] in {"under", "after", "following"} and not story.sentence.texts & {"'ll", "will", "then"}
    )


def sedated(sentence: Sentence) -> bool:
    """ "Sedation was with midazolam, three milligrams": what was used for it."""
    return bool(sentence.texts & {"sedation", "analgesia", "premedication"}) and "was" in sentence.texts


def is_asked_for(sentence: Sentence) -> bool:
    """ "Can we have four thousand of heparin on board?" """
    return sentence.question and bool(sentence.texts & _MAY)


def of_others(sentence: Sentence, item: Item) -> bool:
    """ "we're through", "the patient's away", "all done here": a state that somebody or the case is in, and no
    drug or device.
    """
    if item.text.split()[-1] not in _STATES:
        return False
    tokens, at = sentence.tokens, item.span[0]
    while at and tokens[at - 1] in _BETWEEN:
        at -= 1
    return item.after in {"here", "today"} or (at > 0 and tokens[at - 1] in _OTHERS)


def of_the_drug(sentence: Sentence, item: Item) -> bool:
    """Whether "through", "flushed in" and "on board" are said of a drug: it, its dose, "it" or "that" stands right
    before, and no place behind ("on board the trolley"); a bare "on board" may be an answer.
    """
    text = item.text
    if not text.endswith(_OF_MUCH) or text.startswith("went in"):
        return True
    if item.after.isalpha() and item.after not in _IS_IN:
        return False
    if text.split()[0] in _IT:
        return True
    tokens, at = sentence.tokens, item.span[0]
    while at and (tokens[at - 1] in _BETWEEN or tokens[at - 1] in {",", "..."}):
        at -= 1
    if not at:
        return text.endswith("board")
    while at and (tokens[at - 1] in _COURTESIES or not tokens[at - 1].isalpha()):
        at -= 1
    named = any(other.kind in {"drug", "quantity"} and other.span[1] == at for other in sentence.items)
    return named or tokens[max(0, at - 1)] in _IT


def on_paper(sentence: Sentence, item: Item) -> bool:
    """ "Order entered", "the prescription is in", "it's in the chart": what is in is written, and not given yet."""
    tokens, at = sentence.tokens, item.span[0]
    while at and tokens[at - 1] in _BETWEEN:
        at -= 1
    if (at and tokens[at - 1] in _PAPERS) or not _PAPERS.isdisjoint(tokens[item.span[1] : item.span[1] + 3]):
        return True
    return item.text == "entered" and (not at or item.before in _ENTERS)


_PAPERS = frozenset(
    """
    order orders prescription prescriptions chart charts system computer record records log sheet form request list
    """.split()
)
#: Before "entered": somebody wrote it down.
_ENTERS = frozenset("is 's 've have been i we she he ok okay done and".split())


def of_several(story: Story, item: Item) -> bool:
    """ "They are inside.", "both are in": more than the one drug that waits, so of something else."""
    tokens, at = story.sentence.tokens, item.span[0]
    said = {*tokens[max(0, at - 2) : at], *item.text.split()[:1]}
    several = bool(said & {"they", "both"}) and bool(said & {"are", "'re"})
    several = several and not story.mentions("quantity")
    named = {
        draft.drug
        for draft in (*story.orders, *story.lately()[-3:])
        if draft.kind is Kind.DRUG and draft.status is not Status.NEGATED
    }
    return several and (len(named) < 2 or bool(story.mentions("device") and not story.mentions("drug")))


def loaded(story: Story, item: Item) -> bool:
    """ "beads, seventy-five of doxorubicin on board": on the beads."""
    return item.text.endswith("on board") and any(other.role == "embolise" for other in story.sentence.items)


def of_device(story: Story) -> bool:
    """ "the needle is in the sac": what is in is no drug."""
    among, said = story.clause(), story.sentence.items[story.index]
    if said.text in THROUGH and story.mentions("device"):
        return True  # "it's through, twelve's in the aorta"
    device = any(other.kind == "device" and not other.where for other in among if other.span < said.span)
    return device and not any(other.kind == "drug" for other in among)


def until_it_stopped(story: Story, item: Item, ready: Quantity) -> bool:
    """ "Five hundred drawn up… it stopped after three hundred": how much of what was made ready went in."""
    less = item.figures["value"].value < ready.value
    return (
        less
        and (item.before in {"after", "with"} or bool(story.sentence.texts & _STOPPED))
        and not story.mentions("drug")
    )


def is_done(story: Story) -> bool:
    """ "heparin's done": the word right after a drug that waits."""
    after = story.after("mark", "pronoun")
    return after is not None and after.kind == "action" and after.text.endswith("done") and after.status is None


def shown(story: Story) -> bool:
    """ "that's ten mils of lidocaine into the skin": the clause points at a dose that is where it belongs."""
    texts = story.sentence.texts
    dose = next((item for item in story.behind() if item.kind == "quantity"), None)
    pointed = dose is not None and dose.before in {"'s", "is", "was"} and dose.after == "of"
    return pointed and bool(texts & _INTO) and not texts & _NOT_YET


def applied(story: Story, item: Item) -> bool:
    """ "I numb the groin with eight mils of lidocaine", "local anaesthesia with ten", "ten of lidocaine into the
    skin", "here goes two of midazolam": what is told is how it goes in.
    """
    tokens, texts = story.sentence.tokens, story.sentence.texts
    if texts & _NOT_YET or story.sentence.question or not item.figures:
        return False
    if texts & _NUMBS and item.name in LOCALS:
        return True
    past = max([item.span[1], *(other.span[1] for other in story.ahead() if other.kind == "quantity")])
    behind = tokens[past : past + 4]
    numbed = any(
        to in {"in", "to", "into", "under"} and {*tokens[at : at + 4]} & _ROUTES for at, to in enumerate(tokens)
    )
    if item.name in LOCALS and numbed and Status.PLANNED not in story.sentence.cues:
        return True  # "ten of lidocaine in the groin"
    route = len(behind) > 2 and behind[0] in {"into", "under", "through", "down"} and bool(set(behind) & _ROUTES)
    return route or any(first == "here" and then in {"goes", "go", "comes"} for first, then in pairwise(tokens))


def only_if(story: Story, item: Item) -> bool:
    """ "fifty more fentanyl, if she moves": given only where something happens to the patient."""
    behind = story.sentence.tokens[item.span[1] :]
    at = behind.index("if") if "if" in behind else -1
    return at >= 0 and behind[at + 1 : at + 2] in {("she",), ("he",), ("they",)} and "and" not in behind[:at]


def no_figure(item: Item) -> bool:
    return item.kind != "quantity"


def told_to_give(story: Story) -> bool:
    return any(is_in(other) or other.text == "give" for other in story.mentions("action"))


def is_route(before: Item | None, device: Item) -> bool:
    """Whether a device is only what a drug goes through: "down the sheath"."""
    if device.where or (before is not None and before.after in _THROUGH | {"by", "via"}):
        return True
    return (
        before is not None and before.kind == "action" and before.text.split()[-1] in _THROUGH and before.after in _THE
    )


def mark_routes(sentence: Sentence) -> None:
    """ "alteplase, four milligrams, by the sheath", "in the sheath, given": a device named as a way in goes nowhere."""
    dosed = next((item.span[0] for item in sentence.items if item.kind == "drug"), None)
    given = any(item.kind == "action" and item.text in _GIVEN for item in sentence.items)
    for item in sentence.items:
        if item.kind != "device" or item.role != "insert" or item.figures or item.where:
            continue
        said = [token for token in sentence.tokens[max(0, item.span[0] - 2) : item.span[0]] if token not in _THE]
        by = said[-1:] in (["by"], ["via"], ["per"]) and dosed is not None and dosed < item.span[0]
        if by or (given and item.definite and said[-1:] == ["in"] and len(sentence.texts) <= _ROUTE_ALONE):
            item.where = "through"


def asks_whether_given(sentence: Sentence) -> bool:
    """ "Cefazolin, two grams, did he get it?", "…, when did that go?": a drug is named, and asked of it is whether it
    was given.
    """
    tokens = sentence.tokens
    asked = any(one in _DID_WHO and two in _WHO_DID for one, two in pairwise(tokens)) and bool(_GOT & sentence.texts)
    return sentence.question and asked and any(item.kind == "drug" and item.figures for item in sentence.items)


def same_dose(draft: Draft, figures: dict[str, Quantity]) -> bool:
    """Whether a dose is the one of an order; true too where either has none."""
    dose, known = figures.get("dose"), draft.values.get("dose")
    if dose is None or known is None:
        return dose is None
    dose = in_thousands(dose, known)
    return abs(dose.value - known.value) < 1e-9 and (dose.unit in {None, known.unit} or known.unit is None)


def values_carried(draft: Draft) -> dict[str, Quantity]:
    return {key: carried(quantity) for key, quantity in draft.values.items()}


def is_sum(story: Story) -> bool:
    return bool(story.sentence.texts & {"total", "altogether"}) or {"in", "all"} <= story.sentence.texts


def says_same(story: Story) -> bool:
    return "same" in story.sentence.texts


def rated(story: Story) -> bool:
    """Whether the sentence tells a rate: an infusion, or a rule by weight."""
    return any(other.after in {"a kilo", "an hour"} for other in story.mentions("quantity"))


def per_kilo(story: Story) -> bool:
    return any(other.after == "a kilo" for other in story.mentions("quantity"))


def is_clock(item: Item) -> bool:
    """ "given at nine fifteen": a time of the day."""
    value, said = item.figures["value"].value, item.text.split()
    hours = len(said) == 2 and "hundred" not in said and 100 <= value < 2400 and value % 100 < 60
    bare = item.figures["value"].unit is None
    if len(said) == 1 and (item.before == "past" or item.after in {"past", "o'clock"}):
        return True  # "at ten past", "since quarter past nine"; the unit may be that of the question before
    if len(said) == 1 and item.before == "at" and item.after == "," and 1 <= value <= 12:
        return True  # "at eleven, eight"
    return item.before in {"at", "by", "since"} and bare and hours


def all_of_them(sentence: Sentence) -> bool:
    """ "Nitro two hundred, verapamil five, all in": said of each."""
    return any(one in {"all", "both"} and other in {"in", "given", "done"} for one, other in pairwise(sentence.tokens))


def foams(sentence: Sentence, drug: Item) -> bool:
    """ "polidocanol, three percent, as foam": what foam is made of, and no dose."""
    return drug.name in _SCLEROSANTS and bool({"foam", "foamed"} & sentence.texts)
