"""When a client pays which part of a price: shares of the total, tied to moments of the work."""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum


class Moment(StrEnum):
    """A moment of the work at which money is due, in the order of the work."""

    AGREED = "agreed"
    OPENED = "opened"
    READY = "ready"

    @property
    def label(self) -> str:
        """The words a person reads."""
        return {
            "agreed": "before work begins",
            "opened": "when the mold is opened",
            "ready": "before the work leaves the studio",
        }[self.value]


@dataclass(frozen=True, slots=True, kw_only=True)
class StageShare:
    """The share of the total that is due at a moment. [%]"""

    moment: Moment
    percent: Decimal
