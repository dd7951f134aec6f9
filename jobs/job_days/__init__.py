"""What pages tell of the days of one job: its tasks by the clock, what was said of them, news, promises, remedies."""
