"""Labels with codes: which sheets there are, what stands on a label, and how it is laid out so that nothing is cut."""
