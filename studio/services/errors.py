"""Refusals of the studio's own services; the message says what to change."""

from studio.errors import StudioError


class AccountError(StudioError):
    """A change to an account was refused."""


class InvitationError(StudioError):
    """A single-use link does not open anything, or could not be made."""


class PeopleError(StudioError):
    """A change to people or their hours was refused."""


class StationError(StudioError):
    """A change to stations was refused."""


class RateError(StudioError):
    """A rate of work was refused."""


class LogoError(StudioError):
    """A picture was refused as the studio's logo."""


class AbsenceError(StudioError):
    """A change to who is away was refused."""


class SkillError(StudioError):
    """A change to skills or stage rules was refused."""


class RoomError(StudioError):
    """A temperature of the room was refused."""
