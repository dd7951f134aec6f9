"""Runs of castings: practice, how long molds last, how many to make, and when castings are ready."""
