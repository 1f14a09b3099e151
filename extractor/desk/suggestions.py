"""What people decided of the lexicon entries that ``learning`` proposes from corrections made by hand."""

from sqlalchemy import Connection, insert, select, update

from extractor.desk.access_log import AccessLog, note
from extractor.desk.cases import one_line
from extractor.desk.tables import suggestions


class Suggestions(AccessLog):
    """The part of a store that keeps these decisions."""

    def decide(self, suggestion: str, accepted: bool, by: str) -> None:
        """Accepts or declines a proposal by its name (at most 200 letters); the last decision counts."""
        suggestion = one_line(suggestion, "name of a suggestion", 200)

        def act(connection: Connection) -> None:
            told = {"accepted": accepted, "decided_at": self.now(), "decided_by": by}
            known = suggestions.c.id == suggestion
            if not connection.execute(update(suggestions).where(known).values(**told)).rowcount:
                connection.execute(insert(suggestions).values(id=suggestion, **told))
            note(connection, self.now(), by, f"{'accepted' if accepted else 'declined'} the suggestion {suggestion}")

        self.write(act)

    def decisions(self) -> dict[str, bool]:
        """The name of each proposal somebody decided on -> whether it is accepted."""
        with self.read() as connection:
            return {row.id: row.accepted for row in connection.execute(select(suggestions))}
