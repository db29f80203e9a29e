"""A coil that pushes its two ends apart."""

from pydantic import model_validator

from animator.parts._coil import Coil
from animator.parts._contract import PARTS
from animator.units import Wrong


@PARTS.add("compression spring")
class CompressionSpring(Coil):
    """Pushes its ends apart. ``free length`` is its length unloaded; or ``preload`` is its push at the start."""

    as_written = "dough: {kind: compression spring, from: stop, to: ram.tip, rate: 0.4 N/mm, free length: 40}"

    pushes = True
    also_called = ("push spring", "pressure spring")

    @model_validator(mode="after")
    def _starts_somehow(self) -> "CompressionSpring":
        if self.free_length is not None and self.preload is not None:
            raise Wrong(
                "says both 'free length' and 'preload', and each gives the other",
                "one of them",
                key="preload",
            )
        return self
