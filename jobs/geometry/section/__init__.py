"""Sections through a studied piece in any plane: exact cuts, outlines of its layers, and their areas."""
