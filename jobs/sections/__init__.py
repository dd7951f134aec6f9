"""Sections through the studied piece of a plan: its arrays at hand, sheets to draw, and two of them on paper."""
