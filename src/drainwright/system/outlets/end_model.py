"""The end of a pipe where it lets its water out: sizes to build it by and to inspect."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from drainwright.field.model import Plan
from drainwright.job.values import Basis
from drainwright.job.works import OutletKind

POCKET = 0.3048  # side of the cube of stone below an emitter's elbow; common practice, no source [m]
EndForm = Literal["open end", "kerb hole", "pop-up emitter", "air gap"]
INCH = 0.0254  # [m]
BOXES = (12 * INCH, 18 * INCH, 24 * INCH)  # sizes sold in which a gap can be seen and taped [m]
BOX_ROOM, BOX_BELOW = 0.05, 0.1  # beside the receiver, and from its rim to the floor: common practice, no source [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class PipeEnd:
    """One end, as it is to be built. A size that the job leaves out is assumed by common practice, and marked."""

    name: str  # of the discharge point
    kind: OutletKind
    form: EndForm
    at: Plan
    run: str  # that ends there
    nominal: str  # size of that run's pipe
    bore: float  # of that pipe [m]
    outside: float  # [m]
    invert: float  # [m]
    ground: float  # level there [m]
    opening: float  # clear height or bore through which the water leaves [m]
    opening_basis: Basis
    fitting: str  # nominal size of the emitter; else empty
    height: float  # invert above the ground or gutter; an emitter's lid above the lawn [m]
    height_basis: Basis
    kerb: float  # height of the kerb above the gutter; 0: none [m]
    kerb_basis: Basis
    core: float  # diameter of the hole to core through it; 0: none [m]
    gap: float  # clear height of air; 0: none [m]
    gap_least: float  # [m]
    gap_basis: Basis
    receiver: float  # mouth of what takes the water below the gap; 0: none [m]
    receiver_basis: Basis
    guard: bool  # an animal guard
    from_house: float  # [m]
    from_boundary: float | None  # None: the boundary is not known [m]

    elbow: float = 0.0  # height that an emitter's elbow takes above the invert; 0: none [m]

    @property
    def lid(self) -> float:
        """Level of an emitter's lid [m]."""
        return self.ground + self.height

    @property
    def buried(self) -> bool:
        """Whether the air of its gap lies below the ground, so that it stands in a box."""
        return self.form == "air gap" and self.ground > self.invert

    @property
    def box(self) -> float:
        """Inside width of the open box round a gap below the ground: a catch basin's body; 0: none [m]."""
        if not self.buried:
            return 0.0
        return next((size for size in BOXES if size >= self.receiver + 2 * BOX_ROOM), BOXES[-1])

    @property
    def box_floor(self) -> float:
        """Level of that box's floor, through which the receiver's pipe goes down [m]."""
        return self.invert - self.gap - BOX_BELOW

    @property
    def over_core(self) -> float:
        """Concrete left over the hole in a kerb, the hole reaching as far below the pipe as above it [m]."""
        return self.kerb - self.height - (self.opening + self.core) / 2.0

    @property
    def rim(self) -> float:
        """Highest level at which the rim of the receiver below an air gap may stand [m]."""
        return self.invert - self.gap_least


__all__ = ["POCKET", "EndForm", "PipeEnd"]
