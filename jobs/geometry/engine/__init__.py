"""Distances to a triangle mesh, and the volumes between its parallel surfaces; compiled kernels, imported on use."""
