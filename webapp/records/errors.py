"""What can go wrong with records, each with what to do about it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from webapp.errors import AdvisorError, FieldProblem

if TYPE_CHECKING:
    from webapp.records.model import Consultation


class RecordsError(AdvisorError):
    """Base of every error about records."""


class NoSuchRecord(RecordsError):
    """What was asked for is not there, or no longer."""


class RecordRefused(RecordsError):
    """Texts that cannot be kept; says of each which field and what would do. ``problem`` is the first."""

    def __init__(self, problem: FieldProblem, *more: FieldProblem) -> None:
        self.problem, self.problems = problem, (problem, *more)
        super().__init__("; ".join(f"{each.field}: {each.problem} ({each.allowed})" for each in self.problems))


class StaleRevision(RecordsError):
    """Someone else changed the consultation since it was opened; ``theirs`` is what is kept now."""

    def __init__(self, theirs: Consultation) -> None:
        self.theirs = theirs
        super().__init__("This consultation was changed elsewhere since it was opened. Compare both, then save again.")


class LastOwner(RecordsError):
    """Without an owner nobody could manage the accounts any more."""

    def __init__(self) -> None:
        super().__init__("This is the last owner. Make another account an owner first.")


class ArchiveError(RecordsError):
    """An archive that cannot be read, or that does not fit here; nothing was changed."""


class StorageError(RecordsError):
    """The records cannot be reached or written; nothing of what was under way has been kept."""

    advice = "The records cannot be reached or written. Nothing was saved; try again."

    def __init__(self, detail: str = "") -> None:
        super().__init__(f"{self.advice} ({detail})" if detail else self.advice)


class StorageFull(StorageError):
    """No room is left."""

    advice = "The disk that holds the records is full. Nothing was saved; make room, then save again."


class StorageFailed(StorageError):
    """The system refuses to read or write the file: a quota, a size limit or a failing disk."""

    advice = (
        "The system refuses to read or write the records: a quota, a size limit or a failing disk."
        " Nothing was saved; mend that, then save again."
    )


class StorageReadOnly(StorageError):
    """The records may be read but not written."""

    advice = (
        "The records may not be written. Nothing was saved; give the advisor's user the right to write"
        " the file and its folder, then save again."
    )


class StorageBusy(StorageError):
    """Another program has held the records for too long."""

    advice = "The records are locked by another program. Nothing was saved; try again in a moment."


class StorageMissing(StorageError):
    """The records are not where they should be."""

    advice = (
        "The records are not where they should be: moved, deleted, not readable or not running."
        " Nothing was saved; put them back, or start the advisor anew."
    )


class StorageDamaged(StorageError):
    """The file is not what it should be."""

    advice = "The file of the records is damaged or is none of ours. Restore the latest backup."


class SchemaNewer(StorageError):
    """The records were written by a newer version of the advisor."""

    advice = "The records are from a newer version of the advisor. Update the advisor, or restore an older backup."


class SchemaForeign(StorageError):
    """The database holds tables that are not of this advisor."""

    advice = "The database holds tables, but none of this advisor. Give the advisor a database of its own."
