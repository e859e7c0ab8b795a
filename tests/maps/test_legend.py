"""The legend: its colours can be told apart by everybody, its forms without colour, its words are the glossary's."""

import itertools
import json
import re
from xml.etree import ElementTree

import numpy as np
import pytest

from colour_sight import SIGHTS, ciecam02, contrast, distance
from orchardmap.maps import legend, signs
from orchardmap.maps.sign_svg import patch_svg


def test_ciecam02_published_case():
    # Luo and Li 2013, table of worked examples, case 1 (also Fairchild, Color Appearance Models, table 16.4)
    seen = ciecam02(np.array([19.01, 20.0, 21.78]), np.array([95.05, 100.0, 108.88]), la=318.31, yb=20)
    assert seen["J"] == pytest.approx(41.73, abs=0.01)
    assert seen["C"] == pytest.approx(0.1047, abs=0.0002)
    assert seen["M"] == pytest.approx(0.1088, abs=0.0002)
    assert seen["h"] == pytest.approx(219.05, abs=0.01)


@pytest.mark.parametrize("palette", [signs.PALETTE, signs.NIGHT_PALETTE], ids=["day", "night"])
@pytest.mark.parametrize("sight", SIGHTS)
def test_palette_every_pair_is_told_apart(sight, palette):
    colours = {key: colour for key, colour in palette.items() if key != "sheet"}
    near = {
        (a, b): round(distance(colours[a], colours[b], sight), 1)
        for a, b in itertools.combinations(colours, 2)
        if distance(colours[a], colours[b], sight) < 16
    }
    assert not near


def test_palette_stands_out_from_both_grounds():
    # WCAG 2.2 success criterion 1.4.11: 3:1 for graphics; 1.4.3: 4.5:1 for text
    for palette in (signs.PALETTE, signs.NIGHT_PALETTE):
        for ground in (palette["paper"], palette["sheet"]):
            assert min(contrast(palette[key], ground) for key in signs.MEANING_COLOURS) >= 3
            # text on tablet screens, and words on the pruned colour of the main buttons: 7:1 (1.4.6)
            assert contrast(palette["ink"], ground) >= 7
        assert contrast(palette["sheet"], palette["pruned"]) >= 7


def test_lines_differ_in_form_not_only_in_colour():
    assert len({line.form for line in signs.LINES}) == len(signs.LINES)
    # hatching differs from hatching, and no row is hatched; ink on paper is the palette's strongest pair
    drawn_patches = {patch_svg(patch, box=(0, 0, 40, 20)) for patch in signs.PATCHES}
    assert len(drawn_patches) == len(signs.PATCHES)
    assert {patch.colour for patch in signs.PATCHES} == {signs.INK}
    drawn = {glyph.key: (glyph.outline, glyph.filled, glyph.strokes) for glyph in (*signs.BUDS, *signs.PITHS)}
    assert len(set(drawn.values())) == len(drawn)


def test_as_json_carries_every_sign_and_is_plain_data():
    data = json.loads(json.dumps(legend.as_json()))
    assert set(data["lines"]) == {"to_prune", "pruned", "overlap", "again", "closed"}
    assert data["kinds"] == {"0": "to_prune", "1": "pruned", "2": "overlap", "3": "again"}
    assert set(data["patches"]) == {"suspect", "confirmed"}
    assert set(data["buds"]) == {"meets", "minor", "faulty"}
    assert set(data["piths"]) == {"accepted", "accepted_in_part", "send_back", "too_few", "not_begun"}


@pytest.mark.parametrize("hatching", signs.PATCHES, ids=lambda hatching: hatching.key)
@pytest.mark.parametrize("box", [(3, 3, 41, 23), (-5, 10, 5, 80)])
def test_patch_svg_hatches_its_box_and_never_beyond(box, hatching):
    numbers = [
        float(text)
        for text in re.findall(
            r"-?\d+\.?\d*", " ".join(re.findall(r' d="([^"]*)"', patch_svg(hatching, box=box))[:1])
        )
    ]
    points = list(zip(numbers[::2], numbers[1::2], strict=True))
    assert len(points) >= 4 * (2 if hatching.is_crossed else 1)
    assert all(box[0] <= x <= box[2] and box[1] <= y <= box[3] for x, y in points)
    # each line runs from edge to edge at 45 degrees
    for (ax, ay), (bx, by) in zip(points[::2], points[1::2], strict=True):
        assert abs(bx - ax) == pytest.approx(abs(by - ay), abs=0.02)
        assert min(abs(ax - box[0]), abs(ax - box[2]), abs(ay - box[1]), abs(ay - box[3])) < 0.01


def test_legend_svg_is_well_formed_and_says_every_word():
    text = legend.legend_svg()
    ElementTree.fromstring(text)
    for sign in (*signs.LINES, *signs.PATCHES, *signs.BUDS, *signs.PITHS, *signs.PLACES):
        assert sign.words in text


def test_legend_html_needs_no_inline_style_or_script():
    text = legend.legend_html()
    page = ElementTree.fromstring(f"<div>{text}</div>")
    assert [element.tag for element in page.iter() if element.tag in {"script", "style"}] == []
    assert [
        key for element in page.iter() for key in element.attrib if key == "style" or key[:2] == "on"
    ] == []


@pytest.mark.parametrize("view", signs.VIEWS)
def test_legend_html_shows_each_layer_its_own_rings(view):
    page = ElementTree.fromstring(f"<div>{legend.legend_html()}</div>")
    shown = [part for part in page if view in part.get("data-views", view).split()]
    words = [span.text for part in shown for span in part.iter("span")]
    assert [sign.words for sign in signs.RINGS[view] if sign.words not in words] == []
    others = {sign.words for other in signs.VIEWS if other != view for sign in signs.RINGS[other]}
    own = {sign.words for sign in signs.RINGS[view]} | {line.words for line in signs.LINES}
    assert (others - own) & set(words) == set()
