"""What people put right, as forms that the lexicon could know: told, accepted, declined."""

from typing import Annotated, Literal

from fastapi import APIRouter, Path
from pydantic import BaseModel, Field

from extractor.desk import learning
from extractor.desk.api.asking import Body, Desk, KeeperOfLexicons, OfDesk
from extractor.desk.rows import MissingError

router = APIRouter(tags=["lexicon"])


class ClipAnswer(BaseModel):
    """Where the sound of one correction lies, on the clock of its case, and who put it right."""

    case: int
    start_ms: int
    end_ms: int
    by: str


class SuggestionAnswer(BaseModel):
    """A misheard form and the term people read for it. ``near``: it would be read only beside one of these words.
    ``refused``: why it is no proposal.
    """

    id: str
    heard: str = Field(examples=["hepper gibbon"])
    read: str = Field(examples=["heparin"])
    near: list[str]
    count: int
    cases: int
    by: list[str]
    clips: list[ClipAnswer]
    state: Literal["proposed", "accepted", "declined", "refused"]
    refused: str | None


class Decision(Body):
    """Whether the form is read as the term from the next draft on."""

    accept: bool


@router.get("/suggestions", summary="What the lexicon could learn from what was put right")
def list_suggestions(at: OfDesk, _: KeeperOfLexicons) -> list[SuggestionAnswer]:
    """Each is tried on the words of all cases first. What the lexicon reads right by now is left out."""
    decisions = at.store.decisions()
    return [_answer(each, decisions.get(each.id)) for each in _found(at)]


@router.post("/suggestions/{suggestion}", summary="Accept or decline what is proposed")
def decide(
    at: OfDesk,
    person: KeeperOfLexicons,
    suggestion: Annotated[str, Path(pattern="^[0-9a-f]{12}$", description="Its id.")],
    decision: Decision,
) -> SuggestionAnswer:
    """What is accepted is drafted with from then on. A declined one may be accepted later, and is told until it is."""
    for each in _found(at):
        if each.id == suggestion:
            if decision.accept:
                learning.accept(at.store.folder, each)
            at.store.decide(each.id, decision.accept, person.name)
            return _answer(each, decision.accept)
    raise MissingError("there is no such suggestion (any more)")


def _found(at: Desk) -> tuple[learning.Suggestion, ...]:
    return learning.of_store(at.store, *at.settings.options.lexicons)


def _answer(suggestion: learning.Suggestion, accepted: bool | None) -> SuggestionAnswer:
    decided: Literal["accepted", "declined"] = "accepted" if accepted else "declined"
    undecided: Literal["refused", "proposed"] = "refused" if suggestion.refused else "proposed"
    return SuggestionAnswer(
        id=suggestion.id,
        heard=suggestion.heard,
        read=suggestion.read,
        near=list(suggestion.near),
        count=len(suggestion.clips),
        cases=len(suggestion.cases),
        by=list(suggestion.by),
        clips=[
            ClipAnswer(case=each.case, start_ms=each.start_ms, end_ms=each.end_ms, by=each.by)
            for each in suggestion.clips
        ],
        state=undecided if accepted is None else decided,
        refused=suggestion.refused or None,
    )
