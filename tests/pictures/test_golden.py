"""A few small pictures kept to look at: for what marks can't say. ``pytest --accept-pictures`` renews them."""

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from animator.pictures.comparison import Comparison
from animator.pictures.film import Film
from animator.pictures.storyboard import Storyboard
from tests.pictures._runs import demo, jam_of_the_mole

HERE = Path(__file__).parent


def client():
    return Film(demo("heron"), look="client", size=(640, 360), fps=20).frame(7)


def jam():
    motion, report = jam_of_the_mole()
    film = Film(motion, None, report, size=(640, 360), fps=20)
    return film.frame(film.frame_count - 1)


def compared():
    film = Comparison(
        [(v, demo("carousel", v, 10.0), None) for v in ("band", "chain")], (640, 360)
    )
    return film.draw(film.stop)


def thrifty():
    return Film(demo("skater"), look="client", size=(480, 270), fps=20, style="thrifty").frame(
        9
    )


def sheet():
    return Storyboard(demo("baker")).sheet(640).array


@pytest.mark.slow
@pytest.mark.parametrize(
    "draw", [client, jam, compared, thrifty, sheet], ids=lambda draw: draw.__name__
)
def test_picture_looks_as_it_did(draw, is_accepting_pictures):
    got = draw()[..., :3].copy()
    path = HERE / "golden" / f"{draw.__name__}.png"
    if is_accepting_pictures:
        Image.fromarray(got).save(path, optimize=True)
        return
    with Image.open(path) as kept:
        expected = np.asarray(kept.convert("RGB"))
    assert got.shape == expected.shape
    difference = np.abs(got.astype(int) - expected.astype(int)).max(-1)
    # another processor rounds edges and grain a little differently; a moved part changes thousands of pixels
    if (difference > 40).mean() > 0.004:
        folder = HERE / "failed"
        folder.mkdir(exist_ok=True)
        shown = np.repeat(np.clip(difference * 3, 0, 255).astype(np.uint8)[..., None], 3, -1)
        left_to_look_at = folder / f"{draw.__name__}.png"
        Image.fromarray(np.concatenate([got, expected, shown], 1)).save(left_to_look_at)
        pytest.fail(
            f"{(difference > 40).mean():.1%} of the picture differs; got, expected and difference: {left_to_look_at}"
        )
