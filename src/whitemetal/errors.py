"""The error tree. Every error a user can cause says which field, what was typed, what was expected.

::

    WhitemetalError
    ├── InputError              bad input; carries one Problem or many (exit status 2)
    │   ├── UnitError           a number or unit that cannot be read
    │   ├── CardError           a bearing card that cannot be used
    │   └── ReadingsError       a readings file or form that cannot be used
    ├── MethodRefused           the method is wrong for this bearing (bore profile, angle)
    ├── NotConverged            a numerical method gave up; carries residual and iterations
    ├── ProviderError           the plant's own sign-in is out of reach, or its word is not believed
    └── LedgerError             the record could not be read or written
        ├── ChainBroken         an entry is altered or missing
        ├── NewerDatabase       written by a newer program
        ├── CannotWrite         disk full, folder read-only, database locked
        └── UnknownBook         no such machine, bearing or job
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Problem:
    """One thing wrong with what was typed.

    field: the field's name as the user knows it, e.g. ``bearing.journal_diameter``.
    typed: the text exactly as typed ("" when nothing was).
    expected: what would have been right, in words.
    line: line in the file, counted from 1, or None where there is no file.
    """

    field: str
    typed: str
    expected: str
    line: int | None = None

    def __str__(self) -> str:
        where = f"line {self.line}: " if self.line is not None else ""
        typed = f'"{self.typed}" was typed' if self.typed else "nothing was typed"
        return f"{where}{self.field}: {typed}; expected {self.expected}"


class WhitemetalError(Exception):
    """Root of every error this program raises on purpose."""


class InputError(WhitemetalError):
    """Bad input. ``problems`` holds every one found, never only the first."""

    def __init__(self, *problems: Problem) -> None:
        if not problems:
            raise ValueError("an InputError carries at least one Problem")
        self.problems: tuple[Problem, ...] = problems
        super().__init__("\n".join(str(problem) for problem in problems))


class UnitError(InputError):
    """A number or a unit that cannot be read."""


class CardError(InputError):
    """A bearing card that cannot be used."""


class ReadingsError(InputError):
    """Readings that cannot be used."""


class MethodRefused(WhitemetalError):
    """The method gives wrong numbers for this bearing. ``reason`` says why, ``instead`` what to use."""

    def __init__(self, reason: str, instead: str) -> None:
        self.reason = reason
        self.instead = instead
        super().__init__(f"{reason} {instead}")


class NotConverged(WhitemetalError):
    """A numerical method did not reach its tolerance."""

    def __init__(self, what: str, residual: float, iterations: int) -> None:
        self.what = what
        self.residual = residual
        self.iterations = iterations
        super().__init__(f"{what} did not converge: residual {residual:.3g} after {iterations} iterations")


class ProviderError(WhitemetalError):
    """The plant's own OpenID provider could not be asked, or what it said is not believed."""


class LedgerError(WhitemetalError):
    """The record could not be read or written. ``typed``: what a person had typed and is handed back."""

    def __init__(self, message: str = "", *, typed: str = "") -> None:
        self.typed = typed
        super().__init__(message)


class ChainBroken(LedgerError):
    """An entry is altered or missing."""


class NewerDatabase(LedgerError):
    """The database was written by a newer version of the program."""


class CannotWrite(LedgerError):
    """Nothing was written: disk full, folder read-only or database locked."""


class UnknownBook(LedgerError):
    """No such machine, bearing or job."""
