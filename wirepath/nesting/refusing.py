"""What cannot be laid out at all, whatever the stock: told before any work begins."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from wirepath.errors import Fault, FitError
from wirepath.model import Piece
from wirepath.workshop import Workshop


def refuse_unlayable(pieces: Sequence[Piece], workshop: Workshop) -> None:
    """Raise FitError with every fault: no outline, one number twice, a gap below nothing."""
    faults = [*_of_pieces(pieces), *_of_gaps(workshop)]
    if faults:
        raise FitError(faults)


def _of_pieces(pieces: Sequence[Piece]) -> Iterator[Fault]:
    for number, many in sorted(Counter(piece.number for piece in pieces).items()):
        if many > 1:
            yield Fault(
                f"{many} pieces have the number {number}",
                where="pieces",
                mend="give every piece a number of its own",
            )
    for piece in pieces:
        where = f"piece {piece.number} {piece.name!r}"
        if piece.outline.is_empty or not piece.outline.area > 0:
            yield Fault("its outline is empty", where=where, mend="leave the piece out")
        elif not piece.outline.is_valid:
            yield Fault(
                "its outline crosses or touches itself",
                where=where,
                mend="draw it as one closed line that does not cross itself",
            )


def _of_gaps(workshop: Workshop) -> Iterator[Fault]:
    cutting = workshop.cutting
    for name, mm in (("web_mm", cutting.web_mm), ("kerf_mm", cutting.kerf_mm)):
        if not mm >= 0:
            yield Fault(
                f"{name} is {mm:g}: pieces cannot stand nearer than touching",
                where="cutting",
                mend=f"set {name} to 0 or more",
            )
