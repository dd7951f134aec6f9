"""Studies of pieces: asked for when a shape or a plan changes, made by the worker, kept with their drawings."""
