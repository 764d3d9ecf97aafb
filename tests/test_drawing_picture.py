"""The picture of a survey: the same bytes twice, and every fault's number on it."""

import pytest
from matplotlib.text import Text
from shapely import LineString, Polygon

from wirepath.drawing_picture import picture, write_picture
from wirepath.errors import Fault, FileError
from wirepath.model import Note, Outline, Traced
from wirepath.tracing import Survey

SURVEY = Survey(
    traced=Traced(
        outlines=(Outline(name="$A$ $", polygon=Polygon([(0, 0), (100, 0), (100, 50), (0, 50)])),),
        notes=(Note(kind="repair", text="closed a gap of 0.1 mm", at=(100, 0)),),
    ),
    faults=(
        Fault("the drawing states no unit", "", "state it"),
        Fault("a gap of 3 mm keeps the outline open", "near x 120.0, y 10.0 mm", "join it"),
    ),
    places=(None, (120.0, 10.0)),
    open_lines=(LineString([(120, 0), (120, 9)]),),
)


def words(figure):
    return [text.get_text() for text in figure.findobj(Text) if text.get_text()]


def test_a_fault_has_the_same_number_at_its_place_and_in_the_list():
    found = words(picture(SURVEY))
    assert "2" in found
    assert any("2  a gap of 3 mm keeps the outline open (x 120.0, y 10.0 mm)" in w for w in found)


def test_a_fault_without_a_place_is_in_the_list():
    assert any("1  the drawing states no unit" in text for text in words(picture(SURVEY)))


@pytest.mark.parametrize("ending", ["pdf", "png", "svg"])
def test_the_same_survey_gives_the_same_bytes(tmp_path, ending):
    first, second = tmp_path / f"a.{ending}", tmp_path / f"b.{ending}"
    write_picture(SURVEY, first)
    write_picture(SURVEY, second)
    assert first.read_bytes() == second.read_bytes()


def test_an_empty_survey_has_a_picture(tmp_path):
    write_picture(Survey(traced=Traced(outlines=())), tmp_path / "empty.png")


def test_another_ending_is_refused(tmp_path):
    with pytest.raises(FileError, match="PDF, PNG or SVG"):
        write_picture(SURVEY, tmp_path / "picture.bmp")


def test_a_folder_that_is_not_there_is_told(tmp_path):
    with pytest.raises(FileError, match="cannot be written"):
        write_picture(SURVEY, tmp_path / "none" / "picture.png")
