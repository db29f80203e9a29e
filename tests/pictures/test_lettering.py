import pytest

from animator.pictures import lettering
from animator.pictures.lettering import block, fit, letter, width, wrap


class Canvas:
    def __init__(self):
        self.places = []

    def drawTextBlob(self, blob, x, y, paint):
        self.places.append((x, y))


def test_figures_of_labels_have_one_width():
    assert len({round(width(d * 4, "label-b", 30), 6) for d in "0123456789"}) == 1


def test_letters_a_face_lacks_are_taken_from_another_or_become_a_square():
    assert lettering._stretches("жук", "title")[0][0] != "title"
    assert "".join(letters for _, letters in lettering._stretches("a木b", "text")) in (
        "a□b",
        "a?b",
    )
    assert width("The heron & жук 木 ☃", "title", 30) > 0


def test_words_stay_inside_their_room():
    text = (
        "One cam draws the neck back and lifts the eel. Where the cam falls away, both let go."
    )
    for room in (120, 200, 333):
        assert all(width(line, "text", 23) <= room for line in wrap(text, "text", 23, room))
        assert " ".join(wrap(text, "text", 23, room)) == text
    assert len(wrap(text, "text", fit(text, "text", 40, 300, 3, 8), 300)) <= 3


def test_a_paragraph_that_is_too_long_ends_in_an_ellipsis():
    canvas = Canvas()
    end = block(canvas, "word " * 60, 0, 0, 100, "text", 20, 1.0, None, 3)
    assert end == pytest.approx(60)
    assert len({y for _, y in canvas.places}) == 3


def test_right_and_middle_alignment():
    left, middle, right = Canvas(), Canvas(), Canvas()
    for canvas, align in ((left, "l"), (middle, "c"), (right, "r")):
        letter(canvas, "weir", 100, 10, "text", 20, None, align)
    w = width("weir", "text", 20)
    assert left.places[0][0] - middle.places[0][0] == pytest.approx(w / 2)
    assert left.places[0][0] - right.places[0][0] == pytest.approx(w)
