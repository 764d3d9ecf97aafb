"""Drawing files (DXF, SVG) -> what is drawn in them, in the nouns of `tracing`.

Importing this loads ezdxf, which takes a third of a second: import it where it is used.
"""

from wirepath.drawing_file.reading import read_drawing, read_survey, read_traced

__all__ = ["read_drawing", "read_survey", "read_traced"]
