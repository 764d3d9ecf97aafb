"""Meshes and outlines from several sides -> forms that are planned as drawn ones are.

mesh       triangles; volume, surface, open edges
sections   what a mesh covers between two heights
overlapping  foam that several shells hold at once
hull       what outlines from several sides allow between two heights
cores      what of a form stays for sure, however it is carved
shaping    a job's meshes and views as outlines, contours and sections
"""

from wirepath.slicing.cores import Core, MeshCore, StackedCore, form_cores
from wirepath.slicing.hull import hull_levels
from wirepath.slicing.mesh import MeshFigures, measured, refuse_faulty, triangles
from wirepath.slicing.sections import mesh_levels, relief_levels
from wirepath.slicing.shaping import shaped

__all__ = [
    "Core",
    "MeshCore",
    "MeshFigures",
    "StackedCore",
    "form_cores",
    "hull_levels",
    "measured",
    "mesh_levels",
    "refuse_faulty",
    "relief_levels",
    "shaped",
    "triangles",
]
