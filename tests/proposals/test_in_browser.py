"""What a reader meets who opens the page with a double click, at a desk and on a phone, by keyboard, on paper."""

from __future__ import annotations

import io
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from PIL import Image

from tests.proposals._made import page
from tests.proposals.browser import Page, needs_browser, opened

pytestmark = pytest.mark.slow
DESK, PHONE = (1366, 900), (390, 844)


@pytest.fixture(scope="module")
def heron(tmp_path_factory: pytest.TempPathFactory) -> Path:
    needs_browser()
    path = tmp_path_factory.mktemp("letter") / "heron.html"
    path.write_bytes(page("heron", has_others=True))
    return path


@pytest.fixture(params=[DESK, PHONE], ids=["desk", "phone"])
def opened_page(heron: Path, request: pytest.FixtureRequest) -> Iterator[Page]:
    with opened(heron, *request.param, is_phone=request.param == PHONE) as shown:
        yield shown


def test_page_opens_without_a_complaint_and_asks_for_nothing(opened_page: Page) -> None:
    opened_page.ask("document.fonts.ready.then(() => 1)")
    opened_page.ask("new Promise(done => setTimeout(() => done(1), 800))")
    assert opened_page.complaints() == []
    assert opened_page.asked_for() == []


def test_nothing_sticks_out_at_the_side(opened_page: Page) -> None:
    assert opened_page.ask("document.documentElement.scrollWidth <= innerWidth")
    out = opened_page.ask(
        "[...document.querySelectorAll('h1,h2,h3,p,dl,img,video,table,li')]"
        ".filter(e => e.getClientRects().length && e.getBoundingClientRect().right > innerWidth + 1).length"
    )
    assert out == 0


def test_its_own_letters_are_used(opened_page: Page) -> None:
    faces = "['plate-title', 'plate-text', 'plate-label']"
    assert opened_page.ask(f"{faces}.every(f => document.fonts.check('20px ' + f, 'heron'))")
    assert opened_page.ask("[...document.fonts].filter(f => f.status === 'loaded').length") >= 5


def test_letters_are_large_enough(opened_page: Page) -> None:
    least = opened_page.ask(
        "Math.min(...[...document.querySelectorAll('p,li,td,th,dd,dt,figcaption,a,caption')]"
        ".map(e => parseFloat(getComputedStyle(e).fontSize)))"
    )
    assert least >= 15


def test_film_stands_at_its_poster_for_who_wants_nothing_to_move(opened_page: Page) -> None:
    opened_page.ask("document.querySelector('video').scrollIntoView()")
    opened_page.ask("new Promise(done => setTimeout(() => done(1), 1200))")
    assert opened_page.ask(
        "[...document.querySelectorAll('video')].every(v => v.paused && v.currentTime === 0)"
    )


def test_film_starts_by_itself_when_seen_and_stays_stopped_when_stopped(heron: Path) -> None:
    with opened(heron, *DESK, is_still=False) as shown:
        shown.ask("document.querySelector('video').scrollIntoView()")
        assert _comes_true(shown, "document.querySelector('video').currentTime > 0.2")
        shown.ask("document.querySelector('video').pause()")
        shown.ask("new Promise(done => setTimeout(() => done(1), 300))")
        shown.ask("scrollTo(0, document.body.scrollHeight)")
        shown.ask("new Promise(done => setTimeout(() => done(1), 500))")
        shown.ask("document.querySelector('video').scrollIntoView()")
        shown.ask("new Promise(done => setTimeout(() => done(1), 600))")
        assert shown.ask("document.querySelector('video').paused")


def test_film_can_be_decoded_and_read_along(heron: Path) -> None:
    with opened(heron, *DESK) as shown:
        shown.ask("document.querySelector('video').textTracks[0].mode = 'showing'")
        shown.ask("document.querySelector('video').play()")
        assert _comes_true(shown, "document.querySelector('video').currentTime > 0.2")
        assert shown.ask("document.querySelector('video').videoWidth") > 0
        assert _comes_true(
            shown, "document.querySelector('video').textTracks[0].cues.length > 3"
        )


def _comes_true(shown: Page, claim: str, seconds: float = 15.0) -> bool:
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if shown.ask(claim):
            return True
        time.sleep(0.1)
    return False


def test_keyboard_goes_through_the_page_in_its_order(heron: Path) -> None:
    with opened(heron, *DESK) as shown:
        met = []
        for _ in range(9):
            shown.press("Tab", 9)
            met.append(
                shown.ask(
                    "(e => [e.textContent.trim().slice(0, 20) || e.tagName, e.getAttribute('href'),"
                    " getComputedStyle(e).outlineStyle])(document.activeElement)"
                )
            )
        assert met[0][:2] == ["Skip to the film", "#film"]
        assert [each[1] for each in met[1:7]] == [
            f"#{name}"
            for name in ("film", "storyboard", "findings", "variants", "figures", "cautions")
        ]
        assert all(each[2] != "none" for each in met[:7])
        assert shown.ask("document.activeElement.tagName") == "VIDEO"


def test_skip_link_shows_itself_when_it_is_reached(heron: Path) -> None:
    with opened(heron, *DESK) as shown:
        where = "document.querySelector('.skip').getBoundingClientRect().left"
        assert shown.ask(where) < -100
        shown.press("Tab", 9)
        assert shown.ask(where) >= 0


def test_words_stand_out_from_their_ground(opened_page: Page) -> None:
    """WCAG 2.2, 1.4.3: 4.5 to 1; reckoned here from the colours the browser reports, apart from the program's own formula."""
    worst = opened_page.ask(
        """(() => {
          const parts = c => c.match(/[\\d.]+/g).map(Number);
          const light = c => { const [r, g, b] = c.map(v => v / 255).map(v => v <= .04045 ? v / 12.92 : ((v + .055) / 1.055) ** 2.4);
            return .2126 * r + .7152 * g + .0722 * b; };
          const ground = e => { for (; e; e = e.parentElement) { const c = parts(getComputedStyle(e).backgroundColor);
            if (c.length < 4 || c[3] > .6) return c.slice(0, 3); } return [201, 174, 132]; };
          let worst = 99;
          for (const e of document.querySelectorAll('h1,h2,h3,p,li,td,th,dd,dt,figcaption,a,caption,b,span')) {
            if (!e.textContent.trim() || e.matches('.skip')) continue;
            const [a, b] = [light(parts(getComputedStyle(e).color).slice(0, 3)), light(ground(e))].sort((x, y) => y - x);
            worst = Math.min(worst, (a + .05) / (b + .05));
          }
          return worst; })()"""
    )
    assert worst >= 4.5


def test_on_paper_the_poster_stands_for_the_film(heron: Path) -> None:
    with opened(heron, *DESK) as shown:
        printed = shown.printed()
        shown.call("Emulation.setEmulatedMedia", media="print")
        assert shown.ask(
            "[...document.querySelectorAll('video,nav,.skip')].every(e => !e.getClientRects().length)"
        )
        assert shown.ask(
            "[...document.querySelectorAll('.only-paper')].every(e => e.getClientRects().length)"
        )
    import pypdf

    pages = pypdf.PdfReader(io.BytesIO(printed)).pages
    assert 3 <= len(pages) <= 9
    assert float(pages[0].mediabox.width) == pytest.approx(595, abs=2)  # A4
    text = "".join(each.extract_text() for each in pages)
    assert "The heron at the weir" in text
    assert "Local rules" in text.replace("\n", " ")


def test_page_is_drawn(opened_page: Page) -> None:
    picture = Image.open(io.BytesIO(opened_page.picture())).convert("RGB")
    colours = picture.getcolors(maxcolors=picture.width * picture.height)
    assert colours is not None
    paper = max(colours)[1]
    assert all(abs(a - b) <= 2 for a, b in zip(paper, (0xF4, 0xEA, 0xD5), strict=True))
