"""Forms too large for a block: told early, or split by seams into pieces that fit."""

from wirepath.sectioning.fitting import refuse_too_big

__all__ = ["refuse_too_big"]
