"""What planning refuses, with a sentence for the mold maker."""

from studio.figures import WorkingError


class PlanningError(WorkingError):
    """A plan cannot be made from these decisions."""


class WallTooThin(PlanningError):
    """The print and closing coats alone are thicker than the wall."""


class IncompatibleMaterials(PlanningError):
    """The rubber would not cure against the surface or the scrap."""


class BadBrief(PlanningError):
    """A decision is outside what can be planned."""
