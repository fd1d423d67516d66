import pytest

from coordination.pictures.device_matrix import MARKS, DeviceMatrix, device_matrix, table_of_matrix
from coordination.pictures.pen import PictureError
from tests.pictures.reading import outside, overlapping, parse

CAUSES = (("smoke", "Detector de humo del rellano más alto, junto a la puerta"), ("heat", "Heat detector"))
EFFECTS = (
    ("recall", "Recall to the alternate landing"),
    ("trip", "Shunt trip"),
    ("told", "Estación de monitoreo avisada"),
)
WORDS = {mark: f"{mark} in words" for mark in MARKS}


def matrix(marks):
    return DeviceMatrix("Devices", "A matrix.", CAUSES, EFFECTS, marks, WORDS, "when this sees it")


def test_words_stay_apart():
    root = parse(
        device_matrix(
            matrix({("smoke", "recall"): "acts", ("heat", "trip"): "question", ("smoke", "trip"): "never"}),
            prefix="x",
        )
    )
    assert (overlapping(root), outside(root)) == ([], [])


def test_table_has_a_row_for_each_mark():
    rows = table_of_matrix(matrix({("smoke", "trip"): "never", ("smoke", "recall"): "tried"}))
    assert [r.cells for r in rows] == [
        (CAUSES[0][1], "Recall to the alternate landing", "tried in words"),
        (CAUSES[0][1], "Shunt trip", "never in words"),
    ]


def test_every_mark_is_said_in_words_too():
    root = parse(device_matrix(matrix({("smoke", "trip"): "never"}), prefix="x"))
    titles = [e.text for e in root.iter() if e.tag.endswith("title")]
    assert f"{CAUSES[0][1]}, Shunt trip: never in words" in titles


def test_the_legend_names_only_marks_in_use():
    root = parse(device_matrix(matrix({("smoke", "trip"): "never"}), prefix="x"))
    texts = [e.text for e in root.iter() if e.tag.endswith("text")]
    assert [t for t in texts if t.endswith("in words")] == ["never in words"]


def test_marks_must_name_rows_and_columns():
    with pytest.raises(PictureError, match="names no cause and effect"):
        matrix({("smoke", "siren"): "acts"})
