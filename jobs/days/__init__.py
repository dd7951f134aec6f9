"""The days of all open jobs: rows become a problem, the worker looks for a timetable, somebody uses it."""
