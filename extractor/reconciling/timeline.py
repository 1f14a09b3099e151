"""Drafts of the story -> events of the timeline: confidence, flags, what needs a look. Nothing odd is dropped or
changed here.
"""

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass

from extractor.lexicon import Lexicon, Limit, Limits
from extractor.model import (
    FLAGS,
    VALUE_KEYS,
    Alternative,
    Correction,
    Event,
    Kind,
    Quantity,
    SecondHearing,
    Sentence,
    Site,
    Status,
    Value,
    Word,
)
from extractor.reconciling import kinds
from extractor.reconciling.all_along import give_sizes_learnt_later
from extractor.reconciling.confidence import close_call, confidence, heard_in, signs, weights
from extractor.reconciling.inherited import inherit_doubt
from extractor.reconciling.let_go_twice import tell_once
from extractor.reconciling.never_said_in import settle_never_said_in
from extractor.reconciling.overtaken import mark_overtaken
from extractor.reconciling.rivalled import mark_rivalled
from extractor.reconciling.second_opinion import take_second_opinion
from extractor.reconciling.second_reader import SecondReader, of_the_trade, people_of
from extractor.reconciling.story import Draft, Story
from extractor.reconciling.told_before import give_told_before
from extractor.units import VALUE_UNITS

#: A word the recogniser was less sure of than this makes the value it carries doubtful, unless all others asked heard
#: the same figure: of 122 such values in 64 recordings two were wrong, which is less than of those without any sign.
_UNSURE = 0.5
#: Flags that ask a person to look.
_REVIEW = frozenset(
    """
    implausible two-readings unsure-word repaired-word conflict unit-guessed which-device which-run
    no-procedure asked close-call doubtful read-otherwise second-reading not-said-in drug-assumed
    """.split()
)
#: Those of an event that do. A device's or a finding's name that was put right does not: the repair asks by itself, and
#: of 26 such events in 28 recordings 25 had happened. A drug's does, for a wrong drug is worse.
_EVENT_REVIEW = {kind: _REVIEW if kind is Kind.DRUG else _REVIEW - {"repaired-word"} for kind in Kind}
#: No event is surer than this, however sure its values: whether it happened is read, not heard. From memory.
_SUREST = 0.95
#: Nor one that the second reader alone reads: of what it told of scenes kept aside, so much was right.
_SUREST_ALONE = 0.7
#: A value less likely to be right than this is looked at, whatever the signs of doubt. Only where other recognisers
#: were asked: chosen on generated speech (docs/validation.md).
_LOOK_BELOW = 0.75
#: How often speech in the past tense, or with spoken punctuation, must be to make a case a dictation: share of
#: sentences.
_DICTATED = 0.2
#: What only happens at the table; and the least share of it in the record of a procedure: set by hand, no source.
_ACTS = {
    Kind.ACCESS, Kind.INSERT, Kind.REMOVE, Kind.INFLATION, Kind.STENT, Kind.EMBOLISE, Kind.RUN, Kind.CLOSURE,
    Kind.TOTAL, Kind.DRUG,
}  # fmt: skip
_FEWEST_ACTS = 0.25
#: A procedure names at least so many devices or sizes within so many words before and after each thing done. Measured:
#: 5 of 2,455 events of the benchmark's and our own cases have fewer; 86,000 words of consultations and 51,000 of
#: mission control never more than two.
_FEWEST_DEVICES, _NEAR = 3, 250
_WITH_DEVICE = {Kind.INSERT, Kind.REMOVE, Kind.INFLATION, Kind.STENT, Kind.EMBOLISE, Kind.CLOSURE}
_SIZES = {"gauge", "wire_diameter", "diameter"}


@dataclass(frozen=True)
class _Evidence:
    """What the values of a case rest on."""

    words: Sequence[Word]
    limits: Limits
    repaired: set[int]
    weights: dict[str, float]
    hearings: Sequence[SecondHearing]
    asked: bool  # whether other recognisers were


def reconcile(
    sentences: Sequence[Sentence],
    words: Sequence[Word],
    corrections: Sequence[Correction],
    lexicon: Lexicon,
    hearings: Sequence[SecondHearing] | None = None,
    second: SecondReader | None = None,
) -> tuple[Event, ...]:
    """Sentences of a case -> its events in order. ``hearings``: what others heard for each figure; None where
    nobody was asked. ``second`` is the second reader, if it is to be asked. Pure.
    """
    drafts = story_of(sentences, words)
    limits = Limits(lexicon)
    mark_rivalled(drafts, sentences, limits)
    inherit_doubt(drafts)
    if second is not None:
        told = of_the_trade(sentences)
        drafts = take_second_opinion(drafts, told, second.read(told, drafts, people_of(words)), limits)
    for draft in drafts if _only_talk(drafts) else _apart(drafts, len(words)):
        if draft.status is Status.DONE:
            draft.flags.add("no-procedure")
    repaired = {index for correction in corrections for index in range(*correction.words)}
    evidence = _Evidence(words, limits, repaired, weights(lexicon), hearings or (), hearings is not None)
    events = tuple(_event(number, draft, evidence) for number, draft in enumerate(drafts, 1))
    return (
        events if second is None else give_told_before(events, {clue.name: clue.weight for clue in lexicon.size_clue})
    )


def story_of(sentences: Sequence[Sentence], words: Sequence[Word]) -> list[Draft]:
    """Sentences of a case -> what the rules make of them, in order."""
    drafts = Story(kinds.hearings(), dictated=_dictated(sentences, words)).tell(sentences)
    drafts = tell_once(drafts, sentences)
    give_sizes_learnt_later(drafts)
    settle_never_said_in(drafts)
    mark_overtaken(drafts)
    return drafts


def _only_talk(drafts: Sequence[Draft]) -> bool:
    """Whether nothing seems to be done here: few acts among much that is planned, remembered or thought of."""
    acts = sum(draft.status is Status.DONE and draft.kind in _ACTS for draft in drafts)
    return acts < _FEWEST_ACTS * len(drafts)


def _apart(drafts: Sequence[Draft], words: int) -> list[Draft]:
    """Those told far from where devices and their sizes are named: "go ahead" in other talk is no injection."""
    named = sorted(draft.words[0] for draft in drafts if _names_device(draft))
    apart = []
    for draft in drafts:
        first, past = max(0, draft.words[0] - _NEAR), min(words, draft.words[0] + _NEAR)
        devices = bisect_left(named, past) - bisect_left(named, first) - _names_device(draft)
        if devices < _FEWEST_DEVICES * (past - first) // (2 * _NEAR):
            apart.append(draft)
    return apart


def _names_device(draft: Draft) -> bool:
    sized = any(key in _SIZES and "carried-over" not in value.flags for key, value in draft.values.items())
    return draft.kind in _WITH_DEVICE and (draft.named is not None or sized)


def _dictated(sentences: Sequence[Sentence], words: Sequence[Word]) -> bool:
    """Whether the case was dictated afterwards: spoken punctuation, or "was" and "were" in every other sentence."""
    if not sentences:
        return False
    marks = sum(item.kind == "phrase" and item.name == "dictated" for sentence in sentences for item in sentence.items)
    over = {text for text in {word.text for word in words} if text.lower().strip(",.") in {"was", "were"}}
    told = sum(any(word.text in over for word in words[slice(*sentence.words)]) for sentence in sentences)
    return marks >= max(3, 0.05 * len(sentences)) or told >= _DICTATED * len(sentences) + 2


def _event(number: int, draft: Draft, evidence: _Evidence) -> Event:
    words = evidence.words
    values = {key: _value(draft, key, draft.values[key], evidence) for key in VALUE_KEYS if key in draft.values}
    first, last = draft.words
    surest = _SUREST_ALONE if "second-reading" in draft.flags else _SUREST
    least = min([surest, *(value.confidence for value in values.values())])
    if draft.named and not evidence.repaired.isdisjoint(range(*draft.named)):
        draft.flags.add("repaired-word")
    flags = tuple(sorted(draft.flags & FLAGS.keys()))
    return Event(
        id=f"e{number:04d}",
        kind=draft.kind,
        status=draft.status,
        start_ms=words[first].start_ms,
        end_ms=max(words[last - 1].end_ms, words[first].start_ms),
        device=draft.device,
        drug=draft.drug,
        finding=draft.finding,
        site=_site(draft),
        values=values,
        confidence=round(least, 3),
        review=bool(draft.flags & _EVENT_REVIEW[draft.kind]),
        flags=flags,
        words=draft.words,
        rule=draft.rule,
    )


def _site(draft: Draft) -> Site | None:
    if draft.place is None and draft.side is None and draft.part is None:
        return None
    return Site(name=draft.place, side=draft.side, part=draft.part)


def _value(draft: Draft, key: str, quantity: Quantity, evidence: _Evidence) -> Value:
    unit = quantity.unit or VALUE_UNITS[key][0]
    flags = set(quantity.flags)
    span = range(*quantity.words)
    if draft.status in {Status.NEGATED, Status.CONSIDERED}:
        flags.discard("asked")  # "six by forty? No.": the answer is no; and what is only thought of is open anyway
    least = min((evidence.words[index].probability for index in span), default=1.0)
    if least < _UNSURE:
        flags.add("unsure-word")
    if not evidence.repaired.isdisjoint(span):
        flags.add("repaired-word")
    thing = draft.device or draft.drug
    if evidence.limits.forbid(draft.kind, key, thing, quantity.value, unit):
        flags.add("implausible")
    limit = evidence.limits.find(draft.kind, key, thing)
    if draft.status in {Status.DONE, Status.PLANNED} and "two-readings" in flags and not _rival(quantity, unit, limit):
        flags.discard("two-readings")
    heard_here = heard_in(evidence.hearings, quantity.words)
    others = {**dict.fromkeys(quantity.alternatives), **dict(rival for each in heard_here for rival in each.rivals)}
    differs = any(hearing.otherwise or hearing.unheard for hearing in heard_here)
    if differs:
        flags.add("heard-otherwise")
    if close_call(heard_here):
        flags.add("close-call")
    right = confidence(signs(flags, least, heard_here, evidence.asked), evidence.weights)
    if "second-reading" in flags:
        right = min(right, _SUREST_ALONE)
    if evidence.asked and right < _LOOK_BELOW and not flags & _REVIEW:
        flags.add("doubtful")
    settled = {"unsure-word"} if heard_here and not differs and "corrected" not in flags else set()
    heard = " ".join(evidence.words[index].text for index in span)
    return Value(
        value=quantity.value,
        unit=unit,
        confidence=round(right, 3),
        review=bool(flags & _REVIEW - settled),
        flags=tuple(sorted(flags & FLAGS.keys())),
        heard=heard,
        words=quantity.words,
        alternatives=tuple(Alternative(value=other, log_ratio=ratio) for other, ratio in others.items()),
    )


def _rival(quantity: Quantity, unit: str, limit: Limit | None) -> bool:
    """Whether another reading of the same words is plausible too."""
    return limit is None or any(limit.holds(other, unit) for other in quantity.alternatives)
