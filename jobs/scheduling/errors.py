"""What scheduling refuses, with a sentence for the mold maker."""

from studio.figures import WorkingError


class SchedulingError(WorkingError):
    """Days cannot be computed from these tasks, hours or stations."""


class BadProblem(SchedulingError):
    """A task, a person, a station or a wait contradicts itself."""


class NobodyCan(SchedulingError):
    """No person with the skill, or no stretch of hours long enough, exists for a task."""
