"""300 files to which accidents happened: refused in a sentence or previewed with what is wrong, never a crash."""

import json
import time

import pytest

from bad_files import IN_CHILD, bad_files, good_files
from orchardmap.errors import ImportFileError
from orchardmap.geodata.preview import Answers
from orchardmap.geodata.preview_json import preview_from_json, preview_json
from orchardmap.geodata.read import read_file

ANSWERED = Answers(crs="EPSG:4326", swap_axes=False)


def _tried(data: bytes, answers: Answers) -> str:
    """Return what became of a file, having checked that a preview is sound."""
    try:
        preview = read_file(data, filename="hurt", answers=answers)
    except ImportFileError as fault:
        return "refused" if fault.what.endswith(".") else f"refused without a sentence: {fault.what}"
    assert preview_from_json(json.loads(json.dumps(preview_json(preview), allow_nan=False))) == preview
    for feature in preview.features:
        assert (feature.geometry is None) == (feature.problem is not None)
        assert feature.geometry is None or (feature.geometry.is_valid and not feature.geometry.has_z)
        assert feature.geometry is None or preview.is_ready
    return "previewed"


@pytest.mark.parametrize(
    ("formats", "count"),
    [(frozenset(good_files()) - IN_CHILD, 270), (IN_CHILD, 30)],
    ids=["in this process", "in the child"],
)
def test_malformed_files_never_crash(formats, count):
    became = {"refused": 0, "previewed": 0}
    for label, data in bad_files(seed=20_261_125, count=count, formats=formats):
        start = time.monotonic()
        try:
            became[_tried(data, ANSWERED)] += 1
        except Exception as fault:
            raise AssertionError(f"{label}: {fault!r}") from fault
        assert time.monotonic() - start < 30, label
    # both ends are really reached: accidents are neither all fatal nor all harmless
    assert became["refused"] > count / 20
    assert became["previewed"] > count / 20
