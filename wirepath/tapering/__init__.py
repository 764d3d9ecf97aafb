"""Outlines -> tapers: pieces whose two faces differ, with straight rulings between them.

pairing     two outlines paired point by point
marks       which marks of the drawing say what belongs together
setting_off a closed line moved outward edge by edge, point for point
faces       job and drawing -> the tapers asked for, each fault told
"""

from wirepath.tapering.faces import make_tapers
from wirepath.tapering.pairing import paired
from wirepath.tapering.setting_off import normals, set_off, turns

__all__ = ["make_tapers", "normals", "paired", "set_off", "turns"]
