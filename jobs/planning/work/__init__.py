"""The work in its order, and when each task can begin."""
