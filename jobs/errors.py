"""What the jobs app refuses; each message says what the person can change."""

from studio.errors import StudioError


class JobsError(StudioError):
    """Base of every refusal of this app."""


class MoveNotAllowed(JobsError):
    """A job cannot go from its state to the one that was asked for."""


class JobNotReady(JobsError):
    """The plan cannot be computed yet; `page` names the page (`jobs:…`) where what is missing is entered."""

    def __init__(self, message: str, *, page: str) -> None:
        super().__init__(message)
        self.page = page


class PlanChangedMeanwhile(JobsError):
    """Somebody else kept this plan after the page was opened."""


class NothingToUndo(JobsError):
    """There is no earlier plan to go back to."""


class WayGone(JobsError):
    """An alternative that was asked for is not offered any more."""


class CopyRefused(JobsError):
    """A copy of a plan cannot be kept, found or brought back; the message says what to change."""


class ReadingsRefused(JobsError):
    """Tape readings do not make a piece."""


class ScanRefused(JobsError):
    """A file cannot be taken as a scan; `too_large` tells a size limit from everything else."""

    def __init__(self, message: str, *, too_large: bool = False) -> None:
        super().__init__(message)
        self.too_large = too_large


class PhotoRefused(JobsError):
    """A photograph cannot be taken in or brought back."""


class StudyNotThere(JobsError):
    """The drawings of a piece are not at hand."""


class TimetableRefused(JobsError):
    """A timetable cannot be asked for, used, put by or gone back to."""


class FactRefused(JobsError):
    """What was said of a task cannot be true, or cannot be kept."""


class QuestionRefused(JobsError):
    """A question about the days of a job cannot be asked."""


class FeedRefused(JobsError):
    """A person can have no calendar address; the message says what to change first."""


class BuyingRefused(JobsError):
    """The buying list cannot be written down as ordered, or taken back."""


class MoldRefused(JobsError):
    """A mold cannot be added, counted, ended or brought back; the message says what to change."""


class WorkRefused(JobsError):
    """What was done at a job cannot be noted or taken back so; the message says what to change."""
