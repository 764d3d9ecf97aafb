"""Meshes -> outlines and contours, so that they are planned as drawn forms are.

mesh       triangles; volume, surface, open edges
sections   what a mesh covers between two heights
shaping    a job's meshes as outlines and contours
"""

from wirepath.slicing.mesh import MeshFigures, measured, refuse_faulty, triangles
from wirepath.slicing.sections import mesh_levels, relief_levels
from wirepath.slicing.shaping import shaped

__all__ = [
    "MeshFigures",
    "measured",
    "mesh_levels",
    "refuse_faulty",
    "relief_levels",
    "shaped",
    "triangles",
]
