"""Rows of the jobs app."""

from jobs.models.client import Client
from jobs.models.days_question import DaysQuestion
from jobs.models.feed import CalendarFeed, DaySheet, FeedEvent
from jobs.models.job import Job
from jobs.models.mold import Mold
from jobs.models.photo import PiecePhoto
from jobs.models.piece import GirthReading, Piece, ScanFile, SolidReading, TakeoffRecord
from jobs.models.plan import KeptPlan, OwnMinutes, Plan
from jobs.models.study import PieceStudy
from jobs.models.task_fact import TaskFact
from jobs.models.timetable import Timetable, TimetableEntry
from jobs.models.work import CastingsTally, JobSpend, WorkDone

__all__ = [
    "CalendarFeed", "CastingsTally", "Client", "DaySheet", "DaysQuestion", "FeedEvent", "GirthReading", "Job", "JobSpend",
    "KeptPlan", "Mold", "OwnMinutes", "Piece", "PiecePhoto", "PieceStudy", "Plan", "ScanFile", "SolidReading", "TakeoffRecord",
    "TaskFact", "Timetable", "TimetableEntry", "WorkDone",
]  # fmt: skip
