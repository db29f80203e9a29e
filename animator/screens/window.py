"""The window: whole screen or not, turned by quarters, fitted; what is done to it comes out as a few plain events."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from animator.problems import RunError
from animator.screens.aside import aside

os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")

import pygame

Pixels = NDArray[np.uint8]
What = Literal["key", "key up", "wheel", "down", "move", "up", "size", "leave"]
AROUND = (20, 16, 13)  # what a picture of another shape leaves free
SMALLEST = 64  # px; a window may be dragged smaller than a picture can be
NOT_SEEN = ("dummy", "offscreen", "evdev")  # what the library falls back on by itself
PATIENCE = (0.2, 0.5, 1.0, 2.0, 5.0)  # s between tries to get a lost screen back


@dataclass(frozen=True)
class Event:
    """Something done to the window: a key by its name, a wheel's notches, a pointer's place on the picture [px, y down] and whose it is."""

    what: What
    key: str = ""
    notches: float = 0.0
    at: tuple[float, float] = (0.0, 0.0)
    is_finger: bool = False


class Window:
    """A window that shows pictures.

    Parameters
    ----------
    title
        Over it.
    size
        Of a window; None takes the whole screen. [px]
    quarters
        Turned clockwise by so many quarters.
    hides_pointer
        True: always; False: once it hasn't moved for a while.

    Raises
    ------
    RunError
        There is no screen.
    """

    def __init__(
        self,
        title: str,
        size: tuple[int, int] | None = None,
        quarters: int = 0,
        hides_pointer: bool = True,
    ) -> None:
        self.title, self.window_size, self.quarters = title, size or (1280, 720), quarters % 4
        self.is_whole, self.hides_pointer = size is None, hides_pointer
        self.lost = 0
        self.shown = 0
        self._surface: Any = None
        self._picture: Pixels | None = None
        self._card: Pixels | None = None
        self._fingers: set[int] = set()
        try:
            self._open()
        except pygame.error as trouble:
            pygame.quit()
            raise RunError(
                f"no screen can be opened here ({trouble}); in a terminal without one, 'animator render' makes a file instead"
            ) from trouble

    # ------------------------------------------------------------ opening
    def _open(self) -> None:
        pygame.display.init()
        if pygame.display.get_driver() in NOT_SEEN and "SDL_VIDEODRIVER" not in os.environ:
            raise pygame.error("neither a desktop nor a monitor was found")
        # a touch is a touch: without this it comes a second time as a mouse
        os.environ.setdefault("SDL_TOUCH_MOUSE_EVENTS", "0")
        pygame.display.set_caption(self.title)
        pygame.display.set_allow_screensaver(False)
        self._surface = (
            pygame.display.set_mode((0, 0), pygame.FULLSCREEN)
            if self.is_whole
            else pygame.display.set_mode(self.window_size, pygame.RESIZABLE)
        )
        pygame.key.set_repeat()  # a held key is held, not struck again and again
        self._moved = time.perf_counter()
        self._see_to_pointer()

    def close(self) -> None:
        """Close it."""
        pygame.quit()

    @property
    def size(self) -> tuple[int, int]:
        """Size a picture should have to fill it. [px]"""
        w, h = (max(side, SMALLEST) for side in self._surface.get_size())
        return (h, w) if self.quarters % 2 else (w, h)

    def turn(self) -> None:
        """Turn the picture by a quarter."""
        self.quarters = (self.quarters + 1) % 4

    def toggle_whole(self) -> None:
        """From a window to the whole screen, or back."""
        self.is_whole = not self.is_whole
        self._again()

    def _again(self) -> None:
        """Close and open again: a new mode, or a screen that was lost."""
        pygame.display.quit()
        for wait in (*PATIENCE, None):
            try:
                self._open()
                return
            except pygame.error as trouble:
                if wait is None:
                    raise RunError(
                        f"the screen is gone and doesn't come back ({trouble})"
                    ) from trouble
                time.sleep(wait)

    # ------------------------------------------------------------ showing
    def show(self, picture: Pixels | None = None, card: Pixels | None = None) -> None:
        """Show a picture (height, width, 4), RGBA, a card in its middle; None: the picture before. A lost screen is opened again."""
        if picture is not None:
            self._picture = picture
        self._card = card
        try:
            self._paint()
        except pygame.error as trouble:
            self.lost += 1
            aside(f"the screen was lost ({trouble}) and is opened again")
            self._again()
            self._paint()
        self.shown += 1

    def _paint(self) -> None:
        surface = pygame.display.get_surface()
        if surface is None:
            raise pygame.error("there is no window")
        self._surface = surface
        if self._picture is not None:
            self._lay(surface, self._picture, "RGBX", fills=True)
        if self._card is not None:
            self._lay(surface, self._card, "RGBA", fills=False)
        pygame.display.flip()

    def _lay(
        self, surface: Any, picture: Pixels, order: Literal["RGBX", "RGBA"], fills: bool
    ) -> None:
        """Blit a picture in the middle, turned; what ``fills`` is brought to the window's size and the rest painted over."""
        if self.quarters:
            # one number a pixel: a quarter of the time of four
            whole = np.ascontiguousarray(picture).view(np.uint32)[..., 0]
            picture = np.ascontiguousarray(np.rot90(whole, -self.quarters)).view(np.uint8)
            picture = picture.reshape(picture.shape[0], -1, 4)
        h, w = picture.shape[:2]
        image = pygame.image.frombuffer(picture.data, (w, h), order)
        room_w, room_h = surface.get_size()
        if fills and (w, h) != (room_w, room_h) and not (w == room_w or h == room_h):
            k = min(room_w / w, room_h / h)
            w, h = max(1, round(w * k)), max(1, round(h * k))
            image = pygame.transform.smoothscale(image, (w, h))
        x, y = (room_w - w) // 2, (room_h - h) // 2
        if fills and (x or y):
            surface.fill(AROUND)
        surface.blit(image, (x, y))

    # ------------------------------------------------------------ what is done to it
    def events(self, wait: float = 0.0) -> Iterator[Event]:
        """Wait at most so long for something to be done to the window [s], and give all that was."""
        try:
            first = (
                pygame.event.wait(max(1, round(wait * 1000)))
                if wait > 0
                else pygame.event.poll()
            )
            found = [first, *pygame.event.get()]
        except pygame.error:  # the screen has just gone; the next picture opens it again
            time.sleep(wait)
            return
        for raw in found:
            event = self._plain(raw)
            if event is not None:
                yield event
        self._see_to_pointer()

    def _plain(self, raw: Any) -> Event | None:
        kind = raw.type
        if kind == pygame.QUIT:
            return Event("leave")
        if kind in (pygame.KEYDOWN, pygame.KEYUP):
            name = pygame.key.name(raw.key)
            return Event("key" if kind == pygame.KEYDOWN else "key up", key=name)
        if kind == pygame.MOUSEWHEEL:
            notches = getattr(raw, "precise_y", raw.y) * (-1 if raw.flipped else 1)
            return Event("wheel", notches=float(notches))
        if kind in (pygame.MOUSEBUTTONDOWN, pygame.MOUSEBUTTONUP, pygame.MOUSEMOTION):
            self._moved = time.perf_counter()
            if getattr(raw, "touch", False):
                return None  # it comes as a finger too
            if kind == pygame.MOUSEMOTION:
                return Event("move", at=self._on_picture(*raw.pos))
            if raw.button != 1:
                return None
            what: What = "down" if kind == pygame.MOUSEBUTTONDOWN else "up"
            return Event(what, at=self._on_picture(*raw.pos))
        if kind in (pygame.FINGERDOWN, pygame.FINGERMOTION, pygame.FINGERUP):
            return self._finger(raw)
        if kind in (pygame.VIDEORESIZE, pygame.WINDOWSIZECHANGED, pygame.WINDOWEXPOSED):
            surface = pygame.display.get_surface()
            if not self.is_whole and surface is not None:
                self.window_size = surface.get_size()
            return Event("size")
        return None

    def _finger(self, raw: Any) -> Event | None:
        """Follow the first finger; further ones are left alone."""
        if raw.type == pygame.FINGERDOWN:
            if self._fingers:
                return None
            self._fingers = {raw.finger_id}
        if raw.finger_id not in self._fingers:
            return None
        if raw.type == pygame.FINGERUP:
            self._fingers = set()
        w, h = self._surface.get_size()
        words: dict[int, What] = {
            pygame.FINGERDOWN: "down",
            pygame.FINGERMOTION: "move",
            pygame.FINGERUP: "up",
        }
        return Event(words[raw.type], at=self._on_picture(raw.x * w, raw.y * h), is_finger=True)

    def _on_picture(self, x: float, y: float) -> tuple[float, float]:
        """Take a place of the window onto the picture as it was before it was turned and fitted."""
        room_w, room_h = self._surface.get_size()
        if self._picture is None:
            return x, y
        h, w = self._picture.shape[:2]
        shown_w, shown_h = (h, w) if self.quarters % 2 else (w, h)
        k = (
            1.0
            if shown_w == room_w or shown_h == room_h
            else min(room_w / shown_w, room_h / shown_h)
        )
        x = (x - (room_w - shown_w * k) / 2) / k
        y = (y - (room_h - shown_h * k) / 2) / k
        if self.quarters == 1:
            return y, shown_w - x
        if self.quarters == 2:
            return shown_w - x, shown_h - y
        if self.quarters == 3:
            return shown_h - y, x
        return x, y

    def _see_to_pointer(self) -> None:
        is_seen = not self.hides_pointer and time.perf_counter() - self._moved < 3.0
        if pygame.mouse.get_visible() != is_seen:
            pygame.mouse.set_visible(is_seen)
