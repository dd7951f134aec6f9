"""Rows of the jobs app."""

from jobs.models.client import Client
from jobs.models.job import Job
from jobs.models.piece import GirthReading, Piece, ScanFile, SolidReading, TakeoffRecord
from jobs.models.plan import KeptPlan, OwnMinutes, Plan
from jobs.models.study import PieceStudy

__all__ = [
    "Client", "GirthReading", "Job", "KeptPlan", "OwnMinutes", "Piece", "PieceStudy", "Plan", "ScanFile", "SolidReading",
    "TakeoffRecord",
]  # fmt: skip
