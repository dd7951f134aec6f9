"""Scans: files taken in, measured by the worker, kept or let go."""
