"""The stage: its back board, and what stands on it."""

import pytest

from animator.pictures import plate
from animator.pictures.plate import back_board
from animator.pictures.stand import Stand
from animator.pictures.stuff import Stuffs
from tests.pictures._runs import demo


def test_a_back_board_goes_with_the_words_of_the_title_or_is_plain():
    assert back_board("The smith", [])[1] is plate._bricks
    assert back_board("The heron at the weir", [])[1] is plate._reeds
    for title in ("The juggler", "Nice and then some", "Clockwork no. 3"):
        assert back_board(title, [])[1] is plate._rules
        assert back_board(title, []) == back_board(title, [])
    assert plate._rules not in plate.POOLS
    assert plate._bricks not in plate.POOLS


@pytest.mark.slow
def test_what_turns_above_the_stage_stands_on_a_post():
    motion = demo("smith")
    stand = Stand(motion, Stuffs(True), 400, 600, (600, 500), "The smith")
    posts = stand._posts(stand.base)
    assert len(posts) == 1  # the hammer's; the camshaft lies below the stage
    x, y = stand.drawing.units(stand.drawing.first.point("hammer"))
    bounds = posts[0].path.computeTightBounds()
    assert bounds.left() < x < bounds.right()
    assert bounds.top() < y < stand.base.line <= bounds.bottom() + 0.5
