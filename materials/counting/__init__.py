"""Counting the shelf: what is to be weighed, what was, and posting the differences together."""
