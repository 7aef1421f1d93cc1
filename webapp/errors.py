"""The errors a person can mend, each with where it is, what is wrong and what is allowed."""

from __future__ import annotations

from dataclasses import dataclass


class AdvisorError(Exception):
    """Base of every error that the advisor raises on purpose."""


@dataclass(frozen=True, slots=True)
class DataFault:
    """One thing wrong in a data file, placed so that it can be found in a spreadsheet."""

    file: str
    line: int | None
    column: str | None
    problem: str
    allowed: str

    def __str__(self) -> str:
        """Say the place first, then the problem, then what would be right."""
        place = self.file
        if self.line is not None:
            place += f", line {self.line}"
        if self.column is not None:
            place += f", column {self.column}"
        return f"{place}: {self.problem}; allowed: {self.allowed}"


class CatalogueError(AdvisorError):
    """The data files cannot be used; carries every fault found, not only the first."""

    def __init__(self, faults: tuple[DataFault, ...]) -> None:
        self.faults = faults
        super().__init__("\n".join(str(fault) for fault in faults))


@dataclass(frozen=True, slots=True)
class FieldProblem:
    """One thing wrong in a brief: the field by its name, the problem, and what may be entered."""

    field: str
    problem: str
    allowed: str


class BriefError(AdvisorError):
    """A brief that cannot be advised on; carries a problem for each bad field."""

    def __init__(self, problems: tuple[FieldProblem, ...]) -> None:
        self.problems = problems
        super().__init__("; ".join(f"{p.field}: {p.problem} ({p.allowed})" for p in problems))
