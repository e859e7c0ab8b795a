"""The words of the map's own page: its sentences by the key that its script calls them by, and the words of the legend.

Names in braces are filled in by the script. A key that ends in ``_one`` is for one of a thing, ``_many`` for any other
number of it. English stands here; the other languages in `orchardmap.locale`.
"""

from typing import Any, Final

from orchardmap.locale.catalogue import message, translated

__all__ = ["LEGEND", "SENTENCES", "legend_text", "page_words"]

SENTENCES: Final = {
    "loading": message("Loading the map …"),
    "show_all": message("Show all"),
    "blocks_shown": message("Shown: {n} of {all} blocks."),
    "crew_shown": message("Trees pruned by {crew}."),
    "crew_rows_shown": message("Rows pruned by {crew} stand out; rings tell of all crews."),
    "one_crew": message("one crew"),
    "show_features": message("Show on the map"),
    "link": message("Link to this map"),
    "tools": message("Link and print"),
    "print": message("Print"),
    "print_on": message("Print on {sheet}"),
    "scale": message("about 1 : {n} on {sheet}"),
    "not_all_here": message("some rows had not arrived yet: print again"),
    "copy_link": message("Copy link"),
    "link_copied": message("The link is copied."),
    "copy_by_hand": message("Copy the link with Ctrl and C, or by a long press."),
    "orchard_map": message("Orchard map"),
    "page_title": message("{farm}: orchard map"),
    "no_blocks": message("No blocks yet. Load a file with your blocks in Set-up."),
    "no_fresh_figures": message("No fresh figures just now; trying again."),
    "no_answer": message("The service does not answer."),
    "service_answered": message("The service answered {status}."),
    "no_rows_in_file": message("This file holds no rows for the block."),
    "layer": message("Layer"),
    "day": message("Day"),
    "day_before": message("Day before"),
    "day_after": message("Day after"),
    "legend": message("Legend"),
    "table": message("Table"),
    "zoom": message("Zoom"),
    "nearer": message("Nearer"),
    "farther": message("Farther"),
    "whole_farm": message("Whole farm"),
    "close": message("Close"),
    "of_trees_pruned": message("of trees pruned"),
    "trees_left": message("trees left"),
    "trees_in_overlap": message("trees in overlap"),
    "block_to_send_back": message("block to send back"),
    "blocks_to_send_back": message("blocks to send back"),
    "trees_one": message("{n} tree"),
    "trees_many": message("{n} trees"),
    "trees_left_one": message("{n} tree left"),
    "trees_left_many": message("{n} trees left"),
    "n_left": message("{n} left"),
    "done": message("done"),
    "accepted": message("accepted"),
    "accepted_in_part": message("accepted as far as judged"),
    "send_back": message("send back"),
    "too_few": message("too few checks"),
    "not_begun": message("not begun"),
    "gone_over_one": message("{n} was faulty, gone over since"),
    "gone_over_many": message("{n} were faulty, gone over since"),
    "none_drawn": message("none drawn"),
    "n_of": message("{n} of {all}"),
    "n_of_trees": message("{n} of {all} trees"),
    "at_most": message("(at most {n})"),
    "n_faulty": message("{n} faulty"),
    "n_of_faulty": message("{n} of {all} faulty"),
    "drawn_n": message("drawn {n}"),
    "drawn_of_wanted": message("drawn {n} of {wanted} wanted"),
    "nothing_checked": message("no checks yet"),
    "seen_more": message("{n} more, {faulty} faulty; outside the verdict"),
    "until": message("until {moment}"),
    "closed": message("closed {words}"),
    "closed_note": message("Closed {words}. Nobody may enter."),
    "go_to_block": message("Go to the block"),
    "quality_of_block": message("Quality of the block"),
    "mark_rows": message("Mark rows"),
    "check_trees": message("Check trees"),
    "still_to_prune": message("Still to prune"),
    "to_go_over_again": message("To go over again"),
    "claimed_by_two": message("{n} trees claimed by two crews"),
    "rows": message("Rows"),
    "area": message("Area"),
    "seen_walking": message("Seen walking"),
    "habit_spur": message("spur bearer"),
    "habit_tip": message("tip bearer"),
    "habit_both": message("spur and tip bearer"),
    "position": message("position {first}"),
    "positions_to": message("positions {first} to {last}"),
    "row_low": message("row {row}"),
    "rows_to": message("rows {first} to {last}"),
    "second_look": message("second look"),
    "seen_while_walking": message("seen while walking"),
    "before_gone_over": message("before the tree was gone over again"),
    "not_met": message("not met: {points}"),
    "block_row": message("{code}, row {row}"),
    "loading_row": message("loading …"),
    "positions": message("Positions"),
    "n_counted": message("{n}, counted"),
    "blanks": message("Blanks"),
    "pollinizers": message("Pollinizers"),
    "along_row": message("Along the row"),
    "not_the_same": message("{sentence} (not the same in every block)"),
    "all_checks": message("all"),
    "with_fault": message("With a fault of one point"),
    "on_crews_trees": message("On one crew's trees"),
    "go_nearer": message("Go nearer to see the trees."),
    "no_fault_of_point": message("Dot: checked, no fault of this point noted."),
    "weak_area": message("Weak area"),
    "weak_areas": message("Weak areas"),
    "block_weak_area": message("{code}, weak area"),
    "where": message("Where"),
    "state": message("State"),
    "new_checks": message("New checks"),
    "returns": message("Returns"),
    "points_not_met": message("Points not met"),
    "crews": message("Crews"),
    "column_block": message("Block"),
    "column_variety": message("Variety"),
    "column_trees": message("Trees"),
    "column_pruned": message("Pruned"),
    "column_faulty_of_drawn": message("Faulty of drawn"),
    "column_verdict": message("Verdict"),
    "column_weak_no_return": message("Weak, no return"),
    "column_again": message("Again"),
    "column_row": message("Row"),
    "column_overlap": message("Overlap"),
    "column_checks": message("Checks"),
    "column_faulty": message("Faulty"),
    "blocks_on": message("Blocks on {day}"),
    "blocks_in_view": message("Blocks in view on {day}: {n} of {all}"),
    "only_in_view": message("Only what is in view"),
    "row_n": message("Row {row}"),
    "rows_of": message("Rows of {code}"),
    "picked_block": message("Picked: block {code} {name}, {share} pruned, {left}."),
    "picked_row": message("Picked: block {code}, row {row}, {share} pruned, {left}."),
    "picked_row_bare": message("Picked: block {code}, row {row}."),
    "picked_area": message("Picked: block {code}, weak area. {words}"),
    "in_view": message("{n} of {all} blocks in view."),
    "keys": message(
        "Arrow keys move the map, plus and minus zoom, Home shows the whole farm. Enter picks what is in the middle; Page Down and Page Up go to the next block or row."
    ),
    "map_of_blocks": message("Map of the blocks"),
    "map": message("Map"),
    "selected": message("Selected"),
    "blocks": message("Blocks"),
    "draw": message("Draw what lies on the farm"),
    "draw_kind": message("What it is"),
    "draw_name": message("What it is called, if anything"),
    "draw_track_linestring": message("Track"),
    "draw_gate_point": message("Gate"),
    "draw_water_linestring": message("Stream or ditch"),
    "draw_water_polygon": message("Pond"),
    "draw_water_point": message("Tap, trough or well"),
    "draw_shed_polygon": message("Shed, round its edge"),
    "draw_shed_point": message("Shed, only where it stands"),
    "draw_other_linestring": message("Something else, a line"),
    "draw_other_polygon": message("Something else, an area"),
    "draw_other_point": message("Something else, a point"),
    "draw_hint_point": message("Tap the map where it stands."),
    "draw_hint_linestring": message("Tap the map along it, wherever it bends."),
    "draw_hint_polygon": message("Tap the map at each of its corners."),
    "draw_points_one": message("{n} point."),
    "draw_points_many": message("{n} points."),
    "draw_editing": message("Its place stays unless you draw it anew."),
    "draw_back": message("One point back"),
    "draw_save": message("Save"),
    "draw_take_away": message("Take it away"),
    "draw_put_back": message("Put it back"),
    "draw_saved": message("Saved."),
    "draw_taken_away": message("Taken away."),
    "draw_there": message("There already"),
    "file_choose": message("Or take them from a file"),
    "file_reading": message("Reading the file …"),
    "file_questions": message("Save the file in longitude and latitude (WGS 84), then choose it again."),
    "file_row_one": message("{n} line is a"),
    "file_row_many": message("{n} lines are each a"),
    "file_tree_one": message("{n} point is a"),
    "file_tree_many": message("{n} points are each a"),
    "file_block_one": message("{n} area is a"),
    "file_block_many": message("{n} areas are each a"),
    "file_leave_out": message("nothing of this: leave out"),
    "file_take": message("Take them in"),
    "file_nothing": message("The file holds nothing that could lie on the farm."),
    "file_taken_one": message("{n} is taken in."),
    "file_taken_many": message("{n} are taken in."),
    "file_broken_one": message("{n} cannot be read."),
    "file_broken_many": message("{n} of them cannot be read."),
}

LEGEND: Final = {
    sentence["en"]: sentence
    for sentence in (
        message("pruned"),
        message("still to prune"),
        message("crew stopped here"),
        message("overlap of two crews"),
        message("to go over again"),
        message("closed, nobody may enter"),
        message("more faults than by chance"),
        message("confirmed by new checks"),
        message("tree meets the brief"),
        message("minor faults"),
        message("faulty tree"),
        message("smaller bud: seen while walking, outside the verdict"),
        message("blank"),
        message("pollinizer"),
        message("north is up"),
        message("Progress"),
        message("Quality"),
        message("Remaining"),
        message("Ring: share of trees pruned, clockwise from north. Pith: verdict on the work."),
        message(
            "Ring: share of the trees drawn by plan that are faulty, without those gone over since, clockwise from north. Figures: faulty / drawn. Pith: verdict."
        ),
        message(
            "Ring: share of trees still to prune, clockwise from north. Figures: trees left. Pruned rows stand back."
        ),
        message("trees claimed by two crews"),
        message("accepted as far as judged: more is pruned since"),
        message("trees to go over again"),
        message("weak area, no return yet"),
        message("part still to prune"),
        message("done: nothing left to prune"),
        message("Rows, each at its true length"),
        message("Blocks from far"),
        message("The larger the ring, the more trees."),
        message("On the farm"),
        message("track"),
        message("gate"),
        message("water"),
        message("shed"),
        message("something else"),
        message("power line"),
        message("accepted"),
        message("send back"),
        message("too few checks"),
        message("not begun"),
        message("no checks yet"),
        message("Weak areas"),
        message("Positions"),
        message("Checks"),
        message("Legend"),
    )
}
"""What `orchardmap.maps.signs` says, in every language, by its English."""


def legend_text(words: str, language: str) -> str:
    """Return words of the legend in a language, in English where it lacks them.

    Parameters
    ----------
    words : str
        As `orchardmap.maps.signs` has them.
    language : str
        ISO 639-1 code.

    Returns
    -------
    str

    Examples
    --------
    >>> legend_text("pruned", "es")
    'podado'
    """
    return translated(LEGEND[words], language)


def page_words(language: str) -> dict[str, Any]:
    """Return the words of the page in a language, English where it lacks some.

    Parameters
    ----------
    language : str
        ISO 639-1 code.

    Returns
    -------
    dict
        ``language``, ``sentences`` by key, and ``legend`` by its English.

    Examples
    --------
    >>> page_words("en")["sentences"]["copy_link"]
    'Copy link'
    """
    return {
        "language": language,
        "sentences": {key: translated(sentence, language) for key, sentence in SENTENCES.items()},
        "legend": {words: translated(sentence, language) for words, sentence in LEGEND.items()},
    }
