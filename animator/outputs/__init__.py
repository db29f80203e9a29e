"""Files from pictures: one format a file, found by the ending of its name. Every file is written beside and put in place when whole."""

from animator.outputs.saving import Saved, save

__all__ = ["Saved", "save"]
