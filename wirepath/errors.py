"""Everything that can be wrong for a user: what is wrong, where, and how to mend it.

    WirepathError               base; never raised itself
    +-- FileError               a file could not be read or written            exit 1
    +-- SettingsError           a job or workshop file is faulty               exit 3
    +-- DrawingError            a drawing cannot be used                       exit 4
    +-- FitError                the work does not fit block, wire or kerf      exit 5
    +-- SafetyError             plainly dangerous, so refused                  exit 6
    +-- ProofError              a plan failed its own check: our fault         exit 7

Exit code 2 is a wrong call (unknown option) and belongs to the command line.
A bug is not a user error: broken promises inside crash with a traceback.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import ClassVar


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong: `what`, `where` it stands, and how to `mend` it."""

    what: str
    where: str = ""
    mend: str = ""

    def inside(self, place: object) -> Fault:
        """Return the same fault with `place` (a file, a table) put before its `where`."""
        return replace(self, where=f"{place}, {self.where}" if self.where else str(place))

    def __str__(self) -> str:
        """Return the message as a user reads it, the remedy on a line of its own."""
        head = f"{self.where}: {self.what}" if self.where else self.what
        return f"{head}\n  To mend: {self.mend}" if self.mend else head


class WirepathError(Exception):
    """Something a user can mend. Holds all faults found, not only the first."""

    exit_code: ClassVar[int] = 1

    def __init__(self, faults: Fault | Sequence[Fault]) -> None:
        self.faults: tuple[Fault, ...] = (faults,) if isinstance(faults, Fault) else tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))


class FileError(WirepathError):
    """A file or folder could not be read or written."""

    exit_code = 1


class SettingsError(WirepathError):
    """A job file or a workshop file is faulty."""

    exit_code = 3


class DrawingError(WirepathError):
    """A drawing cannot be used as it stands."""

    exit_code = 4


class FitError(WirepathError):
    """The work does not fit: a piece its block, a block the wire, a kerf its notch."""

    exit_code = 5


class SafetyError(WirepathError):
    """Plainly dangerous, so refused: a mains-voltage wire, a foam that gives off poison."""

    exit_code = 6


class ProofError(WirepathError):
    """A plan failed its own check. Ours to mend, never the user's fault."""

    exit_code = 7
