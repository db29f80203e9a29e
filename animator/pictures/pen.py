"""What a part's ``draw`` is handed."""

from __future__ import annotations

from animator.pictures._pen_across import AcrossPen
from animator.pictures._pen_belts import BeltPen
from animator.pictures._pen_cams import CamPen
from animator.pictures._pen_crude import CrudePen
from animator.pictures._pen_discs import DiscPen
from animator.pictures._pen_electric import ElectricPen
from animator.pictures._pen_gears import GearPen
from animator.pictures._pen_guides import GuidePen
from animator.pictures._pen_links import LinkPen
from animator.pictures._pen_loops import LoopPen
from animator.pictures._pen_springs import SpringPen


class Pen(
    BeltPen,
    GuidePen,
    LoopPen,
    DiscPen,
    CrudePen,
    GearPen,
    SpringPen,
    LinkPen,
    ElectricPen,
    CamPen,
    AcrossPen,  # last: some of the others draw across views themselves
):
    """What ``draw`` is handed.

    Shapes follow the part they are drawn for; those drawn with ``pen.frame`` stand still in the plane. All lengths are
    millimetres, in the part's own frame (``pen.frame``: in the plane). What turns in another view is drawn by ``draw_across``; its frame then runs
    along its axis.
    """
