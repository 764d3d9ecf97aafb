"""Raw curves of a drawing -> closed outlines, holes and contours, every repair told.

drawing   what a file holds: curves, texts, meshes (the nouns)
sizing    unit, scale, plausible size; which layers are wanted
joining   pieces -> rings, in stages
regions   rings -> parts with holes
contours  heights of a relief, and their order
edges     lines drawn along outlines -> stretches of them
facing    faces of meshes, all turned outward
naming    what parts are called
tracing   the whole
faults    what is wrong, with its place
"""

from wirepath.tracing.drawing import Curve, Drawing, DrawnText
from wirepath.tracing.sizing import mm_per_unit
from wirepath.tracing.tracing import Survey, survey, trace

__all__ = ["Curve", "Drawing", "DrawnText", "Survey", "mm_per_unit", "survey", "trace"]
