"""Pinning a rod or plate to other parts: tight, or with the hole a little wider than its pin."""

from animator.parts._contract import Part, Pinned, Workshop

PIN_RADIUS = 1.5  # mm; a 3 mm pin, the commonest rivet


def pin_up(shop: Workshop, part: Part, pinned: Pinned, play: float) -> None:
    """Pin a point of a part to its partner, with play and the two stuffs' friction if it has any play [mm]."""
    at = shop.start_point(pinned.to.part, pinned.to.point)
    own, other = shop.body(part.name), shop.body(pinned.to.part)
    if not play:
        shop.pivot(other, own, at)
        return
    from animator.world.contacts import BoreTouch

    partner = shop.scene.parts.get(pinned.to.part)
    stuff = shop.stuff_of(part)[0]
    shop.exact_contact(
        f"{part.name}.{pinned.point}", part.name, pinned.to.part, f"pin at {part.name}.{pinned.point}", "stop", own, other, at, at,
        BoreTouch(PIN_RADIUS, play / 2), shop.friction(None, stuff, stuff if partner is None else shop.stuff_of(partner)[0]),
        is_meant=False,
    )  # fmt: skip
