"""Promise 7: same input and seed, same bytes."""

from __future__ import annotations

from collections.abc import Mapping

from wirepath.checking.finding import Finding, found
from wirepath.errors import Fault


def check_repeats(first: Mapping[str, bytes], second: Mapping[str, bytes]) -> Finding:
    """Return whether two runs wrote the same files: file name to content, each."""
    faults = [
        Fault("only one of two equal runs wrote this file", name)
        for name in sorted(first.keys() ^ second.keys())
    ]
    for name in sorted(first.keys() & second.keys()):
        one, other = first[name], second[name]
        if one != other:
            pairs = enumerate(zip(one, other, strict=False))
            place = next((i for i, (a, b) in pairs if a != b), min(len(one), len(other)))
            faults.append(Fault(f"two equal runs differ from byte {place} on", name))
    return found(7, "Same input, same bytes", f"{len(first)} files compared", faults)
