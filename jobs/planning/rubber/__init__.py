"""Coats, fill, strip, keys and gauge blocks: all rubber that is laid by hand."""
