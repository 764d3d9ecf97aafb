"""Independent proof of a plan: what the stages promise is measured again, from the nouns.

Shares no code with the stages, `geometry` apart, so that it cannot repeat their mistakes.
docs/checking.md says what is proved, how, and with what tolerance.
"""

from wirepath.checking.files import check_files
from wirepath.checking.finding import Finding
from wirepath.checking.proof import check_plan
from wirepath.checking.repeats import check_repeats
from wirepath.checking.restocked import check_restocked
from wirepath.checking.rough_forms import check_rough_forms
from wirepath.checking.roughing_files import check_roughing_files

__all__ = [
    "Finding",
    "check_files",
    "check_plan",
    "check_repeats",
    "check_restocked",
    "check_rough_forms",
    "check_roughing_files",
]
