"""A closer look at what is too small to see: the same parts through a reading glass laid beside the piece."""

from __future__ import annotations

from collections.abc import Iterable

from animator.findings.report import Finding
from animator.motion.motion import Contact, Motion
from animator.pictures import marks, palette
from animator.pictures.drawing import Drawing
from animator.pictures.ink import Canvas, Sheet, box, disc, fill, stroke
from animator.pictures.lettering import letter, width
from animator.pictures.moment import Moment
from animator.pictures.stand import Stand
from animator.pictures.stuff import Stuffs

ZOOM = 12.0
LEAST, MOST = 0.01, 2.0  # mm; a gap between these is found but not seen
RADIUS = 84.0  # design units


def too_small_to_see(motion: Motion, findings: Iterable[Finding]) -> Contact | None:
    """Give the contact whose gap is found but smaller than the eye can see in the picture; None where there is none."""
    for f in findings:
        for contact in motion.contacts.values():
            if (
                f.code == "float"
                and contact.is_meant
                and f.part in (contact.first, contact.second)
                and LEAST < f.amount < MOST
            ):
                return contact
    return None


class CloserLook:
    """The reading glass over one contact. ``at``: where it lies on the sheet."""

    def __init__(
        self,
        sheet: Sheet,
        stand: Stand,
        contact: Contact,
        stuffs: Stuffs,
        at: tuple[float, float],
    ) -> None:
        self.stand, self.contact, self.stuffs = stand, contact, stuffs
        others = set(stand.motion.scene.parts) - {contact.first, contact.second}
        self.close = Drawing(stand.motion, stuffs, stand.k * ZOOM, others, size=2.4)
        self.glass = marks.ReadingGlass(sheet, *at, RADIUS, stuffs)

    def draw(self, c: Canvas, moment: Moment) -> None:
        """Draw the glass, what it shows now, and the measure between two arrows."""
        contact, glass, stand = self.contact, self.glass, self.stand
        gap = moment.of(contact.gap)
        point = (moment.of(contact.point[:, 0]), moment.of(contact.point[:, 1]))
        n = (moment.of(contact.direction[:, 0]), -moment.of(contact.direction[:, 1]))
        middle = (point[0] + n[0] * max(gap, 0.0) / 2, point[1] - n[1] * max(gap, 0.0) / 2)
        glass.lead(c, stand.on_sheet(point), "float")

        def inside(k: Canvas) -> None:
            k.drawPath(disc(0, 0, glass.r + 40), self.stuffs.paint(stand.board, 90))
            x, y = self.close.units(middle)
            k.save()
            k.translate(-x, -y)
            self.close.draw(k, self.close.moment(moment.t), self.close.marks)
            k.restore()
            air = max(gap, 0.0) * self.close.k
            if air > 2:
                measured(k, gap, air, n)

        glass.draw(c, inside)


def measured(k: Canvas, gap: float, air: float, n: tuple[float, float]) -> None:
    """Draw the measure of a gap between two arrows, about the origin: ``gap`` [mm], as wide as ``air`` [design units], along ``n``."""
    hue = marks.hue_of("float")
    for side in (-1, 1):
        tip, tail = side * (air / 2 + 2), side * (air / 2 + 30)
        way = [(n[0] * tail, n[1] * tail), (n[0] * tip, n[1] * tip)]
        marks.arrow(k, way, hue, 3.6, 13, palette.PAPER_LIT)
    word = f"{gap:.1f} mm" if gap >= 0.1 else f"{gap:.2f} mm"
    tw = width(word, "label-b", 26)
    k.drawPath(box(-tw / 2 - 9, 30, tw + 18, 33, 4), fill(palette.PAPER_LIT))
    k.drawPath(box(-tw / 2 - 9, 30, tw + 18, 33, 4), stroke(hue, 2))
    letter(k, word, 0, 55, "label-b", 26, fill(hue), "c")
